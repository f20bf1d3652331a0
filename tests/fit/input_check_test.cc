#include "services/fit/input_check.h"

#include <gtest/gtest.h>

#include <limits>

namespace chockwise::fit {
namespace {

TEST(InputCheck, TheFirstWrongInputIsNamedWithWhatWouldBeRight) {
  InputCheck check;
  check.Positive("wheelbase", Feet(12), UpTo{Feet(200)})
      .Positive("track", Feet(0), UpTo{Feet(30)})
      .Positive("height", Feet(-1), UpTo{Feet(30)});
  ASSERT_TRUE(check.failed());
  EXPECT_EQ(check.error(),
            (Unusable{"track", "is 0 in (0.00 m)", "above 0, up to 30 ft (9.14 m)"}));
}

TEST(InputCheck, LimitsThemselvesAreIn) {
  InputCheck check;
  check.Positive("a", Feet(200), UpTo{Feet(200)})
      .NotNegative("b", Feet(0), UpTo{Feet(1)})
      .Between("c", 3, Span{3, 3})
      .Between("d", -0.5, Span{-0.5, 0.5});
  EXPECT_FALSE(check.failed());
}

TEST(InputCheck, WhatIsNotANumberIsOutOfEveryRange) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  EXPECT_TRUE(InputCheck().Positive("a", nan, UpTo{1.0}).failed());
  EXPECT_TRUE(InputCheck().NotNegative("a", nan, UpTo{1.0}).failed());
  EXPECT_TRUE(InputCheck().Between("a", nan, Span{0.0, 1.0}).failed());
  EXPECT_TRUE(
      InputCheck().Positive("a", std::numeric_limits<double>::infinity(), UpTo{1.0}).failed());
}

TEST(InputCheck, ARefusalOfOnesOwnKeepsItsPlaceInTheOrder) {
  InputCheck check;
  check.Refuse({"a", "is wrong", "right"}).Between("b", 5, Span{0, 1});
  EXPECT_EQ(check.error().input, "a");
}

}  // namespace
}  // namespace chockwise::fit
