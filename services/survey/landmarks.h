// Spots on a trip that people on foot know by name: its places, doors and hold points; and where a
// spotter stands or a machine is, told by the nearest of them. Private to the room.
//
//   const std::vector<Landmark> landmarks = LandmarksOf(yard, trip, way);
//   WhereOnFoot(landmarks, stand.at, units);       // "12 ft past door-1, 36 ft right of bay-1-way"
//
// Past and before, right and left are as the trip goes, whichever way the machine faces; past and
// before run straight on along the lane as it lies at the landmark. Threads: values.
#pragma once

#include <string>
#include <vector>

#include "services/survey/survey.h"

namespace chockwise::survey {

struct Landmark {
  std::string id;
  std::string lane;
  fit::Metres along;  // the way, from its start
  fit::Pose pose;     // heading as the trip goes on the lane
};

/// In the order of travel. A place where two lanes of the trip meet comes once for each of them.
std::vector<Landmark> LandmarksOf(const yard::Yard& yard, const Trip& trip, const Way& way);

/// To the nearest foot or half metre: within 0.36 m of the spot. Requires a landmark.
std::string WhereOnFoot(const std::vector<Landmark>& landmarks, fit::Point at,
                        fit::UnitSystem units);

/// Of a machine on its way: "8 ft past door-1".
std::string WhereAlong(const std::vector<Landmark>& landmarks, fit::Metres along,
                       fit::UnitSystem units);

}  // namespace chockwise::survey
