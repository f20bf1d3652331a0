// The life of a move off the straight way, as the yard turns it: a door, time, a shift, a
// breakdown, a hold, a tag; and what is asked for wrongly.
#include <gtest/gtest.h>

#include <functional>

#include "services/moves/describe.h"
#include "services/moves/limits.h"
#include "tests/moves/open_states.h"

namespace chockwise::moves {
namespace {

// --- Doors ---

TEST(DoorMoves, StopsWhoGoesThroughItAndStaysOutUntilALeadLooked) {
  Story story = UnderWay();
  const MoveNumber other = story.Ask(
      {.kind = "short-hop", .machine = "WL-1", .to = "south", .driver = "eli", .spotter = "sue"});
  story.Go(other);
  auto door = About<v1::ReportDoorRequest>(DoorName("small", "door-1"));
  story.MustRefuse("vic", door, RefusalKind::kInvalid);
  door.set_report(v1::DOOR_REPORT_MOVED);
  story.Must("vic", door);
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_STOPPED);
  EXPECT_EQ(story.move(other).state, v1::MOVE_STATE_UNDER_WAY) << "its way has no door";
  story.Must("lee", On<v1::AllowRestartRequest>(story, 1));
  EXPECT_EQ(story.Gate(1, "doors-in-service").state, v1::GATE_STATE_NOT_CLEAR);
  auto back = About<v1::ReturnDoorRequest>(DoorName("small", "door-1"));
  story.MustRefuse("sam", back, RefusalKind::kNotAllowed);
  story.Must("lee", back);
  story.MustRefuse("lee", back, RefusalKind::kPrecondition);
  back.set_name(DoorName("small", "door-9"));
  story.MustRefuse("lee", back, RefusalKind::kNotFound);
  story.ClearAll(1);
  story.Release(1);
}

// --- Unused ---

TEST(ReleaseUnused, LapsesByTheTickAndFreesGroundOnlyWhereNothingStandsOnIt) {
  Story story = Released();
  story.Must("", v1::Tick());
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_RELEASED);
  story.Advance(fit::Minutes(5));
  story.Must("", v1::Tick());
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_REQUESTED);
  EXPECT_TRUE(LooksAgain(story));
  EXPECT_TRUE(story.state().taken.empty());
  Story line = AtTheLine();
  line.ClearAll(1);
  line.Release(1);
  line.Advance(fit::Minutes(6));
  line.Must("", v1::Tick());
  EXPECT_EQ(line.move(1).state, v1::MOVE_STATE_HELD);
  EXPECT_FALSE(line.state().taken.empty());
}

// --- Shift end ---

v1::BeginShiftRequest Shift(const Story& story, Duration length) {
  auto shift = About<v1::BeginShiftRequest>(YardName("small"));
  shift.set_title("late");
  shift.mutable_end_time()->set_seconds((story.now() + length).micros() / 1'000'000);
  return shift;
}

TEST(ShiftEnd, NoReleaseCrossesItAndNothingGoesOnAsBefore) {
  for (const bool by_clock : {false, true}) {
    for (const bool line : {false, true}) {
      Story story = line ? AtTheLine() : UnderWay();
      story.Advance(fit::Minutes(1));
      if (by_clock) {
        story.Advance(fit::Hours(10));
        story.Must("", v1::Tick());
      } else {
        story.Must("lee", About<v1::EndShiftRequest>(YardName("small")));
      }
      EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_STOPPED);
      EXPECT_EQ(story.move(1).stops[0].cause, v1::STOP_CAUSE_SHIFT_END);
      EXPECT_FALSE(story.state().shift);
      story.MustRefuse("dana", On<v1::AllowRestartRequest>(story, 1), RefusalKind::kNotAllowed);
      story.Must("lee", Shift(story, fit::Hours(8)));
      story.Must("lee", On<v1::AllowRestartRequest>(story, 1));
      story.ClearAll(1, "lead-word");
      const Outcome<Entries> refused = story.TryRelease(1);
      ASSERT_FALSE(refused);
      EXPECT_EQ(refused.error().gates.front().gate_id(), "inspected-this-shift");
    }
  }
}

