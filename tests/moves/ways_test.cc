// The way of a new move: the shortest that the machine fits, where the kind asks whether it does.
#include "services/moves/ways.h"

#include <gmock/gmock.h>

#include "services/survey/taken_way.h"
#include "tests/moves/taped.h"

namespace chockwise::moves {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

/// A second, longer way from the bay to the line, which goes through no door; and a short hop that
/// asks whether the telehandler fits its way.
Files TwoWays() {
  Files files = ReadYardFolder("tests/moves/yard_small");
  files.map_geojson = Replaced(files.map_geojson, R"({"type": "Feature", "id": "pad-way",)",
                               R"({"type": "Feature", "id": "round-way",
     "properties": {"type": "lane", "name": "Round the back", "from": "bay", "to": "line"},
     "geometry": {"type": "LineString",
       "coordinates": [[-40.0, 20.0, 10.0], [-39.999, 20.0, 10.0], [-39.9995, 20.0005, 10.0]]}},
    {"type": "Feature", "id": "pad-way",)");
  files.rules_txtpb = Replaced(files.rules_txtpb, R"("hop-ground", "hop-parked")",
                               R"("hop-ground", "fits-route", "hop-parked")");
  TapeForSurvey(files);
  AddReadings(files, {"round-way width,24 ft,,", "round-way grade,2 %,,",
                      "round-way rated-mass,60000 lb,,"});
  return files;
}

constexpr const char* kDoorOfUse = "door-1 clear-height,14 ft 0 in";
constexpr const char* kLowDoor = "door-1 clear-height,8 ft 6 in";

MoveNumber AskHop(Story& story) {
  return story.Ask({.kind = "short-hop", .machine = "TH-1", .to = "line"});
}

Files With(std::string part, std::string by) {
  Files files = TwoWays();
  Measured(std::move(part), std::move(by))(files);
  return files;
}

TEST(ChooseRoute, TakesTheShortestWayThatFits) {
  Story story = Story::SmallFrom(TwoWays());
  const MoveNumber hop = AskHop(story);
  EXPECT_THAT(story.move(hop).way->lanes, ElementsAre("out-way", "line-way"));
  EXPECT_THAT(story.Gate(hop, "fits-route").reason, HasSubstr("by out-way, line-way"));
}

TEST(ChooseRoute, GoesRoundADoorThatIsTooLow) {
  Story story = Story::SmallFrom(With(kDoorOfUse, kLowDoor));
  const MoveNumber hop = AskHop(story);
  EXPECT_THAT(story.move(hop).way->lanes, ElementsAre("round-way"));
  EXPECT_TRUE(story.move(hop).way->doors.empty());
  EXPECT_TRUE(story.move(hop).way->ground.contains("lane/round-way"));
  EXPECT_EQ(story.Gate(hop, "fits-route").state, v1::GATE_STATE_CLEAR);
}

TEST(ChooseRoute, GoesRoundADoorWhoseSillLiftsIt) {
  // 8 ft 5 in and 3 in of bounce leave half an inch, and the sill is an inch.
  Story story = Story::SmallFrom(With(kDoorOfUse, "door-1 clear-height,8 ft 8 1/2 in"));
  EXPECT_THAT(story.move(AskHop(story)).way->lanes, ElementsAre("round-way"));
}

TEST(ChooseRoute, GoesRoundAPostThatItDoesNotClear) {
  // 1.31 m from the middle of the lane, and half of 8 ft with 6 in beside it are 1.37 m. No reading
  // of the lane says so: the way is driven before it is taken.
  Files files = TwoWays();
  files.map_geojson = Replaced(files.map_geojson, R"({"type": "Feature", "id": "pad-way",)",
                               R"({"type": "Feature", "id": "post",
     "properties": {"type": "obstacle", "name": "Post"},
     "geometry": {"type": "Polygon", "coordinates": [[[-39.9999875, 20.0002], [-39.99998, 20.0002],
       [-39.99998, 20.00021], [-39.9999875, 20.00021], [-39.9999875, 20.0002]]]}},
    {"type": "Feature", "id": "pad-way",)");
  Story story = Story::SmallFrom(files);
  const MoveNumber hop = AskHop(story);
  EXPECT_THAT(story.move(hop).way->lanes, ElementsAre("round-way"));
  EXPECT_EQ(story.Gate(hop, "fits-route").state, v1::GATE_STATE_CLEAR);
}

TEST(ChooseRoute, GoesRoundADoorThatIsOutOfService) {
  Story story = Story::SmallFrom(TwoWays());
  v1::ReportDoorRequest door;
  door.set_name(DoorName("small", "door-1"));
  door.set_report(v1::DOOR_REPORT_FAULTY);
  door.set_text("will not stay up");
  story.Must("sam", door);
  EXPECT_THAT(story.move(AskHop(story)).way->lanes, ElementsAre("round-way"));
}

TEST(ChooseRoute, WhereNoneFitsTheShortestSaysWhatIsShort) {
  Files files = With(kDoorOfUse, kLowDoor);
  Measured("round-way width,24 ft", "round-way width,8 ft 6 in")(files);
  Story story = Story::SmallFrom(files);
  const MoveNumber hop = AskHop(story);
  EXPECT_THAT(story.move(hop).way->lanes, ElementsAre("out-way", "line-way"));
  const GateStatus gate = story.Gate(hop, "fits-route");
  EXPECT_EQ(gate.state, v1::GATE_STATE_NOT_CLEAR);
  EXPECT_THAT(gate.reason, HasSubstr("NO WAY: out-way: "));
  EXPECT_THAT(gate.reason, HasSubstr("door-1 is "));
  EXPECT_THAT(gate.reason, HasSubstr("short of height"));
}

TEST(ChooseRoute, AnUnknownLaneIsNoWay) {
  // Law 2: nobody has taped the way round, so it is not taken, however low the door.
  Files files = With(kDoorOfUse, kLowDoor);
  Measured("round-way rated-mass,60000 lb,,,lee,2026-11-01T08:00:00Z\n", "")(files);
  Story story = Story::SmallFrom(files);
  EXPECT_THAT(story.move(AskHop(story)).way->lanes, ElementsAre("out-way", "line-way"));
}

TEST(ChooseRoute, AKindThatDoesNotAskTakesTheShortest) {
  Files files = With(kDoorOfUse, kLowDoor);
  files.rules_txtpb =
      Replaced(files.rules_txtpb, R"("hop-ground", "fits-route")", R"("hop-ground")");
  Story story = Story::SmallFrom(files);
  EXPECT_THAT(story.move(AskHop(story)).way->lanes, ElementsAre("out-way", "line-way"));
}

TEST(FitsRoute, TheWayOnceTakenIsAskedAgainWhenTheYardChanges) {
  Story story = Story::SmallFrom(TwoWays());
  const MoveNumber hop = AskHop(story);
  Reload(Measured(kDoorOfUse, kLowDoor))(story);
  const GateStatus gate = story.Gate(hop, "fits-route");
  EXPECT_EQ(gate.state, v1::GATE_STATE_NOT_CLEAR) << gate.reason;
  EXPECT_THAT(gate.reason, HasSubstr("NO WAY: out-way: "));
}

/// What the desk is told about a trip is about the way that its move takes.
TEST(ChooseRoute, IsTheWayThatTheDeskAsksAbout) {
  for (const char* clear_height : {kDoorOfUse, kLowDoor}) {
    Story story = Story::SmallFrom(With(kDoorOfUse, clear_height));
    const MoveNumber hop = AskHop(story);
    const survey::Asked asked{.yard = *story.state().yard,
                              .when = {.now = story.now(), .max_age = fit::Days(365)}};
    const auto taken = survey::TakeWay(asked, {.machine = story.move(hop).machine,
                                               .from = story.move(hop).from,
                                               .to = story.move(hop).to});
    std::vector<std::string> lanes;
    for (const yard::LaneId& lane : taken.trip.by) lanes.push_back(lane.value());
    EXPECT_EQ(lanes, story.move(hop).way->lanes) << clear_height;
  }
}

}  // namespace
}  // namespace chockwise::moves
