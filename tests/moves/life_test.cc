// The life of a move off the straight way: refused, withdrawn, swapped, left alone, broken down,
// cut off by a door, a shift, a hold, a reload. Who may say what, and what is left behind.
#include <gtest/gtest.h>

#include <functional>
#include <set>

#include "services/moves/describe.h"
#include "services/moves/limits.h"
#include "tests/moves/story/story.h"

namespace chockwise::moves {
namespace {

const Asked kWalk = {.kind = "machine-through-door", .machine = "TH-1", .to = "line"};
const Asked kHop = {.kind = "short-hop", .machine = "WL-1", .to = "south"};

/// A move at the door line.
Story AtTheLine() {
  Story story = Story::Small();
  story.Ask(kWalk);
  story.BringTo(1, v1::PHASE_HOLD_POINT);
  return story;
}

Story UnderWay(const Asked& asked = kWalk) {
  Story story = Story::Small();
  story.Ask(asked);
  story.Go(1);
  return story;
}

Story Released(const Asked& asked = kWalk) {
  Story story = Story::Small();
  story.Ask(asked);
  story.ClearAll(1);
  story.Release(1);
  return story;
}

template <class Request>
Request About(const std::string& name) {
  Request request;
  request.set_name(name);
  return request;
}

bool LooksAgain(const Story& story) {
  for (const GateStatus& gate : story.Gates(1)) {
    if (gate.rule->has_looked_at() && gate.state == v1::GATE_STATE_CLEAR) return false;
  }
  return true;
}

// --- Refuse, withdraw ---

TEST(Refuse, EitherPersonNeedsNoReasonAndTheMachineIsTagged) {
  for (const char* person : {"dana", "sam"}) {
    Story story = Released();
    story.Must(person, On<v1::RefuseMoveRequest>(story, 1));
    EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_REFUSED);
    EXPECT_TRUE(story.state().taken.empty());
    EXPECT_TRUE(story.state().spotting.empty());
    EXPECT_EQ(story.state().machines.at(MachineId("TH-1")).place.value(), "bay") << "it never left";
    const Tag& tag = story.state().machines.at(MachineId("TH-1")).tags.at(0);
    EXPECT_EQ(tag.text, "refused; no reason given");
    EXPECT_EQ(tag.refused_move, 1);
  }
}

TEST(Refuse, TheTagIsALeadsWhoDidNotAskForItAndDoesNotDriveIt) {
  Story story = Story::Small();
  v1::RequestMoveRequest request;
  request.set_parent(YardName("small"));
  request.set_kind("short-hop");
  request.set_machine("WL-1");
  request.set_to_place("south");
  request.set_driver("pat");  // a lead too
  request.set_spotter("sam");
  story.Must("max", request);
  story.Must("sam", On<v1::RefuseMoveRequest>(story, 1));
  auto untag = About<v1::ClearTagRequest>(MachineName("small", "WL-1"));
  untag.set_tag(1);
  for (const char* person : {"dana", "sam", "tess", "roy", "max", "pat"}) {
    story.MustRefuse(person, untag, RefusalKind::kNotAllowed);
  }
  const MoveNumber again =
      story.Ask({.kind = "short-hop", .machine = "WL-1", .to = "south", .spotter = "sue"});
  EXPECT_EQ(story.Gate(again, "law-no-tags").state, v1::GATE_STATE_NOT_CLEAR);
  story.Must("lee", untag);
  EXPECT_EQ(story.Gate(again, "law-no-tags").state, v1::GATE_STATE_CLEAR);
}

TEST(Refuse, IsForThoseOnTheMoveAndNotUnderWay) {
  Story story = Released();
  for (const char* person : {"lee", "roy", "eli", "sue"}) {
    story.MustRefuse(person, On<v1::RefuseMoveRequest>(story, 1), RefusalKind::kNotAllowed);
  }
  story.Begin(1);
  story.MustRefuse("dana", On<v1::RefuseMoveRequest>(story, 1), RefusalKind::kPrecondition);
  story.Hold(1);
  story.MustRefuse("dana", On<v1::RefuseMoveRequest>(story, 1), RefusalKind::kPrecondition);
}

TEST(Withdraw, BeforeTheWheelsTurnByWhoeverAskedDrivesOrLeads) {
  for (const auto& [person, may] :
       {std::pair("dana", true), std::pair("lee", true), std::pair("sam", false),
        std::pair("eli", false), std::pair("roy", false)}) {
    Story story = Released();
    auto withdraw = On<v1::WithdrawMoveRequest>(story, 1);
    if (!may) {
      withdraw.set_reason("no");
      story.MustRefuse(person, withdraw, RefusalKind::kNotAllowed);
      continue;
    }
    story.MustRefuse(person, withdraw, RefusalKind::kInvalid);
    withdraw.set_reason("the customer comes tomorrow");
    story.Must(person, withdraw);
    EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_WITHDRAWN);
    EXPECT_TRUE(story.state().taken.empty());
    EXPECT_EQ(story.state().machines.at(MachineId("TH-1")).move, 0);
  }
  Story late = AtTheLine();
  auto withdraw = On<v1::WithdrawMoveRequest>(late, 1);
  withdraw.set_reason("too late");
  late.MustRefuse("dana", withdraw, RefusalKind::kPrecondition);
}

