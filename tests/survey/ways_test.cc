// The way between jambs, the search for a way and the register of what fits,
// on the yard of the scenario, against numbers worked out from its readings.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <regex>

#include "services/survey/fit_register.h"
#include "services/survey/path.h"
#include "services/survey/route.h"
#include "services/survey/turning.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::HasSubstr;
using ::testing::StartsWith;

fit::TurningMachine TurningOf(const yard::Yard& yard, const char* id) {
  Readings readings(yard, At(yard).when);
  const auto turning = Turning(readings, *yard.FindMachine(id));
  EXPECT_TRUE(turning) << turning.error().Text();
  return turning.value_or(fit::TurningMachine{});
}

TEST(Turning, AFrontSteeredTruckFollowsItsTapedCircle) {
  // ST-101: wheelbase 13 ft 6 in, taped radius 25 ft: sin(steer) = 13.5 / 25.
  const fit::TurningMachine truck = TurningOf(DemoYard(), "ST-101");
  EXPECT_NEAR(std::sin(truck.most_steer.radians()), 13.5 / 25, 1e-12);
  EXPECT_NEAR(LeastRadius(truck, fit::Travel::kForwards).feet(), 25, 1e-9);
  // 24 ft 6 in less 3 ft 2 in and 13 ft 6 in leave 7 ft 10 in behind the rear axle.
  EXPECT_NEAR(truck.boxes.front().behind.inches(), 94, 1e-9);
  EXPECT_NEAR(truck.boxes.front().ahead.inches(), 200, 1e-9);
}

TEST(Turning, AFoldedLoaderTurnsItsFrontAxleOnTheTapedRadius) {
  // WL-401: 18 ft, wheelbase 9 ft 11 in, hinge to rear axle 4 ft 11 in. Both axles point at one
  // centre: the distances from it to the hinge by way of either axle agree.
  const fit::TurningMachine loader = TurningOf(DemoYard(), "WL-401");
  EXPECT_NEAR(LeastRadius(loader, fit::Travel::kForwards).feet(), 18, 1e-9);
  const double fold = loader.most_steer.radians();
  const double front = std::atan2(5.0, 18.0), hinge = std::hypot(5.0, 18.0);
  EXPECT_NEAR(hinge * std::sin(fold - front), 59.0 / 12, 1e-9);
}

TEST(Turning, MiddleTurnersAndTrailers) {
  const yard::Yard yard = DemoYard();
  // TH-201: both axles steer; 13 ft to the outer wheel and half of 9 ft 6 in ahead of the middle.
  EXPECT_NEAR(LeastRadius(TurningOf(yard, "TH-201"), fit::Travel::kForwards).feet(),
              std::sqrt(13.0 * 13 - 4.75 * 4.75), 1e-9);
  EXPECT_EQ(LeastRadius(TurningOf(yard, "SS-601"), fit::Travel::kForwards).metres(), 0)
      << "turns on the spot";
  const fit::TurningMachine digger = TurningOf(yard, "EX-301");
  ASSERT_TRUE(digger.upper);
  EXPECT_NEAR(digger.upper->tail_radius.inches(), 113, 1e-9);
  const fit::TurningMachine lowboy = TurningOf(yard, "CA-901");
  ASSERT_EQ(lowboy.trailers.size(), 1u);
  EXPECT_NEAR(lowboy.trailers[0].hitch_to_axle.feet(), 30, 1e-9);
  EXPECT_NEAR(lowboy.trailers[0].hitch_ahead.feet(), 1.5, 1e-9);
}

