// Laws 1 to 5, one by one, at the heart's own door: gates, unknowns, who moves a move, who counts,
// who stops.
#include <gtest/gtest.h>

#include "services/moves/limits.h"
#include "tests/moves/open_states.h"

namespace chockwise::moves {
namespace {

v1::HoldYardRequest Hold() {
  v1::HoldYardRequest hold;
  hold.set_name(YardName("small"));
  hold.set_reason("smoke");
  return hold;
}

// --- Law 1 ---

TEST(Law1, EachGateByItselfHoldsTheReleaseBack) {
  Story ready = Story::Small();
  ready.Ask(kWalk);
  for (const GateStatus& gate : ready.Gates(1)) {
    if (!gate.rule->has_looked_at() || gate.rule->gate_class() == v1::GATE_CLASS_RECORD) continue;
    Story story = ready;
    story.ClearAll(1, gate.rule->id());
    EXPECT_FALSE(story.TryRelease(1)) << gate.rule->id();
    EXPECT_TRUE(story.entries().back().has_release_refused()) << "a refused release is an entry";
  }
}

TEST(Law1, NobodyReleasesForTheDriver) {
  Story story = Story::Small();
  story.Ask(kWalk);
  story.ClearAll(1);
  for (const auto& [id, person] : story.state().yard->people) {
    if (id.value() == "dana") continue;
    story.MustRefuse(id.value(), On<v1::RequestReleaseRequest>(story, 1), RefusalKind::kNotAllowed);
  }
  EXPECT_TRUE(story.TryRelease(1));
}

TEST(Law1, GatesAreJudgedAgainAtTheFirstMotion) {
  Story story = InState(v1::MOVE_STATE_RELEASED);
  story.Advance(
      fit::Minutes(3));  // words of two minutes are too old; the start window of five is not over
  auto begin = On<v1::BeginMoveRequest>(story, 1);
  begin.set_machine("TH-1");
  const Refusal refusal = story.MustRefuse("dana", begin, RefusalKind::kPrecondition);
  EXPECT_NE(refusal.problem.find("do not begin"), std::string::npos) << refusal.problem;
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_REQUESTED);
  EXPECT_TRUE(AllStale(story.move(1)));
  EXPECT_TRUE(story.state().taken.empty());
}

TEST(Law1, TheWrongUnitAtTheSeatVoidsTheRelease) {
  Story story = InState(v1::MOVE_STATE_RELEASED);
  auto begin = On<v1::BeginMoveRequest>(story, 1);
  begin.set_machine("ST-1");
  EXPECT_NE(story.MustRefuse("dana", begin, RefusalKind::kPrecondition).problem.find("ST-1"),
            std::string::npos);
  EXPECT_FALSE(story.move(1).release);
}

TEST(Law1, NothingOverridesAHardGate) {
  Story story = Story::Small();
  story.Ask(kWalk);
  for (const GateStatus& gate : story.Gates(1)) {
    if (gate.rule->gate_class() != v1::GATE_CLASS_HARD) continue;
    for (const auto& [id, person] : story.state().yard->people) {
      auto accept = On<v1::AcceptGateRequest>(story, 1);
      accept.set_gate_id(gate.rule->id());
      accept.set_control("go slow");
      accept.set_reason("in a hurry");
      EXPECT_FALSE(story.Do(id.value(), accept)) << gate.rule->id() << " by " << id.value();
    }
  }
}

// --- Law 2 ---

TEST(Law2, WhatALeadTakesIsWhatWasFoundAndNotWhatNobodySaid) {
  Story story = Story::Small();
  story.Ask(kWalk);
  auto tired = On<v1::ConfirmRequest>(story, 1);
  tired.set_gate_id("fit-today");
  tired.set_finding("a long week");
  story.Must("dana", tired);
  auto accept = On<v1::AcceptGateRequest>(story, 1);
  accept.set_gate_id("fit-today");
  accept.set_control(story.Gate(1, "fit-today").rule->controls(0));
  accept.set_reason("rested an hour");
  // Nobody has asked Sam yet.
  story.MustRefuse("lee", accept, RefusalKind::kPrecondition);
  tired.set_finding("did not sleep");
  story.Must("sam", tired);
  EXPECT_EQ(story.Gate(1, "fit-today").reason,
            "dana (driver): a long week; sam (spotter): did not sleep");
  story.Must("lee", accept);
  EXPECT_FALSE(story.Gate(1, "fit-today").Blocks());
}

TEST(Law2, AFindingOutlivesWhoeverMadeIt) {
  Story story = Story::Small();
  story.Ask(kWalk);
  story.Must("lee", story.WordOn(1, "light-enough"));
  auto dark = On<v1::ConfirmRequest>(story, 1);
  dark.set_gate_id("light-enough");
  dark.set_finding("the lamp at the door is out");
  story.Advance(fit::Minutes(1));
  story.Must("sam", dark);
  auto name = On<v1::NameSpotterRequest>(story, 1);
  name.set_spotter("sue");
  story.Must("dana", name);
  EXPECT_EQ(story.Gate(1, "light-enough").state, v1::GATE_STATE_STALE)
      << "the lead looked before the lamp was found out";
  story.Must("lee", story.WordOn(1, "light-enough"));
  EXPECT_EQ(story.Gate(1, "light-enough").state, v1::GATE_STATE_CLEAR);
}

// --- Law 3 ---

TEST(Law3, TheSystemMovesNothingForward) {
  Story story = Story::Small();
  const MoveNumber move = story.Ask(kHop);
  story.ClearAll(move);
  const auto refuse = [&](const google::protobuf::Message& forward) {
    EXPECT_EQ(story.MustRefuse("", forward, RefusalKind::kNotAllowed).rule, "law 3");
  };
  refuse(On<v1::RequestReleaseRequest>(story, move));
  refuse(On<v1::BeginMoveRequest>(story, move));
  refuse(On<v1::HoldMoveRequest>(story, move));
  refuse(On<v1::ParkMoveRequest>(story, move));
  refuse(On<v1::CloseMoveRequest>(story, move));
  refuse(On<v1::ConfirmRequest>(story, move));
  refuse(On<v1::AcceptGateRequest>(story, move));
  refuse(On<v1::AllowRestartRequest>(story, move));
}

TEST(Law3, NobodySaysWhatIsTheSystemsToSay) {
  Story story = Story::Small();
  for (const auto& [id, person] : story.state().yard->people) {
    story.MustRefuse(id.value(), v1::Tick(), RefusalKind::kNotAllowed);
    story.MustRefuse(id.value(), v1::Restart(), RefusalKind::kNotAllowed);
    story.MustRefuse(id.value(), v1::ClockStep(), RefusalKind::kNotAllowed);
  }
}

TEST(Law3, ATickTakesBackAndNeverGives) {
  for (const v1::MoveState state : kOpenStates) {
    Story story = InState(state);
    for (int minutes = 0; minutes < 700; minutes += 7) {
      story.Advance(fit::Minutes(7));
      story.Must("", v1::Tick());
      const v1::MoveState after = story.move(1).state;
      const bool stands = after != v1::MOVE_STATE_RELEASED && after != v1::MOVE_STATE_UNDER_WAY;
      EXPECT_TRUE(after == state || stands)
          << v1::MoveState_Name(state) << " to " << v1::MoveState_Name(after);
    }
    EXPECT_FALSE(story.move(1).release);
  }
}

// --- Law 4 ---

TEST(Law4, DriverAndSpotterAreTwoPeople) {
  Story story = Story::Small();
  v1::RequestMoveRequest request;
  request.set_parent(YardName("small"));
  request.set_kind("short-hop");
  request.set_machine("WL-1");
  request.set_to_place("south");
  request.set_spotter("pat");
  EXPECT_EQ(story.MustRefuse("pat", request, RefusalKind::kPrecondition).rule, "law 4");
  request.clear_spotter();
  story.Must("pat", request);
  auto accept = On<v1::AcceptSpottingRequest>(story, 1);
  accept.set_machine("WL-1");
  EXPECT_EQ(story.MustRefuse("pat", accept, RefusalKind::kPrecondition).rule, "law 4");
  auto name = On<v1::NameSpotterRequest>(story, 1);
  name.set_spotter("pat");
  EXPECT_EQ(story.MustRefuse("pat", name, RefusalKind::kPrecondition).rule, "law 4");
  story.Must("sam", accept);
  auto swap = On<v1::SwapDriverRequest>(story, 1);
  swap.set_driver("dana");
  story.Must("dana", swap);
  name.set_spotter("pat");
  story.Must("dana", name);
  swap.set_driver("pat");
  EXPECT_EQ(story.MustRefuse("pat", swap, RefusalKind::kPrecondition).rule, "law 4");
}

TEST(Law4, ALeadWhoTakesTheWheelIsNoSecondPerson) {
  for (const bool as_driver : {true, false}) {
    Story story = Story::Small();
    story.Ask(kLoad);
    const std::vector<std::string> gates = {"load-plan", "carrier-stands-right", "light-enough",
                                            "ground-and-weather"};
    for (const std::string& gate : gates) story.Must("pat", story.WordOn(1, gate));
    if (as_driver) {
      auto swap = On<v1::SwapDriverRequest>(story, 1);
      swap.set_driver("pat");
      story.Must("pat", swap);
    } else {
      auto name = On<v1::NameSpotterRequest>(story, 1);
      name.set_spotter("pat");
      story.Must("dana", name);
    }
    for (const std::string& gate : gates)
      EXPECT_EQ(story.Gate(1, gate).state, v1::GATE_STATE_STALE) << gate;
  }
}

TEST(Law4, ALeadWhoTakesTheWheelHasAcceptedNothing) {
  Story story = Story::Small();
  story.Ask(kWalk);
  auto leak = On<v1::ConfirmRequest>(story, 1);
  leak.set_gate_id("exhaust-away");
  leak.set_finding("hose torn");
  story.Must("tess", leak);
  auto accept = On<v1::AcceptGateRequest>(story, 1);
  accept.set_gate_id("exhaust-away");
  accept.set_control(story.Gate(1, "exhaust-away").rule->controls(0));
  accept.set_reason("two minutes");
  story.Must("pat", accept);
  EXPECT_FALSE(story.Gate(1, "exhaust-away").Blocks());
  auto swap = On<v1::SwapDriverRequest>(story, 1);
  swap.set_driver("pat");
  story.Must("pat", swap);
  EXPECT_TRUE(story.Gate(1, "exhaust-away").Blocks());
}

TEST(Law4, TheSecondPersonIsNeverTheDriver) {
  Story story = Story::Small();
  story.Ask({.kind = "machine-through-door", .machine = "TH-1", .to = "line", .driver = "pat"});
  story.ClearAll(1, "lead-word");
  story.MustRefuse("pat", story.WordOn(1, "lead-word"), RefusalKind::kNotAllowed);
  story.MustRefuse("sam", story.WordOn(1, "lead-word"), RefusalKind::kNotAllowed);
  story.Must("lee", story.WordOn(1, "lead-word"));
  EXPECT_TRUE(story.TryRelease(1));
}

TEST(Law4, TheLastWordIsGivenLast) {
  Story story = Story::Small();
  story.Ask(kWalk);
  const Refusal refusal =
      story.MustRefuse("lee", story.WordOn(1, "lead-word"), RefusalKind::kPrecondition);
  EXPECT_GT(refusal.gates.size(), 10u);
  EXPECT_NE(refusal.problem.find(std::to_string(refusal.gates.size()) + " gate(s)"),
            std::string::npos)
      << refusal.problem;
  story.Must("roy", On<v1::StopMoveRequest>(story, 1));
  story.ClearAll(1, "lead-word");
  const Refusal stopped =
      story.MustRefuse("lee", story.WordOn(1, "lead-word"), RefusalKind::kPrecondition);
  ASSERT_EQ(stopped.gates.size(), 1u);
  EXPECT_EQ(stopped.gates[0].gate_id(), "law-restart-word");
}

TEST(Law4, TheLastWordIsWorthNothingOnceSomebodyElseSpoke) {
  Story story = Story::Small();
  story.Ask(kWalk);
  story.ClearAll(1);
  story.Must("sam", story.WordOn(1, "escape-side"));
  EXPECT_EQ(story.Gate(1, "lead-word").state, v1::GATE_STATE_STALE);
  EXPECT_FALSE(story.TryRelease(1));
  story.Must("lee", story.WordOn(1, "lead-word"));
  EXPECT_TRUE(story.TryRelease(1));
}

// --- Law 5 ---

TEST(Law5, AnyoneStopsAnythingInAnyState) {
  for (const v1::MoveState state : kOpenStates) {
    const Story before = InState(state);
    for (const auto& [id, person] : before.state().yard->people) {
      for (const bool by_machine : {false, true}) {
        Story story = before;
        v1::StopMoveRequest stop;
        stop.set_name(by_machine ? MachineName("small", "TH-1") : story.Name(1));
        const Entries entries = story.Must(id.value(), stop);
        ASSERT_EQ(entries.size(), 1u);
        const v1::MoveState wanted =
            state == v1::MOVE_STATE_PARKED ? v1::MOVE_STATE_PARKED : v1::MOVE_STATE_STOPPED;
        EXPECT_EQ(story.move(1).state, wanted);
        EXPECT_FALSE(story.move(1).release);
        EXPECT_TRUE(AllStale(story.move(1)));
        EXPECT_TRUE(story.move(1).StopStands());
      }
    }
  }
}

TEST(Law5, AStrangerStopsAndHoldsToo) {
  Story story = InState(v1::MOVE_STATE_UNDER_WAY);
  story.Must("somebody-at-the-gate", On<v1::StopMoveRequest>(story, 1));
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_STOPPED);
  story = InState(v1::MOVE_STATE_UNDER_WAY);
  story.Must("somebody-at-the-gate", Hold());
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_STOPPED);
}

