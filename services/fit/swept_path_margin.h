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

inline constexpr double kFoundToM = 1e-6;  // a nearest approach

/// A rectangle all along its way, with what is needed to skip steps.
class MovingBox {
 public:
  MovingBox(const RoundedBox& box, const std::vector<AxleFrame>& frames);

  struct Nearest {
    Gap gap;
    size_t step = 0;
  };
  /// Looks for an approach nearer than `best`, and improves it, to kFoundToM. Branch and bound: a
  /// stretch of the way whose rectangle is not near enough is left out.
  void Approach(const Segment& segment, std::optional<Nearest>& best) const;
  const RoundedBox& box() const { return box_; }

 private:
  /// Steps, and the rectangle that holds the box all along them, seen from the first. Halved until
  /// few are left; 0 where it is not.
  struct Stretch {
    size_t from = 0, to = 0;
    size_t before = 0, after = 0;
    RoundedBox hull = {};
  };
  size_t Build(size_t from, size_t to);
  void LookThrough(const Stretch& stretch, const Segment& segment,
                   std::optional<Nearest>& best) const;
  void ApproachBetween(size_t step, double gap_m, const Segment& segment, Nearest& best) const;

  RoundedBox box_;
  const std::vector<AxleFrame>& frames_;
  std::vector<double> moved_m_;     // no point of the box moved farther from the step before
  std::vector<Stretch> stretches_;  // the first is the whole way
};

}  // namespace chockwise::fit
