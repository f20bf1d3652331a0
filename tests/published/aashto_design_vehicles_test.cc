// The American Association of State Highway and Transportation Officials' design vehicles (2018,
// table 2-4a, in copies): the minimum inside radius of a turn of 180 degrees between two straights,
// with the middle of the front axle on the published centreline radius. Published: 28.4 ft for
// SU-30 and 7.4 ft for WB-62. The further digits are of an adaptive solver of the same equations in
// an independent script.
#include <gtest/gtest.h>

#include <algorithm>
#include <limits>

#include "services/fit/kinematics.h"

namespace chockwise::fit {
namespace {

struct DesignVehicle {
  Metres wheelbase;
  std::optional<Metres> trailer;
  Metres centreline_radius;
  Metres half_width;
};

/// The least distance of the inside hind wheel from the middle of the turn.
double LeastInsideRadiusFt(const DesignVehicle& vehicle) {
  const Metres front = vehicle.centreline_radius;
  TurningMachine machine{
      .steering = Steering::kFrontAxle,
      .wheelbase = vehicle.wheelbase,
      .most_steer = *SteeringOf({.wheelbase = vehicle.wheelbase, .outer_wheel_radius = front}),
      .boxes = {
          {.ahead = vehicle.wheelbase, .left = vehicle.half_width, .right = vehicle.half_width}}};
  if (vehicle.trailer) {
    machine.trailers = {{.hitch_to_axle = *vehicle.trailer,
                         .most_fold = Degrees(120),
                         .boxes = {{.ahead = *vehicle.trailer,
                                    .left = vehicle.half_width,
                                    .right = vehicle.half_width}}}};
  }
  // Two right angles as close as the radius allows are one arc of 180 degrees.
  const double r = front.metres();
  const auto driven =
      DriveAlong({.machine = machine, .line = {{-60, 0}, {r, 0}, {r, 2 * r}, {-150, 2 * r}}});
  EXPECT_TRUE(driven) << (driven ? "" : driven.error().problem);
  if (!driven) return 0;
  EXPECT_FALSE(driven->shortfall) << Text(*driven->shortfall, UnitSystem::kUs);
  double least_m = std::numeric_limits<double>::infinity();
  for (const AxleFrame& frame : driven->units.back().frames) {
    const Point wheel = Place(frame, {0, vehicle.half_width.metres()});
    least_m = std::min(least_m, LengthM(wheel - Point{0, r}));
  }
  EXPECT_LT(driven->units.back().error_m, 0.005);
  return InMetres(least_m).feet();
}

TEST(Aashto, MinimumInsideRadiusOfSu30) {
  EXPECT_NEAR(LeastInsideRadiusFt({.wheelbase = Feet(20),
                                   .trailer = {},
                                   .centreline_radius = Feet(38),
                                   .half_width = Feet(4.0)}),
              28.37, 0.005);
}

TEST(Aashto, MinimumInsideRadiusOfWb62) {
  EXPECT_NEAR(LeastInsideRadiusFt({.wheelbase = Feet(19.5),
                                   .trailer = Feet(41),
                                   .centreline_radius = Feet(41),
                                   .half_width = Feet(4.25)}),
              7.4172, 0.0005);
}

}  // namespace
}  // namespace chockwise::fit
