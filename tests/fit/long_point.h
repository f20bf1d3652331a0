// Points of the plane in long double: what the predicates of flat ground are held against.
#pragma once

#include <algorithm>
#include <cmath>

#include "services/fit/geometry.h"

namespace chockwise::fit {

struct LongPoint {
  long double x = 0, y = 0;
};
inline LongPoint operator-(LongPoint a, LongPoint b) { return {a.x - b.x, a.y - b.y}; }
inline long double Dot(LongPoint a, LongPoint b) { return a.x * b.x + a.y * b.y; }
inline long double Cross(LongPoint a, LongPoint b) { return a.x * b.y - a.y * b.x; }
inline LongPoint Long(Point p) { return {p.x_m, p.y_m}; }

inline long double FromSegment(LongPoint p, LongPoint from, LongPoint to) {
  const LongPoint along = to - from;
  const long double square = Dot(along, along);
  const long double part =
      square > 0 ? std::clamp(Dot(p - from, along) / square, 0.0L, 1.0L) : 0.0L;
  const LongPoint apart = p - LongPoint{from.x + part * along.x, from.y + part * along.y};
  return std::sqrt(Dot(apart, apart));
}

}  // namespace chockwise::fit
