// A yard's map on a flat plane of metres, and the few questions that are asked of it.
//
// The plane touches the WGS 84 ellipsoid at its origin; east and north are scaled by the two radii
// of curvature there. Error: at a distance d from the origin at latitude φ a length is wrong by at
// most about (d / 6,371 km)·tan φ of itself: below 0.3 % at 10 km and 60°, below 0.02 % over a yard
// of 1 km. So the 3 m and 5 m checks are right to 2 cm. Source: radii of curvature in the meridian
// and the prime vertical, NGA.STND.0036 (WGS 84), from memory.
#pragma once

#include <vector>

#include "services/yard/yard.h"

namespace chockwise::yard {

struct Point {
  double east_m = 0;
  double north_m = 0;
};

class Plane {
 public:
  explicit Plane(const Position& origin);
  Point At(const Position& position) const;
  std::vector<Point> At(const std::vector<Position>& line) const;

 private:
  Position origin_;
  double east_m_per_deg_ = 0;
  double north_m_per_deg_ = 0;
};

double DistanceM(Point a, Point b);

/// The point of a line that is nearest to `point`.
struct Foot {
  double distance_m = 0;
  size_t segment = 0;   // from its start-th to its next position
  double fraction = 0;  // of that segment, 0 to 1
};
Foot NearestOnLine(Point point, const std::vector<Point>& line);

/// How far a lane's middle passes from the middle of a door's opening.
fit::Metres OffDoor(const Door& door, const Lane& lane);

/// Lengths along a line from its start to each of its positions, slopes included.
std::vector<double> LengthsAlongM(const std::vector<Position>& line);

using Rings = std::vector<std::vector<Point>>;

/// Whether a line or point (a line of one) comes within `within_m` of a polygon: its outer ring
/// less its holes.
bool Touches(const std::vector<Point>& line, const Rings& rings, double within_m);

/// Whether two edges of a closed ring cross. Edges that only touch are left alone: nothing becomes
/// ambiguous by them.
bool CrossesItself(const std::vector<Point>& ring);

/// The ground inside a closed ring, in square metres, however it winds.
double AreaM2(const std::vector<Point>& ring);

/// Whether a point is inside a closed ring; on the edge either answer may come.
bool IsInside(Point point, const std::vector<Point>& ring);

}  // namespace chockwise::yard