TEST(Law5, AStopIsTakenHoweverItIsWritten) {
  Story story = InState(v1::MOVE_STATE_UNDER_WAY);
  auto stop = On<v1::StopMoveRequest>(story, 1);
  stop.set_cause(static_cast<v1::StopCause>(77));
  stop.set_text("\x1b[2J" + std::string(198, 'x') + "\xc3\xa9 and much more");
  const Entries entries = story.Must("roy", stop);
  EXPECT_EQ(entries[0].move_stopped().cause(), v1::STOP_CAUSE_CALLED);
  EXPECT_LE(entries[0].move_stopped().text().size(), kMaxTextLength);
  EXPECT_EQ(entries[0].move_stopped().text().find('\x1b'), std::string::npos);
}

TEST(Law5, ASystemsCauseIsNotAPersonsToGive) {
  for (const auto& [given, kept] :
       {std::pair(v1::STOP_CAUSE_SERVICE_RESTARTED, v1::STOP_CAUSE_CALLED),
        std::pair(v1::STOP_CAUSE_LOST_SIGHT, v1::STOP_CAUSE_LOST_SIGHT),
        std::pair(v1::STOP_CAUSE_CONTACT, v1::STOP_CAUSE_CONTACT),
        std::pair(v1::STOP_CAUSE_UNSPECIFIED, v1::STOP_CAUSE_CALLED)}) {
    Story story = InState(v1::MOVE_STATE_UNDER_WAY);
    auto stop = On<v1::StopMoveRequest>(story, 1);
    stop.set_cause(given);
    EXPECT_EQ(story.Must("roy", stop)[0].move_stopped().cause(), kept);
  }
}