TEST(Turning, RefusesWhatCannotBe) {
  const yard::Yard yard = With("ST-101 turning-radius,25 ft", "ST-101 turning-radius,13 ft");
  const auto answer = KeepsClear(At(yard), TripOf("ST-101", "s1-bay-1", "s1-apron"), {});
  ASSERT_FALSE(answer) << "a wheelbase of 13 ft 6 in does not turn on 13 ft: " << answer->line;
  EXPECT_EQ(answer.error().input, "turning-radius of ST-101");
  const yard::Yard folded =
      With("WL-401 hinge-to-rear-axle,4 ft 11 in", "WL-401 hinge-to-rear-axle,9 ft 11 in");
  const auto loader = KeepsClear(At(folded), TripOf("WL-401", "s2-bay-3", "wash-pad"), {});
  ASSERT_FALSE(loader);
  EXPECT_EQ(loader.error().input, "hinge-to-rear-axle of WL-401");
}

TEST(KeepsClear, AStraightWayLeavesHalfOfWhatTheTapesLeave) {
  // door-3 is 18 ft wide and its lane runs straight 16 m through it; TH-201 is 8 ft: 5 ft a side.
  const auto driven = DriveOf(At(DemoYard()), TripOf("TH-201", "s2-bay-1", "yard-cross"), {});
  ASSERT_TRUE(driven) << driven.error().Text();
  ASSERT_TRUE(driven->swept.tightest);
  const fit::SideMargin& least = driven->swept.margins[*driven->swept.tightest];
  EXPECT_NEAR(least.margin.feet(), 5, 0.01);
  EXPECT_THAT(least.obstacle, StartsWith("door-3"));
}

/// The yard with a door's opening moved east, square to the lane, and the lane where it was.
yard::Yard WithDoorMoved(const char* door, double east_m) {
  constexpr double kEastMPerDeg = 104'647;  // at 20 degrees north, WGS 84
  yard::Yard yard = DemoYard();
  yard.doors.at(yard::DoorId(door)).position.longitude_deg += east_m / kEastMPerDeg;
  return yard;
}

TEST(KeepsClear, ADoorBesideTheLanesMiddleLeavesLessAtTheNearerJamb) {
  // door-3 is 18 ft wide, TH-201 8 ft, and its lane runs straight through: 5 ft a side.
  const Trip trip = TripOf("TH-201", "s2-bay-1", "yard-cross");
  const auto least = [&](double east_m) {
    const auto driven = DriveOf(At(WithDoorMoved("door-3", east_m)), trip, {});
    EXPECT_TRUE(driven) << driven.error().Text();
    return driven->swept.margins[*driven->swept.tightest];
  };
  EXPECT_NEAR(least(0).margin.feet(), 5, 0.01);
  // To the south the left is the east, so a door that lies east leaves less on the right.
  const fit::SideMargin east = least(0.5), west = least(-0.5);
  EXPECT_NEAR(east.margin.metres(), 5 * 0.3048 - 0.5, 0.005);
  EXPECT_EQ(east.obstacle, "door-3 right jamb");
  EXPECT_NEAR(west.margin.metres(), 5 * 0.3048 - 0.5, 0.005);
  EXPECT_EQ(west.obstacle, "door-3 left jamb");
  EXPECT_THAT(LineOf(KeepsClear(At(WithDoorMoved("door-3", 1.6)), trip, {})),
              StartsWith("WILL STRIKE door-3 right jamb"));
}

TEST(KeepsClear, ALaneThatMissesItsDoorIsRefusedByName) {
  // 2 m from the middle of 12 ft is beyond the jamb: between both there is a wall.
  const Trip trip = TripOf("ST-101", "s1-bay-1", "s1-apron");
  for (const double east_m : {2.01, -2.01}) {
    const auto answer = KeepsClear(At(WithDoorMoved("door-1", east_m)), trip, {});
    ASSERT_FALSE(answer) << answer->line;
    EXPECT_EQ(answer.error().input, "opening of door-1");
    EXPECT_THAT(answer.error().problem, HasSubstr("lane bay-1-way passes 2."));
  }
}

