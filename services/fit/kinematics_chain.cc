#include "services/fit/kinematics_chain.h"

#include <algorithm>
#include <cmath>
#include <numbers>
#include <span>

#include "services/fit/kinematics_arcs.h"

namespace chockwise::fit {
namespace {

Point LeftOf(Point along) { return {-along.y_m, along.x_m}; }

Point Normed(Point vector) {
  const double length_m = LengthM(vector);
  return length_m > 0 ? 1 / length_m * vector : Point{1, 0};
}

/// The arc's courses at its start and its end; half its turn is at most a quarter, where the series
/// are exact to 4e-10.
struct Courses {
  Point start, end;
};
Courses CoursesOf(const Arc& arc) {
  const double half_rad = arc.turn_rad / 2;
  const double square = half_rad * half_rad;
  const double cosine = 1 - square * (1.0 / 2 - square * (1.0 / 24 - square * (1.0 / 720)));
  const double sine = half_rad * (1 - square * (1.0 / 6 - square * (1.0 / 120)));
  const Point along = cosine * arc.chord, across = sine * LeftOf(arc.chord);
  return {along - across, along + across};
}

/// exp of the matrix ((-x, t), (-t, x)) / 2, which is cosh(m) + sinh(m) / m * matrix with m^2 =
/// (x^2 - t^2) / 4. The series, to 3e-13, saves the exponential of an ordinary step.
struct HalfAngleStep {
  double cosh = 1;
  double sinh_over = 1;
};
HalfAngleStep HalfAngleStepOf(double x, double t) {
  const double square = (x - t) * (x + t) / 4;
  if (std::abs(square) < 0.01)
    return {1 + square * (1.0 / 2 + square * (1.0 / 24 + square * (1.0 / 720))),
            1 + square * (1.0 / 6 + square * (1.0 / 120 + square * (1.0 / 5040)))};
  const double root = std::sqrt(std::abs(square));
  if (square < 0) return {std::cos(root), std::sin(root) / root};
  return {std::cosh(root), std::sinh(root) / root};
}

/// What a hitch may be off, and by how much that changes in the step before.
struct HitchOff {
  double m = 0;
  double step_m = 0;
};

/// A unit behind its hitch, and how far its heading may be off.
///
/// The motion. While the hitch moves along an arc, the angle f between its course and the unit goes
/// as f' = turn / way - sin(f) / length. With f = 2 atan(p / q) that is linear in (p, q), and
/// solved by the exponential of a matrix without trace: exact, for an arc and its limit, the
/// straight.
///
/// The error e of the heading. The true hitch is at the arc plus d, with what the arc leaves out
/// (`off_m`, nothing at the steps' ends) and what the unit before is off (`off`). From
/// length * heading' = hitch' . n, n the unit's left, one has
///   length * e' = -cos(f + z) * e + d' . n,  |z| <= |e|, per metre of the hitch.
/// 1. Alone, e grows by the derivative of the closed form, which is |(p, q)|^2 before over after,
///    since the matrix has determinant 1. That is the physics: e^(-way / length) where the unit is
///    straight behind its hitch, growth where it is folded beyond a right angle. z worsens the
///    exponent by |e| * way / length.
/// 2. d' . n integrated by parts is d . n at the ends, and inside at most sqrt(2) * |d| / length a
///    metre (a part along n from the first term, one along the unit from n').
/// 3. For what the arc leaves out, |d'| <= off_rad as well, which is the better bound where the
///    length is short against the step. The lesser of both.
/// What comes in during a step is weighed down with it: over a step of x lengths, by (1 - e^(-g x))
/// / g <= min(x, 1 / g), with g the least cosine in the step. f goes from its value at the start to
/// the one at the end and does not turn back (its equation has no other variable), so that g is
/// that of one of them. Where g is below 0, x * e^(-g x). Beyond 1 rad nothing is claimed any more.
class Towed {
 public:
  Towed(Point along, double length_m) : along_(along), per_m_(1 / length_m) {}

  /// `off`: the worse of what the hitch is off at both ends of the step.
  void Pull(const Arc& arc, const HitchOff& off) {
    const double before_rad = off_rad_;
    Move(arc, off);
    swerved_rad_ = std::min(swerved_rad_, before_rad + off_rad_);
  }
  Point along() const { return along_; }
  double OffRad() const { return off_rad_; }
  /// By how much what the heading is off may have changed in the last step.
  double SwervedRad() const { return swerved_rad_; }

