// Points of the plane in long double: what the predicates of flat ground are held against.
#pragma once

#include <algorithm>
#include <cmath>
#include <vector>

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

using LongRing = std::vector<LongPoint>;
inline LongRing Long(const Ring& ring) {
  LongRing corners;
  for (const Point point : ring) corners.push_back(Long(point));
  return corners;
}

/// The greatest gap between two convex shapes along a normal of an edge of the first; below 0 they
/// overlap along all of them. A segment is a shape of two edges, a point of none.
template <class One, class Other>
long double GapAlongNormals(const One& one, const Other& other) {
  long double gap = -1e30L;
  if (one.size() < 2) return gap;
  for (size_t i = 0; i < one.size(); ++i) {
    const LongPoint along = one[(i + 1) % one.size()] - one[i];
    const long double length = std::sqrt(Dot(along, along));
    if (length == 0) continue;
    long double nearest = 1e30L;
    for (const LongPoint point : other)
      nearest = std::min(nearest, Cross(point - one[i], along) / length);
    gap = std::max(gap, nearest);
  }
  return gap;
}

/// Above 0: apart; below: they overlap by so much. Both run counter-clockwise.
template <class A, class B>
long double Separation(const A& a, const B& b) {
  return std::max(GapAlongNormals(a, b), GapAlongNormals(b, a));
}

}  // namespace chockwise::fit
