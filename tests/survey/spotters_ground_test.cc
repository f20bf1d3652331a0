#include "services/survey/spotters_ground.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <utility>

#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::StartsWith;

struct Asking {
  const yard::Yard& yard;
  Trip trip;
  Outcome<SpottersGround> ground;
  Way way;

  Asking(const yard::Yard& from_yard, const Trip& of)
      : yard(from_yard), trip(of), ground(SpottersGround()) {
    Readings readings(yard, At(yard).when);
    const auto route = yard.FindRoute(trip.from, trip.to);
    way = *LayOut(readings, {.route = *route, .from = trip.from});
    ground = SpottersGroundOf(readings, trip, way, fit::Feet(150));
  }
  fit::Point At_(double longitude_deg, double latitude_deg) const {
    return OnPlane(PlaneOf(yard), {.longitude_deg = longitude_deg, .latitude_deg = latitude_deg});
  }
};

const Trip kOut = TripOf("ST-101", "s1-bay-1", "s1-apron");

TEST(SpottersGround, IsBetweenTheLanesAndPlacesAndNotOffTheMap) {
  const yard::Yard yard = DemoYard();
  const Asking asking(yard, kOut);
  ASSERT_TRUE(asking.ground) << asking.ground.error().Text();
  const fit::Region& standing = asking.ground->standing;
  EXPECT_TRUE(standing.Contains(asking.At_(-39.99981, 20.000621))) << "south of the apron";
  EXPECT_FALSE(standing.Contains(asking.At_(-39.99978, 20.0006684))) << "on gate-way";
  // Gate-way is 24 ft wide: 3.66 m, 0.000033 deg; a metre beyond its edge one may stand.
  EXPECT_FALSE(standing.Contains(asking.At_(-39.99979, 20.0006684 - 0.000030)));
  EXPECT_TRUE(standing.Contains(asking.At_(-39.99979, 20.0006684 - 0.000044)));
  EXPECT_FALSE(standing.Contains(asking.At_(-39.9996655, 20.0009394))) << "in s1-bay-2";
  EXPECT_FALSE(standing.Contains(asking.At_(-39.99973, 20.000515))) << "in the fuel tank";
  EXPECT_FALSE(standing.Contains(asking.At_(-40.0001, 20.00075))) << "west of all that is drawn";
  EXPECT_FALSE(standing.Contains(asking.At_(-39.9994, 20.00044))) << "on the fire way";
  EXPECT_FALSE(asking.ground->default_lanes);
}

TEST(SpottersGround, RowsOfParkingAreForMachines) {
  const yard::Yard yard = DemoYard();
  const Asking asking(yard, TripOf("ST-101", "yard-cross", "ready-line"));
  ASSERT_TRUE(asking.ground) << asking.ground.error().Text();
  EXPECT_FALSE(asking.ground->standing.Contains(asking.At_(-39.99875, 20.00037)));
  // And they hide whoever stands behind them.
  const fit::Point corner = asking.At_(-39.9988, 20.00034);
  EXPECT_TRUE(std::ranges::any_of(asking.ground->opaque, [&](const fit::Ring& ring) {
    return std::ranges::any_of(ring, [&](fit::Point at) { return LengthM(at - corner) < 1e-6; });
  }));
}

// A lane that nobody taped counts 24 ft wide, and that is said; one that was taped long ago
// refuses.
TEST(SpottersGround, AnUntapedLaneIsWide) {
  yard::Yard yard = DemoYard([](std::string& text) {
    const size_t at = text.find("\nrow-way width");
    text.erase(at, text.find('\n', at + 1) - at);
  });
  const Asking asking(yard, kOut);
  ASSERT_TRUE(asking.ground) << asking.ground.error().Text();
  EXPECT_TRUE(asking.ground->default_lanes);
  EXPECT_EQ(kUntapedLane.feet(), 24);

  yard::Yard old = DemoYard([](std::string& text) {
    const std::string today = "row-way width,20 ft,,,petra,2026-06-18";
    text.replace(text.find(today), today.size(), "row-way width,20 ft,,,petra,2024-06-18");
  });
  const Asking stale(old, kOut);
  ASSERT_FALSE(stale.ground);
  EXPECT_EQ(stale.ground.error().sort, NoAnswer::Sort::kStale);
  EXPECT_THAT(stale.ground.error().Text(), StartsWith("width of row-way"));
}

