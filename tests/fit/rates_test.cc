#include "services/fit/rates.h"

#include <gtest/gtest.h>

#include <cmath>
#include <limits>

namespace chockwise::fit {
namespace {

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();

TEST(Rates, AnIntervalHoldsWhatWasSeenAndNarrowsWithMore) {
  double before = 1;
  for (const int64_t of : {8, 80, 800, 8'000, 80'000'000}) {
    const auto share = ShareInterval({.times = of / 4, .of = of});
    EXPECT_LT(share->low, 0.25);
    EXPECT_GT(share->high, 0.25);
    EXPECT_LT(share->high - share->low, before);
    before = share->high - share->low;
  }
  before = 10;
  for (const int64_t events : {1, 10, 100, 1'000'000}) {
    const auto count = CountInterval({.events = events});
    const double seen = static_cast<double>(events);
    EXPECT_LT(count->low, seen);
    EXPECT_GT(count->high, seen);
    EXPECT_LT((count->high - count->low) / seen, before);
    before = (count->high - count->low) / seen;
  }
}

TEST(Rates, SuccessAndFailureMirrorEachOther) {
  for (int64_t times = 0; times <= 40; ++times) {
    const auto share = ShareInterval({.times = times, .of = 40});
    const auto other = ShareInterval({.times = 40 - times, .of = 40});
    EXPECT_NEAR(share->low, 1 - other->high, 1e-15) << times;
    EXPECT_GE(share->low, 0);
    EXPECT_LE(share->high, 1);
  }
}

TEST(Rates, MoreConfidenceLeavesMoreOpen) {
  for (const double confidence : {0.5, 0.9, 0.99}) {
    const auto share = ShareInterval({.times = 3, .of = 17, .confidence = confidence});
    const auto wider = ShareInterval({.times = 3, .of = 17, .confidence = confidence + 0.009});
    EXPECT_GT(share->low, wider->low);
    EXPECT_LT(share->high, wider->high);
    const auto count = CountInterval({.events = 3, .confidence = confidence});
    const auto wide = CountInterval({.events = 3, .confidence = confidence + 0.009});
    EXPECT_GT(count->low, wide->low);
    EXPECT_LT(count->high, wide->high);
  }
}

TEST(Rates, WhatCannotBeIsRefusedByName) {
  EXPECT_EQ(ShareInterval({.times = 0, .of = 0}).error().input, "of");
  EXPECT_EQ(ShareInterval({.times = 0, .of = -3}).error().input, "of");
  EXPECT_EQ(ShareInterval({.times = 5, .of = 4}).error().input, "times");
  EXPECT_EQ(ShareInterval({.times = -1, .of = 4}).error().input, "times");
  for (const double confidence : {kNan, 0.0, -1.0, 1.0, 95.0}) {
    EXPECT_EQ(ShareInterval({.times = 1, .of = 4, .confidence = confidence}).error().input,
              "confidence");
    EXPECT_EQ(CountInterval({.events = 1, .confidence = confidence}).error().input, "confidence");
  }
  EXPECT_EQ(CountInterval({.events = -1}).error().input, "events");
}

TEST(Rates, FewEventsAreACountAndNoRate) {
  EXPECT_EQ(ShareText(4, 40), "4 of 40");
  EXPECT_EQ(ShareText(12, 40), "12 of 40: 30 % (18 to 46 %)");
  EXPECT_EQ(ShareText(40, 40), "40 of 40: 100 % (91 to 100 %)");
  EXPECT_EQ(ShareText(0, 0), "0 of 0");
  EXPECT_EQ(RateText(4, 160), "4 in 160 moves");
  EXPECT_EQ(RateText(12, 160), "12 in 160 moves: 75 per 1,000 (38 to 132)");
  EXPECT_EQ(RateText(7, 0), "7 in 0 moves");
}

}  // namespace
}  // namespace chockwise::fit
