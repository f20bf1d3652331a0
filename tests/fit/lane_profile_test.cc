#include "services/fit/lane_profile.h"

#include <gtest/gtest.h>

#include <cmath>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

const std::vector<ProfilePoint> kCrest = {
    {InMetres(0), InMetres(0)}, {InMetres(30), InMetres(1.8)}, {InMetres(60), InMetres(0)}};

// Elevation off the first tangent is A·x²/(2·C).
TEST(WithVerticalCurve, StaysWithinItsErrorOfTheParabola) {
  const double half = 10;
  const auto ground = WithVerticalCurve(kCrest, {.at = InMetres(30), .length = InMetres(2 * half)});
  ASSERT_TRUE(ground);
  EXPECT_EQ(ground->front().along, kCrest.front().along);
  EXPECT_EQ(ground->back().along, kCrest.back().along);
  for (size_t i = 1; i < ground->size(); ++i) {
    const ProfilePoint& a = (*ground)[i - 1];
    const ProfilePoint& b = (*ground)[i];
    ASSERT_LT(a.along, b.along);
    const double x = 0.5 * (a.along + b.along).metres();
    const double chord = 0.5 * (a.elevation + b.elevation).metres();
    const double on = x - 20;
    const double parabola = 0.06 * x - (on > 0 && on < 2 * half ? 0.12 * on * on / (4 * half) : 0);
    if (x > 20 && x < 40) {
      EXPECT_NEAR(chord, parabola, kCurveError.metres() * 1.0001) << x;
    }
  }
}

TEST(WithVerticalCurve, ReachesToTheNeighbouringPoints) {
  const auto ground = WithVerticalCurve(kCrest, {.at = InMetres(30), .length = InMetres(60)});
  ASSERT_TRUE(ground);
  EXPECT_FALSE(Check({.ground = *ground}).has_value());
  EXPECT_NEAR(ground->back().elevation.metres(), 0, 1e-12);
}

TEST(WithVerticalCurve, NamesWhatIsSpoiled) {
  const auto of = [](double at, double length) {
    return UnusableOf(WithVerticalCurve(kCrest, {InMetres(at), InMetres(length)}));
  };
  ExpectNamed({
      {"at an end", of(0, 1), "curve at"},
      {"at no point", of(31, 1), "curve at"},
      {"length 0", of(30, 0), "curve length"},
      {"length negative", of(30, -1), "curve length"},
      {"over its neighbour", of(30, 61), "curve length"},
      {"blank", UnusableOf(WithVerticalCurve({}, {})), "profile"},
  });
}

}  // namespace
}  // namespace chockwise::fit
