#include "services/fit/stopping.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr double kTruckTyreShare = 0.70;
constexpr double kSteelTrackFriction = 0.20;
constexpr double kRelativeError = 2e-15;
constexpr double kGripError = 1e-15;

double SecondsOf(Duration span) { return static_cast<double>(span.micros()) * 1e-6; }

struct Braking {
  double delay_s;
  double deceleration;    // metres per second squared, along the slope
  double relative_error;  // of a distance
};

Outcome<Braking> BrakingOf(const BrakedMotion& motion) {
  InputCheck check;
  check.Positive("friction", motion.friction, UpTo{1.5})
      .Between("grade", motion.grade, Span{Percent(-50), Percent(50)});
  CheckHoldingWheels(motion.wheels, check);
  if (motion.brake_share) check.Positive("brake share", *motion.brake_share, UpTo{1.5});
  check.Between("response time, s", SecondsOf(motion.response), Span{0.0, 10.0})
      .Between("brake lag, s", SecondsOf(motion.lag), Span{0.0, 10.0});
  const double grip = GripOf(motion.friction, motion.wheels);
  const double hold = std::min(grip, motion.brake_share.value_or(grip));
  const double grade = motion.grade.rise_over_run();
  if (!(hold + grade > kLeastHold)) {
    check.Refuse(
        {.input = "grade",
         .problem = fmt::format("beats the brakes: {:.2f} of grip on {:.1f} %", hold, grade * 100),
         .right = "grip and grade together above 0.03: dry ground, another way, a winch"});
  }
  if (check.failed()) return tl::unexpected(check.error());
  const double cosine = 1 / std::hypot(1.0, grade);
  return Braking{.delay_s = SecondsOf(motion.response) + SecondsOf(motion.lag),
                 .deceleration = kGravity * cosine * (hold + grade),
                 .relative_error = kRelativeError + kGripError * hold / (hold + grade)};
}

/// What a spotter who walks ahead keeps in any case; nothing where nobody does.
Metres LeastOf(const SeenAhead& sight) {
  return sight.body_length > Metres() ? kLeastStandoff : Metres();
}

std::optional<Unusable> WrongSight(const SeenAhead& sight) {
  InputCheck check;
  check.NotNegative("clear distance ahead", sight.clear_ahead, UpTo{Feet(10'000)})
      .NotNegative("body length", sight.body_length, UpTo{Feet(200)});
  if (check.failed()) return check.error();
  return std::nullopt;
}

}  // namespace

double PlanningFriction(Surface surface, Running running) {
  const auto of_cars = [surface] {
    switch (surface) {
      case Surface::kDryConcrete:
        return 0.75;
      case Surface::kWetConcrete:
        return 0.60;
      case Surface::kDryAsphalt:
        return 0.65;
      case Surface::kWetAsphalt:
        return 0.50;
      case Surface::kGravel:
        return 0.35;
      case Surface::kWetGrass:
      case Surface::kSnow:
      case Surface::kWetUnknown:
        return 0.20;
      case Surface::kIce:
        return 0.10;
    }
    return 0.10;
  }();
  switch (running) {
    case Running::kCarTyres:
      return of_cars;
    case Running::kTruckTyres:
      return kTruckTyreShare * of_cars;
    case Running::kSteelTracks:
      return std::min(of_cars, kSteelTrackFriction);
  }
  return 0.10;
}

Outcome<Stopping> StoppingDistance(const BrakedMotion& motion) {
  InputCheck check;
  check.Positive("speed", motion.speed, UpTo{MilesPerHour(80)});
  if (check.failed()) return tl::unexpected(check.error());
  const Outcome<Braking> braking = BrakingOf(motion);
  if (!braking) return tl::unexpected(braking.error());
  const double speed = motion.speed.metres_per_second();
  Stopping stop;
  stop.rolled = InMetres(speed * braking->delay_s);
  stop.braked = InMetres(speed * speed / (2 * braking->deceleration));
  stop.distance = stop.rolled + stop.braked;
  stop.error = stop.distance * braking->relative_error;
  return stop;
}

Outcome<MetresPerSecond> SpeedCap(const BrakedMotion& motion, const SeenAhead& sight) {
  if (auto wrong = WrongSight(sight)) return tl::unexpected(*wrong);
  const Outcome<Braking> braking = BrakingOf(motion);
  if (!braking) return tl::unexpected(braking.error());
  const double room = (sight.clear_ahead - sight.body_length).metres();
  if (room <= 0 || sight.clear_ahead < LeastOf(sight)) return InMetresPerSecond(0);
  const double delay = braking->delay_s;
  const double root = std::sqrt(delay * delay + 2 * room / braking->deceleration);
  return InMetresPerSecond(2 * room / (delay + root));
}

Outcome<Standoff> SpotterStandoff(const BrakedMotion& motion, Metres body_length) {
  InputCheck check;
  check.Positive("body length", body_length, UpTo{Feet(200)});
  if (check.failed()) return tl::unexpected(check.error());
  const Outcome<Stopping> stop = StoppingDistance(motion);
  if (!stop) return tl::unexpected(stop.error());
  return Standoff{.distance = std::max(stop->distance + body_length, kLeastStandoff),
                  .stopping = *stop};
}

Outcome<StopWithin> JudgeStop(const BrakedMotion& motion, const SeenAhead& sight) {
  if (auto wrong = WrongSight(sight)) return tl::unexpected(*wrong);
  const Outcome<Stopping> stop = StoppingDistance(motion);
  if (!stop) return tl::unexpected(stop.error());
  StopWithin judged;
  judged.needed = std::max(stop->distance + sight.body_length, LeastOf(sight));
  judged.margin = sight.clear_ahead - judged.needed;
  // Two more roundings than the distance itself has, each on a number of the size of the sight.
  judged.error = stop->error + (sight.clear_ahead + judged.needed) * 2.3e-16;
  judged.verdict = Judge(judged.margin.metres(), judged.error.metres());
  return judged;
}

namespace {

/// Whole feet or tenths of a metre, never fewer than it takes: a driver paces feet, not inches.
std::string RoundedUp(Metres length, UnitSystem system) {
  if (system == UnitSystem::kUs)
    return Text(Feet(std::ceil(length.feet() - 1e-6)), system, Rounding::kUp);
  return fmt::format("{:.1f} m", std::ceil(length.metres() * 10 - 1e-6) / 10);
}

}  // namespace

std::string DriversLine(const Stopping& stopping, UnitSystem system) {
  return "STOPS IN " + RoundedUp(stopping.distance, system);
}

std::string DriversLine(const Standoff& standoff, UnitSystem system) {
  return "KEEP " + RoundedUp(standoff.distance, system);
}

std::string DriversLine(const StopWithin& judged, UnitSystem system) {
  if (judged.verdict == Verdict::kClear) {
    return fmt::format("STOPS IN TIME: {} to spare", Text(judged.margin, system, Rounding::kDown));
  }
  return fmt::format("SLOW DOWN: {} short", RoundedUp(-judged.margin, system));
}

bool IsAnySpeed(MetresPerSecond cap, UnitSystem system) {
  return !Text(cap, system, Rounding::kDown).starts_with("0.0");
}

std::string SpeedCapLine(MetresPerSecond cap, UnitSystem system) {
  if (!IsAnySpeed(cap, system)) return "DO NOT MOVE: sight is too short";
  return "NO FASTER THAN " + Text(cap, system, Rounding::kDown);
}

}  // namespace chockwise::fit
