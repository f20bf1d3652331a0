#include "services/survey/route.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <map>
#include <set>

#include "services/survey/answers.h"
#include "services/survey/machines.h"
#include "services/survey/turning.h"
#include "services/survey/wires.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

/// A reading of the yard as a limit: unknown where it is missing, too old or still to come. Law 2.
template <class Quantity>
std::optional<Quantity> Known(Readings& readings, const std::string& of, const char* quantity) {
  const auto value = readings.Of<Quantity>(of, quantity);
  return value ? std::optional<Quantity>(*value) : std::nullopt;
}

/// The lesser of two limits; unknown stays unknown.
template <class Quantity>
std::optional<Quantity> Lesser(std::optional<Quantity> a, std::optional<Quantity> b) {
  if (!a || !b) return std::nullopt;
  return std::min(*a, *b);
}

/// Without the points at which it goes straight on.
fit::Line CornersOf(const fit::Line& middle) {
  constexpr double kStraightRad = 1e-3;
  fit::Line corners;
  for (const fit::Point point : middle) {
    if (corners.size() >= 2) {
      const fit::Point in = corners.back() - corners[corners.size() - 2];
      const fit::Point out = point - corners.back();
      if (std::abs(std::atan2(fit::Cross(in, out), fit::Dot(in, out))) < kStraightRad)
        corners.pop_back();
    }
    corners.push_back(point);
  }
  return corners;
}

/// The radius on which every bend of the lane has room: an arc takes radius x tan(turn / 2) of both
/// its sides, and two bends share the side between them.
Metres TightestBend(const fit::Line& middle) {
  const fit::Line corners = CornersOf(middle);
  double tightest_m = fit::kNothingThere.metres();
  double before = 0;  // tan(turn / 2) at the start of the side
  for (size_t i = 1; i < corners.size(); ++i) {
    const fit::Point side = corners[i] - corners[i - 1];
    double after = 0;
    if (i + 1 < corners.size()) {
      const fit::Point next = corners[i + 1] - corners[i];
      after = std::tan(std::abs(std::atan2(fit::Cross(side, next), fit::Dot(side, next))) / 2);
    }
    if (before + after > 1e-6)
      tightest_m = std::min(tightest_m, fit::LengthM(side) / (before + after));
    before = after;
  }
  return fit::InMetres(tightest_m);
}

/// The machine as it passes under things.
struct Upright {
  Metres carried, bounce;
  fit::UnitSystem units;
};

class LanesOfYard {
 public:
  LanesOfYard(Readings& readings, const Upright& machine)
      : readings_(readings), machine_(machine), plane_(PlaneOf(readings.yard())) {
    const yard::Yard& yard = readings.yard();
    for (const auto& [id, place] : yard.places) places_.emplace(id, places_.size());
    for (const auto& [id, door] : yard.doors) doors_[door.lane].push_back(&door);
    for (const auto& [id, overhead] : yard.overheads)
      overheads_[overhead.lane].push_back(&overhead);
  }

  size_t places() const { return places_.size(); }
  std::optional<size_t> Number(const yard::PlaceId& place) const {
    const auto found = places_.find(place);
    return found == places_.end() ? std::nullopt : std::optional<size_t>(found->second);
  }

  std::vector<fit::RouteLane> Of(const Trip& trip, const RouteAsked& limits) {
    const std::set<yard::LaneId> named(trip.by.begin(), trip.by.end());
    std::vector<fit::RouteLane> lanes;
    for (const auto& [id, lane] : readings_.yard().lanes) {
      if (!named.empty() && !named.contains(id)) continue;
      fit::RouteLane& out = lanes.emplace_back(LaneOf(lane));
      if (const auto closed = limits.closed.find(id); closed != limits.closed.end())
        out.open_hazard = closed->second;
    }
    return lanes;
  }

