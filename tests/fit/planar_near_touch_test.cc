// The predicates of flat ground, near touching, against long double: a hundred thousand cases each.
// Ground, lines and points a hair apart or overlapping by a hair, all over a large yard.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>
#include <random>

#include "services/fit/planar.h"
#include "tests/fit/long_point.h"

namespace chockwise::fit {
namespace {

#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr int kCases = 2'000;
#else
constexpr int kCases = 100'000;
#endif
constexpr double kErrorM = 1e-9;  // what the header promises of distances
/// Below it the reference itself is not sure: a few roundings of long double across the yard.
constexpr long double kBlurM = 1e-14L;

long double Separation(const Ring& a, const Ring& b) { return fit::Separation(Long(a), Long(b)); }

/// Of shapes that are apart: from every corner of each to every edge of the other.
long double Distance(const Ring& a, const Ring& b) {
  long double least = 1e30L;
  for (const auto& [one, other] : {std::pair(&a, &b), std::pair(&b, &a)}) {
    for (const Point corner : *one) {
      for (size_t i = 0; i < other->size(); ++i)
        least = std::min(least, FromSegment(Long(corner), Long((*other)[i]),
                                            Long((*other)[(i + 1) % other->size()])));
    }
  }
  return least;
}

class Draw {
 public:
  explicit Draw(unsigned long seed) : random_(seed) {}
  double Between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random_);
  }
  size_t Below(size_t n) { return static_cast<size_t>(random_() % n); }
  double Hair() {  // 1e-12 to 1 mm, to either side
    return std::pow(10.0, Between(-12, -3)) * (Below(2) == 0 ? 1 : -1);
  }

  /// A convex ring of 3 to 8 corners about a place of the yard.
  Ring Pad() {
    const double far = std::pow(10.0, Between(0, 4.5));
    const Point middle{Between(-far, far), Between(-far, far)};
    const size_t corners = 3 + Below(6);
    const double size_m = Between(0.5, 20), turned_rad = Between(0, 6);
    Ring ring;
    for (size_t i = 0; i < corners; ++i)
      ring.push_back(
          middle + size_m * Unit(turned_rad + (static_cast<double>(i) + Between(-0.3, 0.3)) * 2 *
                                                  std::numbers::pi / static_cast<double>(corners)));
    return ring;
  }

  /// A place a hair off an edge of the ring, or off a corner, and the direction outwards.
  Pose Beside(const Ring& ring) {
    const size_t i = Below(ring.size());
    const Point a = ring[i], along = ring[(i + 1) % ring.size()] - a;
    double outward_rad = std::atan2(along.y_m, along.x_m) - std::numbers::pi / 2;
    double part = Between(0, 1);
    if (Below(3) == 0) {  // at the corner, between the normals of both edges
      const Point before = a - ring[(i + ring.size() - 1) % ring.size()];
      part = 0;
      outward_rad -= Between(0, 1) * std::atan2(Cross(before, along), Dot(before, along));
    }
    return {.at = a + part * along + Hair() * Unit(outward_rad), .heading_rad = outward_rad};
  }

  /// From a place beside a ring on, away from it.
  Ring LineFrom(const Pose& beside) {
    const double reach_m = Between(0.1, 30);
    if (Below(3) == 0) {  // past it
      const Point along = Unit(beside.heading_rad + std::numbers::pi / 2);
      return {beside.at - Between(0.1, 30) * along, beside.at + reach_m * along};
    }
    return {beside.at, beside.at + reach_m * Unit(beside.heading_rad + Between(-1.5, 1.5))};
  }

  Ring PadFrom(const Pose& beside) {
    Ring ring = {beside.at};
    const double spread_rad = Between(0.1, 1.4);
    for (const double side : {-1.0, 1.0})
      ring.push_back(beside.at + Between(0.1, 20) * Unit(beside.heading_rad + side * spread_rad));
    return ring;
  }

 private:
  std::mt19937_64 random_;
};

/// What a predicate and a distance say of two shapes, held against the reference.
class Tally {
 public:
  explicit Tally(const char* name) : name_(name) {}
  ~Tally() {
    std::printf(
        "%s: %d near touching, %d apart, %d in conflict, %d blurred; worst distance %.1e m\n",
        name_, apart_ + conflict_ + blurred_, apart_, conflict_, blurred_, worst_m_);
    EXPECT_GT(apart_, kCases / 5);
    EXPECT_GT(conflict_, kCases / 5);
    EXPECT_LT(blurred_, kCases / 10);
    EXPECT_LT(worst_m_, kErrorM);
  }

  void Count(const Ring& a, const Ring& b, bool touches, std::optional<Metres> distance) {
    const long double separation = Separation(a, b);
    ASSERT_TRUE(distance);
    const Verdict verdict = Judge(distance->metres(), kErrorM);
    if (std::abs(separation) <= kBlurM) {
      ++blurred_;
      ASSERT_NE(verdict, Verdict::kClear);
    } else if (separation < 0) {
      ++conflict_;
      ASSERT_TRUE(touches) << "they overlap by " << static_cast<double>(-separation) << " m";
      ASSERT_EQ(distance->metres(), 0);
    } else {
      ++apart_;
      ASSERT_FALSE(touches) << "they are " << static_cast<double>(separation) << " m apart";
      worst_m_ =
          std::max(worst_m_, std::abs(static_cast<double>(Distance(a, b)) - distance->metres()));
    }
  }

