// Law 9: what is picked up balances what was put down, also where a move ends before it is picked
// up.
#include <gtest/gtest.h>

#include "tests/moves/open_states.h"

namespace chockwise::moves {
namespace {

v1::RecordPutDownRequest SetDown(const std::string& machine, int64_t count,
                                 const std::string& item = "chocks") {
  v1::RecordPutDownRequest request;
  request.set_name(MachineName("small", machine));
  request.set_item(item);
  request.set_count(count);
  return request;
}

TEST(Law9, ChocksSetAtAHoldPointAreTakenUpBeforeItMoves) {
  Story story = InState(v1::MOVE_STATE_HELD);
  story.Must("dana", SetDown("TH-1", 4));
  story.ClearAll(1, "word-at-line");
  const Outcome<Entries> refused = story.TryRelease(1);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().gates.front().gate_id(), "law-counts-balance");
  story.MustRefuse("dana", SetDown("TH-1", 0), RefusalKind::kPrecondition);
  story.Must("sam", SetDown("TH-1", 0));
  story.ClearAll(1);
  EXPECT_TRUE(story.TryRelease(1));
}

TEST(Law9, ChocksSetAgainAreCountedAgain) {
  Story story = Story::Small();
  story.Ask({.kind = "service-truck-reverses-out", .machine = "ST-1", .to = "apron"});
  story.ClearAll(1);
  EXPECT_EQ(story.Gate(1, "chocks-in").reason, "chocks: 2");
  story.Must("sam", SetDown("ST-1", 2));
  EXPECT_EQ(story.Gate(1, "chocks-in").state, v1::GATE_STATE_STALE)
      << "they were picked up, and set again";
  EXPECT_FALSE(story.TryRelease(1));
}

TEST(Law9, PuttingDownTakesTheReleaseBack) {
  Story story = InState(v1::MOVE_STATE_RELEASED);
  story.Must("dana", SetDown("TH-1", 2));
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_REQUESTED);
  story = InState(v1::MOVE_STATE_UNDER_WAY);
  EXPECT_EQ(story.MustRefuse("sam", SetDown("TH-1", 2), RefusalKind::kPrecondition).rule, "law 10");
}

TEST(Law9, WhatIsSetAtTheEndIsCountedInBeforeTheNextMove) {
  Story story = Story::Small();
  story.Ask({.kind = "service-truck-reverses-out", .machine = "ST-1", .to = "apron"});
  EXPECT_EQ(story.state().machines.at(MachineId("ST-1")).put_down.at("chocks"), 2)
      << "as the register says";
  story.BringTo(1, v1::PHASE_CLOSE_OUT);
  EXPECT_EQ(story.state().machines.at(MachineId("ST-1")).put_down.at("chocks"), 0);
  story.ClearAll(1);
  story.Close(1);
  EXPECT_EQ(story.state().machines.at(MachineId("ST-1")).put_down.at("chocks"), 2);
  story.Ask({.kind = "service-truck-reverses-out", .machine = "ST-1", .to = "bay"});
  auto one = On<v1::ConfirmRequest>(story, 2);
  one.set_gate_id("chocks-in");
  one.set_count(1);
  story.Must("dana", one);
  story.Must("sam", one);
  EXPECT_EQ(story.Gate(2, "chocks-in").reason,
            "chocks put down: 2, picked up: 1 (dana) and 1 (sam)");
}

// Nobody knows whose count was wrong, so the first may count again as well as the second.
TEST(Law9, WhereCountsDifferEverybodyWhoCountedMayCountAgain) {
  Story story = Story::Small();
  story.Ask({.kind = "service-truck-reverses-out", .machine = "ST-1", .to = "apron"});
  story.BringTo(1, v1::PHASE_CLOSE_OUT);
  auto count = On<v1::ConfirmRequest>(story, 1);
  count.set_gate_id("chocks-set");
  count.set_count(2);
  story.Must("dana", count);
  count.set_count(3);
  story.Must("sam", count);
  const GateStatus gate = story.Gate(1, "chocks-set");
  EXPECT_EQ(gate.state, v1::GATE_STATE_NOT_CLEAR);
  EXPECT_EQ(gate.reason, "counts of chocks differ: 2 (dana) and 3 (sam)");
  EXPECT_EQ(gate.missing, (std::vector<v1::Party>{v1::PARTY_DRIVER, v1::PARTY_SPOTTER}));
  story.Must("dana", count);
  EXPECT_EQ(story.Gate(1, "chocks-set").state, v1::GATE_STATE_CLEAR);
}