TEST(Withdraw, AMoveThatWasStoppedBeforeItBeganGivesItsGroundBack) {
  Story story = Released();
  story.Must("roy", On<v1::StopMoveRequest>(story, 1));
  EXPECT_FALSE(story.state().taken.empty()) << "ground is kept by a stopped move";
  auto withdraw = On<v1::WithdrawMoveRequest>(story, 1);
  withdraw.set_reason("not today");
  story.Must("dana", withdraw);
  EXPECT_TRUE(story.state().taken.empty());
}

// --- Stop and restart ---

TEST(Restart, MidRouteEverythingIsLookedAtAgainAndTheNextStopIsTheLimit) {
  Story story = AtTheLine();
  story.Go(1);
  auto lost = On<v1::StopMoveRequest>(story, 1);
  lost.set_cause(v1::STOP_CAUSE_LOST_SIGHT);
  story.Must("sam", lost);
  EXPECT_EQ(story.move(1).stops[0].cause, v1::STOP_CAUSE_LOST_SIGHT);
  EXPECT_EQ(PhaseNow(story.move(1)), v1::PHASE_START);
  EXPECT_TRUE(LooksAgain(story));
  story.Must("sam", On<v1::AllowRestartRequest>(story, 1));
  story.ClearAll(1);
  story.Release(1);
  EXPECT_EQ(story.move(1).release->limit, "corner");
  EXPECT_EQ(story.move(1).release->phase, v1::PHASE_START);
}

TEST(Restart, StoppedWhereItWasToGoItIsParkedWithoutMoreMotion) {
  Story story = UnderWay(kHop);
  story.Must("roy", On<v1::StopMoveRequest>(story, 1));
  story.MustRefuse("dana", On<v1::ParkMoveRequest>(story, 1), RefusalKind::kPrecondition);
  story.Must("roy", On<v1::AllowRestartRequest>(story, 1));
  story.Park(1);
  story.ClearAll(1);
  story.Close(1);
}

TEST(Restart, AnAcceptanceDoesNotOutliveAStop) {
  Story story = Story::Small();
  story.Ask(kHop);
  auto mud = On<v1::ConfirmRequest>(story, 1);
  mud.set_gate_id("hop-ground");
  mud.set_finding("mud");
  story.Must("sam", mud);
  auto accept = On<v1::AcceptGateRequest>(story, 1);
  accept.set_gate_id("hop-ground");
  accept.set_control("mats laid");
  accept.set_reason("two mats");
  story.Must("lee", accept);
  story.Must("roy", On<v1::StopMoveRequest>(story, 1));
  story.Must("sam", mud);
  EXPECT_TRUE(story.Gate(1, "hop-ground").accepted_by.empty());
}

