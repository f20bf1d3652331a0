// Where the spotter can stand so that the driver sees them at every step of the path: outside the
// ground that the machine sweeps, outside the standoff, and on the yard's ground.
//
//   Outcome<SpotterPlaces> places = PlacesForSpotter({.poses = path, .zone = zone,
//                                                     .swept = swept, .ground = yard, ...});
//   if (places->verdict == Verdict::kClear) Draw(places->stands[0].at);
//
// It places a spotter on a plan and sees nobody: a stack, a wall or a parked machine between counts
// only where it was taken out of the ground. Sight lost is a stop, whatever was computed here.
//
// Threads: as Region.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/blind_zone.h"
#include "services/fit/planar.h"

namespace chockwise::fit {

/// Army ground-guide practice: ten yards from the vehicle at least.
inline constexpr Metres kGroundGuideStandoff = Feet(30);

struct SpotterQuestion {
  std::vector<Pose>
      poses;        // of the machine's frame, in the order driven; 1 to 10,000, within 1e5 m
  BlindZone zone;   // for what must be seen of the spotter: chest and arms, 1.2 m by practice
  Region swept;     // all ground that the machine covers
  Metres standoff;  // from the swept ground, above 0, up to 200 m
  Region ground;    // where a spotter may stand
  Metres room;      // of the ground around a stand at least, 0.1 to 10 m; 0.5 by practice
};

enum class Corner { kLeftFront, kLeftRear, kRightFront, kRightRear };  // as the driver has them

struct SpotterStand {
  Point at;
  size_t from_pose = 0;                // seen from here
  size_t to_pose = 0;                  // to here, both in
  Corner corner = Corner::kLeftFront;  // at from_pose
  Metres off_path;                     // from the swept ground
  Metres clearance;  // to the edge of the ground that would do; rounded down to a centimetre
  Metres error;      // how far the edge may move between two poses
  Region ground;     // all that would do
};

struct SpotterPlaces {
  std::vector<SpotterStand> stands;   // one, or the fewest in the order walked
  std::optional<size_t> unseen_pose;  // no stand sees this pose, or none both it and the one before
  // kClear: one stand does for the whole way. kUndecided: its clearance is within what the sight
  // may move between two poses. kConflict: more than one, or none.
  Verdict verdict = Verdict::kUndecided;
};

/// The ground that is left when everything is taken away, and of it the point that is farthest from
/// its edge; the first by coordinates among equals to a centimetre.
///
/// Where no one place does, each stand serves as many poses as any could from where it begins,
/// which gives the fewest; the next begins at the pose where it ends, so the machine holds there
/// while the spotter walks and is seen at both. Units: metres. Error: round edges err toward less
/// ground (reach by 0.06 %, standoff by 0.13 %). Between two poses, turned by a and moved by d at
/// the eye, a point r from the eye moves in the driver's view by at most (d + r a) / 2 from the
/// nearer one: that is `error`. Unusable: "poses" none, too many or not finite, "standoff", "room",
/// "ground" empty, "swept" empty. Source: plane geometry; Army ground-guide practice for standoff
/// and corners.
Outcome<SpotterPlaces> PlacesForSpotter(const SpotterQuestion& question);

/// "STAND left front, 31 ft off the path: seen all the way", "2 PLACES: hold while the spotter
/// walks" or "NO PLACE: spotter unseen at step 12".
std::string DriversLine(const SpotterPlaces& places, UnitSystem system);

inline constexpr std::array<std::string_view, 2> kSpotterPlaceSources = {
    "plane geometry of the blind zones along the path",
    "ten yards off, never in the path: Army ground-guide practice; chest at 1.2 m: common "
    "practice"};
inline constexpr std::array<std::string_view, 2> kSpotterPlaceAssumptions = {
    "Level ground; nothing stands between but what was taken out of the ground",
    "The machine follows the path; sight lost is a stop"};

}  // namespace chockwise::fit
