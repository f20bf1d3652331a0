#include "services/fit/securement.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

/// Its binder and anchor are stronger than any chain.
Tie TiedBy(const Device& device, int count, TieEnd end = TieEnd::kFront) {
  return {.device = device,
          .binder = Pounds(24'000),
          .anchor = Pounds(30'000),
          .end = end,
          .count = count};
}
Tie Chains(ChainGrade grade, int count, TieEnd end = TieEnd::kFront) {
  return TiedBy(Chain{TieSize::k3_8, grade}, count, end);
}

/// A machine of so many pounds, everything seen to, with two chains at each end.
LoadOnDeck Machine(double pounds) {
  return {.weight = Pounds(pounds),
          .length = Feet(20),
          .articulation = Restraint::kNoneNeeded,
          .accessories = Restraint::kRestrained,
          .ties = {Chains(ChainGrade::k70, 2), Chains(ChainGrade::k70, 2, TieEnd::kRear)}};
}

std::string LineOf(const LoadOnDeck& load) {
  return DriversLine(*JudgeSecurement(load), load.column);
}

TEST(Securement, TheDriverReadsHowManyMoreOfWhat) {
  EXPECT_EQ(LineOf(Machine(42'000)), "4 chains: SHORT 7,800 lb. Add 3 more of 6,600 lb");
  EXPECT_EQ(LineOf(Machine(26'400)), "4 chains: ENOUGH, 0 lb to spare");
  EXPECT_EQ(LineOf(Machine(20'000)), "4 chains: ENOUGH, 3,200 lb to spare");
  LoadOnDeck two = Machine(10'000);
  for (Tie& tie : two.ties) tie.count = 1;
  EXPECT_EQ(LineOf(two), "2 chains: TOO FEW, 4 needed. Add 2 more of 6,600 lb");
  two.ties[1].device = Webbing{WebbingWidth::k4};
  EXPECT_EQ(LineOf(two), "2 tie-downs: TOO FEW, 4 needed. Add 2 more of 6,600 lb");
  two.ties.pop_back();
  EXPECT_EQ(LineOf(two), "1 chain: SHORT 1,700 lb. Add 3 more of 6,600 lb");
  LoadOnDeck metric = Machine(0);
  metric.weight = InKilograms(19'000);
  metric.column = UnitSystem::kSi;
  EXPECT_EQ(LineOf(metric), "4 chains: SHORT 3,520 kg. Add 3 more of 2,990 kg");
}

TEST(Securement, EveryMachineIsTiedByTwoAtEachEnd) {
  for (const double pounds : {1'000.0, 9'999.0, 10'000.0, 41'600.0}) {
    LoadOnDeck machine = Machine(pounds);
    machine.length = Feet(9);
    for (Tie& tie : machine.ties) tie.device = Chain{TieSize::k5_8, ChainGrade::k100};
    EXPECT_EQ(JudgeSecurement(machine)->verdict, Verdict::kClear) << pounds;
    for (Tie& tie : machine.ties) {
      tie.count = 1;
      const auto tied = JudgeSecurement(machine);
      EXPECT_EQ(tied->verdict, Verdict::kConflict) << pounds;
      EXPECT_EQ(tied->ties_needed, 4);
      EXPECT_EQ(tied->add, 1) << "four in all, and the end that has one";
      tie.count = 2;
    }
  }
}

// 49 CFR 393.130(c)(1), second-hand: forward and rearward, by four at least. All the strength in
// the world at one end holds one way only.
TEST(Securement, ForwardAndRearwardAreEachHeld) {
  LoadOnDeck machine = Machine(41'600);
  const Device strong = Chain{TieSize::k5_8, ChainGrade::k100};
  machine.ties = {TiedBy(strong, 4)};
  EXPECT_EQ(LineOf(machine), "4 chains: TIE the rear: 0 there, 2 needed (49 CFR 393.130(c))");
  machine.ties.push_back(TiedBy(strong, 1, TieEnd::kRear));
  EXPECT_EQ(LineOf(machine), "5 chains: TIE the rear: 1 there, 2 needed (49 CFR 393.130(c))");
  EXPECT_EQ(JudgeSecurement(machine)->add, 1);
  machine.ties[0].count = 1;
  machine.ties[1].count = 3;
  EXPECT_EQ(LineOf(machine), "4 chains: TIE the front: 1 there, 2 needed (49 CFR 393.130(c))");
  machine.ties[0].count = 2;
  EXPECT_EQ(JudgeSecurement(machine)->verdict, Verdict::kClear);
  machine.kind = LoadKind::kArticle;  // 393.130 is about machines
  machine.ties.pop_back();
  machine.ties[0].count = 4;
  EXPECT_EQ(JudgeSecurement(machine)->verdict, Verdict::kClear);
}

TEST(Securement, WhatIsLooseIsSaid) {
  LoadOnDeck machine = Machine(20'000);
  machine.articulation = Restraint::kFree;
  EXPECT_EQ(LineOf(machine), "4 chains: LOCK the articulation (49 CFR 393.130(b)(2))");
  machine = Machine(20'000);
  machine.accessories = Restraint::kFree;
  EXPECT_EQ(JudgeSecurement(machine)->verdict, Verdict::kConflict);
  machine = Machine(20'000);
  machine.ties = {Chains(ChainGrade::k70, 4)};
  EXPECT_EQ(JudgeSecurement(machine)->verdict, Verdict::kConflict) << "nothing holds the rear";
}

TEST(Securement, TheWeakestPartGovernsAndIsNamed) {
  LoadOnDeck machine = Machine(20'000);
  EXPECT_EQ(JudgeSecurement(machine)->weakest, "3/8 in chain grade 70");
  machine.ties[0].binder = Pounds(5'400);
  machine.ties[0].anchor = Pounds(5'000);
  const auto tied = JudgeSecurement(machine);
  EXPECT_EQ(tied->weakest, "anchor point");
  EXPECT_DOUBLE_EQ(tied->effective.pounds(), (2 * 5'000 + 2 * 6'600) / 2.0);
  machine.weight = Pounds(30'000);
  EXPECT_EQ(LineOf(machine),
            "4 chains: SHORT 3,400 lb, held back by its anchor point. Add 2 more of 5,000 lb");
}

// Law 2: a binder that nobody has read is not a strong one.
TEST(Securement, APartThatNobodyHasNamedRefuses) {
  LoadOnDeck machine = Machine(20'000);
  machine.ties[1].binder = std::nullopt;
  EXPECT_EQ(UnusableOf(JudgeSecurement(machine))->input, "working load limit of binder");
  machine.ties[1].binder = Pounds(6'600);
  machine.ties[0].anchor = std::nullopt;
  EXPECT_EQ(UnusableOf(JudgeSecurement(machine))->input, "working load limit of anchor point");
}

TEST(Securement, AQuarterOfTheStrengthOfUnmarkedWireRope) {
  LoadOnDeck machine = Machine(8'000);
  machine.ties = {TiedBy(WireRopeOfStrength{Pounds(20'000)}, 4)};
  EXPECT_DOUBLE_EQ(JudgeSecurement(machine)->effective.pounds(), 10'000);
}

TEST(Securement, AnInputOutOfItsDomainIsNamed) {
  const auto with = [](auto spoil) {
    LoadOnDeck load = Machine(20'000);
    spoil(load);
    return UnusableOf(JudgeSecurement(load));
  };
  using L = LoadOnDeck;
  ExpectNamed({
      {"no weight", with([](L& l) { l.weight = {}; }), "weight of the load"},
      {"negative weight", with([](L& l) { l.weight = Pounds(-1); }), "weight of the load"},
      {"absurd weight", with([](L& l) { l.weight = Pounds(500'001); }), "weight of the load"},
      {"no length", with([](L& l) { l.length = {}; }), "length of the load"},
      {"negative length", with([](L& l) { l.length = Feet(-5); }), "length of the load"},
      {"absurd length", with([](L& l) { l.length = Feet(201); }), "length of the load"},
      {"articulation unknown", with([](L& l) { l.articulation = Restraint::kUnknown; }),
       "articulation"},
      {"accessories unknown", with([](L& l) { l.accessories = Restraint::kUnknown; }),
       "accessories"},
      {"no ties", with([](L& l) { l.ties.clear(); }), "tie-downs"},
      {"zero of a tie", with([](L& l) { l.ties[0].count = 0; }), "number of tie-downs"},
      {"negative count", with([](L& l) { l.ties[1].count = -2; }), "number of tie-downs"},
      {"absurd count", with([](L& l) { l.ties[0].count = 51; }), "number of tie-downs"},
      {"size not printed", with([](L& l) {
         l.ties[0].device = Chain{TieSize::k1, {}};
       }),
       "1 in chain grade 30"},
      {"rope not printed", with([](L& l) {
         l.ties[0].device = Rope{TieSize::k1_4, {}};
       }),
       "1/4 in rope"},
      {"no mark", with([](L& l) {
         l.ties[0].device = Marked{"strap", {}};
       }),
       "working load limit of strap"},
      {"zero mark", with([](L& l) {
         l.ties[0].device = Marked{"strap", Pounds(0)};
       }),
       "working load limit of strap"},
      {"absurd mark", with([](L& l) {
         l.ties[0].device = Marked{"strap", Pounds(200'001)};
       }),
       "working load limit of strap"},
      {"zero binder", with([](L& l) { l.ties[1].binder = Kilograms(); }),
       "working load limit of binder"},
      {"anchor negative", with([](L& l) { l.ties[1].anchor = Pounds(-1); }),
       "working load limit of anchor point"},
      {"no strength", with([](L& l) { l.ties[0].device = WireRopeOfStrength{}; }),
       "nominal strength of wire rope"},
  });
}

Device AnyChain() {
  const auto grade = *rc::gen::element(ChainGrade::k30, ChainGrade::k43, ChainGrade::k70);
  const auto size = *rc::gen::element(TieSize::k5_16, TieSize::k3_8, TieSize::k1_2);
  return Chain{size, grade};
}

LoadOnDeck AnyLoad() {
  LoadOnDeck load = Machine(*rc::gen::inRange(1'000, 100'000));
  load.length = Feet(*rc::gen::inRange(1, 60));
  for (Tie& tie : load.ties) {
    tie.device = AnyChain();
    tie.count = *rc::gen::inRange(2, 8);
    tie.path = *rc::gen::element(TiePath::kDirect, TiePath::kSameSide, TiePath::kOtherSide);
  }
  return load;
}

RC_GTEST_PROP(SecurementProperty, MoreLimitNeverTurnsClearIntoConflict, ()) {
  const LoadOnDeck load = AnyLoad();
  LoadOnDeck more = load;
  Tie& tie = more.ties[*rc::gen::inRange<size_t>(0, 2)];
  if (*rc::gen::inRange(0, 2) == 0) {
    tie.count += 1;
  } else {
    tie.path = TiePath::kOtherSide;
  }
  const auto before = JudgeSecurement(load), after = JudgeSecurement(more);
  RC_ASSERT(after->effective >= before->effective);
  if (before->verdict == Verdict::kClear) RC_ASSERT(after->verdict == Verdict::kClear);
}

RC_GTEST_PROP(SecurementProperty, AddingWhatTheLineSaysIsEnoughAndOneLessIsNot, ()) {
  LoadOnDeck load = AnyLoad();
  load.ties[0].count = *rc::gen::inRange(1, 4);
  load.ties[1] = load.ties[0];
  load.ties[1].end = TieEnd::kRear;
  const auto tied = JudgeSecurement(load);
  RC_PRE(tied->add > 0 && tied->add < 45);
  // One end after the other, as whoever ties it down would.
  LoadOnDeck added = load;
  for (int more = 1; more <= tied->add; ++more) {
    RC_ASSERT(JudgeSecurement(added)->verdict == Verdict::kConflict);
    added.ties[more % 2 == 0 ? 0 : 1].count += 1;
  }
  RC_ASSERT(JudgeSecurement(added)->verdict == Verdict::kClear);
}

RC_GTEST_PROP(SecurementProperty, TheUnitOfInputNeverChangesTheAnswer, ()) {
  LoadOnDeck load = AnyLoad();
  const int pounds = *rc::gen::inRange(1'000, 100'000);
  const int limit = *rc::gen::inRange(500, 12'000);
  load.weight = Pounds(pounds);
  load.ties[0].device = Marked{"strap", Pounds(limit)};
  LoadOnDeck same = load;
  same.weight = InKilograms(pounds * 0.45359237);
  same.ties[0].device = Marked{"strap", InKilograms(limit * 45359.237 / 100'000)};
  const auto us = JudgeSecurement(load), si = JudgeSecurement(same);
  RC_ASSERT(us->verdict == si->verdict);
  RC_ASSERT(us->add == si->add);
}

}  // namespace
}  // namespace chockwise::fit