TEST(Restart, NoStopStandsNoWordIsWanted) {
  Story story = UnderWay();
  story.MustRefuse("lee", On<v1::AllowRestartRequest>(story, 1), RefusalKind::kPrecondition);
}

// --- Spotters ---

TEST(SpotterSwap, BeforeTheStartTheRoleIsTakenAnewAndSignalsToo) {
  Story story = Released();
  auto name = On<v1::NameSpotterRequest>(story, 1);
  name.set_spotter("sue");
  story.MustRefuse("sam", name, RefusalKind::kNotAllowed);
  story.Must("dana", name);
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_REQUESTED) << "the release is void";
  EXPECT_FALSE(story.move(1).spotter_accepted);
  EXPECT_TRUE(story.state().spotting.empty()) << "Sam is free";
  EXPECT_EQ(story.Gate(1, "signals-agreed").state, v1::GATE_STATE_STALE);
  auto accept = On<v1::AcceptSpottingRequest>(story, 1);
  accept.set_machine("TH-1");
  story.MustRefuse("sam", accept, RefusalKind::kNotAllowed);
  accept.set_machine("ST-1");
  story.MustRefuse("sue", accept, RefusalKind::kInvalid);
  accept.set_machine("TH-1");
  story.Must("sue", accept);
  story.MustRefuse("sam", story.WordOn(1, "signals-agreed"), RefusalKind::kNotAllowed);
  story.ClearAll(1);
  story.Release(1);
}

TEST(SpotterSwap, AtALineEverythingIsLookedAtAgain) {
  for (const bool released : {false, true}) {
    Story story = AtTheLine();
    if (released) {
      story.ClearAll(1);
      story.Release(1);
    }
    auto name = On<v1::NameSpotterRequest>(story, 1);
    name.set_spotter("sue");
    story.Must("dana", name);
    EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_STOPPED);
    EXPECT_EQ(PhaseNow(story.move(1)), v1::PHASE_START)
        << "belt, signals, device: a new pair has agreed on nothing yet";
    auto accept = On<v1::AcceptSpottingRequest>(story, 1);
    accept.set_machine("TH-1");
    story.Must("sue", accept);
    story.Must("dana", On<v1::AllowRestartRequest>(story, 1));
    story.ClearAll(1);
    story.Release(1);
    EXPECT_EQ(story.move(1).release->limit, "corner");
  }
}

TEST(SpotterSwap, LeavingStopsWhatMoves) {
  Story story = UnderWay();
  story.MustRefuse("dana", On<v1::LeaveSpottingRequest>(story, 1), RefusalKind::kNotAllowed);
  const Entries entries = story.Must("sam", On<v1::LeaveSpottingRequest>(story, 1));
  ASSERT_EQ(entries.size(), 2u);
  EXPECT_EQ(entries[0].move_stopped().cause(), v1::STOP_CAUSE_SPOTTER_LEFT);
  EXPECT_TRUE(entries[1].has_spotting_left());
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_STOPPED);
  EXPECT_TRUE(story.state().spotting.empty());
}

TEST(SpotterSwap, WhoIsNoSpotterTakesNoRole) {
  Story story = Story::Small();
  story.Ask({.kind = "short-hop", .machine = "WL-1", .to = "south", .spotter = ""});
  auto accept = On<v1::AcceptSpottingRequest>(story, 1);
  accept.set_machine("WL-1");
  for (const char* person : {"eli", "lee", "tess", "vic", "roy", "ada"}) {
    story.MustRefuse(person, accept, RefusalKind::kNotAllowed);
  }
  story.Must("sue", accept);
  story.MustRefuse("sam", accept, RefusalKind::kNotAllowed);
  story.MustRefuse("sue", accept, RefusalKind::kPrecondition);
}

// --- Drivers ---