TEST(FindsWay, ADoorBesideTheLanesMiddleIsAsNarrowAsItsNearerHalf) {
  const Trip trip = TripOf("ST-101", "s1-bay-1", "s1-apron");
  const auto width = [&](double east_m) {
    const yard::Yard yard = WithDoorMoved("door-1", east_m);
    const auto found = SearchOf(At(yard), trip, {});
    EXPECT_TRUE(found) << found.error().Text();
    for (const fit::RouteLane& lane : found->question.lanes)
      if (lane.id == "bay-1-way") return lane.clear_width->metres();
    return -1.0;
  };
  EXPECT_NEAR(width(0) - width(0.5), 1.0, 0.01);
}

TEST(KeepsClear, TightAndStriking) {
  // door-4 is 3.96 m (13 ft), EX-301 11 ft 2 in: 10.9 in a side, and 12 in are asked for.
  const Trip trip = TripOf("EX-301", "s2-bay-2", "yard-cross");
  const auto tight = KeepsClear(At(DemoYard()), trip, {.needed_each_side = fit::Inches(12)});
  EXPECT_EQ(VerdictOf(tight), fit::Verdict::kConflict);
  EXPECT_THAT(LineOf(tight), StartsWith("TOO TIGHT at door-4"));
  EXPECT_THAT(LineOf(tight), HasSubstr(": 10 in to spare"));
  EXPECT_THAT(LineOf(tight), HasSubstr("(12 in asked for)"));
  const yard::Yard narrow = With("door-4 clear-width,3.96", "door-4 clear-width,3.20");
  EXPECT_THAT(LineOf(KeepsClear(At(narrow), trip, {})), StartsWith("WILL STRIKE door-4"));
  // Slewing, its tail of 9 ft 5 in and the 2 ft around it reach far beyond half of 13 ft.
  EXPECT_THAT(LineOf(KeepsClear(At(DemoYard()), trip, {.upper = Upper::kSlewing})),
              HasSubstr("slew ring"));
}

/// What is asked for on each side, and by whom.
std::string SideOf(const yard::Yard& yard, const Driving& driving) {
  const auto answer = KeepsClear(At(yard), TripOf("EX-301", "s2-bay-2", "yard-cross"), driving);
  if (!answer) return answer.error().Text();
  for (const fit::Input& input : answer->inputs)
    if (input.name == "asked for on each side") return input.value + " by " + input.by;
  return "not told";
}

TEST(KeepsClear, AsksWhatTheGateOfTheYardsRulesAsks) {
  const yard::Yard yard = DemoYard();
  EXPECT_EQ(SideOf(yard, {}), "6 in by gate keeps-clear");
  EXPECT_EQ(SideOf(yard, {.travel = fit::Travel::kReversing}),
            "6 in by gate keeps-clear-reversing");
  EXPECT_EQ(SideOf(yard, {.needed_each_side = fit::Inches(14)}), "14 in by as asked");
  yard::Yard stricter = yard;
  for (v1::GateRule& gate : *stricter.rules.mutable_gates()) {
    if (gate.id() == "keeps-clear")
      (*gate.mutable_computed()->mutable_parameters())["each_side"] = "9 in";
  }
  EXPECT_EQ(SideOf(stricter, {}), "9 in by gate keeps-clear");
  stricter.rules.clear_gates();
  EXPECT_EQ(SideOf(stricter, {}), "12 in by ") << "a default";
}

TEST(KeepsClear, LeftAndRightAreTheDriversAlsoWhenBacking) {
  // ST-101 reverses out of bay 1; what is left in travel is on the driver's right.
  const auto answer =
      KeepsClear(At(DemoYard()), TripOf("ST-101", "s1-bay-1", "s1-apron"),
                 {.travel = fit::Travel::kReversing, .needed_each_side = fit::Inches(12)});
  EXPECT_THAT(LineOf(answer), StartsWith("TOO TIGHT at door-1 left jamb"));
  EXPECT_THAT(LineOf(answer), HasSubstr("left corner"));
}

