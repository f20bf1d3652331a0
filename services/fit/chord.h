// Distances to straight pieces of a line. Threads: pure.
#pragma once

#include <algorithm>

#include "services/fit/geometry.h"

namespace chockwise::fit {

/// How far a point lies from the straight piece between two others; from the point where both are
/// one. Error: a few roundings of the coordinates.
inline double FromChordM(Point point, Point from, Point to) {
  const Point chord = to - from;
  const double square = Dot(chord, chord);
  const double part = square > 0 ? std::clamp(Dot(point - from, chord) / square, 0.0, 1.0) : 0.0;
  return LengthM(point - (from + part * chord));
}

/// The same of the ray that begins at a point and goes on in a direction of length 1.
inline double FromRayM(Point point, Point from, Point along) {
  const Point off = point - from;
  return LengthM(off - std::max(0.0, Dot(off, along)) * along);
}

}  // namespace chockwise::fit