TEST(DriverSwap, VoidsTheReleaseAndTheNewDriverLooksThemselves) {
  Story story = Released();
  auto swap = On<v1::SwapDriverRequest>(story, 1);
  swap.set_driver("eli");
  for (const char* person : {"dana", "sam", "roy"})
    story.MustRefuse(person, swap, RefusalKind::kNotAllowed);
  story.Must("eli", swap);
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_REQUESTED);
  for (const char* gate :
       {"walk-around", "brake-and-tags", "belt-on", "signals-agreed", "device-away", "fit-today"}) {
    EXPECT_EQ(story.Gate(1, gate).state, v1::GATE_STATE_STALE) << gate;
  }
  story.MustRefuse("dana", On<v1::RequestReleaseRequest>(story, 1), RefusalKind::kNotAllowed);
  story.MustRefuse("dana", story.WordOn(1, "walk-around"), RefusalKind::kNotAllowed);
  story.ClearAll(1);
  story.Release(1);
}

TEST(DriverSwap, AtALineEverythingIsLookedAtAgain) {
  Story story = AtTheLine();
  auto swap = On<v1::SwapDriverRequest>(story, 1);
  swap.set_driver("eli");
  story.Must("lee", swap);
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_STOPPED);
  story.Must("lee", On<v1::AllowRestartRequest>(story, 1));
  EXPECT_EQ(story.Gate(1, "belt-on").state, v1::GATE_STATE_STALE);
  story.ClearAll(1);
  story.Release(1);
}

TEST(DriverSwap, IsToADriverOfTheRegisterWhoIsNotOnItAlready) {
  Story story = Story::Small();
  story.Ask(kWalk);
  auto swap = On<v1::SwapDriverRequest>(story, 1);
  for (const auto& [driver, kind] :
       {std::pair("tess", RefusalKind::kInvalid), std::pair("nobody", RefusalKind::kInvalid),
        std::pair("", RefusalKind::kInvalid), std::pair("dana", RefusalKind::kPrecondition)}) {
    swap.set_driver(driver);
    story.MustRefuse("lee", swap, kind);
  }
}

// --- Left alone ---

v1::ReportAwayRequest Away(const Story& story, int64_t distance_mm, bool in_view) {
  auto away = On<v1::ReportAwayRequest>(story, 1);
  away.set_distance_mm(distance_mm);
  away.set_in_view(in_view);
  return away;
}

TEST(LeftUnattended, VoidsTheReleaseAndTheWalkAroundEvenForAMinute) {
  Story story = Released();
  story.MustRefuse("roy", Away(story, 8'000, true), RefusalKind::kNotAllowed);
  story.MustRefuse("sam", Away(story, -1, true), RefusalKind::kInvalid);
  story.MustRefuse("sam", Away(story, kMaxDistanceMm + 1, true), RefusalKind::kInvalid);
  story.MustRefuse("sam", On<v1::ReportAwayRequest>(story, 1), RefusalKind::kInvalid);
  story.Must("sam", Away(story, 7'000, true));
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_RELEASED) << "within 25 ft and in view is with it";
  story.Must("sam", Away(story, 7'620, true));
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_REQUESTED);
  story.Advance(fit::Minutes(1));
  story.Must("dana", Away(story, 0, true));
  EXPECT_EQ(story.Gate(1, "attended").state, v1::GATE_STATE_CLEAR);
  EXPECT_EQ(story.Gate(1, "walk-around").state, v1::GATE_STATE_STALE);
}

TEST(LeftUnattended, StopsWhatIsUnderWayOrWaitsAtALine) {
  Story moving = UnderWay();
  moving.Must("sam", Away(moving, 305, false));
  EXPECT_EQ(moving.move(1).state, v1::MOVE_STATE_STOPPED);
  EXPECT_EQ(moving.move(1).stops[0].cause, v1::STOP_CAUSE_UNATTENDED);
  Story line = AtTheLine();
  line.Must("sam", Away(line, 305, false));
  EXPECT_EQ(line.move(1).state, v1::MOVE_STATE_STOPPED);
  line.Must("sam", On<v1::AllowRestartRequest>(line, 1));
  EXPECT_EQ(line.Gate(1, "walk-around").state, v1::GATE_STATE_STALE);
  EXPECT_EQ(line.Gate(1, "attended").state, v1::GATE_STATE_NOT_CLEAR);
}

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

}  // namespace
}  // namespace chockwise::moves
