#include "services/fit/chord.h"

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

#include "tests/fit/long_point.h"
#include "tests/fit/near_limit.h"

namespace chockwise::fit {
namespace {

// A triangle of 3, 4 and 5 beside and beyond a piece from (0, 0) to (10, 0).
TEST(FromChordM, BesideBehindAndBeyond) {
  EXPECT_DOUBLE_EQ(FromChordM({4, 3}, {0, 0}, {10, 0}), 3);
  EXPECT_DOUBLE_EQ(FromChordM({-3, 4}, {0, 0}, {10, 0}), 5);
  EXPECT_DOUBLE_EQ(FromChordM({13, -4}, {0, 0}, {10, 0}), 5);
  EXPECT_DOUBLE_EQ(FromChordM({13, -4}, {10, 0}, {10, 0}), 5) << "a piece of one point";
}

TEST(FromRayM, GoesOnWithoutEnd) {
  EXPECT_DOUBLE_EQ(FromRayM({1e6, 3}, {0, 0}, {1, 0}), 3);
  EXPECT_DOUBLE_EQ(FromRayM({-3, 4}, {0, 0}, {1, 0}), 5);
}

/// What "a few roundings of the coordinates" is.
double FewRoundings(Point a, Point b, Point c) {
  double most = 0;
  for (const Point point : {a, b, c})
    most = std::max({most, std::abs(point.x_m), std::abs(point.y_m)});
  return 8 * most * 0x1p-52;
}

/// A reach that the distance is within a hair of, and the verdicts on it.
class Reach {
 public:
  void Judge(double ours, long double truly, double error, Dice& dice) {
    const double reach = static_cast<double>(truly) + dice.Hair(-15, -3);
    tally_.Add(fit::Judge(ours - reach, error), truly - static_cast<long double>(reach));
    ASSERT_LE(std::abs(ours - truly), error);
    if (error > 0) worst_ = std::max(worst_, static_cast<double>(std::abs(ours - truly)) / error);
  }
  void Say(const char* name) const {
    std::printf("%s: %d clear, %d conflict, %d undecided; worst %.2f of the stated error\n", name,
                tally_.clear, tally_.conflict, tally_.undecided, worst_);
    tally_.ExpectAllKinds();
  }

 private:
  NearLimitTally tally_;
  double worst_ = 0;
};

TEST(FromChordM, NeverClearWhereTheReferenceSaysConflict) {
  Dice dice;
  Reach reach;
  for (int at = 0; at < kNearLimitCases; ++at) {
    const double far = std::pow(10.0, dice.Between(0, 4.5));
    const Point from{dice.Between(-far, far), dice.Between(-far, far)};
    const double heading = dice.Between(0, 6.3), length = std::pow(10.0, dice.Between(-3, 2));
    const Point to = dice.Below(20) == 0 ? from : from + length * Unit(heading);
    // On the piece, beside it by a hair or by metres, or behind either end.
    const Point point = from + dice.Between(-0.5, 1.5) * (to - from) +
                        dice.Hair(-9, 1.5) * Unit(heading + std::acos(-1.0) / 2);
    reach.Judge(FromChordM(point, from, to), FromSegment(Long(point), Long(from), Long(to)),
                FewRoundings(point, from, to), dice);
  }
  reach.Say("point and chord");
}

TEST(FromRayM, NeverClearWhereTheReferenceSaysConflict) {
  Dice dice;
  Reach reach;
  for (int at = 0; at < kNearLimitCases; ++at) {
    const double far = std::pow(10.0, dice.Between(0, 4.5));
    const Point from{dice.Between(-far, far), dice.Between(-far, far)};
    const double heading = dice.Between(0, 6.3);
    const Point along = Unit(heading);
    const Point point = from + dice.Between(-20, 200) * along +
                        dice.Hair(-9, 1.5) * Unit(heading + std::acos(-1.0) / 2);
    const LongPoint off = Long(point) - Long(from), way = Long(along);
    const long double part = std::max(0.0L, Dot(off, way) / Dot(way, way));
    const LongPoint apart = off - LongPoint{part * way.x, part * way.y};
    // Of a ray the way along it is a coordinate, too.
    reach.Judge(FromRayM(point, from, along), std::sqrt(Dot(apart, apart)),
                FewRoundings(point, from, {LengthM(point - from), 0}), dice);
  }
  reach.Say("point and ray");
}

}  // namespace
}  // namespace chockwise::fit