// --- A move that ends before its counts are in ---

std::map<std::string, int64_t> LeftAt(const Story& story, const std::string& machine) {
  return story.state().machines.at(MachineId(machine)).left_over;
}

const std::map<std::string, int64_t> kCountedOut = {{"carrier-chocks", 4}, {"people", 2}};

/// The small yard with a load whose counts are out and that ended so.
Story EndedAs(v1::MoveState end) {
  Story story = Story::Small();
  story.Ask(kLoad);
  story.ClearAll(1);
  if (end == v1::MOVE_STATE_WITHDRAWN) {
    auto withdraw = On<v1::WithdrawMoveRequest>(story, 1);
    withdraw.set_reason("rain");
    story.Must("dana", withdraw);
  } else if (end == v1::MOVE_STATE_REFUSED) {
    story.Must("sam", On<v1::RefuseMoveRequest>(story, 1));
  } else {
    story.Release(1);
    story.Begin(1);
    auto broke = On<v1::ReportBreakdownRequest>(story, 1);
    broke.set_text("hose burst");
    story.Must("dana", broke);
  }
  EXPECT_EQ(story.move(1).state, end);
  return story;
}

TEST(Law9, WhatAMoveThatEndedHadPutDownStaysAtItsCarrier) {
  for (const v1::MoveState end :
       {v1::MOVE_STATE_WITHDRAWN, v1::MOVE_STATE_REFUSED, v1::MOVE_STATE_LEFT_STANDING}) {
    const Story story = EndedAs(end);
    EXPECT_EQ(LeftAt(story, "CA-1"), kCountedOut) << v1::MoveState_Name(end);
    EXPECT_TRUE(LeftAt(story, "TH-1").empty());
    story.CheckReplay();
  }
}

TEST(Law9, TheNextMoveWithTheCarrierCountsThemOrDoesNotBegin) {
  Story story = EndedAs(v1::MOVE_STATE_WITHDRAWN);
  story.Ask(kLoad);
  auto people = story.WordOn(2, "people-clear");
  people.set_count(1);
  story.Must("sam", people);
  EXPECT_EQ(story.Gate(2, "people-clear").state, v1::GATE_STATE_NOT_CLEAR);
  EXPECT_EQ(story.Gate(2, "people-clear").reason,
            "people left by a move before: 2, counted now: 1 (sam); find the rest, or two people "
            "record how many there are");
  EXPECT_FALSE(story.TryRelease(2));
  people.set_count(3);
  story.Must("sam", people);
  story.ClearAll(2);
  story.Release(2);
  EXPECT_EQ(LeftAt(story, "CA-1"), kCountedOut) << "it can still be withdrawn";
  story.Begin(2);
  EXPECT_TRUE(LeftAt(story, "CA-1").empty()) << "they are this move's now";
  if (story.move(2).release->limit.empty()) {
    story.Park(2);
  } else {
    story.Hold(2);
    story.BringTo(2, v1::PHASE_CLOSE_OUT);
  }
  auto again = story.WordOn(2, "people-counted-again");
  EXPECT_EQ(again.count(), 3);
  story.ClearAll(2);
  story.Close(2);
  EXPECT_TRUE(LeftAt(story, "CA-1").empty());
}