  fit::RouteLane LaneOf(const yard::Lane& lane) {
    const std::string& id = lane.id.value();
    fit::Line middle;
    for (const yard::Position& position : lane.line) middle.push_back(OnPlane(plane_, position));
    fit::RouteLane out{.id = id,
                       .from = places_.at(lane.from),
                       .to = places_.at(lane.to),
                       .length = lane.length,
                       .clear_height = fit::kNothingThere,
                       .clear_width = Known<Metres>(readings_, id, "width"),
                       .bend_radius = TightestBend(middle),
                       .steepest = Known<fit::Grade>(readings_, id, "grade"),
                       .rated_load = Known<fit::Kilograms>(readings_, id, "rated-mass")};
    if (lane.one_way) out.ways = fit::RouteLane::Ways::kOneWay;
    for (const yard::Door* on_lane : On(doors_, lane)) {
      const std::string& door = on_lane->id.value();
      out.clear_height = Lesser(out.clear_height, Known<Metres>(readings_, door, "clear-height"));
      out.clear_width = Lesser(out.clear_width, Known<Metres>(readings_, door, "clear-width"));
    }
    for (const yard::Overhead* overhead : On(overheads_, lane))
      out.clear_height = Lesser(out.clear_height, ClearUnder(*overhead));
    return out;
  }

 private:
  template <class Thing>
  using ByLane = std::map<yard::LaneId, std::vector<const Thing*>>;
  template <class Thing>
  static const std::vector<const Thing*>& On(const ByLane<Thing>& things, const yard::Lane& lane) {
    static const std::vector<const Thing*> none;
    const auto found = things.find(lane.id);
    return found == things.end() ? none : found->second;
  }

  /// How high a machine may reach at the top of its bounce.
  std::optional<Metres> ClearUnder(const yard::Overhead& overhead) {
    if (overhead.sort != yard::OverheadSort::kWire)
      return Known<Metres>(readings_, overhead.id.value(), "headroom");
    const auto under = UnderWire(readings_, overhead, machine_.carried, machine_.units);
    if (!under) return std::nullopt;
    // A margin of just its error is undecided, and that is not clear.
    constexpr Metres kAboveError = fit::Millimetres(0.001);
    return std::max(Metres(), under->most_carried + machine_.bounce - kAboveError);
  }

  Readings& readings_;
  const Upright machine_;
  yard::Plane plane_;
  std::map<yard::PlaceId, size_t> places_;
  ByLane<yard::Door> doors_;
  ByLane<yard::Overhead> overheads_;
};

struct Needs {
  fit::RouteNeeds of_lanes;
  Upright upright;
};

Outcome<Needs> NeedsOf(Readings& readings, const yard::Machine& machine, const RouteAsked& limits,
                       fit::UnitSystem units) {
  const std::string& id = machine.id.value();
  const auto tracks = OnTracks(machine);
  if (!tracks) return tl::unexpected(tracks.error());
  const auto turning = Turning(readings, machine);
  if (!turning) return tl::unexpected(turning.error());
  const auto height = readings.Of<Metres>(id, "carried-height");
  if (!height) return tl::unexpected(height.error());
  const auto width = readings.Of<Metres>(id, "carried-width");
  if (!width) return tl::unexpected(width.error());
  const auto mass = readings.Of<fit::Kilograms>(id, "mass");
  if (!mass) return tl::unexpected(mass.error());
  // Bounce and sides are added to them, so the search itself would not see a 0.
  if (*height <= Metres() || *width <= Metres()) {
    return tl::unexpected(NoAnswer{
        .sort = NoAnswer::Sort::kUnusable,
        .input =
            fmt::format("{} of {}", *height <= Metres() ? "carried-height" : "carried-width", id),
        .problem = "is 0",
        .right = "measure it again"});
  }
  const Upright upright{.carried = *height,
                        .bounce = *tracks ? fit::kBounceOnTracks : fit::kBounceOnTyres,
                        .units = units};
  return Needs{.of_lanes = {.height = upright.carried + upright.bounce,
                            .width = *width + 2 * limits.needed_each_side,
                            .turn_radius = LeastTurn(*turning),
                            .most_grade = limits.most_grade,
                            .load = *mass},
               .upright = upright};
}

