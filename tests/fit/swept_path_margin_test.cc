// The predicates that decide clear or conflict, near touching, against long double.
#include "services/fit/swept_path_margin.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>
#include <random>

#include "tests/fit/long_point.h"

namespace chockwise::fit {
namespace {

constexpr int kCases = 100'000;
constexpr double kErrorM = 1e-9;  // what the header promises

bool Meet(LongPoint a, LongPoint b, LongPoint c, LongPoint d) {
  const long double c_side = Cross(b - a, c - a), d_side = Cross(b - a, d - a);
  const long double a_side = Cross(d - c, a - c), b_side = Cross(d - c, b - c);
  return (c_side > 0) != (d_side > 0) && (a_side > 0) != (b_side > 0);
}

long double BetweenSegments(LongPoint a, LongPoint b, LongPoint c, LongPoint d) {
  if (Meet(a, b, c, d)) return 0;
  return std::min(
      {FromSegment(a, c, d), FromSegment(b, c, d), FromSegment(c, a, b), FromSegment(d, a, b)});
}

/// Distance of a box from a segment; 0 where they touch or overlap.
long double Reference(const RoundedBox& box, const AxleFrame& at, const Segment& segment) {
  const LongPoint along = Long(at.along);
  const long double norm = std::sqrt(Dot(along, along));
  const auto corner = [&](double ahead, double left) {
    const long double x = box.middle.x_m + static_cast<long double>(ahead);
    const long double y = box.middle.y_m + static_cast<long double>(left);
    return LongPoint{at.at.x_m + (x * along.x - y * along.y) / norm,
                     at.at.y_m + (x * along.y + y * along.x) / norm};
  };
  const LongPoint corners[] = {
      corner(box.half_length_m, box.half_width_m), corner(-box.half_length_m, box.half_width_m),
      corner(-box.half_length_m, -box.half_width_m), corner(box.half_length_m, -box.half_width_m)};
  const LongPoint from = Long(segment.from), to = Long(segment.to);
  bool inside = true;
  long double least = 1e30L;
  for (int i = 0; i < 4; ++i) {
    const LongPoint a = corners[i], b = corners[(i + 1) % 4];
    inside = inside && Cross(b - a, from - a) >= 0;
    least = std::min(least, BetweenSegments(a, b, from, to));
  }
  return inside ? 0 : std::max(least - box.radius_m, 0.0L);
}

/// Random boxes all over a large yard, and segments that start a hair off their edge.
class NearTouching {
 public:
  explicit NearTouching(unsigned long seed) : random_(seed) {}
  double Between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random_);
  }
  double Hair() {  // 1e-12 to 1 mm, to either side
    const double size = std::pow(10.0, Between(-12, -3));
    return random_() % 2 == 0 ? size : -size;
  }
  AxleFrame Frame() {
    const double far = std::pow(10.0, Between(0, 5));
    return {.at = {Between(-far, far), Between(-far, far)}, .along = Unit(Between(-4, 4))};
  }
  RoundedBox Box() {
    return {.middle = {Between(-4, 4), Between(-1, 1)},
            .half_length_m = Between(0.1, 9),
            .half_width_m = Between(0.1, 2)};
  }
  Segment SegmentNear(const RoundedBox& box, const AxleFrame& at) {
    const double hair_m = Hair();
    const double side = random_() % 2 == 0 ? 1 : -1;
    Point edge = box.middle;
    double outward_rad = 0;
    switch (random_() % 3) {
      case 0:  // a long side
        edge = edge + Point{Between(-1, 1) * box.half_length_m, side * (box.half_width_m + hair_m)};
        outward_rad = side * std::numbers::pi / 2;
        break;
      case 1:  // an end
        edge = edge + Point{side * (box.half_length_m + hair_m), Between(-1, 1) * box.half_width_m};
        outward_rad = side > 0 ? 0 : std::numbers::pi;
        break;
      default: {  // past a corner
        const Point corner = box.middle + Point{side * box.half_length_m, box.half_width_m};
        outward_rad = side > 0 ? Between(0, 1.57) : Between(1.57, 3.14);
        edge = corner + hair_m * Unit(outward_rad);
        const Point along{-std::sin(outward_rad), std::cos(outward_rad)};
        return {Place(at, edge - Between(0, 30) * along), Place(at, edge + Between(0, 30) * along)};
      }
    }
    return {Place(at, edge),
            Place(at, edge + Between(0, 30) * Unit(outward_rad + Between(-1.5, 1.5)))};
  }

 private:
  std::mt19937_64 random_;
};

