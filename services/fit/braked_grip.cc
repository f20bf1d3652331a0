#include "services/fit/braked_grip.h"

#include <algorithm>
#include <cmath>

namespace chockwise::fit {

void CheckHoldingWheels(const HoldingWheels& wheels, InputCheck& check) {
  check.Positive("share held", wheels.share, UpTo{1.0})
      .Between("height of the centre of mass over the wheelbase", wheels.height_over_wheelbase,
               Span{0.0, 10.0});
}

double GripOf(double friction, const HoldingWheels& wheels) {
  if (wheels.share >= 1) return friction;
  return friction * wheels.share / (1 + friction * wheels.height_over_wheelbase);
}

double ShareOnGrade(Grade grade, const HoldingWheels& wheels) {
  if (wheels.share >= 1) return 1;
  const double shifted = wheels.height_over_wheelbase * std::abs(grade.rise_over_run());
  return std::max(0.0, wheels.share - shifted);
}

}  // namespace chockwise::fit
