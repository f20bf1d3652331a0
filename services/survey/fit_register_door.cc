#include "services/survey/fit_register_door.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

#include "services/survey/beside.h"
#include "services/survey/path.h"
#include "services/survey/reading_errors.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

constexpr double kRunUp = 2;  // lengths of the machine before the door, and behind it
// Coarser than a drive's own step, for there are many; what it leaves out is in each margin's
// error.
constexpr Metres kStep = fit::InMetres(0.1);

/// The way from `from` to `to`, with its distances from there.
Way Cut(const Way& way, Metres from, Metres to) {
  Way cut;
  const auto add = [&](size_t before, Metres along) {
    const Metres run = way.along[before + 1] - way.along[before];
    const double share = std::clamp((along - way.along[before]) / run, 0.0, 1.0);
    const auto &a = way.profile.ground[before], &b = way.profile.ground[before + 1];
    cut.middle.push_back(way.middle[before] +
                         share * (way.middle[before + 1] - way.middle[before]));
    cut.along.push_back(along - from);
    cut.profile.ground.push_back(
        {.along = along - from, .elevation = a.elevation + share * (b.elevation - a.elevation)});
  };
  // Points nearer than a map editor's double click are one.
  constexpr Metres kOnePoint = fit::Millimetres(1);
  for (size_t i = 0; i + 1 < way.along.size(); ++i) {
    const Metres start = std::max(from, way.along[i]), end = std::min(to, way.along[i + 1]);
    if (end - start < kOnePoint) continue;
    if (cut.along.empty()) add(i, start);
    add(i, end);
  }
  cut.profile.overheads = way.profile.overheads;
  cut.profile.sills = way.profile.sills;
  for (fit::Overhead& overhead : cut.profile.overheads) {
    overhead.from = overhead.from - from;
    overhead.to = overhead.to - from;
  }
  for (fit::LaneSill& sill : cut.profile.sills) {
    sill.from = sill.from - from;
    sill.to = sill.to - from;
  }
  cut.doors = way.doors;
  cut.obstacles = way.obstacles;
  cut.no_way = way.no_way;
  return cut;
}

void Keep(PassedAt& least, PassedAt other) {
  if (other.margin < least.margin) least = std::move(other);
}

const char* Word(fit::Travel travel) {
  return travel == fit::Travel::kReversing ? "reversing" : "forwards";
}

std::optional<fit::Unusable> Ride(const PassingMachine& machine, const Way& way, fit::Facing facing,
                                  const std::string& how, DoorPassed& passed) {
  const auto ride = fit::RideOver({.machine = machine.riding,
                                   .profile = way.profile,
                                   .allow = {.bounce = machine.bounce,
                                             .profile_error = kProfileError,
                                             .reading_error = kHeightError},
                                   .facing = facing});
  if (!ride) return ride.error();
  for (const fit::TightSpot& spot : ride->overheads)
    Keep(passed.above, {spot.margin - spot.error, how, spot.at + ", overhead"});
  const fit::TightSpot& below = ride->below;
  Keep(passed.below,
       {below.gap - below.error, how, below.at.empty() ? "the ground of the lane" : below.at});
  return std::nullopt;
}

std::optional<fit::Unusable> Drive(const fit::SweptPathQuestion& asked, const std::string& how,
                                   DoorPassed& passed) {
  const auto swept = fit::Sweep(asked);
  if (!swept) return swept.error();
  if (swept->driven.shortfall && !passed.cannot_turn) {
    passed.cannot_turn = PassedAt{
        Metres(), how, "will not turn, " + Text(*swept->driven.shortfall, fit::UnitSystem::kUs)};
  }
  for (const fit::SideMargin& margin : swept->margins)
    Keep(passed.beside, {margin.margin - margin.error, how, margin.obstacle});
  return std::nullopt;
}

}  // namespace

Outcome<DoorWays> WaysThrough(Readings& readings, const yard::Door& door) {
  const yard::Yard& yard = readings.yard();
  const yard::Lane& lane = yard.lanes.at(door.lane);
  DoorWays ways;
  for (const yard::PlaceId& from : {lane.from, lane.to}) {
    if (from == lane.to && (lane.one_way || lane.from == lane.to)) continue;
    const yard::Route route{.to = from == lane.from ? lane.to : lane.from, .lanes = {lane.id}};
    auto way = LayOut(readings, {.route = route, .from = from});
    if (!way) return tl::unexpected(way.error());
    const std::string& id = door.id.value();
    std::erase_if(way->doors, [&](const DoorOnWay& other) { return other.id != id; });
    std::erase_if(way->profile.overheads,
                  [&](const fit::Overhead& other) { return other.id != id; });
    std::erase_if(way->profile.sills,
                  [&](const fit::LaneSill& other) { return other.id != id + " sill"; });
    ways.both.push_back({.way = *std::move(way), .from = from.value()});
  }
  return ways;
}

fit::Outcome<DoorPassed> Pass(const PassingMachine& machine, const DoorWays& door,
                              fit::Metres needed_each_side) {
  const PassedAt nothing{.margin = fit::InMetres(1000), .way = "", .at = ""};
  DoorPassed passed{.above = nothing, .beside = nothing, .below = nothing, .cannot_turn = {}};
  bool ridden = false;
  for (const DoorWay& laid : door.both) {
    const Metres at = laid.way.doors.front().along, run_up = kRunUp * machine.length;
    const Way way = Cut(laid.way, at - run_up, at + run_up);
    fit::SweptPathQuestion asked{.manoeuvre = {.machine = machine.turning,
                                               .line = way.middle,
                                               .step = kStep,
                                               .trace_tolerance = kTraceTolerance},
                                 .obstacles = {},
                                 .needed_margin = needed_each_side,
                                 .reading_error = kTapeError};
    for (const fit::Travel travel : {fit::Travel::kForwards, fit::Travel::kReversing}) {
      const std::string how = fmt::format("{} from {}", Word(travel), laid.from);
      asked.manoeuvre.travel = travel;
      asked.obstacles = BesideWay(way, travel);
      if (const auto wrong = Drive(asked, how, passed)) return tl::unexpected(*wrong);
      // From the other end it stands on the same ground the other way about: both are ridden.
      if (ridden) continue;
      const auto facing =
          travel == fit::Travel::kReversing ? fit::Facing::kAgainst : fit::Facing::kAlong;
      if (const auto wrong = Ride(machine, way, facing, how, passed)) return tl::unexpected(*wrong);
    }
    ridden = true;
  }
  return passed;
}

}  // namespace chockwise::survey
