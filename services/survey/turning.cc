#include "services/survey/turning.h"

#include <fmt/format.h>

#include <cmath>

#include "services/survey/machines.h"
#include "services/survey/train.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

/// What every kind of steering is made from.
struct Lengths {
  Metres length, width, front, wheelbase;
  Metres half_track;  // 0 where nobody taped the track
  std::optional<Metres> to_axle;
};

NoAnswer Off(const yard::Machine& machine, const char* input, std::string problem) {
  return {.sort = NoAnswer::Sort::kUnusable,
          .input = fmt::format("{} of {}", input, machine.id.value()),
          .problem = std::move(problem),
          .right = "measure it and the wheelbase again"};
}

std::string Shown(Metres length) {
  return Text(length, fit::UnitSystem::kUs, fit::Rounding::kDown);
}

Outcome<Lengths> Taped(Readings& readings, const yard::Machine& machine) {
  const std::string& id = machine.id.value();
  Lengths taped;
  const std::pair<const char*, Metres*> needed[] = {{"carried-length", &taped.length},
                                                    {"carried-width", &taped.width},
                                                    {"front-overhang", &taped.front},
                                                    {"wheelbase", &taped.wheelbase}};
  for (const auto& [quantity, into] : needed) {
    const auto value = readings.Of<Metres>(id, quantity);
    if (!value) return tl::unexpected(value.error());
    *into = *value;
  }
  const auto track = readings.IfThere<Metres>(id, "track-width");
  if (!track) return tl::unexpected(track.error());
  if (*track) taped.half_track = **track / 2;
  const auto to_axle = ToAxleOfOwnTrailer(readings, machine);
  if (!to_axle) return tl::unexpected(to_axle.error());
  taped.to_axle = *to_axle;
  if (!taped.to_axle && taped.front + taped.wheelbase > taped.length) {
    return tl::unexpected(
        Off(machine, "carried-length",
            fmt::format("is {}, less than the front overhang and the wheelbase together ({})",
                        Shown(taped.length), Shown(taped.front + taped.wheelbase))));
  }
  return taped;
}

fit::BodyBox Box(const Lengths& taped, Metres ahead, Metres behind) {
  return {.ahead = ahead, .behind = behind, .left = taped.width / 2, .right = taped.width / 2};
}

Outcome<fit::Angle> MostSteer(Readings& readings, const yard::Machine& machine,
                              const Lengths& taped) {
  const auto radius = readings.Of<Metres>(machine.id.value(), "turning-radius");
  if (!radius) return tl::unexpected(radius.error());
  const auto angle = fit::SteeringOf({.wheelbase = taped.wheelbase,
                                      .outer_wheel_radius = *radius,
                                      .half_front_track = taped.half_track});
  if (angle) return *angle;
  return tl::unexpected(Off(machine, "turning-radius",
                            fmt::format("is {}, and no wheelbase of {} turns on that",
                                        Shown(*radius), Shown(taped.wheelbase))));
}

Outcome<void> AddTrailer(Readings& readings, const yard::Machine& machine, const Lengths& taped,
                         fit::TurningMachine& turning) {
  const std::string& id = machine.id.value();
  Metres offset, front, rear, lead_rear;
  const std::pair<const char*, Metres*> needed[] = {{"coupling-offset", &offset},
                                                    {"trailer-front-overhang", &front},
                                                    {"trailer-rear-overhang", &rear},
                                                    {"lead-rear-overhang", &lead_rear}};
  for (const auto& [quantity, into] : needed) {
    const auto value = readings.Of<Metres>(id, quantity);
    if (!value) return tl::unexpected(value.error());
    *into = *value;
  }
  turning.boxes = {Box(taped, taped.wheelbase + taped.front, lead_rear)};
  turning.trailers = {{.hitch_ahead = offset,
                       .hitch_to_axle = *taped.to_axle,
                       .most_fold = kMostFold,
                       .boxes = {Box(taped, *taped.to_axle + front, rear)}}};
  return {};
}

