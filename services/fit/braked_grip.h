// What of a machine's weight its brakes or chocks hold back, where they do not hold all its wheels.
//
//   GripOf(0.14, {.share = 0.455, .height_over_wheelbase = 0.39});   // 0.060 of its weight
//
// Threads: values.
#pragma once

#include "services/fit/input_check.h"

namespace chockwise::fit {

/// The wheels that are braked, or chocked.
struct HoldingWheels {
  double share = 1;  // of the weight, on the level, that stands on them; 1: every wheel holds
  double height_over_wheelbase = 0;  // of the centre of mass; not looked at where all hold
};

/// Above 0 to 1, and 0 to 10.
void CheckHoldingWheels(const HoldingWheels& wheels, InputCheck& check);

/// The most that the braked wheels hold back, over the weight on the slope: μ·s / (1 + μ·h / L),
/// and μ where every wheel brakes.
///
/// Whatever holds a machine back pulls at the ground and its weight pushes at the centre of mass,
/// h above: so h / L of the force comes off the wheels that lead uphill, whether it stands on a
/// grade or slows down. The braked wheels are taken to be those, which is the unfavourable way
/// round, and to slide: N = W·s − (h / L)·μ·N. Domain: friction above 0 to 1.5. Error: relative,
/// four roundings, below 1e-15. Source: statics of two axles.
double GripOf(double friction, const HoldingWheels& wheels);

/// The share of the weight on a slope that stands on them, s − (h / L)·|G|: not below 0, and 1
/// where every wheel holds. The unfavourable way round, as above. Error: three roundings of 1 +
/// (h/L)·|G|.
double ShareOnGrade(Grade grade, const HoldingWheels& wheels);

}  // namespace chockwise::fit