TEST(ShiftEnd, TheNextShiftEndsTheOneBefore) {
  Story story = Released();
  const Entries entries = story.Must("max", Shift(story, fit::Hours(8)));
  ASSERT_EQ(entries.size(), 3u);
  EXPECT_TRUE(entries[0].has_shift_ended());
  EXPECT_EQ(entries[0].shift_ended().open_moves(0), 1);
  EXPECT_TRUE(entries[1].has_release_voided());
  EXPECT_TRUE(entries[2].has_shift_begun());
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_REQUESTED);
}

TEST(ShiftEnd, AnInspectionInTheInstantBeforeTheShiftIsNotOfThisShift) {
  Story story = Story::Small();
  story.Ask(kWalk);
  story.Advance(fit::Minutes(1));
  auto inspection = About<v1::RecordInspectionRequest>(MachineName("small", "TH-1"));
  story.Must("dana", inspection);
  story.Must("lee", Shift(story, fit::Hours(8)));  // the clock stands still between the two
  EXPECT_EQ(story.Gate(1, "inspected-this-shift").state, v1::GATE_STATE_STALE);
  story.Must("dana", inspection);
  EXPECT_EQ(story.Gate(1, "inspected-this-shift").state, v1::GATE_STATE_CLEAR);
}

TEST(ShiftEnd, AShiftIsALeadsToOpenAndAtMostSixteenHours) {
  Story story = Story::Small();
  story.MustRefuse("dana", Shift(story, fit::Hours(8)), RefusalKind::kNotAllowed);
  story.MustRefuse("lee", Shift(story, Duration()), RefusalKind::kInvalid);
  story.MustRefuse("lee", Shift(story, fit::Hours(kMaxShiftHours) + fit::Seconds(1)),
                   RefusalKind::kInvalid);
  story.Must("lee", Shift(story, fit::Hours(kMaxShiftHours)));
  story.Must("lee", About<v1::EndShiftRequest>(YardName("small")));
  story.MustRefuse("lee", About<v1::EndShiftRequest>(YardName("small")),
                   RefusalKind::kPrecondition);
}

// --- Breakdown ---

TEST(Breakdown, LeavesItStandingAndItsGroundBlocked) {
  Story story = UnderWay();
  auto broke = On<v1::ReportBreakdownRequest>(story, 1);
  story.MustRefuse("dana", broke, RefusalKind::kInvalid);
  broke.set_text("hose burst");
  story.MustRefuse("roy", broke, RefusalKind::kNotAllowed);
  story.Must("dana", broke);
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_LEFT_STANDING);
  EXPECT_TRUE(story.state().taken.contains("door/door-1"));
  EXPECT_EQ(story.state().machines.at(MachineId("TH-1")).tags.size(), 1u);
  EXPECT_TRUE(story.state().spotting.empty()) << "the spotter is free";
  v1::RequestMoveRequest again;
  again.set_parent(YardName("small"));
  again.set_kind(kWalk.kind);
  again.set_machine("TH-1");
  again.set_to_place("line");
  EXPECT_EQ(story.MustRefuse("dana", again, RefusalKind::kPrecondition).rule, "law 2")
      << "nobody says where it stands";

  const MoveNumber other = story.Ask(
      {.kind = "service-truck-reverses-out", .machine = "ST-1", .to = "apron", .driver = "eli"});
  EXPECT_EQ(story.Gate(other, "ground-free").state, v1::GATE_STATE_NOT_CLEAR);
  auto clear = On<v1::ClearGroundRequest>(story, 1);
  clear.set_place("nowhere");
  story.MustRefuse("dana", clear, RefusalKind::kNotAllowed);
  story.MustRefuse("lee", clear, RefusalKind::kInvalid);
  clear.set_place("line");
  story.Must("lee", clear);
  story.MustRefuse("lee", clear, RefusalKind::kNotFound);
  EXPECT_EQ(story.Gate(other, "ground-free").state, v1::GATE_STATE_CLEAR);
  EXPECT_EQ(story.state().machines.at(MachineId("TH-1")).place.value(), "line");
}