/// How far the walls that nobody drew reach west and east of a point on door-1's line.
std::pair<double, double> ReachOf(const std::vector<fit::Ring>& walls, fit::Point middle) {
  double west_m = 0, east_m = 0;
  for (const fit::Ring& wall : walls) {
    if (std::abs(wall.front().y_m - middle.y_m) > 0.5) continue;
    for (const fit::Point at : wall) {
      const double off_m = at.x_m - middle.x_m;
      if (off_m < 0) west_m = std::max(west_m, -off_m);
      if (off_m > 0 && off_m < 17) east_m = std::max(east_m, off_m);
    }
  }
  return {west_m, east_m};
}

// East of door-1 the wall is on the map; west of it nobody drew one, and one is taken to be there
// as far as signals are read: 150 ft from the jamb.
TEST(SpottersGround, BesideADoorAWallIsTakenToBeThereWhereNoneIsDrawn) {
  const yard::Yard yard = DemoYard();
  const Asking asking(yard, kOut);
  ASSERT_TRUE(asking.ground) << asking.ground.error().Text();
  const fit::Point middle = asking.At_(-39.9998089, 20.000831);
  const auto [west_m, east_m] = ReachOf(asking.ground->assumed_walls, middle);
  EXPECT_NEAR(west_m, fit::Feet(150 + 6).metres(), 0.01);
  // Door-2 is not on the way and may be shut: its leaf and nothing before it, 15 m to the east.
  EXPECT_LT(east_m, 16.9);
  // What the map's wall leaves open at the jamb, a slip of the tracing, is closed.
  const fit::Point jamb = asking.way.doors[0].left;  // to the south the left is the east
  for (const fit::Ring& wall : asking.ground->assumed_walls) {
    if (LengthM(wall[1] - wall[0]) < 0.05) continue;
    for (const fit::Point at : wall) EXPECT_GT(LengthM(at - jamb), 0.5) << "the map has a wall";
  }
}

TEST(SpottersGround, ALaneEndsAWallThatNobodyDrew) {
  const yard::Yard yard = DemoYard();
  const Asking asking(yard, kOut);
  ASSERT_TRUE(asking.ground) << asking.ground.error().Text();
  // Bay-3-way crosses the line of doors 1 and 2; it is 6 m wide, and bay 3 has an open front.
  const fit::Point crossing = asking.At_(-39.9995222, 20.000831);
  for (const fit::Ring& wall : asking.ground->assumed_walls) {
    for (const fit::Point at : wall) EXPECT_GT(LengthM(at - crossing), 2.9);
  }
}

TEST(SpottersGround, ADoorOffTheWayMayBeShut) {
  const yard::Yard yard = DemoYard();
  const Asking asking(yard, kOut);
  ASSERT_TRUE(asking.ground) << asking.ground.error().Text();
  const fit::Point door_2 = asking.At_(-39.9996655, 20.000831);
  const fit::Point door_1 = asking.At_(-39.9998089, 20.000831);
  const auto covers = [&](fit::Point at) {
    return std::ranges::any_of(asking.ground->opaque, [&](const fit::Ring& ring) {
      return fit::Region::From({.outer = ring})->DistanceTo(at)->metres() < 0.01;
    });
  };
  EXPECT_TRUE(covers(door_2));
  EXPECT_FALSE(covers(door_1)) << "the way goes through it";
}

}  // namespace
}  // namespace chockwise::survey
