// What a winch pulls on the yard of the scenario, against numbers worked out by hand from its
// readings.
#include "services/survey/pull.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

Pulled Dozer(std::variant<fit::Grade, yard::LaneId> way) {
  return {.machine = yard::MachineId("DZ-701"), .way = std::move(way)};
}

// 41,000 lb, 1 % more by the scale, are 41,410 lb; 5 % to roll and 8 % uphill are 5,383.3 lbf.
// Common practice: a pull is the weight times rolling resistance and grade together.
TEST(PullHolds, AGradeThatIsTyped) {
  Pulled what = Dozer(fit::Percent(8));
  what.rated = fit::PoundsForce(12'000);
  const auto holds = PullHolds(At(DemoYard()), what);
  EXPECT_EQ(VerdictOf(holds), fit::Verdict::kClear);
  EXPECT_THAT(LinesOf(holds), ElementsAre("PULL 5,384 lbf: 6,616 lbf to spare"));
  ASSERT_TRUE(holds->answer.spare);
  EXPECT_EQ(holds->answer.spare->unit, "N");
  EXPECT_NEAR(holds->answer.spare->value, (12'000 - 5'383.3) * 4.4482216, 0.1);
  EXPECT_LE(holds->answer.assumptions.size(), 2u);
}

// Downhill it is held back, and nothing is taken off for what it needs to roll: 30 % of 41,410.
TEST(PullHolds, DownhillItIsHeldBack) {
  Pulled what = Dozer(fit::Percent(-30));
  what.rated = fit::PoundsForce(12'000);
  const auto holds = PullHolds(At(DemoYard()), what);
  EXPECT_EQ(VerdictOf(holds), fit::Verdict::kConflict);
  EXPECT_THAT(LineOf(holds), HasSubstr("HOLD BACK 12,423 lbf: LINE TOO WEAK by 423 lbf"));
}

// parts-way reads 8.4 %, 0.2 % more by the level: up it pulls 41,410 x 13.6 %, down it holds
// 41,410 x 8.6 %.
TEST(PullHolds, ALaneGoesBothWays) {
  Pulled what = Dozer(yard::LaneId("parts-way"));
  what.rated = fit::PoundsForce(12'000);
  const auto holds = PullHolds(At(DemoYard()), what);
  EXPECT_EQ(VerdictOf(holds), fit::Verdict::kClear);
  EXPECT_THAT(LinesOf(holds), ElementsAre("PULL 5,632 lbf: 6,368 lbf to spare",
                                          "HOLD BACK 3,562 lbf: 8,438 lbf to spare"));
  const auto named = [&](const char* name) {
    return std::ranges::any_of(holds->answer.inputs,
                               [&](const fit::Input& one) { return one.name == name; });
  };
  for (const char* name : {"mass of DZ-701 with blade", "grade of parts-way", "rolling resistance",
                           "rated pull", "a scale may be off", "a slope may be off"})
    EXPECT_TRUE(named(name)) << name;
}

TEST(PullHolds, AGentleLaneHoldsItsMachineByItself) {
  yard::Yard yard = DemoYard();
  ChangeReading(yard, "parts-way", "grade", fit::Percent(4));
  EXPECT_EQ(LinesOf(PullHolds(At(yard), Dozer(yard::LaneId("parts-way")))).size(), 1u);
}

TEST(PullHolds, ARatingThatNobodyKnowsIsUndecided) {
  const auto holds = PullHolds(At(DemoYard()), Dozer(fit::Percent(8)));
  EXPECT_EQ(VerdictOf(holds), fit::Verdict::kUndecided);
  EXPECT_EQ(LineOf(holds), "PULL 5,384 lbf: nobody knows the rating of the line");
  EXPECT_FALSE(holds->answer.spare);
}

// As read it is 5,330 lbf, with the scale off 5,384 or 5,276.
TEST(PullHolds, CloserThanTheScaleMayBeOffIsUndecided) {
  Pulled what = Dozer(fit::Percent(8));
  const auto verdict = [&](double pounds) {
    what.rated = fit::PoundsForce(pounds);
    return VerdictOf(PullHolds(At(DemoYard()), what));
  };
  EXPECT_EQ(verdict(5'390), fit::Verdict::kClear);
  EXPECT_EQ(verdict(5'340), fit::Verdict::kUndecided);
  EXPECT_EQ(verdict(5'300), fit::Verdict::kUndecided);
  EXPECT_EQ(verdict(5'270), fit::Verdict::kConflict);
}

TEST(PullHolds, MudAsksForMore) {
  Pulled what = Dozer(fit::Grade());
  what.rolling = 0.5;
  EXPECT_THAT(LineOf(PullHolds(At(DemoYard()), what)), HasSubstr("PULL 20,705 lbf"));
}

TEST(PullHolds, WhatIsNotKnownIsRefused) {
  const auto refused = [](const yard::Yard& yard, const Pulled& what) {
    const auto holds = PullHolds(At(yard), what);
    EXPECT_FALSE(holds) << LineOf(holds);
    return LineOf(holds);
  };
  const yard::Yard yard = DemoYard();
  Pulled what = Dozer(fit::Percent(8));
  what.machine = yard::MachineId("DZ-999");
  EXPECT_THAT(refused(yard, what), HasSubstr("machine DZ-999 is not in machines.csv"));
  EXPECT_THAT(refused(yard, Dozer(yard::LaneId("moon-way"))),
              HasSubstr("lane moon-way is not in map.geojson"));
  EXPECT_THAT(refused(yard, Dozer(fit::Percent(101))), HasSubstr("grade"));
  what = Dozer(fit::Percent(8));
  what.rolling = 0.0;
  EXPECT_THAT(refused(yard, what), HasSubstr("rolling resistance"));
  what.rolling.reset();
  what.rated = fit::Newtons();
  EXPECT_THAT(refused(yard, what), HasSubstr("rated pull"));
  const yard::Yard old =
      With("parts-way grade,8.4 %,,,petra,2026", "parts-way grade,8.4 %,,,petra,2024");
  const auto stale = PullHolds(At(old), Dozer(yard::LaneId("parts-way")));
  ASSERT_FALSE(stale);
  EXPECT_EQ(stale.error().sort, NoAnswer::Sort::kStale);
}

// Factors: NIST SP 811 (2008), Appendix B.8.
TEST(ReadPull, ForcesAndPlates) {
  const auto newtons = [](const char* text) {
    const auto pull = ReadPull("--rated", text);
    return pull ? pull->newtons() : -1;
  };
  EXPECT_NEAR(newtons("12,000 lbf"), 12'000 * 4.4482216152605, 1e-6);
  EXPECT_NEAR(newtons("12,000 lb"), 12'000 * 4.4482216152605, 1e-6);
  EXPECT_NEAR(newtons("5000 kg"), 49'033.25, 1e-6);
  EXPECT_NEAR(newtons("53 kN"), 53'000, 1e-6);
  EXPECT_NEAR(newtons("53.5kN"), 53'500, 1e-6);
  EXPECT_NEAR(newtons("980 N"), 980, 1e-9);
  for (const char* wrong : {"12,000", "12,000 ft", "lbf", "", "5 lb lbf", "12,00 lbf", "kN"}) {
    const auto pull = ReadPull("--rated", wrong);
    ASSERT_FALSE(pull) << wrong;
    EXPECT_EQ(pull.error().sort, NoAnswer::Sort::kMistyped);
    EXPECT_EQ(pull.error().input, "--rated");
  }
}

// 39,300 lb of truck, dolly and body: 5 % and a rolling 5 % of a weight that a scale may be off 1
// %.
TEST(PullHolds, AllThatHangsBehindIsPulledToo) {
  const yard::Yard yard = DemoYard();
  const Pulled train{.machine = yard::MachineId("HT-971"), .way = fit::Percent(5)};
  EXPECT_THAT(LineOf(PullHolds(At(yard), train)), HasSubstr("PULL 3,970 lbf"));
  const Pulled trailer{.machine = yard::MachineId("FT-973"), .way = fit::Percent(5)};
  EXPECT_THAT(LineOf(PullHolds(At(yard), trailer)), HasSubstr("hangs behind HT-971"));
}

}  // namespace
}  // namespace chockwise::survey