/// A strip of ground across the way of a telehandler through door-3, 4 m before the yard's cross.
yard::Yard WithParkingAcross(const char* place) {
  yard::Yard yard = DemoYard();
  const yard::Position at = yard.places.at(yard::PlaceId("yard-cross")).position;
  yard::Area row{.id = yard::AreaId("hire-row-2"), .duty = yard::Duty::kParking};
  row.rings = {{{at.longitude_deg - 4e-4, at.latitude_deg + 4e-5},
                {at.longitude_deg + 4e-4, at.latitude_deg + 4e-5},
                {at.longitude_deg + 4e-4, at.latitude_deg + 5e-5},
                {at.longitude_deg - 4e-4, at.latitude_deg + 5e-5},
                {at.longitude_deg - 4e-4, at.latitude_deg + 4e-5}}};
  row.places = {yard::PlaceId(place)};
  yard.areas.emplace(row.id, row);
  return yard;
}

TEST(KeepsClear, ARowOfParkedMachinesCountsAsFull) {
  const Trip trip = TripOf("TH-201", "s2-bay-1", "yard-cross");
  EXPECT_THAT(LineOf(KeepsClear(At(WithParkingAcross("truck-row")), trip, {})),
              StartsWith("WILL STRIKE hire-row-2"));
  // Of the row that it goes to its own bay is free, and no more: this one is far behind the row
  // that the trip leaves.
  EXPECT_THAT(LineOf(KeepsClear(At(WithParkingAcross("s2-bay-1")), trip, {})),
              StartsWith("WILL STRIKE hire-row-2"));
}

/// Parking for a row of machines side by side around a place at which a straight lane ends.
yard::Yard WithRowAt(const char* place) {
  yard::Yard yard = DemoYard();
  const yard::Position at = yard.places.at(yard::PlaceId(place)).position;
  yard::Area row{.id = yard::AreaId("own-row"), .duty = yard::Duty::kParking};
  row.rings = {{{at.longitude_deg - 2e-4, at.latitude_deg - 5e-5},
                {at.longitude_deg + 2e-4, at.latitude_deg - 5e-5},
                {at.longitude_deg + 2e-4, at.latitude_deg + 5e-5},
                {at.longitude_deg - 2e-4, at.latitude_deg + 5e-5},
                {at.longitude_deg - 2e-4, at.latitude_deg - 5e-5}}};
  row.places = {yard::PlaceId(place)};
  yard.areas.emplace(row.id, row);
  return yard;
}

TEST(KeepsClear, OfItsOwnRowAMachineHasItsOwnBay) {
  // The lane runs straight south from bay 1, so the bay is 12 ft wide: 2 ft beside 8 ft.
  const yard::Yard yard = WithRowAt("s2-bay-1");
  const Trip trip = TripOf("TH-201", "s2-bay-1", "yard-cross");
  for (const fit::Travel travel : {fit::Travel::kForwards, fit::Travel::kReversing}) {
    const auto driven = DriveOf(At(yard), trip, {.travel = travel});
    ASSERT_TRUE(driven) << driven.error().Text();
    int pieces = 0;
    for (const fit::SideMargin& margin : driven->swept.margins) {
      if (margin.obstacle != "own-row") continue;
      ++pieces;
      EXPECT_NEAR(margin.margin.feet(), 2, 0.05);
    }
    EXPECT_EQ(pieces, 2) << "to its left and to its right";
  }
  // Its neighbours' machines are there all the same: 30 in asked for are more than 2 ft.
  EXPECT_THAT(LineOf(KeepsClear(At(yard), trip, {.needed_each_side = fit::Inches(30)})),
              StartsWith("TOO TIGHT at own-row"));
}

/// The yard with an area laid over the middle of heavy-1-way, behind door-3.
yard::Yard WithOnTheWay(const char* area) {
  yard::Yard yard = DemoYard();
  const yard::Position at = yard.lanes.at(yard::LaneId("heavy-1-way")).line[2];
  yard.areas.at(yard::AreaId(area)).rings = {{{at.longitude_deg - 1e-5, at.latitude_deg - 1e-5},
                                              {at.longitude_deg + 1e-5, at.latitude_deg - 1e-5},
                                              {at.longitude_deg + 1e-5, at.latitude_deg + 1e-5},
                                              {at.longitude_deg - 1e-5, at.latitude_deg + 1e-5},
                                              {at.longitude_deg - 1e-5, at.latitude_deg - 1e-5}}};
  return yard;
}

