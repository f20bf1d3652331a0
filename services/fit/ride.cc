#include "services/fit/ride.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/ride_rider.h"
#include "services/fit/ride_search.h"

namespace chockwise::fit {
namespace {

using riding::Ground;
using riding::Lane;
using riding::Least;
using riding::Machine;
using riding::Passed;
using riding::Rider;
using riding::Search;
using riding::Stance;

constexpr double kRoundingsM = 1e-8;  // of coordinates up to 100 km and a few dozen operations

/// A question with its inputs checked, in the machine's sense of travel.
struct Prepared {
  Machine machine;
  Lane lane;
  Ground bare;
  Ground walked;
  double sense = 1;  // -1 where the machine faces against the lane
  double slack = 0;  // how far leaning may carry a point along the lane
  double steep = 0;  // of the bare ground, at most
};

std::optional<Unusable> CheckAllowance(const char* name, Metres value) {
  if (value > Metres() && value <= InMetres(0.5)) return std::nullopt;
  return Unusable{name, fmt::format("is {:.6g} m", value.metres()),
                  "a length above 0, up to 0.5 m"};
}

std::optional<Unusable> CheckError(const char* name, Metres value) {
  if (value >= Metres() && value <= InMetres(0.5)) return std::nullopt;
  return Unusable{name, fmt::format("is {:.6g} m", value.metres()), "0 to 0.5 m"};
}

std::optional<Unusable> CheckAllowances(const RideAllowances& allow) {
  if (auto unusable = CheckAllowance("bounce", allow.bounce)) return unusable;
  if (auto unusable = CheckAllowance("needed clearance", allow.needed_clearance)) return unusable;
  if (auto unusable = CheckError("profile error", allow.profile_error)) return unusable;
  return CheckError("reading error", allow.reading_error);
}

Outcome<Prepared> Prepare(const RideQuestion& question) {
  if (auto unusable = Check(question.profile)) return tl::unexpected(*unusable);
  if (auto unusable = CheckAllowances(question.allow)) return tl::unexpected(*unusable);
  auto machine = riding::ReadMachine(question.machine, question.profile);
  if (!machine) return tl::unexpected(machine.error());
  const bool along = question.facing == Facing::kAlong;
  Lane lane =
      along ? riding::SeenForwards(question.profile) : riding::SeenBackwards(question.profile);
  Ground bare = BareGround(lane);
  Ground walked = machine->track ? GroundForTracks(lane) : GroundForWheels(lane);
  const double steep = bare.SlopesOfPieces(0, bare.size() - 2).Largest();
  const double lean = steep + 0.1;
  const double slack =
      0.1 + machine->height * lean + machine->length * std::min(1.0, lean * lean / 2);
  return Prepared{.machine = *std::move(machine),
                  .lane = std::move(lane),
                  .bare = std::move(bare),
                  .walked = std::move(walked),
                  .sense = along ? 1.0 : -1.0,
                  .slack = slack,
                  .steep = steep};
}

/// Every position of the lead at which some point of the machine may be between `from` and `to`.
Least Pass(Search& search, const Prepared& ride, const Passed& passed, double from, double to) {
  return search.Over(passed, from - ride.machine.lead_behind_front - ride.slack,
                     to + ride.machine.length - ride.machine.lead_behind_front + ride.slack);
}

/// How many heights that were read may add up in a gap: the outline's, the overhead's or the sill's
/// that is passed, and the sills' that wheels or track may stand on then, by their levers. A point
/// of a leaning machine that is higher by one is also further along by the sine of the pitch; the
/// ride takes it to the same place so much later, and as much higher or lower by its slope there.
/// Both are within the ground's steepest times the levers.
double HeightsRead(const Prepared& ride, const Passed& passed) {
  const double reach = ride.machine.length + ride.slack;
  const bool on_sill = std::ranges::any_of(ride.lane.sills, [&](const Lane::Strip& sill) {
    return sill.to >= passed.from - reach && sill.from <= passed.to + reach;
  });
  const bool ground = passed.side == Passed::Side::kBottom && passed.height == 0;
  const double leaning = ride.steep * ride.machine.sill_sum;
  return 1 + leaning * leaning + (ground ? 0 : 1) + (on_sill ? ride.machine.sill_sum : 0);
}

TightSpot Spot(const RideQuestion& question, const Prepared& ride, const Passed& passed,
               const Least& least) {
  const bool above = passed.side == Passed::Side::kTop;
  const RideAllowances& allow = question.allow;
  TightSpot spot;
  spot.gap = InMetres(least.gap);
  spot.margin = spot.gap - (above ? allow.bounce : allow.needed_clearance);
  spot.error = InMetres(std::max(0.0, least.gap - least.lowest) + kRoundingsM) +
               ride.machine.lever_sum * allow.profile_error +
               HeightsRead(ride, passed) * allow.reading_error;
  spot.verdict = Judge(spot.margin.metres(), spot.error.metres());
  spot.along = InMetres(ride.sense * least.x);
  spot.lead_at = InMetres(ride.sense * least.lead_x);
  spot.unit = question.machine.units[least.body].id;
  spot.behind_front = InMetres(-least.body_x);
  return spot;
}

bool Tighter(const TightSpot& a, const TightSpot& b) { return a.sure() < b.sure(); }

std::string ShortBy(Metres margin, UnitSystem system) {
  return Text(-margin, system, Rounding::kUp);
}

void AddUnit(const RideQuestion& question, const Prepared& ride, const Stance& stance, size_t i,
             RidingPose& pose) {
  const riding::Body& body = ride.machine.bodies[i];
  const riding::Frame& frame = stance.frames[i];
  UnitPose unit;
  unit.id = question.machine.units[i].id;
  unit.pitch_rad = ride.sense * std::atan2(frame.sin, frame.cos);
  const auto seen = [&](double x, double z) { return Point{ride.sense * x, z}; };
  for (const riding::BodyPoint& point : body.top) {
    unit.top.push_back(seen(frame.At(point).x, frame.At(point).z));
  }
  for (const riding::BodyPoint& point : body.bottom) {
    unit.bottom.push_back(seen(frame.At(point).x, frame.At(point).z));
  }
  for (const riding::Support* support : {&body.front, &body.rear}) {
    for (int k = 0; k < support->axles; ++k) {
      const size_t axle = static_cast<size_t>(support->first_axle + k);
      const riding::WheelContact& wheel = stance.wheels[axle];
      const double radius = ride.machine.axles[axle].radius;
      const double stretch = std::sqrt(1 + wheel.slope * wheel.slope);
      unit.wheel_centres.push_back(seen(wheel.x, wheel.centre_z));
      unit.wheel_radii_m.push_back(radius);
      unit.contacts.push_back(
          seen(wheel.x + radius * wheel.slope / stretch, wheel.centre_z - radius / stretch));
    }
  }
  if (ride.machine.track) {
    for (const double x : {stance.ahead.x, stance.behind.x}) {
      unit.contacts.push_back(
          seen(x, stance.track_height + stance.track_slope * (x - stance.lead_x)));
    }
  }
  pose.units.push_back(std::move(unit));
}

}  // namespace

Outcome<Ride> RideOver(const RideQuestion& question) {
  const auto ready = Prepare(question);
  if (!ready) return tl::unexpected(ready.error());
  Rider rider(ready->machine, ready->walked);
  Search search(rider, ready->bare);
  Ride ride;
  const double start = ready->lane.x.front();
  const double end = ready->lane.x.back();
  ride.below = Spot(question, *ready, {}, Pass(search, *ready, {}, start, end));
  ride.verdict = ride.below.verdict;
  for (const Lane::Strip& sill : ready->lane.sills) {
    const Passed passed = {Passed::Side::kBottom, sill.from, sill.to, sill.height};
    TightSpot spot =
        Spot(question, *ready, passed, Pass(search, *ready, passed, sill.from, sill.to));
    spot.at = question.profile.sills[sill.index].id;
    ride.verdict = Worse(ride.verdict, spot.verdict);
    if (Tighter(spot, ride.below)) ride.below = spot;
  }
  ride.overheads.resize(question.profile.overheads.size());
  for (const Lane::Strip& over : ready->lane.overheads) {
    const Passed passed = {Passed::Side::kTop, over.from, over.to, over.height};
    TightSpot& spot = ride.overheads[over.index];
    spot = Spot(question, *ready, passed, Pass(search, *ready, passed, over.from, over.to));
    spot.at = question.profile.overheads[over.index].id;
    ride.verdict = Worse(ride.verdict, spot.verdict);
    if (!ride.least_overhead || Tighter(spot, ride.overheads[*ride.least_overhead])) {
      ride.least_overhead = over.index;
    }
  }
  return ride;
}

Outcome<RidingPose> PoseAt(const RideQuestion& question, Metres lead_at) {
  const auto ready = Prepare(question);
  if (!ready) return tl::unexpected(ready.error());
  const double lead_x = ready->sense * lead_at.metres();
  const double reach = ready->machine.length + ready->slack + 1;
  if (lead_x < ready->lane.x.front() - reach || lead_x > ready->lane.x.back() + reach) {
    return tl::unexpected(Unusable{"lead position", fmt::format("is {:.6g} m", lead_at.metres()),
                                   "on the lane, or off its ends by the machine's length"});
  }
  Rider rider(ready->machine, ready->walked);
  Stance stance;
  rider.Stand({.from = lead_x, .to = lead_x + 1}, lead_x, stance);
  RidingPose pose;
  for (size_t i = 0; i < ready->machine.bodies.size(); ++i) {
    AddUnit(question, *ready, stance, i, pose);
  }
  return pose;
}

std::string DriversLine(const Ride& ride, UnitSystem system) {
  const TightSpot* over = ride.least_overhead ? &ride.overheads[*ride.least_overhead] : nullptr;
  const bool under = over == nullptr || over->verdict == Verdict::kClear;
  const bool grounds = ride.below.verdict != Verdict::kClear;
  // A conflict is said before what is only too close to be sure of.
  if (!under && (over->verdict == Verdict::kConflict || ride.below.verdict != Verdict::kConflict))
    return fmt::format("STOP: {} short under {}", ShortBy(over->sure(), system), over->at);
  if (grounds) {
    return fmt::format("WILL GROUND: {} short at {}, do not enter",
                       ShortBy(ride.below.sure(), system),
                       ride.below.at.empty() ? "the ground" : ride.below.at);
  }
  const std::string below = Text(ride.below.sure(), system, Rounding::kDown);
  if (over == nullptr) return fmt::format("GO OVER: {} to spare below", below);
  return fmt::format("GO UNDER: {} to spare above, {} below",
                     Text(over->sure(), system, Rounding::kDown), below);
}

}  // namespace chockwise::fit
