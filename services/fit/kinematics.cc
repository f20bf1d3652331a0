#include "services/fit/kinematics.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>
#include <numbers>
#include <utility>

#include "services/fit/kinematics_chain.h"
#include "services/fit/kinematics_guide.h"

namespace chockwise::fit {
namespace {

constexpr double kRoundingM = 1e-9;  // of places within a yard
// A drift's next term is estimated from its neighbours, which near nothing may miss more than it
// states: 0.17 mm where 0.09 mm were stated is the worst of 2,280 ways held against an ODE solver.
constexpr double kEstimateReserve = 2.5;
constexpr double kRoundingRad = 1e-9;  // of angles that are compared with a limit
constexpr double kRampSpare = 1.2;     // tried: what one trailer's ramps need over the bare way
constexpr double kLeastPivotM = 0.5;   // reversing behind a machine that turns on the spot

double SquareOf(double x) { return x * x; }

/// How far the farther of its axle and its farthest corner is from the point that is `from_m` ahead
/// of its axle.
double ReachM(const std::vector<BodyBox>& boxes, double from_m) {
  double reach_m = std::abs(from_m);
  for (const BodyBox& box : boxes) {
    for (const Metres ahead : {box.ahead, -box.behind}) {
      for (const Metres left : {box.left, -box.right})
        reach_m = std::max(reach_m, std::hypot(ahead.metres() - from_m, left.metres()));
    }
  }
  return reach_m;
}

/// Everything about the manoeuvre in plain numbers, a machine that steers behind turned round.
struct Plan {
  UnitChain chain;
  Travel travel = Travel::kForwards;
  std::vector<const std::vector<BodyBox>*> boxes;  // a unit
  std::vector<double> most_fold_rad;               // a link
  double most_steer_rad = 0;
  double least_radius_m = 0;       // steady, of the point that leads the first unit
  double first_axle_radius_m = 0;  // steady, of the unit that hands on to the trailers
};

Plan PlanOf(const Manoeuvre& manoeuvre) {
  const TurningMachine& machine = manoeuvre.machine;
  Plan plan;
  plan.travel = manoeuvre.travel;
  plan.chain.steering = machine.steering;
  plan.chain.wheelbase_m = machine.wheelbase.metres();
  plan.most_steer_rad = machine.most_steer.radians();
  plan.boxes.push_back(&machine.boxes);
  const double front_m = machine.wheelbase.metres();
  const double rear_m = machine.hinge_to_rear.metres();
  const double sine = std::sin(plan.most_steer_rad);
  const double cosine = std::cos(plan.most_steer_rad);
  switch (machine.steering) {
    case Steering::kRearAxle:
      plan.chain.steering = Steering::kFrontAxle;
      plan.travel = manoeuvre.travel == Travel::kForwards ? Travel::kReversing : Travel::kForwards;
      [[fallthrough]];
    case Steering::kFrontAxle:
      plan.least_radius_m = front_m / sine;
      plan.first_axle_radius_m = front_m * cosine / sine;
      break;
    case Steering::kHinge:
      // Turning centre, both axles and hinge lie on one circle: right angles at the axles.
      plan.least_radius_m = (front_m * cosine + rear_m) / sine;
      plan.first_axle_radius_m = (rear_m * cosine + front_m) / sine;
      plan.chain.links.push_back({.hitch_ahead_m = -front_m, .length_m = rear_m});
      plan.boxes.push_back(&machine.rear_boxes);
      plan.most_fold_rad.push_back(plan.most_steer_rad);
      break;
    case Steering::kCrab:
      break;
    case Steering::kMiddle:
      plan.least_radius_m = plan.first_axle_radius_m = machine.least_radius.metres();
      break;
  }
  for (const Trailer& trailer : machine.trailers) {
    plan.chain.links.push_back({.hitch_ahead_m = trailer.hitch_ahead.metres(),
                                .length_m = trailer.hitch_to_axle.metres()});
    plan.boxes.push_back(&trailer.boxes);
    plan.most_fold_rad.push_back(trailer.most_fold.radians());
  }
  return plan;
}

/// What a combination that is reversed needs of its bends. A steady turn by the sum of squares and
/// the folding limits give a least radius of the hindmost axle; the ramps give the first unit the
/// way to swing out ahead of it: length * change of curvature is what its own axle must turn.
Bending ReversingBends(const Plan& plan, double gentleness) {
  double square = SquareOf(plan.first_axle_radius_m);
  double least_m = 0;
  const bool hinged = plan.chain.steering == Steering::kHinge;
  for (size_t i = hinged ? 1 : 0; i < plan.chain.links.size(); ++i) {
    const UnitLink& link = plan.chain.links[i];
    square -= SquareOf(link.length_m) - SquareOf(link.hitch_ahead_m);
    const double fold_rad = std::min(0.85 * plan.most_fold_rad[i], 1.3);
    least_m = std::max(least_m, link.length_m / std::tan(fold_rad));
  }
  const double tightest_m =
      std::max({least_m, std::sqrt(std::max(square, 0.0)), 0.6 * plan.chain.links.back().length_m});
  const double pivot_m = std::max(plan.first_axle_radius_m, kLeastPivotM);
  Bending bending;
  bending.least_radius_m = gentleness * tightest_m;
  bending.ramp_m =
      std::max(kRampSpare * plan.chain.links.back().length_m * pivot_m / tightest_m, 1.0);
  bending.ramps = static_cast<int>(plan.chain.links.size());
  return bending;
}

std::vector<Bending> BendingsOf(const Plan& plan, const Manoeuvre& manoeuvre) {
  std::vector<Bending> bendings;
  Bending bending;
  const bool pushed = plan.travel == Travel::kReversing && !manoeuvre.machine.trailers.empty();
  if (pushed) {
    for (const double gentleness : {1.05, 1.2, 1.4, 1.7, 2.1, 2.7, 3.5, 4.5})
      bendings.push_back(ReversingBends(plan, gentleness));
  } else if (plan.chain.steering == Steering::kCrab) {
    bending.corners = Corners::kSharp;
    bendings.push_back(bending);
  } else if (plan.chain.steering == Steering::kMiddle && plan.least_radius_m == 0) {
    bending.corners = Corners::kSpun;
    bending.reach_m = std::max(ReachM(*plan.boxes.front(), 0), 0.1);
    bendings.push_back(bending);
  } else {
    const bool axle_leads = plan.travel == Travel::kReversing;
    bending.least_radius_m = axle_leads ? plan.first_axle_radius_m : plan.least_radius_m;
    bendings.push_back(bending);
  }
  for (Bending& one : bendings) one.step_m = manoeuvre.step.metres();
  return bendings;
}

/// Keeps the first limit that is overstepped.
class Limits {
 public:
  explicit Limits(const std::vector<GuideStep>& guide) : guide_(guide) {}
  void Fails(size_t step, Shortfall shortfall) {
    if (shortfall_ && step >= step_) return;
    step_ = step;
    shortfall.along = InMetres(guide_[step].along_m);
    shortfall_ = shortfall;
  }
  const std::optional<Shortfall>& shortfall() const { return shortfall_; }
  size_t step() const { return step_; }

