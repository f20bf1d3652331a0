// The line that a machine's leading point really follows: the middle of a lane with its corners
// rounded as far as the machine must. Used by kinematics.h; Straightened() also by whoever asks how
// a lane bends before anything drives along it.
//
//   auto guide = GuideAlong(line, {.corners = Corners::kRounded,
//   .least_radius_m = 12, ...}); if (!guide) return guide.error();     // this
//   bend is tighter than that
//
// Threads: values.
#pragma once

#include <tl/expected.hpp>
#include <vector>

#include "services/fit/geometry.h"

namespace chockwise::fit {

enum class Corners {
  kRounded,  // an arc, or a bend that steepens slowly, in each corner
  kSpun,     // turns on the spot
  kSharp,    // changes course without turning
};

struct Bending {
  Corners corners = Corners::kRounded;
  double least_radius_m = 0;
  double ramp_m = 0;   // over which the curvature rises and falls, `ramps` times smoothed
  int ramps = 0;       // 0: arcs
  double reach_m = 1;  // kSpun: how far the machine's farthest corner is from
                       // the point that turns
  double step_m = 0.05;
};

struct GuideStep {
  Point at;
  Point along;  // the direction of travel, of length 1
  double along_m = 0;
  int piece = 0;  // of the step that ends here
};

/// A bend that has no room: at which vertex, what it needs and what there is.
struct TightBend {
  double along_m = 0;
  double least_radius_m = 0;
  double lane_radius_m = 0;
};

/// Drops points that lie within the tolerance of the line without them, and repeated ones.
Line Straightened(const Line& line, double tolerance_m);

/// Samples of the guide, no farther apart than the step and at least three a piece. Requires two
/// distinct points or more. Arcs and straights are exact to a few roundings; bends with ramps are
/// their own definition (their curvature is a box of length turn × radius, averaged over ramp_m as
/// often as said) and integrated by Simpson's rule, exact to below 1e-9 m.
///
/// Each corner takes the largest radius that leaves the lane's vertex by no more than 0.1 m and has
/// room, but at least the least one: a traced curve stays a curve, a street corner is turned as
/// tightly as the machine can.
tl::expected<std::vector<GuideStep>, TightBend> GuideAlong(const Line& line,
                                                           const Bending& bending);

}  // namespace chockwise::fit
