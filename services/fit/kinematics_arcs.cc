#include "services/fit/kinematics_arcs.h"

#include <algorithm>
#include <cmath>

namespace chockwise::fit {
namespace {

// A step that turns more than this is no arc that its neighbours could tell of: near a standstill
// the way may turn back on itself.
constexpr double kMostTurnRad = 0.5;
constexpr double kSeriesRad = 0.05;  // below it the arc sine's series is exact to 4e-11

/// From one course to the next. The series saves an arc tangent a step.
double TurnBetween(Point from, Point to) {
  const double sine = Cross(from, to);
  const double cosine = Dot(from, to);
  if (cosine < 0 || std::abs(sine) > kSeriesRad) return std::atan2(sine, cosine);
  const double square = sine * sine;
  return sine * (1 + square * (1.0 / 6 + square * 3.0 / 40));
}

Bend BendBetween(const Arc& before, const Arc& after) {
  if (before.length_m == 0 || after.length_m == 0) return {};
  const double turn_rad = TurnBetween(before.chord, after.chord);
  return {.per_m = 2 * turn_rad / (before.length_m + after.length_m),
          .turn_rad = turn_rad,
          .known = true};
}

/// Fills in an arc from the curvatures at its ends, k, and the next ones on either side.
///
/// Let y be the true way's height over the chord, s the chord's length. Its curvature halfway is
/// taken as the mean of those at the ends; the error of that, times s, is `wrong_rad`: a quarter of
/// a second difference of curvature at most (1/8 for the mean, 1/12 for each circle), or, where an
/// end has no curvature of its own, a whole first difference. So y leaves the arc by wrong_rad * s
/// / 8, and its slope by wrong_rad / 2; besides, by the curvature's change over the step,
/// `change_rad`: y = change_rad / s^2 * x (x - s/2) (x - s) / 6, at most 0.0081 change_rad * s, its
/// slope change_rad / 12. Both twice, since differences tell of the step's neighbours and not of
/// itself; steps are far shorter than what a bend changes in.
void Curve(Arc& arc, const Bend& before, const Bend& start, const Bend& end, const Bend& after) {
  const double chord_m = arc.length_m;
  double per_m = 0, change_rad = 0, wrong_rad = 0;
  if (start.known && end.known) {
    per_m = (start.per_m + end.per_m) / 2;
    change_rad = std::abs(end.per_m - start.per_m) * chord_m;
    const double second_before =
        before.known ? std::abs(end.per_m - 2 * start.per_m + before.per_m) : 0;
    const double second_after =
        after.known ? std::abs(after.per_m - 2 * end.per_m + start.per_m) : 0;
    wrong_rad = before.known || after.known ? std::max(second_before, second_after) / 4 * chord_m
                                            : change_rad;
  } else if (start.known || end.known) {
    const Bend& next = start.known ? before : after;
    per_m = start.known ? start.per_m : end.per_m;
    change_rad = wrong_rad = std::abs(per_m - next.per_m) * chord_m;  // an unknown one is 0
  }
  arc.turn_rad = per_m * chord_m;
  const double ends_rad = std::max(std::abs(start.turn_rad), std::abs(end.turn_rad));
  if (std::max(std::abs(arc.turn_rad), ends_rad) > kMostTurnRad) {
    arc.turn_rad = 0;
    change_rad = wrong_rad = 2 * ends_rad;
  }
  const double square = arc.turn_rad * arc.turn_rad;
  arc.length_m = chord_m * (1 + square / 24 * (1 + 7 * square / 240));  // to 5e-7 of itself
  arc.off_m = 2 * chord_m * (wrong_rad / 8 + 0.0081 * change_rad);
  arc.off_rad = 2 * (wrong_rad / 2 + change_rad / 12);
}

}  // namespace

Arcs::Arcs(const std::vector<Point>& points, const std::vector<GuideStep>& guide)
    : points_(points), guide_(guide), chord_(ChordAt(0)), next_(ChordAt(1)) {
  if (IsWithinPiece(1)) end_ = BendBetween(chord_, next_);
}

Arc Arcs::Next() {
  const Arc second_next = ChordAt(step_ + 2);
  const Bend after = IsWithinPiece(step_ + 2) ? BendBetween(next_, second_next) : Bend{};
  Arc arc = chord_;
  if (arc.length_m > 0) Curve(arc, before_, start_, end_, after);
  ++step_;
  chord_ = next_;
  next_ = second_next;
  before_ = start_;
  start_ = end_;
  end_ = after;
  return arc;
}

Arc Arcs::ChordAt(size_t step) const {
  if (step + 1 >= points_.size()) return {};
  const Point chord = points_[step + 1] - points_[step];
  const double length_m = LengthM(chord);
  return length_m > 0 ? Arc{.chord = 1 / length_m * chord, .length_m = length_m} : Arc{};
}

bool Arcs::IsWithinPiece(size_t point) const {
  return point + 1 < points_.size() && guide_[point].piece == guide_[point + 1].piece;
}

}  // namespace chockwise::fit
