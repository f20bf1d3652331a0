// What the driver cannot see from the seat, and the one place where the spotter can stand and be
// seen on the whole trip.
//
//   Outcome<SeenWay> seen = SeeOf(asked, trip, {});
//   Outcome<fit::Answer> stand = SpotterIsSeen(asked, trip, {});
//
// The readings say to where the ground is first seen from each side of the machine; a side that
// nobody has tried is blind. Where people may stand and what hides them is spotters_ground.h's.
// Threads: as fit::Region.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "services/fit/blind_zone.h"
#include "services/fit/spotter_place.h"
#include "services/fit/stopping.h"
#include "services/survey/parts.h"
#include "services/survey/path.h"

namespace chockwise::survey {

/// As fast as a machine creeps behind its spotter. Default: the safety lead's to set.
inline constexpr fit::MetresPerSecond kCreep = fit::MilesPerHour(2);

struct Spotting {
  fit::Travel travel = fit::Travel::kForwards;
  Wheels wheels = Wheels::kSteered;
  std::optional<fit::MetresPerSecond> speed = {};  // creeping, above 0; unset: kCreep
  fit::Metres reach = fit::Feet(150);  // hand signals are read up to here: common practice
};

/// Chest and arms of a person who stands. Common practice.
inline constexpr fit::Metres kSignalHeight = fit::Millimetres(1200);
/// How far a light test may be off. Default: the safety lead's to set.
inline constexpr fit::Metres kSightError = fit::Inches(1);

/// From an eye to the side of the cab at least, where nobody has taped it: half of a seat and the
/// door. Common practice.
inline constexpr fit::Metres kEyeFromSide = fit::Inches(12);

/// The driver's sight from "eye-height", "eye-behind-front" and, where they were tried,
/// "ground-seen-front", "-left", "-rear" and "-right": from the machine's edge out to where an
/// object on the ground is first seen.
///
/// "eye-left-of-middle" says where across the machine the eye is. Where nobody has taped that, it
/// may be anywhere up to kEyeFromSide from either side, and whoever any such eye would not see
/// counts as hidden. The two outermost do for all: with the eye d from a side that shows the ground
/// s beyond it, a person's top at height o is hidden to s (1 - o / E) - d o / E beyond that side,
/// the more the nearer the eye; ahead and behind the reach does not depend on it, and the
/// directions of the two overlap.
///
/// What stands in its way from below the eye to above it hides all behind it: a boom, a mast, a
/// stack, a post of the cab. Each is a pair of readings, "boom-bearing" (to its middle, clockwise
/// from straight ahead) and "boom-width" (from edge to edge), both as angles at the eye, with the
/// attachment as it is carried: one of a pair without the other refuses. What lies wholly below or
/// above the eye's height is none: below it is an edge that the light test finds.
///
/// What hangs behind the machine hides all behind it too, all the way: every direction in which any
/// of it is at any step of the drive.
struct DriverSight {
  /// In the frame of the unit that the driver sits on: one, or two from the outermost eyes.
  std::vector<fit::BlindZone> zones;
  size_t unit = 0;                     // 1 on the rear half of a machine that folds
  std::optional<fit::Metres> eye_off;  // the middle line at most, where nobody taped it
};
Outcome<DriverSight> Sight(Readings& readings, const yard::Machine& machine,
                           const Spotting& spotting, const DrivenWay& driven);
/// Of a machine with nothing behind it, wherever it goes. Refused of one that tows.
Outcome<DriverSight> Sight(Readings& readings, const yard::Machine& machine,
                           const Spotting& spotting);

/// The trip with its blind ground and the places for the spotter.
struct SeenWay {
  DrivenWay driven;
  DriverSight sight;
  std::vector<fit::Pose> poses;  // of the unit that the driver sits on
  fit::Standoff standoff;
  std::vector<fit::Ring> opaque;         // what nobody is seen through
  std::vector<fit::Ring> assumed_walls;  // of them those that are not on the map
  fit::SpotterPlaces places;
  std::string line;                   // the driver's
  std::vector<std::string> stand_at;  // each place as people on foot find it
  std::vector<fit::Input> inputs;
};
/// Refused where the way cannot be driven, or strikes what is on the map: nobody stands by for it.
Outcome<SeenWay> SeeOf(const Asked& asked, const Trip& trip, const Spotting& spotting);

/// "STAND 12 ft past door-1, 36 ft right of bay-1-way: seen all the way", or how many places, each
/// a part of the answer, or none.
Outcome<PartedAnswer> SpotterIsSeen(const Asked& asked, const Trip& trip, const Spotting& spotting);

}  // namespace chockwise::survey
