#include "services/fit/kinematics_chain.h"

#include <algorithm>
#include <cmath>

namespace chockwise::fit {
namespace {

Point LeftOf(Point along) { return {-along.y_m, along.x_m}; }

Point Normed(Point vector) {
  const double length_m = LengthM(vector);
  return length_m > 0 ? 1 / length_m * vector : Point{1, 0};
}

/// A unit behind its hitch, and how far its heading may be off.
///
/// While the hitch moves by s along a straight, the angle between the unit and that straight
/// shrinks as tan(angle / 2) * exp(-s / length): the tractrix, exact. The hitch really bulges from
/// the straight by at most `sagitta`; integrating by parts, that turns the unit by at most (2/3) *
/// s * sagitta / length^2 more in the step. A hitch that is itself off by `error` adds error /
/// length at once and at most 1.42 * s * error / length^2 a step. What is off shrinks (or grows,
/// beyond 90 deg) with the derivative of the closed form.
class Towed {
 public:
  Towed(Point along, double length_m, double hitch_error_m, double sagitta_m)
      : along_(along),
        length_m_(length_m),
        instant_rad_(hitch_error_m / length_m),
        per_metre_rad_((1.42 * hitch_error_m + 2.0 / 3 * sagitta_m) / (length_m * length_m)) {}

  void Pull(Point moved) {
    const double moved_m = LengthM(moved);
    if (moved_m == 0) return;
    const Point course = 1 / moved_m * moved;
    const double cosine = Dot(course, along_);
    const double sine = Cross(course, along_);
    if (1 + cosine < 1e-12) return;  // folded back fully: it is pushed straight, which is no answer
    const double before = sine / (1 + cosine);
    const double shrink = std::exp(-moved_m / length_m_);
    const double after = before * shrink;
    const double square = 1 + after * after;
    along_ = (1 - after * after) / square * course + 2 * after / square * LeftOf(course);
    drift_rad_ = drift_rad_ * shrink * (1 + before * before) / square + moved_m * per_metre_rad_;
    most_drift_rad_ = std::max(most_drift_rad_, drift_rad_);
  }
  Point along() const { return along_; }
  double MostDriftRad() const { return most_drift_rad_ + instant_rad_; }

