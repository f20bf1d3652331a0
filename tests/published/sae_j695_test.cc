// Society of Automotive Engineers J695, turning ability and off-tracking: the sheet's formula for
// the maximum off-track of a tractor and semitrailer, and the closed forms of off-tracking that the
// trade uses beside it. Check values computed from the printed formula by an independent script.
#include <gtest/gtest.h>

#include "services/fit/kinematics.h"
#include "services/fit/off_tracking.h"

namespace chockwise::fit {
namespace {

std::optional<Metres> OffTrack(double radius_ft) {
  const auto track = MaximumOffTrack({.outer_wheel_radius = Feet(radius_ft),
                                      .tractor_wheelbase = Feet(8.75),
                                      .half_front_track = Feet(3.21),
                                      .kingpin_offset = Feet(1),
                                      .trailer_wheelbase = Feet(21)});
  EXPECT_TRUE(track);
  return track ? *track : std::nullopt;
}

TEST(SaeJ695, MaximumOffTrack) {
  EXPECT_NEAR(OffTrack(50)->feet(), 5.883, 0.0005);
  EXPECT_NEAR(OffTrack(75)->feet(), 3.691, 0.0005);
  EXPECT_NEAR(OffTrack(100)->feet(), 2.706, 0.0005);
  EXPECT_NEAR(OffTrack(200)->feet(), 1.317, 0.0005);
  EXPECT_NEAR(OffTrack(1000)->feet(), 0.259, 0.0005);
}

TEST(SaeJ695, NoSteadyStateIsNoNumber) {
  EXPECT_FALSE(OffTrack(20));  // the trailer needs more
  EXPECT_FALSE(OffTrack(9));   // the outer wheel passes inside the rear axle's line
  EXPECT_FALSE(OffTrack(8));   // less than the wheelbase
}

TEST(SaeJ695, SteeringAngleOfATurningCircle) {
  const auto middle = SteeringOf({.wheelbase = Feet(20), .outer_wheel_radius = Feet(40)});
  ASSERT_TRUE(middle);
  EXPECT_NEAR(middle->degrees(), 30, 1e-9);  // sin = 20 / 40
  const auto outer = SteeringOf(
      {.wheelbase = Feet(8.75), .outer_wheel_radius = Feet(50), .half_front_track = Feet(3.21)});
  ASSERT_TRUE(outer);
  const double front_ft = std::hypot(std::sqrt(50 * 50 - 8.75 * 8.75) - 3.21, 8.75);
  EXPECT_NEAR(std::sin(outer->radians()), 8.75 / front_ft, 1e-12);
  EXPECT_FALSE(SteeringOf({.wheelbase = Feet(20), .outer_wheel_radius = Feet(20)}));
  EXPECT_FALSE(SteeringOf({.wheelbase = Feet(0), .outer_wheel_radius = Feet(20)}));
}

// Steady off-tracking by the Western Highway Institute's sum of squares (from memory); values
// computed from the rule by an independent script.
TEST(WesternHighwayInstitute, SumOfSquares) {
  const auto off_ft = [](double radius_ft, std::vector<Metres> lengths) {
    return SteadyTurnOf({.front_axle_radius = Feet(radius_ft), .lengths = std::move(lengths)})
        ->off_tracking.feet();
  };
  const std::vector<Metres> single = {Feet(20)}, semi = {Feet(19.5), Feet(41)};
  EXPECT_NEAR(off_ft(60, single), 3.43, 0.005);
  EXPECT_NEAR(off_ft(60, semi), 20.77, 0.005);
  EXPECT_NEAR(off_ft(100, single), 2.02, 0.005);
  EXPECT_NEAR(off_ft(100, semi), 10.90, 0.005);
  // The published design turn of these two has no steady state.
  for (const double trailer_ft : {41.0, 45.5}) {
    const auto turn =
        SteadyTurnOf({.front_axle_radius = Feet(41), .lengths = {Feet(19.5), Feet(trailer_ft)}});
    ASSERT_TRUE(turn);
    EXPECT_EQ(turn->state, SteadyState::kNone);
  }
}

TEST(Tractrix, StraightPull) {
  const auto after_deg = [](double pulled_ft) {
    return FoldAfter({.fold = Degrees(90), .length = Feet(40), .pulled = Feet(pulled_ft)})
        ->degrees();
  };
  EXPECT_NEAR(after_deg(40), 40.395, 0.0005);
  EXPECT_NEAR(after_deg(80), 15.415, 0.0005);
  EXPECT_NEAR(after_deg(120), 5.700, 0.0005);
}

TEST(Tractrix, WayAlongTheStraight) {
  const auto way_ft = [](double aside_ft) {
    return TractrixWay({.length = Feet(40), .aside = Feet(aside_ft)})->feet();
  };
  EXPECT_NEAR(way_ft(20), 18.0373, 0.00005);
  EXPECT_NEAR(way_ft(10), 43.8076, 0.00005);
  EXPECT_NEAR(way_ft(40), 0, 1e-12);
}

TEST(Tractrix, OnACircleItNearsTheSteadyFold) {
  const auto fold = [](double radius_ft, double pulled_ft) {
    return *FoldOnCircle(
        {.hitch_radius = Feet(radius_ft), .length = Feet(40), .pulled = Feet(pulled_ft)});
  };
  EXPECT_NEAR(fold(50, 1e4)->degrees(), std::asin(0.8) * 180 / std::numbers::pi, 1e-9);
  EXPECT_EQ(*fold(50, 0), Angle());
  EXPECT_FALSE(fold(40, 10));
  EXPECT_FALSE(fold(30, 10));
}

}  // namespace
}  // namespace chockwise::fit
