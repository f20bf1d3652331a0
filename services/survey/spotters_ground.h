// Where on a yard a spotter may stand while a machine makes a trip, and what nobody is seen
// through. Private to the room.
//
// May stand: on the ground between all that the map draws, as far as signals are read. Not on a
// lane, in a place or in a row of parking, for other machines go and stand there; not on an exit, a
// fire way or ground to be kept clear: nobody is told to stand in what must stay free. A refuge and
// the ground under lamps may be stood on.
//
// Opaque: every obstacle of the map, every row of parking but for the machine's own bay where the
// trip leaves it or goes to it, and the walls beside every door. A door on the way is open between
// its jambs; any other may be shut. Threads: values.
#pragma once

#include <string>
#include <vector>

#include "services/fit/planar.h"
#include "services/survey/survey.h"

namespace chockwise::survey {

/// Of a lane that nobody has taped: two ways of 12 ft. Common practice.
inline constexpr fit::Metres kUntapedLane = fit::Feet(24);
/// Around a place: half of a long machine, or of a row of as many as it holds side by side. Common
/// practice. A row of parking on the map that touches the place says it better, and counts instead.
inline constexpr fit::Metres kAroundPlace = fit::Feet(20);
inline constexpr fit::Metres kBesideEachOther = fit::Feet(12);

struct SpottersGround {
  fit::Region standing;
  std::vector<fit::Ring> opaque;
  /// Of `opaque` those that no one has drawn: from a jamb on in the door's line to the first
  /// obstacle or lane, or as far as signals are read. Nothing is known of a wall there; a map that
  /// draws one, or that draws the lane beside the building, says it better.
  std::vector<fit::Ring> assumed_walls;
  bool default_lanes = false;  // a lane's width was kUntapedLane
};

/// Takes the widths of the lanes within `reach` from the readings. One that is too old refuses.
Outcome<SpottersGround> SpottersGroundOf(Readings& readings, const Trip& trip, const Way& way,
                                         fit::Metres reach);

}  // namespace chockwise::survey