 private:
  struct Step {
    double lengths = 0;
    double growth = 1;
    double least_cosine = 1;
  };
  void Move(const Arc& arc, const HitchOff& off) {
    swerved_rad_ = 0;
    if (arc.length_m == 0) return Follow(off.m);
    const double x = arc.length_m * per_m_;
    const auto [from, to] = CoursesOf(arc);
    const double cosine = Dot(from, along_);
    double p = Cross(along_, from), q = 1 + cosine;
    if (q < 1e-12) p = 1, q = 0;  // folded back fully: it is pushed straight
    const HalfAngleStep step = HalfAngleStepOf(x, arc.turn_rad);
    const double p_to = step.cosh * p + step.sinh_over / 2 * (arc.turn_rad * q - x * p);
    const double q_to = step.cosh * q + step.sinh_over / 2 * (x * q - arc.turn_rad * p);
    const double share = 1 / (p_to * p_to + q_to * q_to);
    const double cosine_to = (q_to * q_to - p_to * p_to) * share;
    along_ = cosine_to * to - 2 * p_to * q_to * share * LeftOf(to);
    Grow({.lengths = x,
          .growth = (p * p + q * q) * share,
          .least_cosine = std::min(cosine, cosine_to)},
         arc, off);
  }
  /// What comes in evenly during a step of x lengths is at its end this many lengths' worth.
  static double Weight(double x, double least_cosine) {
    if (x * least_cosine > 1) return 1 / least_cosine;
    if (least_cosine > 0) return x;
    return x * std::exp(-x * least_cosine);
  }
  void Grow(const Step& step, const Arc& arc, const HitchOff& off) {
    const double x = step.lengths;
    const double per_off_m = std::numbers::sqrt2 * per_m_;
    const double coming = std::min(per_off_m * arc.off_m, arc.off_rad) + per_off_m * off.m;
    // |z|, for the whole step: what there is at its start and what comes in, doubled.
    const double within_rad = std::min(arc.off_m * per_m_, x * arc.off_rad) + off.m * per_m_;
    const double z_rad = 2 * (own_rad_ + Weight(x, step.least_cosine) * coming + within_rad);
    if (z_rad > 1) return Lose();
    swerved_rad_ = x * (z_rad + arc.off_rad) + off.step_m * per_m_;
    const double worse = x * z_rad;
    const double worsened = worse < 0.5 ? 1 + worse + worse * worse : std::exp(worse);
    own_rad_ = own_rad_ * step.growth * worsened + Weight(x, step.least_cosine - z_rad) * coming;
    Follow(off.m);
  }
  void Follow(double hitch_off_m) {
    off_rad_ = own_rad_ + hitch_off_m * per_m_;
    if (off_rad_ > 1) Lose();
  }
  /// Nothing is known of the heading any more.
  void Lose() { own_rad_ = off_rad_ = swerved_rad_ = std::numbers::pi; }

  Point along_;
  double per_m_;        // 1 / length
  double own_rad_ = 0;  // |e - d . n / length|
  double off_rad_ = 0;  // |e|
  double swerved_rad_ = 0;
};

/// What a hitch is off a step, on the unit that moved before.
class OffHitch {
 public:
  OffHitch() = default;  // exact
  OffHitch(const MovedUnit& on, double ahead_m)
      : drifts_(on.drifts), reach_m_(std::abs(ahead_m - on.pivot_ahead_m)) {}
  HitchOff At(size_t step) const {
    if (drifts_.empty()) return {};
    const Drift& drift = drifts_[is_backwards_ ? drifts_.size() - 1 - step : step];
    HitchOff off{.m = drift.hitch_m + reach_m_ * drift.heading_rad, .step_m = 0};
    if (is_backwards_ && step == 0) return off;
    const Drift& change = drifts_[is_backwards_ ? drifts_.size() - step : step];
    off.step_m = change.hitch_step_m + reach_m_ * change.heading_step_rad;
    return off;
  }
  OffHitch Backwards() const {
    OffHitch backwards = *this;
    backwards.is_backwards_ = true;
    return backwards;
  }

