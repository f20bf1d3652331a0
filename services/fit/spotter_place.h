// Where the spotter can stand so that the driver sees them at every step of the path: outside the
// ground that the machine sweeps, outside the standoff, and on ground where a person may stand.
//
//   Outcome<SpotterPlaces> places = PlacesForSpotter({.sight = {.poses = path, .zones = {zone},
//                                                               .opaque = walls},
//                                                     .swept = swept, .ground = yard, ...});
//   if (places->verdict == Verdict::kClear) Draw(places->stands[0].at);
//
// It places a spotter on a plan and sees nobody: what is not in `opaque` does not stand in the way.
// Sight lost is a stop, whatever was computed here.
//
// Threads: as Region.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/planar.h"
#include "services/fit/sight_lines.h"

namespace chockwise::fit {

/// Army ground-guide practice: ten yards from the vehicle at least.
inline constexpr Metres kGroundGuideStandoff = Feet(30);

struct SpotterQuestion {
  SightAlong sight;  // 1 to 10,000 poses within 1e5 m, in the order driven; zones for what must be
                     // seen of the spotter: chest and arms, 1.2 m by practice; at most 1,000 rings
  Region swept;      // all ground that the machine covers
  Metres standoff;   // from the swept ground, above 0, up to 200 m
  Region ground;     // where a spotter may stand
  Metres room;       // of the ground around a stand, 0.1 to 10 m; 0.5 by practice
};

enum class Corner { kLeftFront, kLeftRear, kRightFront, kRightRear };  // as the driver has them

struct SpotterStand {
  Point at;
  size_t from_pose = 0;                // seen from here
  size_t to_pose = 0;                  // to here, both in
  Corner corner = Corner::kLeftFront;  // at from_pose
  Metres off_path;                     // from the swept ground
  Metres farthest;                     // from the driver's eye, over these poses
};

struct SpotterPlaces {
  std::vector<SpotterStand> stands;   // one, or the fewest in the order walked
  std::optional<size_t> unseen_pose;  // no stand sees this pose, or none both it and the one before
  // kClear: one stand does for the whole way. kConflict: more than one, or none.
  Verdict verdict = Verdict::kConflict;
};

/// Of all spots that do for the whole way the nearest to the path, because signals must be read.
/// One does where every point within the room is on the ground, off the path by the standoff, and
/// surely seen at every instant: from each pose, and on the way to the next.
///
/// Where no one place does, the fewest: each serves as many poses as any could from where it
/// begins, and of those that reach the next the nearest to the path. The next begins at the pose
/// where it ends, so the machine holds there while the spotter walks and is seen at both. Units:
/// metres. Error: round edges err toward less ground (standoff by 0.13 %); what the eye does
/// between two poses is bounded as SightLines says, and whoever may be hidden meanwhile counts as
/// hidden. A place with half a metre more of room than was asked for is never missed, and none is
/// farther from the path than that of all such by over 0.3 m. Unusable: "poses" none, too many or
/// not finite, "zones", "opaque", "place error", "standoff", "room", "ground" empty, "swept" empty.
/// Source: plane geometry; Army ground-guide practice for standoff and corners.
Outcome<SpotterPlaces> PlacesForSpotter(const SpotterQuestion& question);

std::string_view Name(Corner corner);  // "left front"

/// "STAND left front, 31 ft off the path: seen all the way", "2 PLACES: hold while the spotter
/// walks" or "NO PLACE: spotter unseen at step 12". `where` says the place or the step as people on
/// foot find it: "STAND 12 ft past door-1, 36 ft right of bay-1-way: seen all the way".
std::string DriversLine(const SpotterPlaces& places, UnitSystem system,
                        std::string_view where = {});

inline constexpr std::array<std::string_view, 2> kSpotterPlaceSources = {
    "plane geometry of the blind zones along the path",
    "ten yards off, never in the path: Army ground-guide practice; chest at 1.2 m: common "
    "practice"};
inline constexpr std::array<std::string_view, 2> kSpotterPlaceAssumptions = {
    "Level ground; nothing stands between but what is drawn, and all that is drawn hides",
    "The machine follows the path; sight lost is a stop"};

}  // namespace chockwise::fit