 private:
  Point along_;
  double length_m_;
  double instant_rad_;
  double per_metre_rad_;
  double drift_rad_ = 0;
  double most_drift_rad_ = 0;
};

/// The units that a moving point pulls on a bar of this length, the point at the bar's front.
struct Trail {
  std::vector<AxleFrame> frames;
  Drift drift;
};

Trail TrailOf(const std::vector<Point>& hitch, Point start_along, double length_m,
              const std::vector<GuideStep>& guide, double hitch_error_m) {
  Trail trail;
  Towed unit(start_along, length_m, hitch_error_m, SagittaM(hitch, guide));
  trail.frames.reserve(hitch.size());
  for (size_t i = 0; i < hitch.size(); ++i) {
    if (i > 0) unit.Pull(hitch[i] - hitch[i - 1]);
    trail.frames.push_back({hitch[i] - length_m * unit.along(), unit.along()});
  }
  trail.drift.heading_rad = unit.MostDriftRad();
  trail.drift.axle_m = hitch_error_m + length_m * trail.drift.heading_rad;
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

/// The unit before one that is pushed: the axle where it must be so that the hitch goes where it
/// goes.
Trail UnitBefore(const std::vector<Point>& hitch, const UnitLink& link, Point start_along,
                 const std::vector<GuideStep>& guide, double hitch_error_m) {
  if (link.hitch_ahead_m < 0) {
    // The hitch is behind the axle: in reverse the hitch leads and the axle is dragged after it.
    Trail trail = TrailOf(hitch, -1 * start_along, -link.hitch_ahead_m, guide, hitch_error_m);
    for (AxleFrame& frame : trail.frames) frame.along = -1 * frame.along;
    return trail;
  }
  if (link.hitch_ahead_m > 0) {
    // Read backwards in time the hitch leads: solved from the end.
    std::vector<Point> backwards(hitch.rbegin(), hitch.rend());
    std::vector<GuideStep> steps(guide.rbegin(), guide.rend());
    for (size_t i = steps.size() - 1; i > 0; --i) steps[i].piece = steps[i - 1].piece;
    const Point end_along = Normed(backwards[1] - backwards[0]);  // it ends behind its hitch
    Trail trail = TrailOf(backwards, end_along, link.hitch_ahead_m, steps, hitch_error_m);
    std::reverse(trail.frames.begin(), trail.frames.end());
    return trail;
  }
  // The hitch is over the axle: the unit points where the hitch comes from. The mean course of the
  // steps on both sides is off by a third of the change of the change of course at most; taken once
  // in full.
  Trail trail;
  std::vector<Point> courses;
  for (size_t i = 0; i + 1 < hitch.size(); ++i) courses.push_back(Normed(hitch[i] - hitch[i + 1]));
  for (size_t i = 0; i < hitch.size(); ++i) {
    const Point before = courses[i == 0 ? 0 : i - 1];
    const Point after = courses[std::min(i, courses.size() - 1)];
    trail.frames.push_back({hitch[i], Normed(before + after)});
    if (i >= 2 && i < courses.size()) {
      trail.drift.heading_rad = std::max(trail.drift.heading_rad,
                                         LengthM(courses[i] - 2 * courses[i - 1] + courses[i - 2]));
    }
  }
  trail.drift.axle_m = hitch_error_m;
  return trail;
}

}  // namespace

double SagittaM(const std::vector<Point>& points, const std::vector<GuideStep>& guide) {
  double largest = 0;
  for (size_t i = 1; i + 1 < points.size(); ++i) {
    if (guide[i].piece != guide[i + 1].piece) continue;
    const Point second = points[i + 1] - 2 * points[i] + points[i - 1];
    largest = std::max(largest, Dot(second, second));
  }
  return 2.0 / 8 * std::sqrt(largest);
}

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

Moved PullAlong(const UnitChain& chain, const std::vector<GuideStep>& guide) {
  Moved moved;
  std::vector<AxleFrame> first;
  Drift drift;
  if (chain.steering == Steering::kFrontAxle) {
    Trail trail = TrailOf(PointsOf(guide), guide.front().along, chain.wheelbase_m, guide, 0);
    first = std::move(trail.frames);
    drift = trail.drift;
  } else {
    first.reserve(guide.size());
    const bool crab = chain.steering == Steering::kCrab;
    for (const GuideStep& step : guide)
      first.push_back({step.at, crab ? guide.front().along : step.along});
  }
  moved.units.push_back(std::move(first));
  moved.drifts.push_back(drift);
  for (const UnitLink& link : chain.links) {
    const std::vector<AxleFrame>& before = moved.units.back();
    const double hitch_error_m = drift.axle_m + std::abs(link.hitch_ahead_m) * drift.heading_rad;
    Trail trail = TrailOf(PointsAt(before, link.hitch_ahead_m), before.front().along, link.length_m,
                          guide, hitch_error_m);
    drift = trail.drift;
    moved.units.push_back(std::move(trail.frames));
    moved.drifts.push_back(drift);
  }
  return moved;
}

Moved PushAlong(const UnitChain& chain, const std::vector<GuideStep>& guide) {
  Moved moved;
  std::vector<AxleFrame> frames;
  frames.reserve(guide.size());
  const bool crab = chain.steering == Steering::kCrab;
  for (const GuideStep& step : guide)
    frames.push_back({step.at, -1 * (crab ? guide.front().along : step.along)});
  const Point start_along = frames.front().along;
  Drift drift;
  moved.units.push_back(std::move(frames));
  moved.drifts.push_back(drift);
  for (size_t i = chain.links.size(); i-- > 0;) {
    const UnitLink& link = chain.links[i];
    const double hitch_error_m = drift.axle_m + link.length_m * drift.heading_rad;
    Trail trail = UnitBefore(PointsAt(moved.units.back(), link.length_m), link, start_along, guide,
                             hitch_error_m);
    drift = trail.drift;
    moved.units.push_back(std::move(trail.frames));
    moved.drifts.push_back(drift);
  }
  std::reverse(moved.units.begin(), moved.units.end());
  std::reverse(moved.drifts.begin(), moved.drifts.end());
  return moved;
}

}  // namespace chockwise::fit
