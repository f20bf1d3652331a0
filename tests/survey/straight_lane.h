// A lane of the yard laid straight, with its ground as a test wants it.
#pragma once

#include <vector>

#include "services/survey/way.h"
#include "services/yard/yard.h"

namespace chockwise::survey {

struct LaidPoint {
  double along_m = 0;  // on the flat
  double up_m = 0;
};

/// South from where the lane begins. Its doors and overheads stay as far along as they were, the
/// doors on its middle.
inline void LayStraight(yard::Yard& yard, const char* lane, const std::vector<LaidPoint>& points) {
  yard::Lane& laid = yard.lanes.at(yard::LaneId(lane));
  const yard::Position start = laid.line.front();
  const yard::Plane plane = PlaneOf(yard);
  yard::Position south = start;
  south.latitude_deg -= 0.001;
  const double deg_per_m = 0.001 / fit::LengthM(OnPlane(plane, south) - OnPlane(plane, start));
  laid.line.clear();
  for (const LaidPoint& point : points) {
    laid.line.push_back({.longitude_deg = start.longitude_deg,
                         .latitude_deg = start.latitude_deg - point.along_m * deg_per_m,
                         .elevation_m = point.up_m});
  }
  for (auto& [id, door] : yard.doors) {
    if (door.lane != laid.id) continue;
    door.position = start;
    door.position.latitude_deg -= door.along.metres() * deg_per_m;
  }
}

}  // namespace chockwise::survey
