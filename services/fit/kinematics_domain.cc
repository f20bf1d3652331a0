#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/kinematics_chain.h"

namespace chockwise::fit {
namespace {

std::optional<Unusable> NotAbove(Metres least, Metres value, const std::string& name) {
  if (value > least && value <= InMetres(100)) return std::nullopt;
  return Unusable{name, fmt::format("is {:.3f} m", value.metres()),
                  fmt::format("a length above {:.0f}, to 100 m", least.metres())};
}

std::optional<Unusable> NotWithin(double most_deg, Angle value, const std::string& name) {
  if (value > Angle() && value.degrees() <= most_deg) return std::nullopt;
  return Unusable{name, fmt::format("is {:.3f} deg", value.degrees()),
                  fmt::format("an angle above 0, to {:.0f} deg", most_deg)};
}

enum class Boxes { kOneOrMore, kAny };

std::optional<Unusable> FaultOf(const std::vector<BodyBox>& boxes, Boxes wanted,
                                const std::string& name) {
  if (boxes.empty() && wanted == Boxes::kOneOrMore)
    return Unusable{name, "is not given", "its ends and sides, one box or more"};
  for (const BodyBox& box : boxes) {
    for (const Metres side : {box.ahead, box.behind, box.left, box.right}) {
      if (side > InMetres(100) || side < InMetres(-100))
        return Unusable{name, fmt::format("reaches to {:.1f} m", side.metres()), "within 100 m"};
    }
    if (box.ahead + box.behind <= Metres())
      return Unusable{name, "has no length", "its front ahead of its rear"};
    if (box.left + box.right <= Metres()) return Unusable{name, "has no width", "a width above 0"};
  }
  return std::nullopt;
}

std::optional<Unusable> FaultOfSteering(const TurningMachine& machine) {
  switch (machine.steering) {
    case Steering::kFrontAxle:
    case Steering::kRearAxle:
      if (const auto fault = NotAbove(Metres(), machine.wheelbase, "wheelbase")) return fault;
      return NotWithin(85, machine.most_steer, "steering limit");
    case Steering::kHinge:
      if (const auto fault = NotAbove(Metres(), machine.wheelbase, "front axle to hinge"))
        return fault;
      if (const auto fault = NotAbove(Metres(), machine.hinge_to_rear, "hinge to rear axle"))
        return fault;
      if (const auto fault = FaultOf(machine.rear_boxes, Boxes::kOneOrMore, "rear half"))
        return fault;
      return NotWithin(85, machine.most_steer, "steering limit");
    case Steering::kCrab:
      return NotWithin(85, machine.most_steer, "steering limit");
    case Steering::kMiddle:
      if (machine.least_radius >= Metres() && machine.least_radius <= InMetres(1000))
        return std::nullopt;
      return Unusable{"least turning radius",
                      fmt::format("is {:.3f} m", machine.least_radius.metres()), "0 to 1,000 m"};
  }
  return std::nullopt;
}

std::optional<Unusable> FaultOf(const TurningMachine& machine) {
  if (const auto fault = FaultOfSteering(machine)) return fault;
  if (const auto fault = FaultOf(machine.boxes, Boxes::kOneOrMore, "body")) return fault;
  if (machine.upper) {
    if (const auto fault = NotAbove(Metres(), machine.upper->tail_radius, "tail radius"))
      return fault;
    if (machine.upper->clearance < Metres() || machine.upper->clearance > InMetres(100))
      return Unusable{"tail clearance",
                      fmt::format("is {:.3f} m", machine.upper->clearance.metres()), "0 to 100 m"};
  }
  const bool may_tow =
      machine.steering != Steering::kRearAxle && machine.steering != Steering::kCrab;
  if (!machine.trailers.empty() && !may_tow)
    return Unusable{"trailers", "behind a machine that steers with its hind wheels or crabs",
                    "no trailer, or a machine that steers in front, folds or turns on its "
                    "tracks"};
  if (machine.trailers.size() > 10)
    return Unusable{"trailers", fmt::format("are {}", machine.trailers.size()), "10 or fewer"};
  for (size_t i = 0; i < machine.trailers.size(); ++i) {
    const Trailer& trailer = machine.trailers[i];
    const std::string name = fmt::format("trailer {}", i + 1);
    if (const auto fault = NotAbove(Metres(), trailer.hitch_to_axle, name + " hitch to axle"))
      return fault;
    if (const auto fault =
            NotAbove(InMetres(-100), trailer.hitch_ahead, name + " hitch ahead of axle"))
      return fault;
    if (const auto fault = NotWithin(120, trailer.most_fold, name + " folding limit")) return fault;
    if (const auto fault = FaultOf(trailer.boxes, Boxes::kAny, name + " body")) return fault;
  }
  return std::nullopt;
}

}  // namespace

std::optional<Unusable> FaultOf(const Manoeuvre& manoeuvre) {
  if (const auto fault = FaultOf(manoeuvre.machine)) return fault;
  if (manoeuvre.step < InMetres(0.001) || manoeuvre.step > InMetres(0.5))
    return Unusable{"step", fmt::format("is {} m", manoeuvre.step.metres()), "1 mm to 0.5 m"};
  if (manoeuvre.trace_tolerance < Metres() || manoeuvre.trace_tolerance > InMetres(1))
    return Unusable{"trace tolerance", fmt::format("is {} m", manoeuvre.trace_tolerance.metres()),
                    "0 to 1 m"};
  double length_m = 0;
  for (size_t i = 0; i < manoeuvre.line.size(); ++i) {
    const Point at = manoeuvre.line[i];
    if (!(std::abs(at.x_m) <= 1e6 && std::abs(at.y_m) <= 1e6))
      return Unusable{"line", fmt::format("point {} is not a place of a yard", i + 1),
                      "coordinates within 1,000 km"};
    if (i > 0) length_m += LengthM(at - manoeuvre.line[i - 1]);
  }
  if (!(length_m > 1e-3 && length_m <= 20'000))
    return Unusable{"line", fmt::format("is {:.3f} m long", length_m), "1 mm to 20 km"};
  return std::nullopt;
}

Outcome<Angle> SteeringOf(const TurningCircle& circle) {
  if (const auto fault = NotAbove(Metres(), circle.wheelbase, "wheelbase"))
    return tl::unexpected(*fault);
  if (const auto fault = NotAbove(Metres(), circle.outer_wheel_radius, "turning radius"))
    return tl::unexpected(*fault);
  if (circle.half_front_track < Metres() || circle.half_front_track > InMetres(10))
    return tl::unexpected(Unusable{"half front track",
                                   fmt::format("is {:.3f} m", circle.half_front_track.metres()),
                                   "0 to 10 m"});
  const double wheelbase_m = circle.wheelbase.metres();
  const double radius_m = circle.outer_wheel_radius.metres();
  const double half_m = circle.half_front_track.metres();
  const double outer_m = std::sqrt(std::max((radius_m - wheelbase_m) * (radius_m + wheelbase_m),
                                            0.0));  // of the rear axle line
  if (outer_m - half_m <= 0)
    return tl::unexpected(Unusable{"turning radius", fmt::format("is {:.3f} m", radius_m),
                                   "more than the wheelbase and half the track leave"});
  return Radians(std::atan2(wheelbase_m, outer_m - half_m));
}

}  // namespace chockwise::fit