TEST(Breakdown, BeforeTheWheelsTurnItIsATag) {
  Story story = Released();
  auto broke = On<v1::ReportBreakdownRequest>(story, 1);
  broke.set_text("does not start");
  story.MustRefuse("dana", broke, RefusalKind::kPrecondition);
}

TEST(Breakdown, AReloadDoesNotLiftItOffItsGround) {
  Story story = UnderWay();
  auto broke = On<v1::ReportBreakdownRequest>(story, 1);
  broke.set_text("hose burst");
  story.Must("dana", broke);
  yard::YardFiles files = story.files();
  files.machines_csv = Replaced(files.machines_csv, "TH-1,Telehandler,telehandler,bay",
                                "TH-1,Telehandler,telehandler,line");
  story.Must("lee", LoadOf(files, 2));
  EXPECT_TRUE(story.state().machines.at(MachineId("TH-1")).place.empty());
  EXPECT_FALSE(story.state().taken.empty());
}

// --- Out of the register ---

yard::YardFiles Without(const yard::YardFiles& files, const std::string& machine) {
  yard::YardFiles less = files;
  const size_t at = less.machines_csv.find("\n" + machine + ",") + 1;
  EXPECT_NE(at, 0u);
  less.machines_csv.erase(at, less.machines_csv.find('\n', at) + 1 - at);
  for (size_t row; (row = less.measurements_csv.find("\n" + machine + " ")) != std::string::npos;)
    less.measurements_csv.erase(row + 1, less.measurements_csv.find('\n', row + 1) - row);
  return less;
}

TEST(OutOfTheRegister, AMachineThatALeadTakesOutGivesItsPlaceFree) {
  Story story = Story::Small();
  const PlaceId place = story.state().machines.at(MachineId("WL-1")).place;
  const size_t machines = story.state().machines.size();
  story.Must("lee", LoadOf(Without(story.files(), "WL-1"), 2));
  EXPECT_FALSE(story.state().machines.contains(MachineId("WL-1")));
  EXPECT_EQ(story.state().machines.size(), machines - 1);
  story.CheckReplay();
  story.Must("lee", LoadOf(story.files(), 3));
  const MachineState& back = story.state().machines.at(MachineId("WL-1"));
  EXPECT_EQ(back.place, place);
  EXPECT_FALSE(back.inspected) << "who knows what it did meanwhile";
}

TEST(OutOfTheRegister, NotWhileItIsOnAMoveOrStandsInTheWay) {
  Story story = UnderWay();
  const auto refused = [&](const std::string& why) {
    const Refusal refusal =
        story.MustRefuse("lee", LoadOf(Without(story.files(), "TH-1"), 2), RefusalKind::kInvalid);
    ASSERT_EQ(refusal.violations.size(), 1u);
    EXPECT_EQ(refusal.violations[0].problem(),
              "machines.csv: TH-1 is gone, but " + why + "; keep its row until that is settled");
  };
  refused("it is on move 1");
  auto broke = On<v1::ReportBreakdownRequest>(story, 1);
  broke.set_text("hose burst");
  story.Must("dana", broke);
  refused("move 1 left it standing");
  auto clear = On<v1::ClearGroundRequest>(story, 1);
  clear.set_place("line");
  story.Must("lee", clear);
  refused("tag 1 hangs on it");
  auto untag = About<v1::ClearTagRequest>(MachineName("small", "TH-1"));
  untag.set_tag(1);
  story.Must("dana", untag);
  refused("2 people are put down at it");
}

// --- The yard ---