 private:
  const std::vector<GuideStep>& guide_;
  std::optional<Shortfall> shortfall_;
  size_t step_ = 0;
};

/// The angle between two directions, 0 to 180 deg, as what tells the wider of two: every step asks,
/// and an arc tangent costs as much as all the rest of a step.
struct Opening {
  double along = 1;
  double across = 0;  // not below 0
  double Rad() const { return std::atan2(across, along); }
};
Opening Between(Point a, Point b) { return {Dot(a, b), std::abs(Cross(a, b))}; }
bool IsWider(Opening a, Opening b) {
  const bool a_is_blunt = a.along < 0;
  if (a_is_blunt != (b.along < 0)) return a_is_blunt;
  return a.across * b.along > b.across * a.along;  // sin(a - b) > 0, both in one quarter
}

/// The largest of an angle a step; the first beyond the limit is reported.
template <class OpeningAt>
Angle Most(size_t steps, double limit_rad, Shortfall shortfall, Limits& limits,
           OpeningAt opening_at) {
  const double beyond_rad = std::min(limit_rad + kRoundingRad, std::numbers::pi);
  const Opening limit{std::cos(beyond_rad), std::sin(beyond_rad)};
  Opening most;
  bool failed = false;
  for (size_t i = 0; i < steps; ++i) {
    const Opening opening = opening_at(i);
    if (IsWider(opening, most)) most = opening;
    if (failed || !IsWider(opening, limit)) continue;
    failed = true;
    shortfall.needed = Radians(opening.Rad());
    shortfall.limit = Radians(limit_rad);
    limits.Fails(i, shortfall);
  }
  return Radians(most.Rad());
}

void CheckFolds(const Plan& plan, const Moved& moved, Limits& limits, Driven& driven) {
  for (size_t link = 0; link < plan.chain.links.size(); ++link) {
    const auto& before = moved.units[link].frames;
    const auto& after = moved.units[link + 1].frames;
    Shortfall shortfall{.what = Shortfall::What::kFold, .hinge = link + 1};
    driven.most_fold.push_back(
        Most(before.size(), plan.most_fold_rad[link], shortfall, limits,
             [&](size_t i) { return Between(before[i].along, after[i].along); }));
  }
}

/// In reverse the steering is what the front axle's way over the ground asks for.
void CheckPushedSteering(const Plan& plan, const Moved& moved, Limits& limits, Driven& driven) {
  const std::vector<AxleFrame>& first = moved.units.front().frames;
  const auto front = [&](size_t i) {
    return first[i].at + plan.chain.wheelbase_m * first[i].along;
  };
  driven.most_steer = Most(first.size() - 1, plan.most_steer_rad, {.what = Shortfall::What::kSteer},
                           limits, [&](size_t i) {
                             const Point back = front(i) - front(i + 1);
                             if (Dot(back, back) == 0) return Opening{};
                             return Between(back, first[i].along + first[i + 1].along);
                           });
}

/// A pushing machine on tracks turns by what its combination asks of it.
void CheckPushedRadius(const Plan& plan, const Moved& moved, Limits& limits) {
  const std::vector<AxleFrame>& first = moved.units.front().frames;
  for (size_t i = 0; i + 1 < first.size(); ++i) {
    const double turn_rad = Between(first[i].along, first[i + 1].along).Rad();
    const double way_m = LengthM(first[i + 1].at - first[i].at);
    if (turn_rad * plan.least_radius_m <= way_m * (1 + 1e-3) + kRoundingM) continue;
    limits.Fails(i, {.what = Shortfall::What::kBend,
                     .least_radius = InMetres(plan.least_radius_m),
                     .lane_radius = InMetres(way_m / turn_rad)});
    return;
  }
}

void CheckSteering(const Plan& plan, const std::vector<GuideStep>& guide, const Moved& moved,
                   Limits& limits, Driven& driven) {
  const std::vector<AxleFrame>& first = moved.units.front().frames;
  const bool forwards = plan.travel == Travel::kForwards;
  const Shortfall shortfall{.what = Shortfall::What::kSteer};
  switch (plan.chain.steering) {
    case Steering::kRearAxle:
    case Steering::kFrontAxle:
      if (!forwards) return CheckPushedSteering(plan, moved, limits, driven);
      // Its limit on an arc is reached from below; what the integration may be off is let pass.
      driven.most_steer = Most(
          first.size(), plan.most_steer_rad + MostOffM(moved.units.front().drifts, 1), shortfall,
          limits, [&](size_t i) { return Between(guide[i].along, first[i].along); });
      return;
    case Steering::kHinge:
      driven.most_steer = driven.most_fold.front();
      return;
    case Steering::kCrab:
      driven.most_steer = Most(guide.size(), plan.most_steer_rad, shortfall, limits, [&](size_t i) {
        return Between(guide[i].along, guide.front().along);
      });
      return;
    case Steering::kMiddle:
      if (!forwards && !plan.chain.links.empty()) CheckPushedRadius(plan, moved, limits);
      return;
  }
}

Driven DrivenOf(const Plan& plan, const Manoeuvre& manoeuvre, const std::vector<GuideStep>& guide) {
  Moved moved = plan.travel == Travel::kForwards ? PullAlong(plan.chain, guide)
                                                 : PushAlong(plan.chain, guide);
  Driven driven;
  Limits limits(guide);
  CheckFolds(plan, moved, limits, driven);
  CheckSteering(plan, guide, moved, limits, driven);
  driven.shortfall = limits.shortfall();
  const size_t steps = driven.shortfall ? limits.step() + 1 : guide.size();
  driven.guide.reserve(steps);
  driven.along_m.reserve(steps);
  driven.piece.reserve(steps);
  for (size_t i = 0; i < steps; ++i) {
    driven.guide.push_back(guide[i].at);
    driven.along_m.push_back(guide[i].along_m);
    driven.piece.push_back(guide[i].piece);
  }
  const bool turned_round = manoeuvre.machine.steering == Steering::kRearAxle;
  for (size_t unit = 0; unit < moved.units.size(); ++unit) {
    MovedUnit& of = moved.units[unit];
    UnitMotion made;
    made.frames = std::move(of.frames);
    made.boxes = *plan.boxes[unit];
    made.frames.resize(steps);
    if (!of.drifts.empty()) of.drifts.resize(steps);
    const double pivot_m = turned_round ? -of.pivot_ahead_m : of.pivot_ahead_m;
    double reach_m = ReachM(made.boxes, 0);
    double from_pivot_m = ReachM(made.boxes, pivot_m);
    if (unit == 0 && manoeuvre.machine.upper) {
      const double ring_m = manoeuvre.machine.upper->centre_ahead.metres();
      reach_m = std::max(reach_m, std::abs(ring_m));
      from_pivot_m = std::max(from_pivot_m, std::abs(ring_m - pivot_m));
    }
    const Bulge bulge = BulgeOf(made.frames, guide, reach_m);
    made.steps_error_m = kRoundingM + kEstimateReserve * MostOffM(of.drifts, from_pivot_m);
    made.error_m = made.steps_error_m + bulge.error_m;
    made.error_per_m = bulge.per_m;
    if (turned_round) {
      for (AxleFrame& frame : made.frames) frame.along = -1 * frame.along;
    }
    driven.units.push_back(std::move(made));
  }
  return driven;
}

}  // namespace

std::string Text(const Shortfall& shortfall, UnitSystem system) {
  const std::string where = Text(shortfall.along, system, Rounding::kDown);
  switch (shortfall.what) {
    case Shortfall::What::kBend:
      return fmt::format("needs {}, lane bend at {} gives {}",
                         Text(shortfall.least_radius, system, Rounding::kUp), where,
                         Text(shortfall.lane_radius, system, Rounding::kDown));
    case Shortfall::What::kSteer:
      return fmt::format("needs {} of steering at {}, has {}",
                         Text(shortfall.needed, system, Rounding::kUp), where,
                         Text(shortfall.limit, system, Rounding::kDown));
    case Shortfall::What::kFold:
      return fmt::format("hinge {} folds to {} at {}, limit {}", shortfall.hinge,
                         Text(shortfall.needed, system, Rounding::kUp), where,
                         Text(shortfall.limit, system, Rounding::kDown));
  }
  return "";
}

Metres LeastRadius(const TurningMachine& machine, Travel travel) {
  const Manoeuvre manoeuvre{.machine = machine, .travel = travel};
  return InMetres(BendingsOf(PlanOf(manoeuvre), manoeuvre).front().least_radius_m);
}

Outcome<Driven> DriveAlong(const Manoeuvre& manoeuvre) {
  if (const auto fault = FaultOf(manoeuvre)) return tl::unexpected(*fault);
  const Line line = Straightened(manoeuvre.line, manoeuvre.trace_tolerance.metres());
  if (line.size() < 2)
    return tl::unexpected(Unusable{"line", "goes nowhere", "two distinct points or more"});
  const Plan plan = PlanOf(manoeuvre);
  std::optional<Driven> best;  // of those that fall short, the one that comes farthest
  for (const Bending& bending : BendingsOf(plan, manoeuvre)) {
    const auto guide = GuideAlong(line, bending);
    if (!guide) {
      if (best) break;  // a gentler bend has still less room
      Driven driven;
      driven.shortfall = Shortfall{.what = Shortfall::What::kBend,
                                   .along = InMetres(guide.error().along_m),
                                   .least_radius = InMetres(guide.error().least_radius_m),
                                   .lane_radius = InMetres(guide.error().lane_radius_m)};
      return driven;
    }
    Driven driven = DrivenOf(plan, manoeuvre, *guide);
    if (!driven.shortfall) return driven;
    if (!best || driven.shortfall->along > best->shortfall->along) best = std::move(driven);
  }
  return std::move(*best);
}

}  // namespace chockwise::fit
