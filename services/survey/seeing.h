// What the driver cannot see from the seat, and the one place where the spotter can stand and be
// seen on the whole trip.
//
//   Outcome<SeenWay> seen = SeeOf(asked, trip, {});
//   Outcome<fit::Answer> stand = SpotterIsSeen(asked, trip, {});
//
// The readings say to where the ground is first seen from each side of the machine; a side that
// nobody has tried is blind. Threads: as fit::Region.
#pragma once

#include <vector>

#include "services/fit/blind_zone.h"
#include "services/fit/spotter_place.h"
#include "services/fit/stopping.h"
#include "services/survey/path.h"

namespace chockwise::survey {

struct Spotting {
  fit::Travel travel = fit::Travel::kForwards;
  fit::MetresPerSecond speed = fit::MilesPerHour(2);  // creeping; above 0
  fit::Metres reach = fit::Feet(150);  // hand signals are read up to here: common practice
};

/// Chest and arms of a person who stands. Common practice.
inline constexpr fit::Metres kSignalHeight = fit::Millimetres(1200);
/// How far a light test may be off. Default: the safety lead's to set.
inline constexpr fit::Metres kSightError = fit::Inches(1);

/// The driver's sight from "eye-height", "eye-behind-front" and, where they were tried,
/// "ground-seen-front", "-left", "-rear" and "-right": from the machine's edge out to where an
/// object on the ground is first seen. The eye is taken over the machine's middle line.
///
/// What stands in its way from below the eye to above it hides all behind it: a boom, a mast, a
/// stack, a post of the cab. Each is a pair of readings, "boom-bearing" (to its middle, clockwise
/// from straight ahead) and "boom-width" (from edge to edge), both as angles at the eye, with the
/// attachment as it is carried: one of a pair without the other refuses. What lies wholly below or
/// above the eye's height is none: below it is an edge that the light test finds.
struct DriverSight {
  fit::BlindZone zone;  // in the frame of the unit that the driver sits on
  size_t unit = 0;      // 1 on the rear half of a machine that folds
};
Outcome<DriverSight> Sight(Readings& readings, const yard::Machine& machine,
                           const Spotting& spotting);

/// The trip with its blind ground and the places for the spotter.
struct SeenWay {
  DrivenWay driven;
  fit::BlindZone zone;
  std::vector<fit::Pose> poses;  // of the unit that the driver sits on
  fit::Standoff standoff;
  fit::SpotterPlaces places;
  std::vector<fit::Input> inputs;
};
Outcome<SeenWay> SeeOf(const Asked& asked, const Trip& trip, const Spotting& spotting);

/// "STAND left front, 31 ft off the path: seen all the way", or how many places, or none.
Outcome<fit::Answer> SpotterIsSeen(const Asked& asked, const Trip& trip, const Spotting& spotting);

}  // namespace chockwise::survey