TEST(KeepsClear, GroundOfPeopleAndOfPanelsIsNoWay) {
  const Trip trip = TripOf("TH-201", "s2-bay-1", "yard-cross");
  for (const char* area : {"loading-refuge", "shop-1-panel"}) {
    EXPECT_THAT(LineOf(KeepsClear(At(WithOnTheWay(area)), trip, {})),
                StartsWith(std::string("WILL STRIKE ") + area));
  }
  // A fire way and a way out are driven over, and not stood on; under lamps all may.
  for (const char* area : {"fire-way", "shop-2-exit", "apron-lamps"}) {
    EXPECT_EQ(VerdictOf(KeepsClear(At(WithOnTheWay(area)), trip, {})), fit::Verdict::kClear)
        << area;
  }
}

TEST(LeavesFree, ARefugeIsLeftFreeWhereTheTripEnds) {
  yard::Yard yard = DemoYard();
  const yard::Position at = yard.places.at(yard::PlaceId("ready-line")).position;
  yard.areas.at(yard::AreaId("loading-refuge")).rings = {
      {{at.longitude_deg - 5e-5, at.latitude_deg - 1e-5},
       {at.longitude_deg + 5e-5, at.latitude_deg - 1e-5},
       {at.longitude_deg + 5e-5, at.latitude_deg + 1e-5},
       {at.longitude_deg - 5e-5, at.latitude_deg + 1e-5},
       {at.longitude_deg - 5e-5, at.latitude_deg - 1e-5}}};
  const auto stop = LeavesFree(At(yard), TripOf("EX-301", "s2-bay-2", "ready-line"), {});
  EXPECT_EQ(VerdictOf(stop), fit::Verdict::kConflict);
  EXPECT_THAT(LineOf(stop), StartsWith("STOP SHORT of loading-refuge by "));
}

TEST(KeepsClear, ALongerTruckCutsInMore) {
  const Trip trip = TripOf("ST-101", "s1-bay-1", "s1-apron");
  const auto off = [&](const yard::Yard& yard) {
    const auto driven = DriveOf(At(yard), trip, {});
    EXPECT_TRUE(driven) << driven.error().Text();
    return driven && driven->swept.most_off ? driven->swept.most_off->off.metres() : -1.0;
  };
  const double shorter = off(With("ST-101 wheelbase,13 ft 6 in", "ST-101 wheelbase,11 ft 6 in"));
  const double as_it_is = off(DemoYard());
  EXPECT_GT(shorter, 0);
  EXPECT_GT(as_it_is, shorter);
}

TEST(KeepsClear, SaysWhereItStopsAndWhatItTakesForDrivable) {
  const Trip trip = TripOf("EX-301", "s2-bay-2", "ready-line");
  for (const auto verb : {KeepsClear, LeavesFree}) {
    const auto answer = verb(At(DemoYard()), trip, {});
    ASSERT_TRUE(answer) << answer.error().Text();
    ASSERT_EQ(answer->assumptions.size(), 2u);
    EXPECT_THAT(answer->assumptions[0], HasSubstr("front axle is at the lane's end"));
    EXPECT_THAT(answer->assumptions[1], HasSubstr("square to its lane"));
    EXPECT_THAT(answer->assumptions[1], HasSubstr("as far as nothing is drawn"));
  }
}

