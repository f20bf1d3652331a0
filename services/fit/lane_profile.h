// A lane as a machine rides it, seen from the side: how its ground rises and falls, the sills that
// lie across it and what hangs over it. Distances run along the lane's middle.
//
//   LaneProfile lane = {.ground = {{InMetres(0), InMetres(0)}, {InMetres(40), InMetres(0.8)}},
//                       .sills = {{"door-3 sill", InMetres(20), InMetres(20.3), Inches(2)}},
//                       .overheads = {{"door-3", InMetres(20), InMetres(20.3), Feet(13.5)}}};
//   if (auto unusable = Check(lane)) ...
//
// Threads: values.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// The ground between two points is straight. `along` grows from point to point.
struct ProfilePoint {
  Metres along;
  Metres elevation;
};

/// A raised strip right across the lane with upright sides: a door sill, a rail, a hose ramp. Its
/// height stands on the ground of the profile, which goes on under it.
struct LaneSill {
  std::string id;
  Metres from;
  Metres to;
  Metres height;
};

/// A header, canopy, beam, pipe or wire (a wire may have from == to). The clear height is the least
/// that was measured straight up from the ground (beside a sill, not on it). Its underside is taken
/// as lying that much above the ground everywhere: a level beam over sloping ground is nowhere
/// lower than that.
struct Overhead {
  std::string id;
  Metres from;
  Metres to;
  Metres clear_height;
};

struct LaneProfile {
  std::vector<ProfilePoint> ground = {};
  std::vector<LaneSill> sills = {};  // apart by four times the higher one; any order
  std::vector<Overhead> overheads = {};
};

/// What may be asked about. Steeper ground is no lane; the rest only keeps absurd entries out.
inline constexpr Grade kSteepestGround = Percent(50);
inline constexpr Metres kLongestProfile = InMetres(100'000);
inline constexpr Metres kHighestElevation = InMetres(9'000);
inline constexpr Metres kHighestSill = InMetres(0.5);
inline constexpr Metres kHighestOverhead = InMetres(50);

/// The first input that is out of its domain, by name; nullopt where all can be used. Law 2.
std::optional<Unusable> Check(const LaneProfile& lane);

/// A rounding of the break at a point of the ground.
struct VerticalCurve {
  Metres at;      // the point's distance along the lane
  Metres length;  // half of it before the point, half behind
};

/// How far a rounded break may lie from the parabola; to be counted into a ride's profile error.
inline constexpr Metres kCurveError = Millimetres(0.1);

/// The ground with one break rounded by a parabola, given as straight pieces.
///
/// Units: metres. Domain: `at` is a point between the first and the last; the curve ends at or
/// before the neighbouring points. Error: n pieces of a parabola with break A and length C lie
/// within A·C/(8n²) of it; n is chosen for kCurveError.
/// Source: parabolic vertical curve of road design (from memory: AASHTO, A Policy on Geometric
/// Design): elevation off the first tangent A·x²/(2C).
Outcome<std::vector<ProfilePoint>> WithVerticalCurve(const std::vector<ProfilePoint>& ground,
                                                     const VerticalCurve& curve);

}  // namespace chockwise::fit
