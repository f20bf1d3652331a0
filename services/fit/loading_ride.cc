#include "services/fit/loading_ride.h"

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

/// The outline's height where it is cut, between two of its points.
double HeightM(const OutlinePoint& a, const OutlinePoint& b, double at_m) {
  const double run_m = (b.behind_front - a.behind_front).metres();
  if (!(run_m > 0)) return std::min(a.height, b.height).metres();
  const double share = (at_m - a.behind_front.metres()) / run_m;
  return a.height.metres() + share * (b.height - a.height).metres();
}

struct Least {
  double toe_m = 1e9, top_m = 1e9;
};

/// One straight piece of the outline. Over the crest the clearance less A·x(L−x)/L bends up, so its
/// least is where its slope is 0, or at an end; ahead and behind it is straight.
void TakePiece(const OutlinePoint& a, const OutlinePoint& b, const BellyOnAxles& machine,
               double change, Least& least) {
  const double from_m = a.behind_front.metres(), to_m = b.behind_front.metres();
  const double front_m = machine.front_axle.metres(), rear_m = machine.rear_axle.metres();
  const double base_m = rear_m - front_m;
  const auto toe = [&](double at_m, double overhang_m) {
    least.toe_m = std::min(least.toe_m, HeightM(a, b, at_m) - change * overhang_m);
  };
  if (from_m < front_m) {
    toe(from_m, front_m - from_m);
    toe(std::min(to_m, front_m), front_m - std::min(to_m, front_m));
  }
  if (to_m > rear_m) {
    toe(to_m, to_m - rear_m);
    toe(std::max(from_m, rear_m), std::max(from_m, rear_m) - rear_m);
  }
  const double inner_from_m = std::max(from_m, front_m), inner_to_m = std::min(to_m, rear_m);
  if (inner_from_m > inner_to_m) return;
  const auto top = [&](double at_m) {
    const double x_m = at_m - front_m;
    least.top_m =
        std::min(least.top_m, HeightM(a, b, at_m) - change * x_m * (base_m - x_m) / base_m);
  };
  top(inner_from_m);
  top(inner_to_m);
  if (!(to_m > from_m)) return;
  const double slope = (b.height - a.height).metres() / (to_m - from_m);
  top(std::clamp(front_m + base_m / 2 - slope * base_m / (2 * change), inner_from_m, inner_to_m));
}

/// The two lines on which a machine of one unit stands.
std::optional<BellyOnAxles> OnAxles(const RidingMachine& machine) {
  if (machine.units.size() != 1) return std::nullopt;
  const RidingUnit& unit = machine.units.front();
  if (unit.tracks) return BellyOnAxles{unit.bottom, unit.tracks->front_end, unit.tracks->rear_end};
  return BellyOnAxles{unit.bottom, unit.groups.front().behind_front,
                      unit.groups.back().behind_front};
}

}  // namespace

LeastByForms LeastOverBreaks(const BellyOnAxles& machine, Grade change) {
  Least least;
  for (size_t i = 1; i < machine.belly.size(); ++i)
    TakePiece(machine.belly[i - 1], machine.belly[i], machine, change.rise_over_run(), least);
  return {.clearance = InMetres(std::min(least.toe_m, least.top_m)),
          .at = least.toe_m < least.top_m ? RampEnd::kToe : RampEnd::kTop};
}

Outcome<RampRidden> RideRamp(const RampRide& ramp) {
  InputCheck check;
  check.Positive("deck height", ramp.deck_height, UpTo{Feet(20)})
      .Positive("ramp length", ramp.ramp_length, UpTo{Feet(100)});
  if (ramp.deck_height >= ramp.ramp_length)
    check.Refuse({"ramp length", "is not longer than the deck is high", "the length of the slope"});
  if (check.failed()) return tl::unexpected(check.error());
  const double high_m = ramp.deck_height.metres(), long_m = ramp.ramp_length.metres();
  const Metres run = InMetres(std::sqrt((long_m - high_m) * (long_m + high_m)));
  // Beyond its ends the ground goes on at its last grade, so a step of each does.
  constexpr Metres kStep = InMetres(1);
  LaneProfile profile;
  profile.ground = {{-kStep, Metres()},
                    {Metres(), Metres()},
                    {run, ramp.deck_height},
                    {run + kStep, ramp.deck_height}};
  const auto ride = RideOver({.machine = ramp.machine,
                              .profile = profile,
                              .allow = {.bounce = kBounceOnTyres,
                                        .needed_clearance = kNeededClearance,
                                        .profile_error = ramp.reading_error,
                                        .reading_error = ramp.reading_error}});
  if (!ride) return tl::unexpected(ride.error());
  const TightSpot& below = ride->below;
  RampRidden ridden{.clearance = below.gap - below.error,
                    .error = below.error,
                    .at = below.along < run / 2 ? RampEnd::kToe : RampEnd::kTop,
                    .by_ride = below.gap};
  const auto on_axles = OnAxles(ramp.machine);
  if (!on_axles) return ridden;
  const LeastByForms forms = LeastOverBreaks(*on_axles, RiseOverRun(ramp.deck_height / run));
  ridden.by_forms = forms.clearance;
  if (forms.clearance < below.gap) {
    ridden.clearance = forms.clearance - below.error;
    ridden.at = forms.at;
  }
  return ridden;
}

}  // namespace chockwise::fit
