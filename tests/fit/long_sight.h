// Sight from one eye in long double, from the seat's own sides: what sight lines, blind zones and
// spotters' places are held against.
#pragma once

#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include "services/fit/blind_zone.h"
#include "tests/fit/long_point.h"

namespace chockwise::fit {

inline LongPoint operator+(LongPoint a, LongPoint b) { return {a.x + b.x, a.y + b.y}; }
inline LongPoint operator*(long double factor, LongPoint p) { return {factor * p.x, factor * p.y}; }
inline LongPoint LongUnit(long double turn_rad) { return {std::cos(turn_rad), std::sin(turn_rad)}; }
inline long double LongLength(LongPoint a) { return std::sqrt(Dot(a, a)); }

/// How far a convex block is from all lines of sight between an eye and a room around a person:
/// from the disc, and the triangle of its tangents. Below 0: it hides some of the room. Exact in
/// its sign; a lower bound of the distance. Requires the eye outside the room.
inline long double SightApartM(LongPoint eye, LongPoint person, long double room_m,
                               const LongRing& block) {
  const LongPoint way = person - eye;
  const long double length = LongLength(way);
  const LongPoint along = (1 / length) * way, left = {-along.y, along.x};
  const long double sine = room_m / length, cosine = std::sqrt((1 - sine) * (1 + sine));
  const long double tangent = length * cosine;
  const std::array<LongPoint, 3> cone = {eye, eye + tangent * (cosine * along - sine * left),
                                         eye + tangent * (cosine * along + sine * left)};
  // The disc is apart where its middle lies outside the block and farther than the room.
  const bool inside = GapAlongNormals(block, std::array{person}) <= 0;
  long double nearest = 1e30L;
  for (size_t i = 0; i < block.size(); ++i)
    nearest = std::min(nearest, FromSegment(person, block[i], block[(i + 1) % block.size()]));
  return std::min(Separation(cone, block), (inside ? -nearest : nearest) - room_m);
}

/// The four sides about an eye, as they were measured.
struct LongSeat {
  SideSills sides = {};
  long double eye_m = 0;     // heights
  long double object_m = 0;  // of what is looked at
  std::optional<std::array<long double, 2>> mask_rad = {};
};

/// How far a point, from the eye and in the machine's frame, is off the ground that the body hides;
/// below 0: so deep inside a part of it. Similar triangles over each side; all behind a side that
/// nobody measured, and behind the mask.
inline long double OffBlindGroundM(const LongSeat& seat, LongPoint from_eye) {
  const auto off_wedge = [&](LongPoint from, LongPoint to) {
    const long double on_left = Cross(from, from_eye), on_right = Cross(from_eye, to);
    if (on_left >= 0 && on_right >= 0) return -std::min(on_left, on_right);
    const auto off_ray = [&](LongPoint along) {
      return LongLength(from_eye - std::max(0.0L, Dot(from_eye, along)) * along);
    };
    return std::min(off_ray(from), off_ray(to));
  };
  const long double ahead = seat.sides.front.distance.metres();
  const long double left = seat.sides.left.distance.metres();
  const long double behind = seat.sides.rear.distance.metres();
  const long double right = seat.sides.right.distance.metres();
  const LongPoint corners[] = {{ahead, -right}, {ahead, left}, {-behind, left}, {-behind, -right}};
  const SideSill* sills[] = {&seat.sides.front, &seat.sides.left, &seat.sides.rear,
                             &seat.sides.right};
  long double off = 1e30L;
  for (size_t side = 0; side < 4; ++side) {
    const LongPoint from = corners[side], to = corners[(side + 1) % 4];
    if (!sills[side]->height) {
      off = std::min(off, off_wedge((1 / LongLength(from)) * from, (1 / LongLength(to)) * to));
      continue;
    }
    const long double over = seat.eye_m - static_cast<long double>(sills[side]->height->metres());
    const long double factor = std::max(1.0L, (seat.eye_m - seat.object_m) / over);
    const std::array<LongPoint, 3> hidden = {LongPoint{}, factor * from, factor * to};
    const long double depth = GapAlongNormals(hidden, std::array{from_eye});
    long double nearest = depth;
    if (depth > 0) {
      nearest = std::min({FromSegment(from_eye, hidden[0], hidden[1]),
                          FromSegment(from_eye, hidden[1], hidden[2]),
                          FromSegment(from_eye, hidden[2], hidden[0])});
    }
    off = std::min(off, nearest);
  }
  if (seat.mask_rad) {
    // In halves: neither may be half a turn or more.
    const auto [from, to] = *seat.mask_rad;
    const LongPoint middle = LongUnit((from + to) / 2);
    off = std::min({off, off_wedge(LongUnit(from), middle), off_wedge(middle, LongUnit(to))});
  }
  return off;
}

}  // namespace chockwise::fit