TEST(Law9, CountedAgainAndWithdrawnAgainTheyAreNotTwiceAsMany) {
  Story story = EndedAs(v1::MOVE_STATE_WITHDRAWN);
  story.Ask(kLoad);
  auto chocks = story.WordOn(2, "carrier-chocked");
  chocks.set_count(6);
  story.Must("sam", chocks);
  auto withdraw = On<v1::WithdrawMoveRequest>(story, 2);
  withdraw.set_reason("still rain");
  story.Must("dana", withdraw);
  EXPECT_EQ(LeftAt(story, "CA-1").at("carrier-chocks"), 6);
  EXPECT_EQ(LeftAt(story, "CA-1").at("people"), 2);
}

TEST(Law9, AKindThatDoesNotCountThemWaitsForTwoPeople) {
  Story story = Story::Small();
  story.Ask(kWalk);
  story.ClearAll(1);
  auto withdraw = On<v1::WithdrawMoveRequest>(story, 1);
  withdraw.set_reason("another machine goes");
  story.Must("dana", withdraw);
  ASSERT_EQ(LeftAt(story, "TH-1"), (std::map<std::string, int64_t>{{"people", 2}}));
  const MoveNumber hop = story.Ask({.kind = "short-hop", .machine = "TH-1", .to = "apron"});
  story.ClearAll(hop, "law-second-word");
  Outcome<Entries> refused = story.TryRelease(hop);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().gates.front().gate_id(), "law-counts-balance");
  EXPECT_EQ(refused.error().gates.front().reason(),
            "people put down at TH-1: 2, and nothing here counts them in");
  story.MustRefuse("sam", SetDown("TH-1", 0, "people"), RefusalKind::kPrecondition);
  refused = story.TryRelease(hop);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().gates.front().reason(),
            "people put down at TH-1: 2, and nothing here counts them in; sam says 0, a second "
            "person has not");
  story.Must("dana", SetDown("TH-1", 0, "people"));
  story.ClearAll(hop);
  story.Release(hop);
  story.CheckReplay();
}

TEST(Law9, ACarriersOwnChocksKeepNobodyFromLoadingIt) {
  Story story = Story::Small();
  story.Must("sam", SetDown("CA-1", 2));
  story.Ask(kLoad);
  story.ClearAll(1);
  story.Release(1);
}

// --- Fewer ---

TEST(Law9, FewerCountsWhenASecondPersonSaysTheSame) {
  Story story = Story::Small();
  const auto stand = [&] {
    return story.state().machines.at(MachineId("TH-1")).StandThere("chocks");
  };
  story.Must("dana", SetDown("TH-1", 4));
  const Refusal first = story.MustRefuse("dana", SetDown("TH-1", 1), RefusalKind::kPrecondition);
  EXPECT_EQ(first.rule, "law 9");
  EXPECT_EQ(first.problem, "kept, not counted yet: 4 chocks stood at TH-1, dana says 1");
  story.MustRefuse("dana", SetDown("TH-1", 1), RefusalKind::kPrecondition);
  story.MustRefuse("sam", SetDown("TH-1", 0), RefusalKind::kPrecondition);
  EXPECT_EQ(stand(), 4) << "two numbers are not one";
  story.Must("tess", SetDown("TH-1", 0));
  EXPECT_EQ(stand(), 0);
}

TEST(Law9, AFirstWordIsWorthNothingOnceOthersWereSet) {
  Story story = Story::Small();
  story.Must("dana", SetDown("TH-1", 4));
  story.MustRefuse("dana", SetDown("TH-1", 2), RefusalKind::kPrecondition);
  story.Must("sam", SetDown("TH-1", 6));
  story.MustRefuse("sam", SetDown("TH-1", 2), RefusalKind::kPrecondition);
  story.Must("dana", SetDown("TH-1", 2));
}

TEST(Law9, AFirstWordTakesNoReleaseBackAndTheSecondDoes) {
  Story story = Story::Small();
  story.Ask({.kind = "service-truck-reverses-out", .machine = "ST-1", .to = "apron"});
  story.ClearAll(1);
  story.Release(1);
  story.MustRefuse("sam", SetDown("ST-1", 1), RefusalKind::kPrecondition);
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_RELEASED);
  story.Must("dana", SetDown("ST-1", 1));
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_REQUESTED);
}

}  // namespace
}  // namespace chockwise::moves
