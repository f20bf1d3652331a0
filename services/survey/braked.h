// The wheels that a machine's brakes and its chocks hold, from the scale's tickets. Private to the
// room.
#pragma once

#include <string>

#include "services/fit/braked_grip.h"
#include "services/survey/reading_errors.h"

namespace chockwise::survey {

/// The least part of its mass that a scale may have found on some of its wheels, or the most. The
/// whole mass, weighed alike, is the whole of it.
Outcome<double> ShareOf(Readings& readings, const std::string& machine, const char* quantity,
                        Lean lean);

/// The share of "braked-mass"; where not every wheel brakes, also what a grade takes off it, from
/// "centre-height" and "wheelbase". What is not measured refuses.
Outcome<fit::HoldingWheels> BrakedWheelsOf(Readings& readings, const std::string& machine,
                                           Lean lean);
/// The same of "chocked-mass".
Outcome<fit::HoldingWheels> ChockedWheelsOf(Readings& readings, const std::string& machine,
                                            Lean lean);

}  // namespace chockwise::survey