TEST(Law5, TheRestartIsTheStoppersOrALeads) {
  const Story stopped = InState(v1::MOVE_STATE_STOPPED);  // by Roy, who only reads
  for (const auto& [id, person] : stopped.state().yard->people) {
    Story story = stopped;
    const bool may = id.value() == "roy" || story.state().IsLead(id);
    if (may) {
      story.Must(id.value(), On<v1::AllowRestartRequest>(story, 1));
      EXPECT_FALSE(story.move(1).StopStands());
      EXPECT_TRUE(AllStale(story.move(1))) << "the word to restart is no look";
      EXPECT_FALSE(story.TryRelease(1));
      story.ClearAll(1);
      EXPECT_TRUE(story.TryRelease(1));
    } else {
      EXPECT_EQ(story
                    .MustRefuse(id.value(), On<v1::AllowRestartRequest>(story, 1),
                                RefusalKind::kNotAllowed)
                    .rule,
                "law 5");
      story.ClearAll(1, "lead-word");
      EXPECT_FALSE(story.TryRelease(1)) << "a stop stands";
    }
  }
}

TEST(Law5, ALeadOnTheMoveLiftsOnlyTheirOwnStop) {
  Story story = Story::Small();
  story.Ask({.kind = "short-hop", .machine = "WL-1", .to = "south", .driver = "pat"});
  story.Must("roy", On<v1::StopMoveRequest>(story, 1));
  story.MustRefuse("pat", On<v1::AllowRestartRequest>(story, 1), RefusalKind::kNotAllowed);
  story.Must("pat", On<v1::StopMoveRequest>(story, 1));
  story.Must("pat", On<v1::AllowRestartRequest>(story, 1));
  EXPECT_TRUE(story.move(1).StopStands()) << "Roy's still stands";
  story.Must("roy", On<v1::AllowRestartRequest>(story, 1));
  EXPECT_FALSE(story.move(1).StopStands());
}

