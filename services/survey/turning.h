// A machine of the register as it turns: its steering and its readings made into the computations'
// machine. What is not measured refuses. Law 2.
//
//   Readings readings(yard, when);
//   Outcome<fit::TurningMachine> machine = Turning(readings, *yard.FindMachine("ST-101"));
//   if (!machine) Show(machine.error().Text());        // "turning-radius of ST-101 is unknown:
//   ..."
//
// Threads: values.
#pragma once

#include "services/fit/kinematics.h"
#include "services/survey/readings.h"

namespace chockwise::survey {

/// How far two units may fold at a coupling before the one strikes the other: tractor and
/// semitrailer, and at every drawbar and turntable alike. Default: the safety lead's to set.
inline constexpr fit::Angle kMostFold = fit::Degrees(70);

/// How a machine that steers all its wheels turns them on this trip.
enum class Wheels {
  kSteered,
  kParallel,  // crabwise
};

/// How it turns, as a box of the carried length and width around its axles.
///
/// "turning-radius" is the radius of the outer steered wheel at full lock as the tape finds it (of
/// an articulated machine: of its outer front wheel). Without a "track-width" the radius counts as
/// that of the axle's middle, which makes the machine turn less tightly than it does. A machine
/// whose axles both steer turns about its middle. Tracks and skid steer turn on the spot; a
/// "tail-radius" adds the ring of the upper structure, whose centre is taken over the middle of the
/// tracks. A "coupling-to-axle" makes a tractor and semitrailer. What its row tows hangs behind
/// that, each unit a box of its own length and width: train.h.
///
/// Crabwise its body keeps its heading, and no wheel stands farther off that than its "crab-angle".
/// Nothing may hang behind it then.
Outcome<fit::TurningMachine> Turning(Readings& readings, const yard::Machine& machine,
                                     Wheels wheels = Wheels::kSteered);

}  // namespace chockwise::survey