TEST(LeavesFree, SaysHowMuchSoonerToStop) {
  // The fire way lies across ready-way; a machine sent into it is told how far before it to stop.
  const yard::Yard yard = DemoYard();
  const auto free = LeavesFree(At(yard), TripOf("EX-301", "s2-bay-2", "ready-line"), {});
  EXPECT_EQ(VerdictOf(free), fit::Verdict::kClear) << LineOf(free);
  EXPECT_THAT(LineOf(free), StartsWith("LEAVES FREE fire-way: "));
  yard::Yard moved = yard;
  // The fire way is laid over the ready line itself.
  yard::Area& fire_way = moved.areas.at(yard::AreaId("fire-way"));
  const yard::Position& at = moved.places.at(yard::PlaceId("ready-line")).position;
  fire_way.rings = {{{at.longitude_deg - 5e-5, at.latitude_deg - 1e-5},
                     {at.longitude_deg + 5e-5, at.latitude_deg - 1e-5},
                     {at.longitude_deg + 5e-5, at.latitude_deg + 1e-5},
                     {at.longitude_deg - 5e-5, at.latitude_deg + 1e-5},
                     {at.longitude_deg - 5e-5, at.latitude_deg - 1e-5}}};
  const auto stop = LeavesFree(At(moved), TripOf("EX-301", "s2-bay-2", "ready-line"), {});
  EXPECT_EQ(VerdictOf(stop), fit::Verdict::kConflict);
  EXPECT_THAT(LineOf(stop), StartsWith("STOP SHORT of fire-way by "));
}

// The map draws no wall: at a bend either piece of the lane would turn the door its own way.
TEST(KeepsClear, ADoorAtABendIsNoOpeningThatAnybodyKnows) {
  yard::Yard yard = DemoYard();
  const Trip trip = TripOf("ST-101", "s1-bay-1", "s1-apron");
  ASSERT_TRUE(KeepsClear(At(yard), trip, {}));
  yard::Door& door = yard.doors.at(yard::DoorId("door-1"));
  const yard::Lane& lane = yard.lanes.at(door.lane);
  ASSERT_GE(lane.line.size(), 3u);
  const std::vector<double> along_m = yard::LengthsAlongM(lane.line);
  for (const double off_m : {-1.0, 0.0, 1.0}) {
    door.along = fit::InMetres(along_m[along_m.size() - 2] + off_m);
    door.position = lane.line[lane.line.size() - 2];
    EXPECT_THAT(LineOf(KeepsClear(At(yard), trip, {})),
                HasSubstr("lane bay-1-way bends within half the width of door-1"));
  }
}

TEST(KeepsClear, ATailThatNobodyTapedDoesNotSlew) {
  yard::Yard yard = DemoYard();
  const Driving slewing{.upper = Upper::kSlewing};
  const Trip trip = TripOf("EX-301", "s2-bay-2", "yard-cross");
  EXPECT_EQ(VerdictOf(KeepsClear(At(yard), trip, slewing)), fit::Verdict::kConflict);
  yard::LoseReadings(
      yard, [](const yard::Measurement& reading) { return reading.quantity == "tail-radius"; });
  const auto unknown = KeepsClear(At(yard), trip, slewing);
  ASSERT_FALSE(unknown) << unknown->line;
  EXPECT_THAT(unknown.error().input, StartsWith("tail-radius of EX-301"));
  EXPECT_TRUE(KeepsClear(At(yard), trip, {})) << "in line it needs none";
}

// Half an inch on a side: a quarter of the door's and of the machine's width each.
TEST(KeepsClear, WhatTheTapeMayBeOffIsNotToSpare) {
  const Trip trip = TripOf("TH-201", "s2-bay-1", "yard-cross");
  const yard::Yard yard = DemoYard();
  const auto driven = DriveOf(At(yard), trip, {});
  ASSERT_TRUE(driven) << driven.error().Text();
  const fit::SideMargin& least = driven->swept.margins[*driven->swept.tightest];
  EXPECT_GE(least.error, fit::Inches(0.5));
  const auto asked = [&](fit::Metres side) {
    return VerdictOf(KeepsClear(At(yard), trip, {.needed_each_side = side}));
  };
  EXPECT_EQ(asked(least.margin - least.error - fit::Millimetres(1)), fit::Verdict::kClear);
  EXPECT_EQ(asked(least.margin - fit::Inches(0.4)), fit::Verdict::kUndecided);
  EXPECT_EQ(asked(least.margin + least.error + fit::Millimetres(1)), fit::Verdict::kConflict);
}

