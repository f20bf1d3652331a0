// The life of a move off the straight way, as people turn it: refused, withdrawn, stopped, swapped,
// left alone. Who may say what, and what is left behind.
#include <gtest/gtest.h>

#include "services/moves/limits.h"
#include "tests/moves/open_states.h"

namespace chockwise::moves {
namespace {

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

}  // namespace
}  // namespace chockwise::moves
