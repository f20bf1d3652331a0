#include "services/fit/risk.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <functional>
#include <limits>

namespace chockwise::fit {
namespace {

TierQuestion Easy() {
  return {.kind = KindOfMove::kPlain,
          .light = Daylight::kDay,
          .people = PeopleNear::kNone,
          .driver = Familiarity::kKnowsTheYard,
          .spotter = Familiarity::kKnowsTheYard,
          .steepest = Percent(1),
          .least_margin = Inches(20)};
}

RiskTier Of(const TierQuestion& question) { return TierOf(question, TierWeights()).value(); }

TEST(RiskTier, AnEasyMoveAddsNothingAndStillShowsItsParts) {
  const RiskTier tier = Of(Easy());
  EXPECT_EQ(tier.tier, 1);
  EXPECT_EQ(tier.sum, 0);
  EXPECT_EQ(tier.parts.size(), 7u);
  EXPECT_TRUE(tier.adds.empty());
  EXPECT_EQ(DriversLine(tier), "TIER 1");
}

TEST(RiskTier, TheSumOfStatedWeightsDecides) {
  TierQuestion question = Easy();
  question.light = Daylight::kDark;  // 2
  EXPECT_EQ(Of(question).tier, 1);
  question.driver = Familiarity::kFirstWeek;  // 3
  EXPECT_EQ(Of(question).tier, 2);
  question.people = PeopleNear::kMany;  // 5
  EXPECT_EQ(Of(question).tier, 2);
  question.kind = KindOfMove::kReversing;  // 6
  EXPECT_EQ(Of(question).tier, 3);
  EXPECT_EQ(DriversLine(Of(question)), "TIER 3: reversing, dark, many people, driver first week");
  EXPECT_TRUE(Of(question).adds.contains(Control::kYardLeadReleases));
}

TEST(RiskTier, UnknownSlopeAndMarginCountAsTheWorst) {
  TierQuestion question = Easy();
  question.steepest.reset();
  question.least_margin.reset();
  const RiskTier tier = Of(question);
  EXPECT_EQ(tier.sum, 4);
  EXPECT_EQ(DriversLine(tier), "TIER 2: slope unknown, margin unknown");
  EXPECT_TRUE(tier.adds.contains(Control::kChocksAtHand));
  EXPECT_TRUE(tier.adds.contains(Control::kHoldBeforeTight));
}

TEST(RiskTier, ThresholdsBelongToTheGraverSide) {
  TierQuestion question = Easy();
  question.steepest = Percent(1.999);
  EXPECT_EQ(Of(question).sum, 0);
  question.steepest = Percent(2);
  EXPECT_EQ(Of(question).sum, 1);
  question.steepest = Percent(-8);  // downhill too
  EXPECT_EQ(Of(question).sum, 2);
  question = Easy();
  question.least_margin = Inches(12);
  EXPECT_EQ(Of(question).sum, 0);
  question.least_margin = Inches(11.9);
  EXPECT_EQ(Of(question).sum, 1);
  question.least_margin = Inches(6);
  EXPECT_EQ(Of(question).sum, 1);
  question.least_margin = Inches(5.9);
  EXPECT_EQ(Of(question).sum, 2);
}

TEST(RiskTier, EveryInputOutOfItsDomainIsNamed) {
  TierQuestion question = Easy();
  question.steepest = Percent(101);
  EXPECT_EQ(TierOf(question, {}).error().input, "steepest grade");
  question.steepest = Percent(-101);
  EXPECT_EQ(TierOf(question, {}).error().input, "steepest grade");
  question = Easy();
  question.least_margin = InMetres(101);
  EXPECT_EQ(TierOf(question, {}).error().input, "least margin");
  question.least_margin = InMetres(-101);
  EXPECT_EQ(TierOf(question, {}).error().input, "least margin");

  const std::function<void(TierWeights&)> breaks[] = {
      [](auto& weights) { weights.dark = -1; },
      [](auto& weights) { weights.twilight = 3; },  // above dark
      [](auto& weights) { weights.stranger = 101; },
      [](auto& weights) { weights.tier_two_from = 0; },
      [](auto& weights) { weights.tier_three_from = 2; },
      [](auto& weights) { weights.sloping_from = Grade(); },
      [](auto& weights) { weights.steep_from = Percent(1); },
      [](auto& weights) { weights.tight_below = Metres(); },
      [](auto& weights) { weights.narrow_below = Inches(5); },
  };
  for (const auto& set : breaks) {
    TierWeights weights;
    set(weights);
    const auto tier = TierOf(Easy(), weights);
    ASSERT_FALSE(tier);
    EXPECT_EQ(tier.error().input, "weights");
    EXPECT_FALSE(tier.error().right.empty());
  }
}

TEST(Risk, EveryInputOutOfItsDomainIsNamed) {
  EXPECT_EQ(SeverityOf({.deaths = -1}).error().input, "deaths");
  EXPECT_EQ(SeverityOf({.permanent_total_disabilities = -1}).error().input,
            "permanent total disabilities");
  EXPECT_EQ(SeverityOf({.permanent_partial_disabilities = -1}).error().input,
            "permanent partial disabilities");
  EXPECT_EQ(SeverityOf({.hospitalised = -1}).error().input, "hospitalised");
  EXPECT_EQ(SeverityOf({.lost_work_days = -1}).error().input, "lost work days");
  EXPECT_EQ(SeverityOf({.loss_dollars = -1}).error().input, "loss");
  for (double wrong : {0.0, -0.1, 1.1, std::numeric_limits<double>::quiet_NaN(),
                       std::numeric_limits<double>::infinity()})
    EXPECT_EQ(ProbabilityOf(wrong).error().input, "probability") << wrong;
}

bool Includes(const std::set<Control>& all, const std::set<Control>& some) {
  return std::ranges::includes(all, some);
}

/// All answers there are, each part from the easiest to the gravest, unknown last.
std::vector<TierQuestion> AllQuestions() {
  std::vector<TierQuestion> all = {Easy()};
  const auto times = [&](int choices, auto set) {
    std::vector<TierQuestion> more;
    for (const TierQuestion& question : all)
      for (int choice = 0; choice < choices; ++choice) {
        more.push_back(question);
        set(more.back(), choice);
      }
    all = more;
  };
  times(3, [](auto& at, int choice) { at.kind = static_cast<KindOfMove>(choice); });
  times(3, [](auto& at, int choice) { at.light = static_cast<Daylight>(choice); });
  times(3, [](auto& at, int choice) { at.people = static_cast<PeopleNear>(choice); });
  times(3, [](auto& at, int choice) { at.driver = static_cast<Familiarity>(choice); });
  times(3, [](auto& at, int choice) { at.spotter = static_cast<Familiarity>(choice); });
  times(4, [](auto& at, int choice) {
    const std::optional<Grade> grades[] = {Percent(0), Percent(3), Percent(9), std::nullopt};
    at.steepest = grades[choice];
  });
  times(4, [](auto& at, int choice) {
    const std::optional<Metres> margins[] = {Inches(13), Inches(7), Inches(1), std::nullopt};
    at.least_margin = margins[choice];
  });
  return all;
}

bool NoEasier(const TierQuestion& a, const TierQuestion& b) {
  const auto slope = [](const TierQuestion& at) { return at.steepest.value_or(Percent(100)); };
  const auto margin = [](const TierQuestion& at) { return at.least_margin.value_or(Metres()); };
  return a.kind >= b.kind && a.light >= b.light && a.people >= b.people && a.driver >= b.driver &&
         a.spotter >= b.spotter && slope(a) >= slope(b) && margin(a) <= margin(b);
}

// In full: whatever gets worse, no tier falls and no control goes.
TEST(RiskTier, WorseNeverTakesAControlAway) {
  const std::vector<TierQuestion> all = AllQuestions();
  ASSERT_EQ(all.size(), 3888u);
  std::vector<RiskTier> tiers;
  for (const TierQuestion& question : all) tiers.push_back(Of(question));
  size_t compared = 0;
  for (size_t a = 0; a < all.size(); ++a)
    for (size_t b = 0; b < all.size(); ++b) {
      if (!NoEasier(all[a], all[b])) continue;
      ++compared;
      ASSERT_GE(tiers[a].tier, tiers[b].tier) << DriversLine(tiers[a]);
      ASSERT_TRUE(Includes(tiers[a].adds, tiers[b].adds)) << DriversLine(tiers[a]);
    }
  EXPECT_GT(compared, 100'000u);
}

// Whatever weights the safety lead sets.
RC_GTEST_PROP(RiskTier, NoWeightsEverTakeAControlAway,
              (const std::array<uint8_t, 14>& throws, uint16_t easier, uint16_t graver)) {
  TierWeights weights;
  int* const pairs[][2] = {
      {&weights.reversing, &weights.heavy},        {&weights.twilight, &weights.dark},
      {&weights.few_people, &weights.many_people}, {&weights.first_week, &weights.stranger},
      {&weights.sloping, &weights.steep},          {&weights.narrow, &weights.tight}};
  for (size_t i = 0; i < 6; ++i) {
    *pairs[i][0] = throws[2 * i] % 50;
    *pairs[i][1] = *pairs[i][0] + throws[2 * i + 1] % 50;
  }
  weights.tier_two_from = 1 + throws[12];
  weights.tier_three_from = weights.tier_two_from + throws[13];
  static const std::vector<TierQuestion> all = AllQuestions();
  const TierQuestion& a = all[easier % all.size()];
  TierQuestion b = all[graver % all.size()];
  b.kind = std::max(a.kind, b.kind);
  b.light = std::max(a.light, b.light);
  b.people = std::max(a.people, b.people);
  b.driver = std::max(a.driver, b.driver);
  b.spotter = std::max(a.spotter, b.spotter);
  if (a.steepest && b.steepest) b.steepest = std::max(*a.steepest, *b.steepest);
  if (!a.steepest) b.steepest.reset();
  if (a.least_margin && b.least_margin) b.least_margin = std::min(*a.least_margin, *b.least_margin);
  if (!a.least_margin) b.least_margin.reset();
  const RiskTier easy = TierOf(a, weights).value();
  const RiskTier grave = TierOf(b, weights).value();
  RC_ASSERT(grave.tier >= easy.tier);
  RC_ASSERT(Includes(grave.adds, easy.adds));
  const std::set<Control> already = {Control::kEscort, Control::kPathBarred};
  RC_ASSERT(Includes(WithControls(already, easy), already));
  RC_ASSERT(Includes(WithControls(already, easy), easy.adds));
  int sum = 0;
  for (const TierPart& part : grave.parts) sum += part.weight;
  RC_ASSERT(sum == grave.sum);
}

}  // namespace
}  // namespace chockwise::fit