TEST(FindsWay, NamesTheOneThingInTheWay) {
  const yard::Yard yard = DemoYard();
  const auto go = FindsWay(At(yard), TripOf("TH-201", "s2-bay-1", "yard-cross"), {});
  EXPECT_EQ(VerdictOf(go), fit::Verdict::kClear) << LineOf(go);
  EXPECT_THAT(LineOf(go), HasSubstr("heavy-1-way"));
  // door-4: 3.96 m; EX-301, 12 in and half an inch of tape a side are 13 ft 3 in = 4.039 m: 4 in
  // short, rounded up.
  const auto wide = FindsWay(At(yard), TripOf("EX-301", "s2-bay-2", "ready-line"),
                             {.needed_each_side = fit::Inches(12)});
  EXPECT_EQ(VerdictOf(wide), fit::Verdict::kConflict);
  EXPECT_THAT(LineOf(wide), HasSubstr("heavy-2-way: door-4 is 4 in short of width"));
  const yard::Yard heavy = With("EX-301 mass,\"52,300 lb\"", "EX-301 mass,\"130,000 lb\"");
  EXPECT_THAT(LineOf(FindsWay(At(heavy), TripOf("EX-301", "yard-cross", "ready-line"), {})),
              HasSubstr("ready-way"));
}

TEST(FindsWay, AnUnknownLimitKeepsTheMachineOff) {
  const yard::Yard yard = DemoYard([](std::string& text) {
    text = std::regex_replace(text, std::regex("\nheavy-1-way rated-mass,[^\n]*"), "");
  });
  const auto answer = FindsWay(At(yard), TripOf("TH-201", "s2-bay-1", "yard-cross"), {});
  ASSERT_FALSE(answer) << answer->line;
  EXPECT_EQ(answer.error().sort, NoAnswer::Sort::kUnknown);
  EXPECT_EQ(answer.error().input, "rated-mass of heavy-1-way");
}

/// What the search calls too tight a bend, the drive along it calls so too, and the other way
/// round: on every lane of the yard with a growing turning circle.
TEST(FindsWay, BendsAgreeWithTheDrive) {
  int turned = 0, refused = 0;
  for (const int radius_ft : {14, 18, 22, 26, 30, 40, 60, 90, 140, 200}) {
    const yard::Yard yard = With("ST-101 turning-radius,25 ft",
                                 fmt::format("ST-101 turning-radius,{} ft", radius_ft).c_str());
    for (const auto& [id, lane] : yard.lanes) {
      const Trip trip{.machine = yard::MachineId("ST-101"), .from = lane.from, .to = lane.to};
      const auto found = SearchOf(At(yard), trip, {});
      const auto driven = DriveOf(At(yard), trip, {.needed_each_side = fit::Metres()});
      ASSERT_TRUE(found) << found.error().Text();
      ASSERT_TRUE(driven) << driven.error().Text();
      const auto index = std::distance(yard.lanes.begin(), yard.lanes.find(id));
      const auto bend = found->question.lanes[static_cast<size_t>(index)].bend_radius;
      ASSERT_TRUE(bend);
      const double room = *bend / found->question.needs.turn_radius;
      const bool bends = driven->swept.driven.shortfall &&
                         driven->swept.driven.shortfall->what == fit::Shortfall::What::kBend;
      if (room > 1.05 || room < 0.90) {
        EXPECT_EQ(bends, room < 1) << id.value() << " on " << radius_ft << " ft";
      }
      ++(bends ? refused : turned);
    }
  }
  EXPECT_GT(turned, 20);
  EXPECT_GT(refused, 10);
}

}  // namespace
}  // namespace chockwise::survey