 private:
  std::span<const Drift> drifts_;  // none: exact
  double reach_m_ = 0;
  bool is_backwards_ = false;
};

/// The units that a moving point pulls on a bar of this length, the point at the bar's front.
struct Trail {
  std::vector<AxleFrame> frames;
  std::vector<Drift> drifts;
};

Trail TrailOf(const std::vector<Point>& hitch, Point start_along, double length_m,
              const std::vector<GuideStep>& guide, const OffHitch& off) {
  Trail trail;
  Towed unit(start_along, length_m);
  Arcs arcs(hitch, guide);
  trail.frames.reserve(hitch.size());
  trail.drifts.reserve(hitch.size());
  double before_m = 0;
  for (size_t i = 0; i < hitch.size(); ++i) {
    const HitchOff here = off.At(i);
    if (i > 0) unit.Pull(arcs.Next(), {.m = std::max(before_m, here.m), .step_m = here.step_m});
    before_m = here.m;
    trail.frames.push_back({hitch[i] - length_m * unit.along(), unit.along()});
    trail.drifts.push_back({.hitch_m = here.m,
                            .hitch_step_m = here.step_m,
                            .heading_rad = unit.OffRad(),
                            .heading_step_rad = unit.SwervedRad()});
  }
  return trail;
}

std::vector<Point> PointsAt(const std::vector<AxleFrame>& frames, double ahead_m) {
  std::vector<Point> points;
  points.reserve(frames.size());
  for (const AxleFrame& frame : frames) points.push_back(frame.at + ahead_m * frame.along);
  return points;
}

std::vector<Point> PointsOf(const std::vector<GuideStep>& guide) {
  std::vector<Point> points;
  points.reserve(guide.size());
  for (const GuideStep& step : guide) points.push_back(step.at);
  return points;
}

/// A unit whose hitch is over its axle points where the hitch comes from: against the course of the
/// arc that starts there. That course is off by what the arc's is, and by what the hitch's own
/// error changes over the chord.
Trail TurnedTrail(const std::vector<Point>& hitch, const std::vector<GuideStep>& guide,
                  const OffHitch& off) {
  Arcs arcs(hitch, guide);
  Arc arc;
  Trail trail;
  for (size_t i = 0; i < hitch.size(); ++i) {
    const bool is_last = i + 1 == hitch.size();
    if (!is_last) arc = arcs.Next();
    const auto [start, end] = CoursesOf(arc);
    Drift drift{
        .hitch_m = off.At(i).m, .hitch_step_m = off.At(i).step_m, .heading_rad = std::numbers::pi};
    if (arc.length_m > 0)
      drift.heading_rad = std::min(
          drift.heading_rad, arc.off_rad + 2 * off.At(is_last ? i : i + 1).step_m / arc.length_m);
    drift.heading_step_rad = drift.heading_rad + (i > 0 ? trail.drifts.back().heading_rad : 0);
    trail.frames.push_back({hitch[i], -1 * (is_last ? end : start)});
    trail.drifts.push_back(drift);
  }
  return trail;
}

/// The unit before one that is pushed: the axle where it must be so that the hitch goes where it
/// goes.
Trail UnitBefore(const std::vector<Point>& hitch, const UnitLink& link, Point start_along,
                 const std::vector<GuideStep>& guide, const OffHitch& off) {
  if (link.hitch_ahead_m == 0) return TurnedTrail(hitch, guide, off);
  if (link.hitch_ahead_m < 0) {
    // The hitch is behind the axle: in reverse the hitch leads and the axle is dragged after it.
    Trail trail = TrailOf(hitch, -1 * start_along, -link.hitch_ahead_m, guide, off);
    for (AxleFrame& frame : trail.frames) frame.along = -1 * frame.along;
    return trail;
  }
  // Read backwards in time the hitch leads: solved from the end.
  const std::vector<Point> backwards(hitch.rbegin(), hitch.rend());
  std::vector<GuideStep> steps(guide.rbegin(), guide.rend());
  for (size_t i = steps.size() - 1; i > 0; --i) steps[i].piece = steps[i - 1].piece;
  const Point end_along = Normed(backwards[1] - backwards[0]);  // it ends behind its hitch
  Trail trail = TrailOf(backwards, end_along, link.hitch_ahead_m, steps, off.Backwards());
  std::reverse(trail.frames.begin(), trail.frames.end());
  std::reverse(trail.drifts.begin(), trail.drifts.end());
  for (size_t i = trail.drifts.size() - 1; i > 0; --i) {
    trail.drifts[i].heading_step_rad = trail.drifts[i - 1].heading_step_rad;
    trail.drifts[i].hitch_step_m = off.At(i).step_m;
  }
  return trail;
}

}  // namespace

Bulge BulgeOf(const std::vector<AxleFrame>& frames, const std::vector<GuideStep>& guide,
              double reach_m) {
  // A thing at P is seen from the unit at y = left . (P - axle), so that y'' = left'' . (P - axle)
  // - 2 left' . axle' - left . axle''; a corner at r moves with axle'' + r * along''. Between two
  // steps either leaves its chord by an eighth of that at most.
  Bulge bulge;
  for (size_t i = 1; i + 1 < frames.size(); ++i) {
    if (guide[i].piece != guide[i + 1].piece) continue;
    const Point axle = frames[i + 1].at - frames[i].at;
    const Point turn = frames[i + 1].along - frames[i].along;
    const double axle_second = LengthM(axle - (frames[i].at - frames[i - 1].at));
    const double turn_second = LengthM(turn - (frames[i].along - frames[i - 1].along));
    bulge.error_m = std::max(
        bulge.error_m, axle_second + reach_m * turn_second + 2 * LengthM(turn) * LengthM(axle));
    bulge.per_m = std::max(bulge.per_m, turn_second);
  }
  return {.error_m = 2.0 / 8 * bulge.error_m, .per_m = 2.0 / 8 * bulge.per_m};
}

double MostOffM(const std::vector<Drift>& drifts, double reach_m) {
  double most_m = 0;
  for (const Drift& drift : drifts)
    most_m = std::max(most_m, drift.hitch_m + reach_m * drift.heading_rad);
  return most_m;
}

Moved PullAlong(const UnitChain& chain, const std::vector<GuideStep>& guide) {
  Moved moved;
  if (chain.steering == Steering::kFrontAxle) {
    Trail trail =
        TrailOf(PointsOf(guide), guide.front().along, chain.wheelbase_m, guide, OffHitch());
    moved.units.push_back({std::move(trail.frames), std::move(trail.drifts), chain.wheelbase_m});
  } else {
    MovedUnit first;
    first.frames.reserve(guide.size());
    const bool crab = chain.steering == Steering::kCrab;
    for (const GuideStep& step : guide)
      first.frames.push_back({step.at, crab ? guide.front().along : step.along});
    moved.units.push_back(std::move(first));
  }
  for (const UnitLink& link : chain.links) {
    const MovedUnit& before = moved.units.back();
    Trail trail = TrailOf(PointsAt(before.frames, link.hitch_ahead_m), before.frames.front().along,
                          link.length_m, guide, OffHitch(before, link.hitch_ahead_m));
    moved.units.push_back({std::move(trail.frames), std::move(trail.drifts), link.length_m});
  }
  return moved;
}

Moved PushAlong(const UnitChain& chain, const std::vector<GuideStep>& guide) {
  Moved moved;
  MovedUnit last;
  last.frames.reserve(guide.size());
  const bool crab = chain.steering == Steering::kCrab;
  for (const GuideStep& step : guide)
    last.frames.push_back({step.at, -1 * (crab ? guide.front().along : step.along)});
  const Point start_along = last.frames.front().along;
  moved.units.push_back(std::move(last));
  for (size_t i = chain.links.size(); i-- > 0;) {
    const UnitLink& link = chain.links[i];
    const MovedUnit& behind = moved.units.back();
    Trail trail = UnitBefore(PointsAt(behind.frames, link.length_m), link, start_along, guide,
                             OffHitch(behind, link.length_m));
    moved.units.push_back({std::move(trail.frames), std::move(trail.drifts), link.hitch_ahead_m});
  }
  std::reverse(moved.units.begin(), moved.units.end());
  return moved;
}

}  // namespace chockwise::fit
