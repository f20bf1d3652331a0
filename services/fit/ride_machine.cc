// Reads and checks the machine of a ride.

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/ride_rider.h"

namespace chockwise::fit::riding {
namespace {

constexpr double kLongestUnitM = 60;
constexpr double kHighestM = 50;
constexpr double kLargestWheelM = 3;
constexpr double kShortestBaseM = 0.3;
constexpr int kMostAxles = 8;
constexpr size_t kMostUnits = 12;
constexpr size_t kMostPoints = 200;

using Problem = std::optional<Unusable>;

std::string Shown(Metres length) { return fmt::format("is {:.6g} m", length.metres()); }

Problem CheckBehind(const std::string& name, Metres behind) {
  if (behind >= Metres() && behind <= InMetres(kLongestUnitM)) return std::nullopt;
  return Unusable{name, Shown(behind), "0 to 60 m behind the unit's foremost point"};
}

Problem CheckHeight(const std::string& name, Metres height) {
  if (height > Metres() && height <= InMetres(kHighestM)) return std::nullopt;
  return Unusable{name, Shown(height), "a height above 0, up to 50 m"};
}

Problem CheckOutline(const std::string& name, const std::vector<OutlinePoint>& outline) {
  if (outline.size() < 2 || outline.size() > kMostPoints) {
    return Unusable{name, fmt::format("has {} points", outline.size()), "2 to 200 points"};
  }
  for (size_t i = 0; i < outline.size(); ++i) {
    const std::string point = fmt::format("{} point {}", name, i + 1);
    if (auto problem = CheckBehind(point, outline[i].behind_front)) return problem;
    if (auto problem = CheckHeight(point + " height", outline[i].height)) return problem;
    if (i > 0 && outline[i].behind_front < outline[i - 1].behind_front) {
      return Unusable{point, Shown(outline[i].behind_front), "behind the point before it"};
    }
  }
  if (outline.back().behind_front - outline.front().behind_front < Millimetres(1)) {
    return Unusable{name, "has no length", "points from the front to the rear"};
  }
  return std::nullopt;
}

Problem CheckGroup(const std::string& name, const AxleGroup& group) {
  if (auto problem = CheckBehind(name, group.behind_front)) return problem;
  if (group.wheel_radius < Metres() || group.wheel_radius > InMetres(kLargestWheelM)) {
    return Unusable{name + " wheel radius", Shown(group.wheel_radius), "0 (a point) to 3 m"};
  }
  if (group.axles < 1 || group.axles > kMostAxles) {
    return Unusable{name + " axles", fmt::format("is {}", group.axles), "1 to 8 axles"};
  }
  const bool single = group.axles == 1;
  if (single ? group.spacing != Metres()
             : group.spacing <= Metres() || group.spacing > InMetres(10)) {
    return Unusable{name + " spacing", Shown(group.spacing),
                    single ? "0 with one axle" : "above 0, up to 10 m"};
  }
  return std::nullopt;
}

Problem CheckCoupling(const std::string& name, const std::optional<Coupling>& coupling,
                      bool wanted) {
  if (coupling.has_value() != wanted) {
    return Unusable{name, wanted ? "is missing" : "hangs on nothing",
                    wanted ? "where it is and how high" : "none at this end of the machine"};
  }
  if (!coupling) return std::nullopt;
  if (auto problem = CheckBehind(name, coupling->behind_front)) return problem;
  return CheckHeight(name + " height", coupling->height);
}

Problem CheckTracks(const RidingMachine& machine, const RidingUnit& unit) {
  const std::string name = unit.id + " tracks";
  const Tracks& tracks = *unit.tracks;
  if (machine.units.size() != 1 || !unit.groups.empty()) {
    return Unusable{name, "are not its only running gear",
                    "tracks on a machine of one unit without wheels"};
  }
  if (auto problem = CheckBehind(name + " front end", tracks.front_end)) return problem;
  if (auto problem = CheckBehind(name + " rear end", tracks.rear_end)) return problem;
  if (tracks.rear_end - tracks.front_end < InMetres(kShortestBaseM)) {
    return Unusable{name + " rear end", Shown(tracks.rear_end),
                    "at least 0.3 m behind the front end"};
  }
  const Metres reach =
      std::min(tracks.centre_of_mass - tracks.front_end, tracks.rear_end - tracks.centre_of_mass);
  if (reach < 0.05 * (tracks.rear_end - tracks.front_end)) {
    return Unusable{unit.id + " centre of mass", Shown(tracks.centre_of_mass),
                    "over the track, a twentieth of it or more from its ends"};
  }
  if (tracks.centre_of_mass_high <= Metres() ||
      tracks.centre_of_mass_high > reach / kSteepestGround.rise_over_run()) {
    return Unusable{unit.id + " centre of mass height", Shown(tracks.centre_of_mass_high),
                    "above 0, and so low that a 50 % grade does not tip it"};
  }
  return std::nullopt;
}

struct Place {
  bool first = false;
  bool last = false;
};

Problem CheckUnit(const RidingMachine& machine, const RidingUnit& unit, Place place) {
  if (auto problem = CheckOutline(unit.id + " top", unit.top)) return problem;
  if (auto problem = CheckOutline(unit.id + " bottom", unit.bottom)) return problem;
  if (auto problem = CheckCoupling(unit.id + " coupled by", unit.coupled_by, !place.first)) {
    return problem;
  }
  if (auto problem = CheckCoupling(unit.id + " next hangs at", unit.next_hangs_at, !place.last)) {
    return problem;
  }
  if (unit.tracks) return CheckTracks(machine, unit);
  const size_t wanted = place.first ? 2 : 1;
  if (unit.groups.size() != wanted) {
    return Unusable{unit.id + " axle groups", fmt::format("are {}", unit.groups.size()),
                    place.first ? "2: the lead and the rear one" : "1: the one behind"};
  }
  for (size_t i = 0; i < wanted; ++i) {
    const std::string name = fmt::format("{} axle group {}", unit.id, i + 1);
    if (auto problem = CheckGroup(name, unit.groups[i])) return problem;
  }
  const Metres front = place.first ? unit.groups[0].behind_front : unit.coupled_by->behind_front;
  if (unit.groups.back().behind_front - front < InMetres(kShortestBaseM)) {
    return Unusable{unit.id + " wheelbase", Shown(unit.groups.back().behind_front - front),
                    "the rear axle group at least 0.3 m behind the front one "
                    "or the coupling"};
  }
  return std::nullopt;
}

/// A wheel that climbs a sill on a grade must be able to roll on: the climb
/// times the unit's steepest pitch stays below 1, or the rear wheel would be
/// pushed back by its own climb.
Problem CheckClimb(const RidingUnit& unit, const Body& body, const Machine& read,
                   const LaneProfile& lane) {
  double steepest = 0;
  for (size_t i = 1; i < lane.ground.size(); ++i) {
    const ProfilePoint& a = lane.ground[i - 1];
    const ProfilePoint& b = lane.ground[i];
    steepest = std::max(steepest, std::abs((b.elevation - a.elevation) / (b.along - a.along)));
  }
  const LaneSill* highest = nullptr;
  for (const LaneSill& sill : lane.sills) {
    if (highest == nullptr || sill.height > highest->height) highest = &sill;
  }
  double climb = steepest;
  for (const Support* support : {&body.front, &body.rear}) {
    for (int i = 0; highest != nullptr && i < support->axles; ++i) {
      const double radius = read.axles[static_cast<size_t>(support->first_axle + i)].radius;
      const double height = highest->height.metres();
      if (height > radius / 2) {
        return Unusable{fmt::format("{} wheel radius", unit.id), Shown(InMetres(radius)),
                        fmt::format("at least twice the height of {}", highest->id)};
      }
      climb = std::max(climb, std::tan(std::acos(1 - height / radius) + std::atan(steepest)));
      if (std::acos(1 - height / radius) + std::atan(steepest) > 1.5) climb = 1e9;
    }
  }
  const double rise = (highest != nullptr ? highest->height.metres() : 0) +
                      std::abs(body.front.at.z - body.rear.at.z);
  const double pitch = steepest + rise / std::abs(body.front.at.x - body.rear.at.x);
  if (climb > kSteepestClimb || climb * pitch > 0.95) {
    return Unusable{highest != nullptr ? highest->id : "profile",
                    fmt::format("is too steep a step for {} on so steep a ground", unit.id),
                    "a lower sill, a longer wheelbase or a flatter lane"};
  }
  return std::nullopt;
}

/// A short track with a high mass: turning moves the mass back, which turns it more. The gain of
/// that is the mass's height times the turn for each metre; where it may reach 0.7 (0.2 on a sill's
/// edge, where it grows as the mass comes nearer), the machine may rear up and is refused.
Problem CheckTrackClimb(const RidingUnit& unit, const Track& track, const LaneProfile& lane) {
  const double high = track.centre_of_mass.z;
  const double reach = std::min(track.ahead, track.behind);
  double down = 0;
  double up = 0;
  for (size_t i = 1; i < lane.ground.size(); ++i) {
    const ProfilePoint& a = lane.ground[i - 1];
    const ProfilePoint& b = lane.ground[i];
    const double slope = (b.elevation - a.elevation) / (b.along - a.along);
    down = std::min(down, slope);
    up = std::max(up, slope);
  }
  if (high * (up - down) > 0.7 * reach) {
    return Unusable{"profile", fmt::format("is too broken for the tracks of {}", unit.id),
                    "a flatter lane, longer tracks or a lower centre of mass"};
  }
  const double steepest = std::max(up, -down);
  for (const LaneSill& sill : lane.sills) {
    const double height = sill.height.metres();
    const double left = reach - high * (steepest + height / reach);
    const bool sides = high * (0.5 + 2 * steepest) <= 0.7 * reach;
    if (sides && left > 0 && high * height <= 0.2 * left * left) continue;
    return Unusable{sill.id + " height", Shown(sill.height),
                    fmt::format("a step that the tracks of {} climb without rearing up", unit.id)};
  }
  return std::nullopt;
}

std::vector<BodyPoint> Points(const std::vector<OutlinePoint>& outline) {
  std::vector<BodyPoint> points;
  for (const OutlinePoint& point : outline) {
    points.push_back({-point.behind_front.metres(), point.height.metres()});
  }
  return points;
}

Support ReadGroup(const AxleGroup& group, Machine& read) {
  Support support;
  support.at = {-group.behind_front.metres(), group.wheel_radius.metres()};
  support.first_axle = static_cast<int>(read.axles.size());
  support.axles = group.axles;
  for (int i = 0; i < group.axles; ++i) {
    read.axles.push_back(
        {((group.axles - 1) / 2.0 - i) * group.spacing.metres(), group.wheel_radius.metres()});
  }
  return support;
}

BodyPoint At(const Coupling& coupling) {
  return {-coupling.behind_front.metres(), coupling.height.metres()};
}

Body ReadBody(const RidingUnit& unit, Machine& read) {
  Body body;
  body.top = Points(unit.top);
  body.bottom = Points(unit.bottom);
  if (unit.next_hangs_at) body.next_hangs_at = At(*unit.next_hangs_at);
  if (unit.tracks) {
    const Tracks& tracks = *unit.tracks;
    read.track = Track{
        .ahead = (tracks.centre_of_mass - tracks.front_end).metres(),
        .behind = (tracks.rear_end - tracks.centre_of_mass).metres(),
        .centre_of_mass = {-tracks.centre_of_mass.metres(), tracks.centre_of_mass_high.metres()}};
    body.front.at = {-tracks.centre_of_mass.metres(), 0};
    body.rear.at = {-tracks.rear_end.metres(), 0};
  } else {
    if (unit.coupled_by) body.front.at = At(*unit.coupled_by);
    if (!unit.coupled_by) body.front = ReadGroup(unit.groups[0], read);
    body.rear = ReadGroup(unit.groups.back(), read);
  }
  const double run = body.front.at.x - body.rear.at.x;
  const double rise = body.front.at.z - body.rear.at.z;
  body.apart = std::hypot(run, rise);
  double reach_x = 0;
  double reach_z = 0;
  for (const auto* outline : {&body.top, &body.bottom}) {
    for (const BodyPoint& point : *outline) {
      reach_x = std::max(reach_x, std::abs(point.x - body.front.at.x));
      reach_z = std::max(reach_z, std::abs(point.z - body.front.at.z));
    }
  }
  body.reach = reach_x + reach_z;
  return body;
}

/// Length, height, and how often an error of the profile may count: at each
/// support in the ratio of the levers, and once at the ground below the point.
void Measure(Machine& read) {
  double front_sum = 1;  // of the ratios at the front support
  double offset = 0;     // of the unit's front behind the machine's
  double foremost = 0;
  double rearmost = 0;
  for (const Body& body : read.bodies) {
    const double run = body.front.at.x - body.rear.at.x;
    const auto sum_at = [&](double x) {
      const double ratio = (body.front.at.x - x) / run;
      return std::abs(1 - ratio) * front_sum + std::abs(ratio);
    };
    for (const auto* outline : {&body.top, &body.bottom}) {
      for (const BodyPoint& point : *outline) {
        const double levers =
            read.track ? 1 + 2 * body.reach / std::min(read.track->ahead, read.track->behind)
                       : sum_at(point.x);
        read.lever_sum = std::max(read.lever_sum, 1 + 1.25 * levers);
        // A sill lifts one of the two contacts of a track, the other is its end or beyond.
        const double on_sill = read.track ? 1 + std::abs(read.track->centre_of_mass.x - point.x) /
                                                    std::min(read.track->ahead, read.track->behind)
                                          : levers;
        read.sill_sum = std::max(read.sill_sum, 1.25 * on_sill);
        read.height = std::max(read.height, point.z);
        foremost = std::min(foremost, offset - point.x);
        rearmost = std::max(rearmost, offset - point.x);
      }
    }
    rearmost = std::max(rearmost, offset - body.rear.at.x);
    if (&body == &read.bodies.back()) break;
    front_sum = sum_at(body.next_hangs_at.x);
    offset += -body.next_hangs_at.x + (&body + 1)->front.at.x;
  }
  read.lead_behind_front = -read.bodies[0].front.at.x - foremost;
  read.length = rearmost - foremost;
}

}  // namespace

Outcome<Machine> ReadMachine(const RidingMachine& machine, const LaneProfile& lane) {
  if (machine.units.empty() || machine.units.size() > kMostUnits) {
    return tl::unexpected(
        Unusable{"machine", fmt::format("has {} units", machine.units.size()), "1 to 12 units"});
  }
  Machine read;
  for (size_t i = 0; i < machine.units.size(); ++i) {
    const RidingUnit& unit = machine.units[i];
    if (unit.id.empty()) {
      return tl::unexpected(
          Unusable{fmt::format("unit {}", i + 1), "has no id", "an id that people know it by"});
    }
    const Place place = {.first = i == 0, .last = i + 1 == machine.units.size()};
    if (auto problem = CheckUnit(machine, unit, place)) return tl::unexpected(*problem);
    read.bodies.push_back(ReadBody(unit, read));
    if (unit.tracks) {
      if (auto problem = CheckTrackClimb(unit, *read.track, lane)) return tl::unexpected(*problem);
      continue;
    }
    if (auto problem = CheckClimb(unit, read.bodies.back(), read, lane)) {
      return tl::unexpected(*problem);
    }
  }
  Measure(read);
  return read;
}

}  // namespace chockwise::fit::riding