Outcome<fit::TurningMachine> FrontSteered(Readings& readings, const yard::Machine& machine,
                                          const Lengths& taped) {
  const auto angle = MostSteer(readings, machine, taped);
  if (!angle) return tl::unexpected(angle.error());
  fit::TurningMachine turning{
      .steering = fit::Steering::kFrontAxle, .wheelbase = taped.wheelbase, .most_steer = *angle};
  if (taped.to_axle) {
    if (auto added = AddTrailer(readings, machine, taped, turning); !added)
      return tl::unexpected(added.error());
    return turning;
  }
  turning.boxes = {
      Box(taped, taped.wheelbase + taped.front, taped.length - taped.front - taped.wheelbase)};
  return turning;
}

Outcome<fit::TurningMachine> RearSteered(Readings& readings, const yard::Machine& machine,
                                         const Lengths& taped) {
  const auto angle = MostSteer(readings, machine, taped);
  if (!angle) return tl::unexpected(angle.error());
  return fit::TurningMachine{.steering = fit::Steering::kRearAxle,
                             .wheelbase = taped.wheelbase,
                             .most_steer = *angle,
                             .boxes = {Box(taped, taped.front, taped.length - taped.front)}};
}

/// Its front axle goes round on the taped radius less half a track. Behind it the hinge, and the
/// rear axle square to the same centre.
Outcome<fit::TurningMachine> Hinged(Readings& readings, const yard::Machine& machine,
                                    const Lengths& taped) {
  const std::string& id = machine.id.value();
  const auto radius = readings.Of<Metres>(id, "turning-radius");
  if (!radius) return tl::unexpected(radius.error());
  const auto to_rear = readings.Of<Metres>(id, "hinge-to-rear-axle");
  if (!to_rear) return tl::unexpected(to_rear.error());
  const Metres to_hinge = taped.wheelbase - *to_rear;
  if (to_hinge <= Metres()) {
    return tl::unexpected(Off(machine, "hinge-to-rear-axle",
                              fmt::format("is {}, not less than the wheelbase of {}",
                                          Shown(*to_rear), Shown(taped.wheelbase))));
  }
  const double front_m = (*radius - taped.half_track).metres();
  const double hinge_m = std::hypot(front_m, to_hinge.metres());
  if (front_m <= 0 || hinge_m <= to_rear->metres()) {
    return tl::unexpected(Off(machine, "turning-radius",
                              fmt::format("is {}, and no wheelbase of {} turns on that",
                                          Shown(*radius), Shown(taped.wheelbase))));
  }
  const double fold_rad =
      std::atan2(to_hinge.metres(), front_m) + std::asin(to_rear->metres() / hinge_m);
  return fit::TurningMachine{
      .steering = fit::Steering::kHinge,
      .wheelbase = to_hinge,
      .hinge_to_rear = *to_rear,
      .most_steer = fit::Radians(fold_rad),
      .boxes = {Box(taped, taped.front, to_hinge)},
      .rear_boxes = {Box(taped, *to_rear, taped.length - taped.front - taped.wheelbase)}};
}

Outcome<fit::TurningMachine> AboutMiddle(Readings& readings, const yard::Machine& machine,
                                         const Lengths& taped) {
  const std::string& id = machine.id.value();
  const Metres to_middle = taped.front + taped.wheelbase / 2;
  fit::TurningMachine turning{.steering = fit::Steering::kMiddle,
                              .boxes = {Box(taped, to_middle, taped.length - to_middle)}};
  if (machine.steering == yard::Steering::kAllWheel) {
    const auto radius = readings.Of<Metres>(id, "turning-radius");
    if (!radius) return tl::unexpected(radius.error());
    const double half_m = taped.wheelbase.metres() / 2;
    const double beside_m =
        std::sqrt(std::max(0.0, radius->metres() * radius->metres() - half_m * half_m));
    if (beside_m <= taped.half_track.metres()) {
      return tl::unexpected(Off(machine, "turning-radius",
                                fmt::format("is {}, and no wheelbase of {} turns on that",
                                            Shown(*radius), Shown(taped.wheelbase))));
    }
    turning.least_radius = fit::InMetres(beside_m) - taped.half_track;
  }
  const auto tail = readings.IfThere<Metres>(id, "tail-radius");
  if (!tail) return tl::unexpected(tail.error());
  if (*tail) turning.upper = fit::SlewRing{.tail_radius = **tail};
  return turning;
}

