#include "services/fit/braked_grip.h"

namespace chockwise::fit {

void CheckBrakedWheels(const BrakedWheels& wheels, InputCheck& check) {
  check.Positive("braked share", wheels.share, UpTo{1.0})
      .Between("height of the centre of mass over the wheelbase", wheels.height_over_wheelbase,
               Span{0.0, 10.0});
}

double GripOf(double friction, const BrakedWheels& wheels) {
  if (wheels.share >= 1) return friction;
  return friction * wheels.share / (1 + friction * wheels.height_over_wheelbase);
}

}  // namespace chockwise::fit
