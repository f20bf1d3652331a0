#include "services/fit/planar.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <limits>
#include <numbers>
#include <random>
#include <thread>

namespace chockwise::fit {
namespace {

Ring Rectangle(Point corner, Point size) {
  return {corner, corner + Point{size.x_m, 0}, corner + size, corner + Point{0, size.y_m}};
}

Region Ground(const Outline& outline) {
  const Outcome<Region> region = Region::From(outline);
  EXPECT_TRUE(region) << (region ? "" : region.error().problem);
  return region ? *region : Region();
}

Region Ground(Point corner, Point size) { return Ground({.outer = Rectangle(corner, size)}); }

TEST(Region, IsNothingByDefault) {
  const Region nothing;
  EXPECT_TRUE(nothing.IsEmpty());
  EXPECT_EQ(nothing.AreaM2(), 0);
  EXPECT_TRUE(nothing.Outlines().empty());
  EXPECT_FALSE(nothing.Contains({0, 0}));
  EXPECT_FALSE(nothing.DistanceTo(Point{0, 0}));
  EXPECT_FALSE(nothing.NearestTo(Ground({0, 0}, {1, 1})));
  EXPECT_FALSE(PreparedRegion(nothing).Contains(Point{0, 0}));
  EXPECT_FALSE(PreparedRegion(nothing).DistanceTo({0, 0}));
  EXPECT_TRUE(nothing.Grown(InMetres(1))->IsEmpty());
  EXPECT_TRUE(Region::UnionOf({}).IsEmpty());
}

TEST(Region, HasItsHoles) {
  const Region yard =
      Ground({.outer = Rectangle({0, 0}, {10, 10}), .holes = {Rectangle({4, 4}, {2, 3})}});
  EXPECT_DOUBLE_EQ(yard.AreaM2(), 94);
  EXPECT_TRUE(yard.Contains({1, 1}));
  EXPECT_TRUE(yard.Contains({0, 5}));  // the edge belongs to it
  EXPECT_FALSE(yard.Contains({5, 5}));
  EXPECT_DOUBLE_EQ(yard.DistanceTo(Point{5, 5.5})->metres(), 1);
  const PreparedRegion prepared(yard);
  EXPECT_TRUE(prepared.Contains(Point{1, 1}));
  EXPECT_FALSE(prepared.Contains(Point{5, 5}));
  EXPECT_DOUBLE_EQ(prepared.DistanceTo({5, 5.5})->metres(), 1);
  EXPECT_TRUE(prepared.Touches(Line{{5, 5}, {5, 20}}));
  EXPECT_FALSE(prepared.Touches(Line{{5, 5}, {5, 6}}));
}

TEST(Region, OutlinesComeOrdered) {
  const Region both = Region::UnionOf({Ground({20, 0}, {1, 1}), Ground({0, 0}, {2, 2})});
  const std::vector<Outline> outlines = both.Outlines();
  ASSERT_EQ(outlines.size(), 2u);
  EXPECT_EQ(outlines[0].outer, (Ring{{0, 0}, {2, 0}, {2, 2}, {0, 2}}));
  EXPECT_EQ(outlines[1].outer, (Ring{{20, 0}, {21, 0}, {21, 1}, {20, 1}}));
  Ring backwards = Rectangle({0, 0}, {2, 2});
  std::reverse(backwards.begin(), backwards.end());
  EXPECT_EQ(Ground({.outer = backwards}).Outlines()[0].outer, outlines[0].outer);
}

TEST(Region, UnitesTakesAwayAndOverlaps) {
  const Region left = Ground({0, 0}, {4, 4});
  const Region right = Ground({3, 0}, {4, 4});
  EXPECT_DOUBLE_EQ(Region::UnionOf({left, right}).AreaM2(), 28);
  EXPECT_DOUBLE_EQ(left.CommonWith(right).AreaM2(), 4);
  EXPECT_DOUBLE_EQ(left.Without(right).AreaM2(), 12);
  EXPECT_TRUE(left.Touches(right));
  EXPECT_TRUE(left.CommonWith(Ground({4, 0}, {1, 1})).IsEmpty());  // they only touch
  EXPECT_TRUE(left.Touches(Ground({4, 0}, {1, 1})));
  EXPECT_FALSE(left.Touches(Ground({4.001, 0}, {1, 1})));
  EXPECT_DOUBLE_EQ(left.Without(Region()).AreaM2(), 16);
  EXPECT_EQ(left.Without(Ground({1, 1}, {1, 1})).Outlines()[0].holes.size(), 1u);
}

TEST(Region, SaysHowFarAndWhere) {
  const Region wall = Ground({5, -1}, {1, 2});
  EXPECT_DOUBLE_EQ(wall.DistanceTo(Ground({0, -1}, {2, 2}))->metres(), 3);
  const auto nearest = wall.NearestTo(Point{0, 0.5});
  ASSERT_TRUE(nearest);
  EXPECT_EQ(nearest->here, (Point{5, 0.5}));
  EXPECT_EQ(nearest->there, (Point{0, 0.5}));
  EXPECT_DOUBLE_EQ(nearest->distance.metres(), 5);
  EXPECT_DOUBLE_EQ(wall.DistanceTo(Line{{0, 5}, {10, 5}})->metres(), 4);
  EXPECT_DOUBLE_EQ(wall.NearestTo(Line{{0, 5}, {5.5, 3}})->distance.metres(), 2);
}

TEST(Region, HullHoldsAll) {
  const auto hull = Region::Hull({{0, 0}, {4, 0}, {4, 4}, {0, 4}, {1, 2}, {3, 1}});
  ASSERT_TRUE(hull);
  EXPECT_DOUBLE_EQ(hull->AreaM2(), 16);
  EXPECT_FALSE(Region::Hull({{0, 0}, {1, 1}, {2, 2}}));
  EXPECT_FALSE(Region::Hull({{0, 0}, {0, 0}, {0, 0}}));
}

double LineDistanceM(const Line& line, Point from) {
  double nearest_m = std::numeric_limits<double>::infinity();
  for (size_t i = 0; i + 1 < line.size(); ++i) {
    const Point along = line[i + 1] - line[i];
    const double part = std::clamp(Dot(from - line[i], along) / Dot(along, along), 0.0, 1.0);
    nearest_m = std::min(nearest_m, LengthM(from - (line[i] + part * along)));
  }
  return nearest_m;
}

// No point within the width is ever left out, none far beyond is ever taken in.
TEST(Region, AroundIsNeverTooSmall) {
  std::mt19937_64 random(7);
  std::uniform_real_distribution<double> place(-20, 20), angle(0, 2 * std::numbers::pi);
  int asked = 0;
  for (int round = 0; round < 200; ++round) {
    Line line;
    for (int i = 0; i < 2 + round % 5; ++i) line.push_back({place(random), place(random)});
    const double by_m = 0.5 + 0.01 * round;
    const Outcome<Region> around = Region::Around(line, InMetres(by_m));
    ASSERT_TRUE(around);
    const PreparedRegion prepared(*around);
    for (const Point corner : line) {
      for (int i = 0; i < 50; ++i) {
        ASSERT_TRUE(prepared.Contains(corner + by_m * Unit(angle(random))));
        ++asked;
      }
    }
    for (const Outline& outline : around->Outlines()) {
      for (const Point corner : outline.outer) {
        const double nearest_m = LineDistanceM(line, corner);
        ASSERT_GE(nearest_m, by_m);
        ASSERT_LE(nearest_m, by_m * 1.0013);
      }
    }
  }
  RecordProperty("points", asked);
}

TEST(Region, InsetLeavesTheEdgeAtLeastSoFar) {
  const Region pad = Ground({.outer = {{0, 0}, {10, 0}, {10, 10}, {5, 4}, {0, 10}}});
  const Outcome<Region> inside = pad.Inset(InMetres(1));
  ASSERT_TRUE(inside);
  const Ring edge = pad.Outlines()[0].outer;
  Line closed = edge;
  closed.push_back(edge.front());
  EXPECT_GE(inside->DistanceTo(closed)->metres(), 1);
  EXPECT_LE(inside->DistanceTo(closed)->metres(), 1.0013);
  EXPECT_TRUE(pad.Inset(InMetres(20))->IsEmpty());
}

// Ground of few corners: what is well inside stays, however few.
TEST(Region, InsetKeepsWhatIsFarFromTheEdge) {
  const Region seen = Ground({.outer = {{-0.92430465329908129, 14.702381825102682},
                                        {0.017131618182625374, 10.425846188379985},
                                        {0.6602295709109347, 10.390826262380946},
                                        {2.7533199035972, 15.128190065624858},
                                        {2.1939968776869225, 15.121486447795567},
                                        {0.99859950591495306, 15.028735985877827},
                                        {-0.18817225787671532, 14.858001381031332}}});
  EXPECT_NEAR(seen.Inset(InMetres(1.05))->AreaM2(), 0.43, 0.02);  // by Shapely
  std::mt19937_64 random(11);
  std::uniform_real_distribution<double> place(0, 10), share(0.05, 0.97);
  int asked = 0;
  while (asked < 5'000) {
    std::vector<Point> corners;
    for (int i = 0; i < 3 + asked % 6; ++i) corners.push_back({place(random), place(random)});
    const Region ground = *Region::Hull(corners);
    const Point middle = {place(random), place(random)};
    Line edge = ground.Outlines()[0].outer;
    edge.push_back(edge.front());
    const double off_m = ground.Contains(middle) ? LineDistanceM(edge, middle) : 0;
    if (off_m < 0.1) continue;
    ++asked;
    const Metres by = InMetres(off_m * share(random));
    ASSERT_TRUE(ground.Inset(by)->Contains(middle)) << asked;
    ASSERT_FALSE(Region::Around(edge, by)->Contains(middle)) << asked;
  }
}

TEST(Region, OnePointGivesADisc) {
  const Outcome<Region> disc = Region::Around({{3, 4}}, InMetres(2));
  ASSERT_TRUE(disc);
  EXPECT_GT(disc->AreaM2(), 4 * std::numbers::pi);
  EXPECT_LT(disc->AreaM2(), 4 * std::numbers::pi * 1.0013 * 1.0013);
}

struct BadRing {
  const char* name;
  Outline outline;
  const char* problem;
};
void PrintTo(const BadRing& row, std::ostream* out) { *out << row.name; }
class RegionRefuses : public testing::TestWithParam<BadRing> {};

TEST_P(RegionRefuses, AndNamesTheFault) {
  const Outcome<Region> region = Region::From(GetParam().outline);
  ASSERT_FALSE(region);
  EXPECT_EQ(region.error().input, "ring");
  EXPECT_NE(region.error().problem.find(GetParam().problem), std::string::npos)
      << region.error().problem;
}

constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
INSTANTIATE_TEST_SUITE_P(
    Rings, RegionRefuses,
    testing::Values(BadRing{"none", {.outer = {}}, "0 corners"},
                    BadRing{"two corners", {.outer = {{0, 0}, {1, 0}}}, "2 corners"},
                    BadRing{"flat", {.outer = {{0, 0}, {1, 0}, {2, 0}}}, "no ground"},
                    BadRing{"bow tie", {.outer = {{0, 0}, {2, 3}, {2, 0}, {0, 2}}}, "crosses"},
                    BadRing{"not a number", {.outer = {{0, 0}, {1, 0}, {kNan, 1}}}, "corner 3"},
                    BadRing{"infinite", {.outer = {{0, 0}, {1e308 * 10, 0}, {1, 1}}}, "corner 2"},
                    BadRing{"too far", {.outer = {{0, 0}, {1e9, 0}, {1, 1}}}, "corner 2"},
                    BadRing{
                        "hole outside",
                        {.outer = Rectangle({0, 0}, {1, 1}), .holes = {Rectangle({5, 5}, {1, 1})}},
                        "hole"},
                    BadRing{"hole without corners",
                            {.outer = Rectangle({0, 0}, {1, 1}), .holes = {Ring{}}},
                            "0 corners"}));

TEST(Region, RefusesWidthsAndLinesThatAreNone) {
  EXPECT_EQ(Region::Around({{0, 0}, {1, 0}}, Metres()).error().input, "width");
  EXPECT_EQ(Region::Around({{0, 0}, {1, 0}}, InMetres(-1)).error().input, "width");
  EXPECT_EQ(Region::Around({{0, 0}, {1, 0}}, InMetres(1e7)).error().input, "width");
  EXPECT_EQ(Region::Around({}, InMetres(1)).error().input, "line");
  EXPECT_EQ(Region::Around({{kNan, 0}}, InMetres(1)).error().input, "line");
  EXPECT_EQ(Ground({0, 0}, {1, 1}).Grown(Metres()).error().input, "width");
  EXPECT_EQ(Ground({0, 0}, {1, 1}).Inset(InMetres(-2)).error().input, "width");
}

TEST(Region, APointThatIsNotFiniteIsABug) {
  EXPECT_DEATH(Ground({0, 0}, {1, 1}).Contains({kNan, 0}), "not finite");
}

TEST(Region, MayBeSharedByThreads) {
  const Region pad = Ground({0, 0}, {10, 10});
  std::vector<std::thread> threads;
  std::vector<double> areas(4);
  for (size_t i = 0; i < areas.size(); ++i) {
    threads.emplace_back([&pad, &areas, i] {
      for (int round = 0; round < 50; ++round)
        areas[i] = pad.Without(Ground({1, 1}, {1.0 + static_cast<double>(i), 1})).AreaM2();
    });
  }
  for (std::thread& thread : threads) thread.join();
  for (size_t i = 0; i < areas.size(); ++i) EXPECT_DOUBLE_EQ(areas[i], 99 - static_cast<double>(i));
}

}  // namespace
}  // namespace chockwise::fit