 private:
  const char* name_;
  int apart_ = 0, conflict_ = 0, blurred_ = 0;
  double worst_m_ = 0;
};

TEST(RegionNearTouch, HoldsNoPointThatTheReferenceLeavesOut) {
  Draw draw(1);
  Tally plain("point in ground"), prepared("point in prepared ground");
  for (int i = 0; i < kCases; ++i) {
    const Ring pad = draw.Pad();
    const Point point = draw.Beside(pad).at;
    const Region region = *Region::From({.outer = pad});
    plain.Count(pad, {point}, region.Contains(point), region.DistanceTo(point));
    const PreparedRegion ready(region);
    prepared.Count(pad, {point}, ready.Contains(point), ready.DistanceTo(point));
    ASSERT_EQ(region.NearestTo(point)->distance, *region.DistanceTo(point));
  }
}

TEST(RegionNearTouch, NoPointIsInAHole) {
  Draw draw(2);
  int inside = 0, outside = 0;
  for (int i = 0; i < kCases; ++i) {
    const Ring hole = draw.Pad();
    const Point point = draw.Beside(hole).at;
    const Point far{100, 100};
    const Region ground = *Region::From({.outer = {hole[0] - far, hole[0] + Point{100, -100},
                                                   hole[0] + far, hole[0] + Point{-100, 100}},
                                         .holes = {hole}});
    const long double separation = Separation(hole, {point});
    if (std::abs(separation) <= kBlurM) continue;
    (separation < 0 ? inside : outside) += 1;
    ASSERT_EQ(ground.Contains(point), separation > 0) << i;
    ASSERT_EQ(PreparedRegion(ground).Contains(point), separation > 0) << i;
  }
  EXPECT_GT(inside, kCases / 5);
  EXPECT_GT(outside, kCases / 5);
}

TEST(RegionNearTouch, NeverClearOfALineWhereTheReferenceSaysConflict) {
  Draw draw(3);
  Tally plain("line at ground"), prepared("line at prepared ground");
  for (int i = 0; i < kCases; ++i) {
    const Ring pad = draw.Pad();
    const Ring line = draw.LineFrom(draw.Beside(pad));
    const Region region = *Region::From({.outer = pad});
    plain.Count(pad, line, region.Touches(line), region.DistanceTo(line));
    const PreparedRegion ready(region);
    prepared.Count(pad, line, ready.Touches(line), region.DistanceTo(line));
    ASSERT_EQ(region.NearestTo(line)->distance, *region.DistanceTo(line));
  }
}

TEST(RegionNearTouch, NeverClearOfGroundWhereTheReferenceSaysConflict) {
  Draw draw(4);
  Tally plain("ground at ground"), prepared("ground at prepared ground");
  for (int i = 0; i < kCases; ++i) {
    const Ring pad = draw.Pad();
    const Ring other = draw.PadFrom(draw.Beside(pad));
    const Region region = *Region::From({.outer = pad});
    const Region beside = *Region::From({.outer = other});
    plain.Count(pad, other, region.Touches(beside), region.DistanceTo(beside));
    const PreparedRegion ready(region);
    prepared.Count(pad, other, ready.Touches(beside), beside.DistanceTo(region));
    ASSERT_EQ(region.NearestTo(beside)->distance, *region.DistanceTo(beside));
  }
}

// Of two grounds that nearly touch, what both have and what one has alone make up the one, and
// nothing is common to what is apart.
TEST(RegionNearTouch, DividesGroundWithoutRemainder) {
  Draw draw(6);
  double worst_m2 = 0;
  for (int i = 0; i < kCases / 2; ++i) {
    const Ring pad = draw.Pad();
    const Ring other = draw.PadFrom(draw.Beside(pad));
    const Region region = *Region::From({.outer = pad});
    const Region beside = *Region::From({.outer = other});
    const Region common = region.CommonWith(beside);
    const double alone_m2 = region.Without(beside).AreaM2();
    const double both_m2 = Region::UnionOf({region, beside}).AreaM2();
    worst_m2 = std::max({worst_m2, std::abs(region.AreaM2() - alone_m2 - common.AreaM2()),
                         std::abs(both_m2 - alone_m2 - beside.AreaM2())});
    if (Separation(pad, other) > kErrorM) {
      ASSERT_TRUE(common.IsEmpty()) << i;
    }
  }
  std::printf("ground and ground: %d near touching, areas up to %.1e m2 off\n", kCases / 2,
              worst_m2);
  EXPECT_LT(worst_m2, 1e-6);
}

}  // namespace
}  // namespace chockwise::fit
