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
/// The share of all that the machine pulls and is, as its own brakes hold it: what its row tows is
/// taken to have no brakes, and to push at the coupling as hard as it may.
///
/// With the machine's mass m, the height over the wheelbase k of its share s, and behind it M that
/// pushes at the height c of the first coupling over the wheelbase L: share s m / (m + M), and the
/// force that slows all of it takes (m k + M c / L) / (m + M) of itself off the braked wheels; none
/// where every wheel of the machine brakes, for between its own axles nothing is lost. The drawbar
/// neither lifts nor presses. Source: statics of two axles, as fit/braked_grip.h.
Outcome<fit::HoldingWheels> BrakedWheelsOfTrain(Readings& readings, const yard::Machine& machine,
                                                Lean lean);
/// The same of "chocked-mass".
Outcome<fit::HoldingWheels> ChockedWheelsOf(Readings& readings, const std::string& machine,
                                            Lean lean);

}  // namespace chockwise::survey
