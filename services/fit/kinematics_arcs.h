// The way of a hitch between its samples as arcs, and how far the true way may be from them. Used
// by kinematics_chain.cc alone; plain metres and radians.
//
//   Arcs arcs(hitch, guide);
//   for (size_t i = 1; i < hitch.size(); ++i) unit.Pull(arcs.Next());
//
// Threads: values.
#pragma once

#include <vector>

#include "services/fit/geometry.h"
#include "services/fit/kinematics_guide.h"

namespace chockwise::fit {

/// One step of a way: the arc over its chord.
struct Arc {
  Point chord;          // of length 1; the arc's course halfway
  double length_m = 0;  // of the arc; 0: it stands
  double turn_rad = 0;  // from its start to its end, counter-clockwise positive
  /// The true way goes through both ends; between them it is nowhere farther than this from the
  /// arc, and its course is nowhere farther turned.
  double off_m = 0;
  double off_rad = 0;
};

/// At a point within a piece: the curvature of the circle through it and both its neighbours.
/// Unknown where a piece ends or the way stands.
struct Bend {
  double per_m = 0;
  double turn_rad = 0;
  bool known = false;
};

/// Gives one arc a step, in order. What a step turns is read from the chords beside it, and what
/// that may be wrong from how much they differ; steps of different pieces are not compared: a
/// corner between them is a corner. Refers to both its inputs.
class Arcs {
 public:
  Arcs(const std::vector<Point>& points, const std::vector<GuideStep>& guide);
  Arc Next();  // one fewer times than there are points

 private:
  Arc ChordAt(size_t step) const;
  bool IsWithinPiece(size_t point) const;

  const std::vector<Point>& points_;
  const std::vector<GuideStep>& guide_;
  size_t step_ = 0;
  Arc chord_, next_;
  Bend before_, start_, end_;
};

}  // namespace chockwise::fit