Outcome<fit::TurningMachine> Crabwise(Readings& readings, const yard::Machine& machine,
                                      const Lengths& taped) {
  if (const auto alone = TowsNothing(machine, "going crabwise"); !alone)
    return tl::unexpected(alone.error());
  const auto angle = readings.Of<fit::Angle>(machine.id.value(), "crab-angle");
  if (!angle) return tl::unexpected(angle.error());
  const Metres to_middle = taped.front + taped.wheelbase / 2;
  return fit::TurningMachine{.steering = fit::Steering::kCrab,
                             .most_steer = *angle,
                             .boxes = {Box(taped, to_middle, taped.length - to_middle)}};
}

Outcome<fit::TurningMachine> LeadOf(Readings& readings, const yard::Machine& machine,
                                    const Lengths& taped) {
  switch (*machine.steering) {
    case yard::Steering::kFrontAxle:
      return FrontSteered(readings, machine, taped);
    case yard::Steering::kRearAxle:
      return RearSteered(readings, machine, taped);
    case yard::Steering::kArticulated:
      return Hinged(readings, machine, taped);
    case yard::Steering::kAllWheel:
    case yard::Steering::kSkid:
    case yard::Steering::kTracks:
      return AboutMiddle(readings, machine, taped);
    case yard::Steering::kCrab:
      return Crabwise(readings, machine, taped);
  }
  return tl::unexpected(Off(machine, "steering", "is of no known kind"));
}

Outcome<void> AddTowed(Readings& readings, const yard::Machine& machine, const Lengths& taped,
                       fit::TurningMachine& turning) {
  const auto towed = TowedUnits(readings, machine);
  if (!towed) return tl::unexpected(towed.error());
  // Of a machine that turns about its middle the hitch counts from there.
  Metres axle_behind = turning.steering == fit::Steering::kMiddle ? taped.wheelbase / 2 : Metres();
  for (const TowedUnit& unit : *towed) {
    const auto width = readings.Of<Metres>(unit.machine->id.value(), "carried-width");
    if (!width) return tl::unexpected(width.error());
    turning.trailers.push_back({.hitch_ahead = -(axle_behind + unit.hitch_behind),
                                .hitch_to_axle = unit.to_axle,
                                .most_fold = kMostFold,
                                .boxes = {{.ahead = unit.to_axle + unit.front,
                                           .behind = unit.rear,
                                           .left = *width / 2,
                                           .right = *width / 2}}});
    axle_behind = Metres();
  }
  return {};
}

}  // namespace

Outcome<fit::TurningMachine> Turning(Readings& readings, const yard::Machine& machine,
                                     Wheels wheels) {
  const auto steering = SteeringOf(machine);
  if (!steering) return tl::unexpected(steering.error());
  const auto taped = Taped(readings, machine);
  if (!taped) return tl::unexpected(taped.error());
  if (taped->to_axle && *steering != yard::Steering::kFrontAxle) {
    return tl::unexpected(
        Off(machine, "coupling-to-axle",
            "is measured, and only a machine with a steered front axle brings a semitrailer"));
  }
  if (wheels == Wheels::kParallel && *steering != yard::Steering::kAllWheel &&
      *steering != yard::Steering::kCrab) {
    return tl::unexpected(NoAnswer{
        .sort = NoAnswer::Sort::kUnusable,
        .input = "steering of " + machine.id.value(),
        .problem =
            fmt::format("is {}, and so it does not go crabwise", yard::SteeringName(*steering)),
        .right = "ask about one that steers all its wheels, or about this one as it turns"});
  }
  if (wheels == Wheels::kParallel) return Crabwise(readings, machine, *taped);
  auto turning = LeadOf(readings, machine, *taped);
  if (!turning) return turning;
  if (auto added = AddTowed(readings, machine, *taped, *turning); !added)
    return tl::unexpected(added.error());
  return turning;
}

}  // namespace chockwise::survey