std::vector<fit::RouteLeg> LegsOf(const fit::FoundRoute& found) {
  if (found.route) return found.route->legs;
  return found.if_changed ? found.if_changed->legs : std::vector<fit::RouteLeg>();
}

struct SearchedWithReadings {
  SearchedRoute route;
  Readings readings;
};

Outcome<SearchedWithReadings> Search(const Asked& asked, const Trip& trip,
                                     const RouteAsked& limits) {
  const auto machine = MachineOf(asked.yard, trip.machine);
  if (!machine) return tl::unexpected(machine.error());
  if (!trip.by.empty()) {
    if (const auto laid = RouteOf(asked, trip); !laid) return tl::unexpected(laid.error());
  }
  Readings readings(asked.yard, asked.when);
  const auto needs = NeedsOf(readings, **machine, limits, asked.units);
  if (!needs) return tl::unexpected(needs.error());
  Readings of_all_lanes(asked.yard, asked.when);
  LanesOfYard lanes(of_all_lanes, needs->upright);
  for (const yard::PlaceId& place : {trip.from, trip.to}) {
    const auto known = PlaceOf(asked.yard, place);
    if (!known) return tl::unexpected(known.error());
  }
  fit::RouteQuestion question{.places = lanes.places(),
                              .lanes = lanes.Of(trip, limits),
                              .from = *lanes.Number(trip.from),
                              .to = *lanes.Number(trip.to),
                              .needs = needs->of_lanes};
  auto found = fit::SearchRoute(question);
  if (!found) return tl::unexpected(NoAnswerOf(found.error(), trip.machine.value()));
  // The answer stands on the lanes of its way; those of the rest of the yard would bury them.
  LanesOfYard of_way(readings, needs->upright);
  for (const fit::RouteLeg& leg : LegsOf(*found))
    of_way.LaneOf(asked.yard.lanes.at(yard::LaneId(question.lanes[leg.lane].id)));
  return SearchedWithReadings{.route = {.question = std::move(question),
                                        .found = std::move(*found),
                                        .inputs = readings.inputs()},
                              .readings = std::move(readings)};
}

}  // namespace

Outcome<SearchedRoute> SearchOf(const Asked& asked, const Trip& trip, const RouteAsked& limits) {
  auto searched = Search(asked, trip, limits);
  if (!searched) return tl::unexpected(searched.error());
  return std::move(searched->route);
}

std::vector<yard::LaneId> LanesOf(const SearchedRoute& searched, const fit::FittingRoute& route) {
  std::vector<yard::LaneId> lanes;
  for (const fit::RouteLeg& leg : route.legs)
    lanes.emplace_back(searched.question.lanes[leg.lane].id);
  return lanes;
}

Outcome<fit::Answer> FindsWay(const Asked& asked, const Trip& trip, const RouteAsked& limits) {
  const auto searched = Search(asked, trip, limits);
  if (!searched) return tl::unexpected(searched.error());
  const SearchedRoute& route = searched->route;
  std::string line = fit::DriversLine(route.found, asked.units);
  if (route.found.route) {
    const char* between = ", by ";
    for (const yard::LaneId& lane : LanesOf(route, *route.found.route)) {
      line += between + lane.value();
      between = ", ";
    }
  }
  fit::Answer answer =
      AnswerFrom(searched->readings,
                 {.verdict = route.found.route ? fit::Verdict::kClear : fit::Verdict::kConflict,
                  .line = std::move(line)},
                 fit::kRouteSearchSources, fit::kRouteSearchAssumptions);
  const auto shown = [&](Metres length) { return Text(length, asked.units, fit::Rounding::kUp); };
  answer.inputs.push_back(Default("asked for on each side", shown(limits.needed_each_side)));
  answer.inputs.push_back(Default("steepest that it may climb",
                                  Text(limits.most_grade, asked.units, fit::Rounding::kDown)));
  answer.inputs.push_back(
      Default("radius that it turns on", shown(route.question.needs.turn_radius)));
  return answer;
}

}  // namespace chockwise::survey
