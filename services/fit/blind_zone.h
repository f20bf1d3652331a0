// What a driver cannot see from the seat: on the ground and up to the height of an object.
//
//   const Seat seat = {.eye = {0.4, 0.3}, .eye_height = Feet(9),
//                      .sills = SillsOfSides({0.4, 0.3}, {...}), .masks = {boom}};
//   Outcome<BlindZone> zone = BlindZoneOf({.seat = seat, .object_height = InMetres(1.2), ...});
//   if (Hides(*zone, spotter_in_machine_frame)) ...
//
// In the machine's frame: x ahead, y to the left, angles counter-clockwise from ahead, all from the
// eye. A side that nobody measured is blind. Mirrors and cameras add to sight and never replace it:
// they are not counted.
//
// Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/geometry.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// An edge over which the driver looks down: a window's, a hood's, a bucket's. Straight from above.
struct Sill {
  Point from;
  Point to;
  Metres height;  // at its highest, 0 to 10 m; not below the eye: nothing is seen over it
};

/// Directions in which something stands from below the eye to above it: a boom, a mast, a post.
struct Mask {
  Angle from;  // -360 to 360 degrees
  Angle to;    // counter-clockwise after `from`, at most a full turn
};

struct Seat {
  Point eye;
  Metres eye_height;  // above the wheels' ground, up to 10 m
  std::vector<Sill> sills;
  std::vector<Mask> masks;
};

/// One side of a cab or body as seen from the eye: the straight distance to its edge and the edge's
/// height; unknown height: that side is blind.
struct SideSill {
  Metres distance;
  std::optional<Metres> height;
};
struct SideSills {
  SideSill front, left, rear, right;
};

/// The sills of a rectangle around the eye; a side without a height is left out.
std::vector<Sill> SillsOfSides(Point eye, const SideSills& sides);

struct SightOver {
  Metres eye_height;     // above 0, up to 10 m
  Metres sill_height;    // 0 or more, below the eye
  Metres sill_distance;  // above 0, up to 20 m
  Metres object_height;  // 0 or more, up to 10 m
};

/// From which distance on the top of an object is seen over a sill: x (E - o) / (E - S), and never
/// nearer than the sill itself.
///
/// Units: metres. Unusable: the input out of its domain; "sill height" not below the eye, where
/// nothing is seen. Error: four roundings, relative below 1e-15. Source: similar triangles.
Outcome<Metres> SeenFrom(const SightOver& sight);

struct BlindQuestion {
  Seat seat;
  Metres object_height;  // 0 is the ground; a crouching person 900 mm, an adult 1500 mm; up to 10 m
  Metres reach;          // beyond it nobody is claimed to be seen; above 0, up to 200 m
  Metres
      reading_error;  // of the heights: the eye counts as lower and sills as higher by it; to 1 m
};

/// Part of the turn around the eye. Where there is sight it begins beyond the straight line between
/// two points on the sector's sides and ends at the reach; the points are relative to the eye.
struct SightSector {
  double from_rad = 0;  // of the whole turn from 0; to_rad > from_rad
  double to_rad = 0;
  struct Beyond {
    Point from, to;
  };
  std::optional<Beyond> beyond;  // nullopt: nothing is seen here
};

struct BlindZone {
  Point eye;
  Metres object_height;
  Metres reach;
  std::vector<SightSector> sectors;  // counter-clockwise, the whole turn
  Metres farthest_border;            // where there is sight at all, hidden up to here at most
  Angle never_seen;                  // of the turn, together
};

/// Error: corners to a few roundings, below 1e-9 m; what lies closer to a border counts as hidden.
/// Unusable: "eye" not finite or beyond 100 m, "eye height", "sill height", "sill" (ends farther
/// than 20 m from the eye, or in line with it), "sills" and "masks" more than 100, "mask",
/// "object height", "reach", "reading error".
Outcome<BlindZone> BlindZoneOf(const BlindQuestion& question);

/// Whether the top of the object at a point of the machine's frame is hidden, or out of reach.
bool Hides(const BlindZone& zone, Point in_machine_frame);

/// Where sight begins in a direction from the eye; nullopt: nowhere within reach.
std::optional<Metres> BorderAlong(const BlindZone& zone, Angle direction);

/// The hidden ground within reach as one ring around the eye, in the machine's frame: for a
/// picture. Arcs are drawn outside their circle, so nothing hidden is left out.
Ring BlindRing(const BlindZone& zone);

/// "HIDDEN to 14 ft 5 in; 90 deg of the circle never seen".
std::string DriversLine(const BlindZone& zone, UnitSystem system);

/// Heights for which diagrams are made by class of machine: 0, 900 and 1500 mm (NIOSH).
inline constexpr std::array<Metres, 3> kDiagramHeights = {Metres(), Millimetres(900),
                                                          Millimetres(1500)};
inline constexpr std::array<std::string_view, 3> kBlindZoneSources = {
    "D = x (E - o) / (E - S): similar triangles",
    "diagram heights of 0, 900 and 1500 mm: NIOSH construction equipment visibility",
    "29 CFR 1926.601(b)(4), 1926.602(a)(9): obstructed view to the rear"};
inline constexpr std::array<std::string_view, 2> kBlindZoneAssumptions = {
    "Level ground; one eye, where it was measured; no mirrors, no cameras",
    "Sills are straight, masks hide all behind them; an unmeasured side is blind"};

}  // namespace chockwise::fit
