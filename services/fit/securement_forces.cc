#include "services/fit/securement_forces.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr double kRelativeError = 1e-14;

struct Demand {
  Push push;
  double toward_rad;  // where the load wants to go
  double share;
};
constexpr double kQuarter = std::numbers::pi / 2;
constexpr std::array<Demand, 4> kLevelPushes = {{{Push::kForward, 0, kForwardShare},
                                                 {Push::kRearward, 2 * kQuarter, kRearwardShare},
                                                 {Push::kLeft, kQuarter, kSidewaysShare},
                                                 {Push::kRight, -kQuarter, kSidewaysShare}}};

std::optional<Unusable> Wrong(const ForcesOnLoad& load) {
  InputCheck check;
  check.Positive("weight of the load", load.weight, UpTo{Pounds(500'000)})
      .Between("friction of the deck", load.friction, Span{0.0, 0.5});
  if (load.ties.empty()) check.Refuse({"tie-downs", "are not listed", "one row for each"});
  for (const AngledTie& tie : load.ties) {
    check.Positive("working load limit", tie.limit, UpTo{Pounds(200'000)})
        .Between("heading of a tie-down", tie.heading, Span{Degrees(-360), Degrees(360)})
        .Between("angle below level", tie.below_level, Span{Degrees(0), Degrees(90)})
        .Between("number of tie-downs", tie.count, Span{1, 50});
  }
  if (check.failed()) return check.error();
  return std::nullopt;
}

HeldForce Level(const ForcesOnLoad& load, const Demand& demand) {
  double held_kg = load.friction * load.weight.kilograms();
  for (const AngledTie& tie : load.ties) {
    const double against = -std::cos(tie.heading.radians() - demand.toward_rad);
    // A tie that pulls straight across opposes nothing; cos leaves 6e-17 of it.
    if (against <= 1e-12) continue;
    const double limit_kg = tie.count * tie.limit.kilograms();
    held_kg += limit_kg * (std::cos(tie.below_level.radians()) * against +
                           load.friction * std::sin(tie.below_level.radians()));
  }
  const Kilograms needed = load.weight * demand.share;
  return {demand.push, InKilograms(held_kg), needed, InKilograms(held_kg) - needed};
}

HeldForce Upward(const ForcesOnLoad& load) {
  double held_kg = 0;
  for (const AngledTie& tie : load.ties) {
    held_kg += tie.count * tie.limit.kilograms() * std::sin(tie.below_level.radians());
  }
  const Kilograms needed = load.weight * kDownwardShare;
  return {Push::kUpward, InKilograms(held_kg), needed, InKilograms(held_kg) - needed};
}

std::string_view Way(Push push) {
  switch (push) {
    case Push::kForward:
      return "SHIFT forward";
    case Push::kRearward:
      return "SHIFT rearward";
    case Push::kLeft:
      return "SHIFT left";
    case Push::kRight:
      return "SHIFT right";
    case Push::kUpward:
      return "LIFT";
  }
  return "SHIFT";
}

}  // namespace

Outcome<HeldForces> JudgeForces(const ForcesOnLoad& load) {
  if (auto wrong = Wrong(load)) return tl::unexpected(*wrong);
  HeldForces held;
  for (size_t at = 0; at < kLevelPushes.size(); ++at)
    held.pushes[at] = Level(load, kLevelPushes[at]);
  held.pushes[4] = Upward(load);
  held.worst = *std::ranges::min_element(held.pushes, {}, &HeldForce::margin);
  double sizes_kg = load.weight.kilograms();
  for (const AngledTie& tie : load.ties) sizes_kg += tie.count * tie.limit.kilograms();
  held.error = InKilograms(sizes_kg * kRelativeError);
  held.verdict = Judge(held.worst.margin.kilograms(), held.error.kilograms());
  return held;
}

std::string DriversLine(const HeldForces& held, UnitSystem system) {
  if (held.verdict == Verdict::kClear) {
    return fmt::format("HOLDS: {} to spare", Text(held.worst.margin, system, Rounding::kDown));
  }
  return fmt::format("WILL {}: SHORT {}", Way(held.worst.push),
                     Text(-held.worst.margin, system, Rounding::kUp));
}

}  // namespace chockwise::fit
