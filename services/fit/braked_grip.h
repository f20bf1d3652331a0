// What of a machine's weight its brakes can hold back, where not all of its wheels brake.
//
//   GripOf(0.14, {.share = 0.455, .height_over_wheelbase = 0.39});   // 0.060 of its weight
//
// Threads: values.
#pragma once

#include "services/fit/input_check.h"

namespace chockwise::fit {

struct BrakedWheels {
  double share = 1;  // of the weight, on the level, that stands on them; 1: every wheel brakes
  double height_over_wheelbase = 0;  // of the centre of mass; not looked at where all brake
};

/// Above 0 to 1, and 0 to 10.
void CheckBrakedWheels(const BrakedWheels& wheels, InputCheck& check);

/// The most that the braked wheels hold back, over the weight on the slope: μ·s / (1 + μ·h / L),
/// and μ where every wheel brakes.
///
/// Whatever holds a machine back pulls at the ground and its weight pushes at the centre of mass,
/// h above: so h / L of the force comes off the wheels that lead uphill, whether it stands on a
/// grade or slows down. The braked wheels are taken to be those, which is the unfavourable way
/// round, and to slide: N = W·s − (h / L)·μ·N. Domain: friction above 0 to 1.5. Error: relative,
/// four roundings, below 1e-15. Source: statics of two axles.
double GripOf(double friction, const BrakedWheels& wheels);

}  // namespace chockwise::fit