TEST(YardHold, TakesEveryReleaseBackAndStopsAllThatMoves) {
  Story story = UnderWay();
  const MoveNumber second = story.Ask(
      {.kind = "short-hop", .machine = "WL-1", .to = "south", .driver = "eli", .spotter = "sue"});
  story.ClearAll(second);
  story.Release(second);
  auto hold = About<v1::HoldYardRequest>(YardName("small"));
  hold.set_reason("ambulance");
  story.Must("vic", hold);
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_STOPPED);
  EXPECT_EQ(story.move(second).state, v1::MOVE_STATE_REQUESTED);
  EXPECT_EQ(story.Gate(second, "law-no-yard-hold").reason, "the yard is held by vic: ambulance");
  story.MustRefuse("vic", About<v1::LiftHoldRequest>(YardName("small")), RefusalKind::kNotAllowed);
  story.Must("lee", About<v1::LiftHoldRequest>(YardName("small")));
  story.MustRefuse("lee", About<v1::LiftHoldRequest>(YardName("small")),
                   RefusalKind::kPrecondition);
  EXPECT_TRUE(story.move(1).StopStands()) << "lifting the hold restarts nothing";
  story.ClearAll(second);
  story.Release(second);
}

TEST(Tags, StopTheMoveOfTheMachineAndOfItsCarrier) {
  for (const char* machine : {"TH-1", "CA-1"}) {
    Story story =
        UnderWay({.kind = "load-onto-carrier", .machine = "TH-1", .to = "pad", .carrier = "CA-1"});
    auto tag = About<v1::HangTagRequest>(MachineName("small", machine));
    story.MustRefuse("tess", tag, RefusalKind::kInvalid);
    tag.set_text("I am under it");
    story.Must("tess", tag);
    EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_STOPPED) << machine;
  }
}

TEST(Tags, AreTakenOffByWhoHungThemAndADefectsByATech) {
  Story story = Story::Small();
  auto tag = About<v1::HangTagRequest>(MachineName("small", "WL-1"));
  tag.set_text("waiting for a part");
  story.Must("eli", tag);
  auto inspection = About<v1::RecordInspectionRequest>(MachineName("small", "WL-1"));
  inspection.set_defect("brake soft");
  story.MustRefuse("sam", inspection, RefusalKind::kNotAllowed);
  story.Must("dana", inspection);
  auto untag = About<v1::ClearTagRequest>(MachineName("small", "WL-1"));
  for (const auto& [id, person] : story.state().yard->people) {
    untag.set_tag(1);
    if (id.value() != "eli") story.MustRefuse(id.value(), untag, RefusalKind::kNotAllowed);
    untag.set_tag(2);
    if (!story.state().HasRole(id, yard::Role::kTech))
      story.MustRefuse(id.value(), untag, RefusalKind::kNotAllowed);
  }
  untag.set_tag(3);
  story.MustRefuse("eli", untag, RefusalKind::kNotFound);
  // Eli leaves: a safety lead stands in, nobody else.
  yard::YardFiles files = story.files();
  const size_t at = files.people_csv.find("eli,");
  files.people_csv.erase(at, files.people_csv.find('\n', at) + 1 - at);
  story.Must("lee", LoadOf(files, 2));
  untag.set_tag(1);
  story.MustRefuse("lee", untag, RefusalKind::kNotAllowed);
  story.Must("ada", untag);
  untag.set_tag(2);
  story.Must("tess", untag);
  EXPECT_TRUE(story.state().machines.at(MachineId("WL-1")).tags.empty());
}

// --- Asking ---

