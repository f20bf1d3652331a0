#include "services/fit/braked_grip.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <cmath>

namespace chockwise::fit {
namespace {

TEST(BrakedGrip, AllOfTheFrictionWhereEveryWheelBrakes) {
  EXPECT_EQ(GripOf(0.14, {}), 0.14);
  EXPECT_EQ(GripOf(0.14, {.share = 1, .height_over_wheelbase = 2}), 0.14);
}

TEST(BrakedGrip, HalfTheWeightIsHalfTheGripLessWhatShifts) {
  EXPECT_DOUBLE_EQ(GripOf(0.4, {.share = 0.5}), 0.2);
  EXPECT_DOUBLE_EQ(GripOf(0.4, {.share = 0.5, .height_over_wheelbase = 0.5}), 0.2 / 1.2);
}

/// Two axles on a slope, by their forces: at the grade that the grip just holds, the braked axle
/// that leads uphill pulls with all its friction, and the moment about the other one balances.
RC_GTEST_PROP(BrakedGripProperty, TheBrakedAxleJustHoldsThatGrade, ()) {
  const double friction = *rc::gen::inRange(5, 150) / 100.0;
  const HoldingWheels wheels = {.share = *rc::gen::inRange(10, 100) / 100.0,
                                .height_over_wheelbase = *rc::gen::inRange(0, 150) / 100.0};
  const double slope = std::atan(GripOf(friction, wheels));
  // Weight 1, wheelbase 1; the downhill axle at 0, the uphill one at 1, the centre at the share.
  const double along = std::sin(slope), into = std::cos(slope);
  const double uphill_n = into * wheels.share - along * wheels.height_over_wheelbase;
  RC_ASSERT(uphill_n > 0);
  RC_ASSERT(std::abs(friction * uphill_n - along) < 1e-14);
}

}  // namespace
}  // namespace chockwise::fit
