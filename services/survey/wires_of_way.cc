#include "services/survey/wires_of_way.h"

#include <algorithm>
#include <cmath>
#include <iterator>

#include "services/survey/answers.h"
#include "services/survey/ridden.h"
#include "services/survey/train.h"
#include "services/survey/wires.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

/// From here on somebody has to watch a line: 29 CFR 1926.1408(a)(2) up to 350 kV, 1926.1409 above
/// that. Where nobody knows the voltage, the longer.
constexpr Metres kNearWire = fit::Feet(20), kNearHighWire = fit::Feet(50);
constexpr fit::Volts kHighWire = fit::Kilovolts(350);

/// The wires over the lanes of the way, and those that hang so near it that they may be over it.
Outcome<std::vector<WireOnWay>> WiresNear(Readings& readings, const yard::Machine& machine,
                                          const Way& way) {
  std::vector<WireOnWay> near;
  for (const WireOnWay& wire : way.wires) {
    if (wire.off_middle == Metres()) {
      near.push_back(wire);
      continue;
    }
    // Half of the widest machine that a register takes: beyond that nothing need be known of it.
    constexpr Metres kWidest = fit::Feet(20);
    if (wire.off_middle > kNearHighWire + kWidest) continue;
    const auto width = TrainWidth(readings, machine);
    if (!width) return tl::unexpected(width.error());
    const auto voltage = readings.IfThere<fit::Volts>(wire.wire->id.value(), "voltage");
    if (!voltage) return tl::unexpected(voltage.error());
    const bool high = !*voltage || **voltage > kHighWire;
    if (wire.off_middle <= (high ? kNearHighWire : kNearWire) + *width / 2) near.push_back(wire);
  }
  return near;
}

/// The ground of the way, gone on at its last grades as far as a wire beyond its ends may matter.
std::vector<fit::ProfilePoint> Lengthened(std::vector<fit::ProfilePoint> ground, Metres by) {
  const auto beyond = [by](const fit::ProfilePoint& end, const fit::ProfilePoint& before) {
    const double grade = (end.elevation - before.elevation) / (end.along - before.along);
    const Metres out = end.along > before.along ? by : -by;
    return fit::ProfilePoint{end.along + out, end.elevation + grade * out};
  };
  const fit::ProfilePoint first = beyond(ground[0], ground[1]);
  const fit::ProfilePoint last = beyond(ground.back(), ground[ground.size() - 2]);
  ground.insert(ground.begin(), first);
  ground.push_back(last);
  return ground;
}

Metres GroundAt(const std::vector<fit::ProfilePoint>& ground, Metres along) {
  size_t i = 1;
  while (i + 1 < ground.size() && ground[i].along < along) ++i;
  const fit::ProfilePoint &a = ground[i - 1], &b = ground[i];
  return a.elevation + ((along - a.along) / (b.along - a.along)) * (b.elevation - a.elevation);
}

Metres HighestBetween(const std::vector<fit::ProfilePoint>& ground, Metres from, Metres to) {
  Metres highest = std::max(GroundAt(ground, from), GroundAt(ground, to));
  for (const fit::ProfilePoint& point : ground)
    if (point.along > from && point.along < to) highest = std::max(highest, point.elevation);
  return highest;
}

/// A stretch of the way near a wire: whatever of the machine is over it is so far off the wire,
/// level, or farther.
struct Stretch {
  Metres from, to;
  Metres off;
};

/// How long the next stretch is: short near the wire, where the level distance counts least.
Metres LengthFrom(Metres off) {
  if (off < fit::InMetres(0.5)) return fit::InMetres(0.1);
  if (off < fit::InMetres(1.5)) return fit::InMetres(0.25);
  return off < fit::InMetres(3) ? fit::InMetres(0.5) : fit::InMetres(1);
}

std::vector<Stretch> StretchesAround(Metres along, Metres reach) {
  Metres from = fit::InMetres(0.05);
  std::vector<Stretch> stretches = {{along - from, along + from, Metres()}};
  while (from < reach) {
    const Metres to = std::min(reach, from + LengthFrom(from));
    stretches.push_back({along - to, along - from, from});
    stretches.push_back({along + from, along + to, from});
    from = to;
  }
  return stretches;
}

struct NearestPass {
  Metres off;    // of the wire as it hangs, less sag and bounce
  Metres error;  // of the machine's height over the ground
};

