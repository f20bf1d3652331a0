// A machine of the register as the computations see it: how it rides, how it turns, how it stands.
// What is not measured refuses. Law 2.
//
// A machine with a reading of "coupling-to-axle" tows a semitrailer; its "carried-length" is that
// of both together, straight. What its row in machines.csv tows hangs behind that: train.h.
// Threads: values.
#pragma once

#include <string>

#include "services/fit/ride.h"
#include "services/survey/readings.h"

namespace chockwise::survey {

/// How it rides. Its outline is a box of the carried height, or the line through the readings of
/// "outline-height" where there are any; below, the lowest clearance holds from end to end, or the
/// line through its readings. Axles that are not told apart count as one. Refused of a machine that
/// steers by crab: it stands aslant on a lane that bends.
Outcome<fit::RidingMachine> Riding(Readings& readings, const yard::Machine& machine);

/// That the register says how it steers, or why there is nothing to say.
Outcome<yard::Steering> SteeringOf(const yard::Machine& machine);
/// Whether it runs on tracks. Unknown where the register does not say how it steers.
Outcome<bool> OnTracks(const yard::Machine& machine);
/// How far it bounces up as it rides: by what it runs on.
Outcome<fit::Metres> BounceOf(const yard::Machine& machine);

/// The carried length is taped past all of a combination, and its parts come to the same.
Outcome<void> LengthAgrees(const yard::Machine& machine, fit::Metres carried, fit::Metres parts);

/// From the kingpin of the semitrailer that a machine's own row brings to its axles; nullopt where
/// it brings none. Law 2: where any other reading of one is there, this one is asked for.
Outcome<std::optional<fit::Metres>> ToAxleOfOwnTrailer(Readings& readings,
                                                       const yard::Machine& machine);

}  // namespace chockwise::survey