TEST(GapBetween, NeverClearWhereTheReferenceSaysConflict) {
  NearTouching near(101);
  int conflicts = 0, undecided = 0, clear = 0;
  double worst_m = 0;
  for (int i = 0; i < kCases; ++i) {
    const RoundedBox box = near.Box();
    const AxleFrame at = near.Frame();
    const Segment segment = near.SegmentNear(box, at);
    const double gap_m = GapBetween(box, at, segment).gap_m;
    const long double reference_m = Reference(box, at, segment);
    const Verdict verdict = Judge(gap_m, kErrorM);
    if (reference_m == 0) {
      ++conflicts;
      ASSERT_NE(verdict, Verdict::kClear) << i << " gap " << gap_m;
    } else {
      ASSERT_NE(verdict, Verdict::kConflict) << i << " gap " << gap_m;
      worst_m =
          std::max(worst_m, std::abs(static_cast<double>(reference_m - std::max(gap_m, 0.0))));
    }
    undecided += verdict == Verdict::kUndecided;
    clear += verdict == Verdict::kClear;
  }
  std::printf(
      "box to segment: %d near touching, %d in conflict, %d clear, %d undecided, worst %.1e m\n",
      kCases, conflicts, clear, undecided, worst_m);
  EXPECT_LT(worst_m, kErrorM);
  EXPECT_GT(conflicts, 20'000);
  EXPECT_GT(clear, 20'000);
}

TEST(GapBetween, RoundEdgesReachFarther) {
  const RoundedBox ring{.middle = {1, 0}, .radius_m = 3};
  const AxleFrame at{.at = {0, 0}, .along = {0, 1}};
  EXPECT_DOUBLE_EQ(GapBetween(ring, at, {{5, 1}, {9, 1}}).gap_m, 2);
  EXPECT_DOUBLE_EQ(GapBetween(ring, at, {{2, 1}, {9, 1}}).gap_m, -1);
}

TEST(GapOfWay, NeverClearWhereTheReferenceSaysConflict) {
  NearTouching near(202);
  int conflicts = 0;
  double worst_m = 0;
  for (int i = 0; i < kCases; ++i) {
    const AxleFrame at = near.Frame();
    const Point on_way = at.at + near.Hair() * Unit(near.Between(-4, 4));
    const Segment way{at.at - near.Between(0, 0.1) * at.along,
                      at.at + near.Between(0, 0.1) * at.along};
    const double turned_rad = near.Between(-3.14, 3.14);
    const Segment segment{on_way, on_way + near.Between(0, 20) * Unit(turned_rad)};
    const double gap_m = GapOfWay(way, segment).gap_m;
    const long double reference_m =
        BetweenSegments(Long(way.from), Long(way.to), Long(segment.from), Long(segment.to));
    const Verdict verdict = Judge(gap_m, kErrorM);
    if (reference_m == 0) {
      ++conflicts;
      ASSERT_NE(verdict, Verdict::kClear) << i << " gap " << gap_m;
    } else {
      ASSERT_NE(verdict, Verdict::kConflict) << i << " gap " << gap_m;
      worst_m = std::max(worst_m, std::abs(static_cast<double>(reference_m) - std::abs(gap_m)));
    }
  }
  std::printf("way to segment: %d near touching, %d in conflict, worst %.1e m\n", kCases, conflicts,
              worst_m);
  EXPECT_LT(worst_m, kErrorM);
  EXPECT_GT(conflicts, 10'000);
}

// Branch and bound against every step and every way between two.
TEST(Approach, FindsWhatTryingEveryStepFinds) {
  NearTouching near(303);
  for (int round = 0; round < 2000; ++round) {
    std::vector<AxleFrame> frames = {{.at = {0, 0}, .along = {1, 0}}};
    double heading_rad = 0;
    for (int i = 0; i < 200; ++i) {
      heading_rad += near.Between(-0.02, 0.03);
      frames.push_back(
          {.at = frames.back().at + 0.1 * Unit(heading_rad), .along = Unit(heading_rad)});
    }
    const RoundedBox box = near.Box();
    const Point start{near.Between(-20, 30), near.Between(-20, 30)};
    const Segment segment{start, start + near.Between(0, 15) * Unit(near.Between(-4, 4))};
    std::optional<MovingBox::Nearest> nearest;
    MovingBox(box, frames).Approach(segment, nearest);
    double least_m = 1e9;
    for (size_t i = 0; i < frames.size(); ++i) {
      least_m = std::min(least_m, GapBetween(box, frames[i], segment).gap_m);
      if (i + 1 == frames.size()) continue;
      for (const double ahead : {box.half_length_m, -box.half_length_m}) {
        for (const double left : {box.half_width_m, -box.half_width_m}) {
          const Point corner = box.middle + Point{ahead, left};
          least_m = std::min(
              least_m,
              GapOfWay({Place(frames[i], corner), Place(frames[i + 1], corner)}, segment).gap_m);
        }
      }
    }
    // A depth is looked for to 1 cm; what lies between two steps of a conflict is no deeper news.
    ASSERT_NEAR(nearest->gap.gap_m, least_m, least_m < 0 ? 0.011 : kFoundToM) << round;
    ASSERT_EQ(nearest->gap.gap_m < 0, least_m < 0) << round;
  }
}

}  // namespace
}  // namespace chockwise::fit
