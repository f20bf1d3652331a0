// A machine as a chain of units, each rigid behind its hitch, moved along a sampled guide. Used by
// kinematics.h alone; plain metres and radians.
//
//   const UnitChain chain = UnitChainOf(machine);
//   Moved moved = PullAlong(chain, guide);         // or PushAlong, with the
//   hindmost axle in front
//
// Threads: values.
#pragma once

#include <optional>
#include <vector>

#include "services/fit/kinematics.h"
#include "services/fit/kinematics_guide.h"

namespace chockwise::fit {

/// The first length or angle of a manoeuvre that is out of its domain, by name.
std::optional<Unusable> FaultOf(const Manoeuvre& manoeuvre);

struct UnitLink {
  double hitch_ahead_m = 0;  // on the unit before, of its axle
  double length_m = 0;       // hitch to axle
};

struct UnitChain {
  Steering steering = Steering::kFrontAxle;  // kRearAxle is turned round to kFrontAxle
  double wheelbase_m = 0;                    // of the first unit, where its front axle steers
  std::vector<UnitLink> links;               // one a unit after the first
};

/// How far one unit's frame may be off, and the change of that over the step before.
struct Drift {
  double hitch_m = 0;  // the place of what it hangs on
  double hitch_step_m = 0;
  double heading_rad = 0;  // times the distance from there: the rest
  double heading_step_rad = 0;
};

struct MovedUnit {
  std::vector<AxleFrame> frames = {};  // one a step
  std::vector<Drift> drifts = {};      // one a step; none: exact
  double pivot_ahead_m = 0;            // of the axle: what it hangs on
};

struct Moved {
  std::vector<MovedUnit> units;  // first to last
};

/// The most that a point is off at `reach_m` from what the unit hangs on.
double MostOffM(const std::vector<Drift>& drifts, double reach_m);

/// The first unit follows the guide and pulls the others.
Moved PullAlong(const UnitChain& chain, const std::vector<GuideStep>& guide);

/// The last unit's axle follows the guide backwards; what stands before it goes where its wheels
/// must. Time reversed this is a forward motion: a unit whose hitch is ahead of its axle is solved
/// from the end, since that way its error dies out; one whose hitch is behind, from the start.
Moved PushAlong(const UnitChain& chain, const std::vector<GuideStep>& guide);

/// By how much a point of the unit may leave the chord of a step: at `reach_m` from the axle, and
/// for every metre farther that it is measured against.
struct Bulge {
  double error_m = 0;
  double per_m = 0;
};
Bulge BulgeOf(const std::vector<AxleFrame>& frames, const std::vector<GuideStep>& guide,
              double reach_m);

}  // namespace chockwise::fit
