// The nearest approach between a moving rectangle and a line that stands still. Used by
// swept_path.h alone; plain metres.
//
// Threads: values.
#pragma once

#include <optional>
#include <vector>

#include "services/fit/kinematics.h"

namespace chockwise::fit {

/// A rectangle with rounded edges, seen from an axle: it reaches half_length_m and half_width_m
/// from its middle, and radius_m farther in every direction.
struct RoundedBox {
  Point middle;
  double half_length_m = 0;
  double half_width_m = 0;
  double radius_m = 0;
};
RoundedBox RoundedBoxOf(const BodyBox& box);

struct Segment {
  Point from;
  Point to;  // may be the same
};

struct Gap {
  /// Below 0 where they overlap: the least that the one must be moved aside to come free.
  double gap_m = 0;
  Point on_box;    // seen from the axle: where it is nearest
  Point on_other;  // on the ground
};

/// Error: below 1e-9 m within 1,000 km of the origin and 100 m of the axle, and exact to a few
/// roundings of the coordinates: never positive where they overlap by more than that.
Gap GapBetween(const RoundedBox& box, const AxleFrame& at, const Segment& segment);

/// Between the way of a box corner from one step to the next, taken straight, and a segment. Where
/// they cross it is 0 or less.
Gap GapOfWay(const Segment& way, const Segment& segment);

/// A rectangle all along its way, with what is needed to skip steps.
class MovingBox {
 public:
  MovingBox(const RoundedBox& box, const std::vector<AxleFrame>& frames);

  struct Nearest {
    Gap gap;
    size_t step = 0;
  };
  /// Looks for an approach nearer than `best`, and improves it. Branch and bound: a stretch of the
  /// way over which it cannot come near enough, by how far it moves at most, is left out.
  void Approach(const Segment& segment, std::optional<Nearest>& best) const;
  const RoundedBox& box() const { return box_; }

 private:
  struct Stretch {
    size_t from = 0, to = 0;      // steps
    double from_m = 0, to_m = 0;  // the gaps there
  };
  void ApproachBetween(const Stretch& stretch, const Segment& segment, Nearest& best) const;

  RoundedBox box_;
  const std::vector<AxleFrame>& frames_;
  std::vector<double> moved_m_;  // no point of the box moved farther from the first step to this
};

}  // namespace chockwise::fit