/// How near the machine comes to a wire, its sag and its own bounce taken off. Over each stretch of
/// the way the ride gives the least gap straight up to the wire's level; with the level distance of
/// the stretch that is a right triangle. Error: the ride's own, for a hypotenuse changes no faster
/// than its sides; a stretch counts with its highest ground, which only brings the machine nearer.
fit::Outcome<NearestPass> NearestOf(const RiddenWay& ridden, Metres along, Metres height) {
  // Beyond its own height a wire is farther off than straight down.
  const Metres reach = height;
  RiddenWay under = ridden;
  fit::LaneProfile& profile = under.way.profile;
  profile.ground = Lengthened(std::move(profile.ground), reach + fit::InMetres(1));
  const Metres level = GroundAt(profile.ground, along) + height;
  const std::vector<Stretch> stretches = StretchesAround(along, reach);
  profile.overheads.clear();
  for (const Stretch& stretch : stretches) {
    const Metres clear = level - HighestBetween(profile.ground, stretch.from, stretch.to);
    profile.overheads.push_back(
        {.id = "wire",
         .from = stretch.from,
         .to = stretch.to,
         .clear_height = std::clamp(clear, fit::Millimetres(1), fit::kHighestOverhead)});
  }
  const auto ride = fit::RideOver(QuestionOf(under));
  if (!ride) return tl::unexpected(ride.error());
  NearestPass nearest{.off = reach, .error = Metres()};
  for (size_t i = 0; i < stretches.size(); ++i) {
    const fit::TightSpot& spot = ride->overheads[i];
    const Metres above = spot.margin - kSagOfWire;
    const double level_m = stretches[i].off.metres();
    const Metres off =
        level_m == 0 ? above : fit::InMetres(std::hypot(level_m, std::max(0.0, above.metres())));
    nearest.off = std::min(nearest.off, off);
    // A wire's height is not taped; its error is counted by itself.
    nearest.error = std::max(nearest.error, spot.error - ridden.allow.reading_error);
  }
  return nearest;
}

}  // namespace

Outcome<WiresOfWay> WiresOf(const Asked& asked, const Trip& trip, fit::Travel travel) {
  const auto laid = RouteOf(asked, trip);
  if (!laid) return tl::unexpected(laid.error());
  Readings readings(asked.yard, asked.when);
  const auto middle = MiddleOf(asked.yard, {.route = laid->route, .from = trip.from});
  if (!middle) return tl::unexpected(middle.error());
  const auto near = WiresNear(readings, *laid->machine, *middle);
  if (!near) return tl::unexpected(near.error());
  if (near->empty()) return WiresOfWay{.judged = {}, .inputs = readings.inputs()};
  const auto ridden = LayOutRide(readings, *laid, trip, travel);
  if (!ridden) return tl::unexpected(ridden.error());
  WiresOfWay wires;
  for (const WireOnWay& wire : *near) {
    const std::string& id = wire.wire->id.value();
    const auto height = readings.Of<Metres>(id, "headroom");
    if (!height) return tl::unexpected(height.error());
    const auto nearest = NearestOf(*ridden, wire.along, *height);
    if (!nearest) return tl::unexpected(NoAnswerOf(nearest.error(), trip.machine.value()));
    // The height that comes to the same right under the wire.
    const Metres carried = *height - kSagOfWire - ridden->allow.bounce - nearest->off;
    const auto under = UnderWire(readings, *wire.wire,
                                 {.carried_height = carried,
                                  .bounce = ridden->allow.bounce,
                                  .carried_error = nearest->error},
                                 asked.units);
    if (!under) return tl::unexpected(under.error());
    wires.judged.push_back({.id = id, .along = wire.along, .clearance = under->clearance});
  }
  wires.inputs = readings.inputs();
  std::ranges::move(DefaultsOf(*ridden, asked.units), std::back_inserter(wires.inputs));
  wires.inputs.push_back(Default("bounce", Exactly(ridden->allow.bounce, asked.units)));
  wires.inputs.push_back(Default("sag allowed for", Exactly(kSagOfWire, asked.units)));
  wires.inputs.push_back(
      Default("error of a wire's height", Exactly(kWireReadingError, asked.units)));
  return wires;
}

Outcome<fit::Answer> WiresAreClear(const Asked& asked, const Trip& trip, fit::Travel travel) {
  auto wires = WiresOf(asked, trip, travel);
  if (!wires) return tl::unexpected(wires.error());
  fit::Answer answer{.verdict = fit::Verdict::kClear,
                     .line = "NO WIRE on the map over the way",
                     .spare = {},
                     .inputs = std::move(wires->inputs),
                     .sources = {fit::kPowerLineSources.begin(), fit::kPowerLineSources.end()},
                     .assumptions = {kWiresOfWayAssumptions.begin(), kWiresOfWayAssumptions.end()}};
  std::optional<Metres> least;
  for (const JudgedWire& wire : wires->judged) {
    answer.verdict = fit::Worse(answer.verdict, wire.clearance.verdict);
    const Metres sure = wire.clearance.margin - wire.clearance.error;
    if (least && *least <= sure) continue;
    least = sure;
    answer.line = DriversLine(wire.clearance, asked.units);
    answer.spare = fit::SpareOf(wire.clearance.margin, wire.clearance.error);
  }
  return answer;
}

}  // namespace chockwise::survey