TEST(Ask, NamesWhatIsWrong) {
  Story story = Story::Small();
  v1::RequestMoveRequest right;
  right.set_parent(YardName("small"));
  right.set_kind("machine-through-door");
  right.set_machine("TH-1");
  right.set_to_place("line");
  struct Row {
    const char* what;
    std::function<void(v1::RequestMoveRequest&)> change;
    RefusalKind kind;
    const char* field;
  };
  const std::vector<Row> rows = {
      {"yard", [](auto& r) { r.set_parent("yards/other"); }, RefusalKind::kNotFound, ""},
      {"kind", [](auto& r) { r.set_kind("fly"); }, RefusalKind::kInvalid, "kind"},
      {"machine", [](auto& r) { r.set_machine("TH-9"); }, RefusalKind::kInvalid, "machine"},
      {"class", [](auto& r) { r.set_machine("CA-1"); }, RefusalKind::kInvalid, "machine"},
      {"place", [](auto& r) { r.set_to_place("moon"); }, RefusalKind::kInvalid, "to_place"},
      {"driver", [](auto& r) { r.set_driver("tess"); }, RefusalKind::kInvalid, "driver"},
      {"another's move", [](auto& r) { r.set_driver("eli"); }, RefusalKind::kNotAllowed, ""},
      {"spotter", [](auto& r) { r.set_spotter("tess"); }, RefusalKind::kInvalid, "spotter"},
      {"carrier not wanted", [](auto& r) { r.set_carrier("CA-1"); }, RefusalKind::kInvalid,
       "carrier"},
      {"carrier wanted",
       [](auto& r) {
         r.set_kind("load-onto-carrier");
         r.set_to_place("pad");
       },
       RefusalKind::kInvalid, "carrier"},
      {"carrier elsewhere",
       [](auto& r) {
         r.set_kind("load-onto-carrier");
         r.set_carrier("CA-1");
       },
       RefusalKind::kPrecondition, ""},
      {"there already", [](auto& r) { r.set_to_place("bay"); }, RefusalKind::kPrecondition, ""},
      {"no way", [](auto& r) { r.set_to_place("south"); }, RefusalKind::kPrecondition, ""},
  };
  for (const Row& row : rows) {
    v1::RequestMoveRequest request = right;
    row.change(request);
    const Refusal refusal = story.MustRefuse("dana", request, row.kind);
    const std::string field = refusal.violations.empty() ? "" : refusal.violations[0].field();
    EXPECT_EQ(field, row.field) << row.what;
  }
  story.Must("dana", right);
  story.MustRefuse("dana", right, RefusalKind::kPrecondition);  // it is on a move
  v1::RequestMoveRequest for_eli = right;
  for_eli.set_machine("ST-1");
  for_eli.set_driver("eli");
  story.Must("lee", for_eli);
  EXPECT_EQ(story.move(2).requester.value(), "lee");
}

TEST(Ask, AnEndedMoveAndOneThatNeverWasAreToldApart) {
  Story story = Story::Small();
  story.Ask(kHop);
  story.RunToTheEnd(1);
  story.MustRefuse("dana", On<v1::RequestReleaseRequest>(story, 1), RefusalKind::kPrecondition);
  story.MustRefuse("roy", On<v1::StopMoveRequest>(story, 1), RefusalKind::kPrecondition);
  story.MustRefuse("roy", On<v1::StopMoveRequest>(story, 2), RefusalKind::kNotFound);
  for (const char* name :
       {"", "yards/small", "yards/small/moves/", "yards/small/moves/0", "yards/small/moves/-1",
        "yards/small/moves/1x", "yards/other/moves/1", "yards/small/machines/NO-1"}) {
    story.MustRefuse("roy", About<v1::StopMoveRequest>(name), RefusalKind::kNotFound);
  }
}

// --- Told ---

TEST(Describe, AMoveSaysWhenItLastChanged) {
  Story story = Story::Small();
  story.Advance(fit::Minutes(3));
  story.Ask({.kind = "short-hop", .machine = "WL-1", .to = "south", .spotter = ""});
  const v1::Move told = DescribeMove(story.state(), story.move(1), story.now());
  EXPECT_EQ(told.update_time().seconds(), story.now().micros() / 1'000'000);
  EXPECT_EQ(told.request_time().seconds(), told.update_time().seconds());
}

TEST(Describe, AMoveNamesTheEntryThatItLastChangedBy) {
  Story story = Story::Small();
  story.Ask(kHop);
  const auto last = [&] { return static_cast<int64_t>(story.entries().size()) - 1; };
  EXPECT_EQ(story.move(1).entry, last());
  story.ClearAll(1);
  story.Release(1);
  EXPECT_EQ(story.move(1).entry, last());
  const int64_t released = last();
  auto tag = About<v1::HangTagRequest>(MachineName("small", "ST-1"));
  tag.set_text("another machine");
  story.Must("tess", tag);
  EXPECT_EQ(story.move(1).entry, released) << "nothing about it";
  story.Advance(fit::Minutes(1));
  story.Must("", v1::Restart());
  EXPECT_EQ(story.move(1).entry, last());
  EXPECT_EQ(story.move(1).updated, story.now());
}

}  // namespace
}  // namespace chockwise::moves