TEST(Law5, NoStopIsLostAmongMany) {
  Story story = InState(v1::MOVE_STATE_REQUESTED);
  for (size_t i = 0; i < kMaxStopWords; ++i) story.Must("sam", On<v1::StopMoveRequest>(story, 1));
  story.Must("roy", On<v1::StopMoveRequest>(story, 1));
  EXPECT_LE(story.move(1).stops.size(), kMaxStopWords);
  story.Must("sam", On<v1::AllowRestartRequest>(story, 1));
  EXPECT_TRUE(story.move(1).StopStands()) << "Sam speaks for himself alone";
  story.Must("lee", On<v1::AllowRestartRequest>(story, 1));
  EXPECT_FALSE(story.move(1).StopStands());
}

TEST(Law5, AStopAtTheEndStandsInTheWayOfTheClose) {
  Story story = InState(v1::MOVE_STATE_PARKED);
  story.Must("roy", On<v1::StopMoveRequest>(story, 1));
  story.ClearAll(1);
  const Refusal refusal =
      story.MustRefuse("dana", On<v1::CloseMoveRequest>(story, 1), RefusalKind::kPrecondition);
  ASSERT_EQ(refusal.gates.size(), 1u);
  EXPECT_EQ(refusal.gates[0].gate_id(), "law-restart-word");
  story.Must("roy", On<v1::AllowRestartRequest>(story, 1));
  story.Close(1);
}

}  // namespace
}  // namespace chockwise::moves
