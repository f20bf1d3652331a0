#include "services/yard/plane.h"

#include <gtest/gtest.h>

#include <array>
#include <cmath>
#include <random>

namespace chockwise::yard {
namespace {

const Rings kSquareWithHole = {{{0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0}},
                               {{4, 4}, {6, 4}, {6, 6}, {4, 6}, {4, 4}}};

struct Touch {
  const char* name;
  std::vector<Point> line;
  bool touches;
};

TEST(Touches, LinesAndPointsAgainstASquareWithAHole) {
  for (const Touch& row : {
           Touch{"through", {{-5, 5}, {15, 5}}, true},
           Touch{"inside", {{1, 1}, {2, 2}}, true},
           Touch{"starts inside", {{1, 1}, {50, 50}}, true},
           Touch{"over a corner", {{-1, 1}, {1, -1}}, true},
           Touch{"past a corner", {{-1, 0.8}, {0.8, -1}}, false},
           Touch{"within the margin", {{-5, -0.09}, {15, -0.09}}, true},
           Touch{"beyond the margin", {{-5, -0.11}, {15, -0.11}}, false},
           Touch{"along an edge", {{2, 0}, {3, 0}}, true},
           Touch{"in the hole", {{4.5, 5}, {5.5, 5}}, false},
           Touch{"out of the hole", {{5, 5}, {5, 7}}, true},
           Touch{"the hole's edge", {{4.5, 5}, {5.95, 5}}, true},
           Touch{"point inside", {{1, 1}}, true},
           Touch{"point on the edge", {{0, 5}}, true},
           Touch{"point in the hole", {{5, 5}}, false},
           Touch{"point outside", {{-1, 5}}, false},
       }) {
    EXPECT_EQ(Touches(row.line, kSquareWithHole, 0.1), row.touches) << row.name;
  }
}

TEST(Ring, CrossingAndArea) {
  EXPECT_TRUE(CrossesItself({{0, 0}, {10, 10}, {10, 0}, {0, 10}, {0, 0}}));
  EXPECT_FALSE(CrossesItself({{0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0}}));
  EXPECT_FALSE(CrossesItself({{0, 0}, {10, 0}, {5, 5}, {10, 10}, {0, 10}, {0, 0}}));
  EXPECT_DOUBLE_EQ(AreaM2({{0, 0}, {10, 0}, {10, 10}, {0, 10}, {0, 0}}), 100);
  EXPECT_DOUBLE_EQ(AreaM2({{0, 0}, {0, 10}, {10, 10}, {0, 0}}), 50);
}

TEST(NearestOnLine, FootAndFraction) {
  const std::vector<Point> line = {{0, 0}, {10, 0}, {10, 10}};
  const Foot foot = NearestOnLine({11, 4}, line);
  EXPECT_DOUBLE_EQ(foot.distance_m, 1);
  EXPECT_EQ(foot.segment, 1u);
  EXPECT_DOUBLE_EQ(foot.fraction, 0.4);
  EXPECT_DOUBLE_EQ(NearestOnLine({-3, 4}, line).distance_m, 5);  // before the start: the start
}

/// The straight line between two positions through the ellipsoid: for neighbours as long as the way
/// over it.
double ChordM(const Position& a, const Position& b) {
  const auto at = [](const Position& p) {
    constexpr double kSemiMajorM = 6'378'137.0, kE2 = 0.00669437999014;
    const double lat = p.latitude_deg * M_PI / 180, lon = p.longitude_deg * M_PI / 180;
    const double n = kSemiMajorM / std::sqrt(1 - kE2 * std::sin(lat) * std::sin(lat));
    const double h = p.elevation_m.value_or(0);
    return std::array{(n + h) * std::cos(lat) * std::cos(lon),
                      (n + h) * std::cos(lat) * std::sin(lon), (n * (1 - kE2) + h) * std::sin(lat)};
  };
  const auto p = at(a), q = at(b);
  return std::hypot(p[0] - q[0], p[1] - q[1], p[2] - q[2]);
}

// The error that the header states, against a second way to compute the same: earth-centred
// coordinates.
TEST(Plane, ErrorStaysBelowWhatTheHeaderStates) {
  std::mt19937_64 random(3);
  std::uniform_real_distribution<double> unit(-1, 1);
  for (int round = 0; round < 20'000; ++round) {
    const double latitude = unit(random) * 70;
    const Position origin{.longitude_deg = 20, .latitude_deg = latitude};
    const Plane here(origin);
    const Position a{.longitude_deg = 20 + unit(random) * 0.05,
                     .latitude_deg = latitude + unit(random) * 0.05};
    const Position b{.longitude_deg = a.longitude_deg + unit(random) * 0.001,
                     .latitude_deg = a.latitude_deg + unit(random) * 0.001};
    const double chord_m = ChordM(a, b);
    const double reach_m = DistanceM(here.At(a), {}) + 200;
    const double bound =
        reach_m / 6'371'000 * (std::tan(std::abs(latitude) * M_PI / 180) + 0.02) * 1.1 + 1e-6;
    ASSERT_LE(std::abs(DistanceM(here.At(a), here.At(b)) - chord_m), bound * chord_m + 1e-6)
        << latitude;
  }
}

TEST(LengthsAlong, CountTheSlope) {
  const std::vector<Position> line = {
      {.longitude_deg = 7, .latitude_deg = 50, .elevation_m = 100},
      {.longitude_deg = 7, .latitude_deg = 50.0001, .elevation_m = 105},
      {.longitude_deg = 7.0002, .latitude_deg = 50.0001, .elevation_m = 105}};
  const auto lengths_m = LengthsAlongM(line);
  EXPECT_EQ(lengths_m[0], 0);
  EXPECT_NEAR(lengths_m[1], ChordM(line[0], line[1]), 1e-3);
  EXPECT_NEAR(lengths_m[2], ChordM(line[0], line[1]) + ChordM(line[1], line[2]), 1e-3);
}

}  // namespace
}  // namespace chockwise::yard
