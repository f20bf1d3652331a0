#include "services/survey/route.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/survey/answers.h"
#include "services/survey/machines.h"
#include "services/survey/reading_errors.h"
#include "services/survey/route_lanes.h"
#include "services/survey/route_proof.h"
#include "services/survey/rules_asked.h"
#include "services/survey/train.h"
#include "services/survey/turning.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

struct Needs {
  size_t couplings = 0;  // over which it would back
  fit::RouteNeeds of_lanes;
  Upright upright;
};

/// What is asked of every lane, and by whom.
struct AskedOfLanes {
  SideAsked side;
  GradeAsked grade;
};
AskedOfLanes AskedOf(const yard::Yard& yard, const RouteAsked& limits) {
  constexpr std::string_view kFitsRoute = "fits-route";
  const fit::Travel travel = limits.travel.value_or(fit::Travel::kForwards);
  return {SideAskedFor(yard.rules, kFitsRoute, travel, limits.needed_each_side),
          GradeAskedFor(yard.rules, kFitsRoute, limits.most_grade)};
}

Outcome<Needs> NeedsOf(Readings& readings, const yard::Machine& machine, const AskedOfLanes& lanes,
                       fit::UnitSystem units) {
  const std::string& id = machine.id.value();
  const auto bounce = BounceOf(machine);
  if (!bounce) return tl::unexpected(bounce.error());
  const auto turning = Turning(readings, machine);
  if (!turning) return tl::unexpected(turning.error());
  const auto height = TrainHeight(readings, machine);
  if (!height) return tl::unexpected(height.error());
  const auto width = TrainWidth(readings, machine);
  if (!width) return tl::unexpected(width.error());
  const auto length = TrainLength(readings, machine);
  if (!length) return tl::unexpected(length.error());
  const auto mass = TrainMass(readings, machine);
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
  const auto outline = readings.Along(id, "outline-height");
  if (!outline) return tl::unexpected(outline.error());
  // Units of a train differ in height.
  const bool flat = outline->empty() && machine.tows.empty();
  const Upright upright{.carried = *height,
                        .bounce = *bounce,
                        .top = flat ? Upright::Top::kFlat : Upright::Top::kOutlined,
                        .units = units};
  return Needs{.couplings = turning->trailers.size(),
               .of_lanes = {.height = upright.carried + upright.bounce,
                            .width = *width + 2 * (lanes.side.value + kTapeError),
                            .turn_radius = LeastRadius(*turning, fit::Travel::kForwards),
                            .turn_radius_reversing = LeastRadius(*turning, fit::Travel::kReversing),
                            .length = *length,
                            .most_grade = lanes.grade.value,
                            .load = IfMoreIsWorse(*mass, Lean::kAgainst)},
               .upright = upright};
}

void Bar(const RouteAsked& limits, fit::RouteLane& lane) {
  const yard::LaneId id(lane.id);
  if (const auto closed = limits.closed.find(id); closed != limits.closed.end())
    lane.open_hazard = closed->second;
  if (const auto taken = limits.taken.find(id); taken != limits.taken.end())
    lane.taken_by = taken->second;
}

/// All lanes, and the places as the yard has them.
void AddYard(const yard::Yard& yard, const RouteAsked& limits, LanesOfYard& lanes,
             fit::RouteQuestion& question) {
  question.places = lanes.places();
  for (const auto& [id, lane] : yard.lanes)
    Bar(limits, question.lanes.emplace_back(lanes.LaneOf(lane)));
}

/// The lanes of a trip one after the other: each place of the way is its own, however often it is
/// passed.
void AddNamed(const yard::Yard& yard, const Trip& trip, const RouteAsked& limits,
              LanesOfYard& lanes, fit::RouteQuestion& question) {
  yard::PlaceId at = trip.from;
  for (size_t i = 0; i < trip.by.size(); ++i) {
    const yard::Lane& lane = yard.lanes.at(trip.by[i]);
    fit::RouteLane& out = question.lanes.emplace_back(lanes.LaneOf(lane));
    Bar(limits, out);
    const bool backwards = lane.from != at;
    at = backwards ? lane.from : lane.to;
    if (backwards) std::swap(out.at_from, out.at_to);
    out.from = i;
    out.to = i + 1;
    out.ways = fit::RouteLane::Ways::kOneWay;
  }
  question.places = trip.by.size() + 1;
  question.from = 0;
  question.to = trip.by.size();
  question.reversals = fit::RouteQuestion::Reversals::kNone;
}

Outcome<fit::RouteQuestion> QuestionOf(const Asked& asked, const Trip& trip,
                                       const RouteAsked& limits, LanesOfYard& lanes) {
  fit::RouteQuestion question;
  for (const yard::PlaceId& place : {trip.from, trip.to}) {
    if (const auto known = PlaceOf(asked.yard, place); !known) return tl::unexpected(known.error());
  }
  if (trip.by.empty()) {
    question.from = *lanes.Number(trip.from);
    question.to = *lanes.Number(trip.to);
    AddYard(asked.yard, limits, lanes, question);
  } else {
    if (const auto laid = RouteOf(asked, trip); !laid) return tl::unexpected(laid.error());
    AddNamed(asked.yard, trip, limits, lanes, question);
  }
  if (limits.travel) {
    question.depart = *limits.travel == fit::Travel::kReversing ? fit::LaneFacing::kTailFirst
                                                                : fit::LaneFacing::kNoseFirst;
    question.reversals = fit::RouteQuestion::Reversals::kNone;
  }
  return question;
}

bool IsThere(const fit::RouteFinding& one, const std::vector<fit::RouteFinding>& findings) {
  return std::ranges::any_of(findings, [&](const fit::RouteFinding& other) {
    return other.over == one.over && other.onto == one.onto && IsSameChange(other.what, one.what) &&
           other.what.length >= one.what.length;
  });
}

/// The last look refused as all before it did: the machine is refused, for what that one found.
void Refuse(const Proof& last, fit::FoundRoute& found) {
  if (found.route) {
    found.if_changed = std::exchange(found.route, std::nullopt);
    found.changes.clear();
  }
  for (const fit::RouteFinding& finding : last.findings) AddChange(finding.what, found.changes);
}

/// Searches, looks closer at what was found, and searches again with what that look found.
Outcome<void> SearchAndProve(const Asked& asked, const Trip& trip, SearchedRoute& route,
                             std::vector<fit::Input>& proven) {
  for (int look = 1;; ++look) {
    auto found = fit::SearchRoute(route.question);
    if (!found) return tl::unexpected(NoAnswerOf(found.error(), trip.machine.value()));
    route.found = *std::move(found);
    route.proven.clear();
    const std::vector<fit::RouteLeg>* way = LegsOf(route.found);
    if (way == nullptr || way->empty()) return {};
    auto proof = ProofOf(asked, trip, route, *way);
    if (!proof) {
      // Where the machine is kept off anyway, that stands without a closer look.
      if (!route.found.route) return {};
      return tl::unexpected(proof.error());
    }
    bool more = false;
    for (const fit::RouteFinding& finding : proof->findings) {
      if (IsThere(finding, route.question.findings)) continue;
      more = true;
      route.question.findings.push_back(finding);
    }
    proven = proof->inputs;
    if (!more) {
      if (route.found.route) route.proven = std::move(proof->stretches);
      return {};
    }
    if (look == kMostLooks) {
      Refuse(*proof, route.found);
      return {};
    }
  }
}

struct SearchedWithReadings {
  SearchedRoute route;
  AskedOfLanes asked_of_lanes;
  Readings readings;
};

Outcome<SearchedWithReadings> Search(const Asked& asked, const Trip& trip,
                                     const RouteAsked& limits) {
  const auto machine = MachineOf(asked.yard, trip.machine);
  if (!machine) return tl::unexpected(machine.error());
  if (const auto alone = HangsBehindNone(**machine); !alone) return tl::unexpected(alone.error());
  Readings readings(asked.yard, asked.when);
  AskedOfLanes asked_of_lanes = AskedOf(asked.yard, limits);
  const auto needs = NeedsOf(readings, **machine, asked_of_lanes, asked.units);
  if (!needs) return tl::unexpected(needs.error());
  Readings of_all_lanes(asked.yard, asked.when);
  LanesOfYard lanes(of_all_lanes, needs->upright);
  auto question = QuestionOf(asked, trip, limits, lanes);
  if (!question) return tl::unexpected(question.error());
  question->needs = needs->of_lanes;
  if (needs->couplings > 1 && !limits.travel) {
    question->depart = fit::LaneFacing::kNoseFirst;
    question->reversals = fit::RouteQuestion::Reversals::kNone;
  }
  SearchedRoute route{.question = *std::move(question),
                      .found = {},
                      .proven = {},
                      .needed_each_side = asked_of_lanes.side.value,
                      .inputs = {}};
  std::vector<fit::Input> proven;
  if (auto done = SearchAndProve(asked, trip, route, proven); !done)
    return tl::unexpected(done.error());
  // What is sure speaks before what nobody knows.
  const auto unknown = std::ranges::stable_partition(
      route.found.changes, [&](const fit::LaneShort& change) { return !lanes.WhyUnknown(change); });
  if (!unknown.empty() && unknown.size() == route.found.changes.size())
    return tl::unexpected(*lanes.WhyUnknown(unknown.front()));
  // The answer stands on the lanes of its way; those of the rest of the yard would bury them.
  LanesOfYard of_way(readings, needs->upright);
  if (const auto* way = LegsOf(route.found)) {
    for (const fit::RouteLeg& leg : *way)
      of_way.LaneOf(asked.yard.lanes.at(yard::LaneId(route.question.lanes[leg.lane].id)));
  }
  route.inputs = readings.inputs();
  for (const fit::Input& input : proven) AddOnce(route.inputs, input);
  return SearchedWithReadings{.route = std::move(route),
                              .asked_of_lanes = std::move(asked_of_lanes),
                              .readings = std::move(readings)};
}

/// ", by bay-1-way, cross-way, reversing by cross-way, gate-way".
std::string ByLanes(const SearchedRoute& route) {
  std::string text;
  auto facing = fit::LaneFacing::kNoseFirst;
  const char* between = ", by ";
  for (const fit::RouteLeg& leg : route.found.route->legs) {
    if (leg.facing != facing) {
      facing = leg.facing;
      between = facing == fit::LaneFacing::kTailFirst ? ", reversing by " : ", forwards by ";
    }
    text += between + route.question.lanes[leg.lane].id;
    between = ", ";
  }
  return text;
}

}  // namespace

Outcome<SearchedRoute> SearchOf(const Asked& asked, const Trip& trip, const RouteAsked& limits) {
  auto searched = Search(asked, trip, limits);
  if (!searched) return tl::unexpected(searched.error());
  return std::move(searched->route);
}

const std::vector<fit::RouteLeg>* LegsOf(const fit::FoundRoute& found) {
  if (found.route) return &found.route->legs;
  return found.if_changed ? &found.if_changed->legs : nullptr;
}

std::vector<yard::LaneId> LanesOf(const SearchedRoute& searched, const fit::FittingRoute& route) {
  std::vector<yard::LaneId> lanes;
  for (const fit::RouteLeg& leg : route.legs)
    lanes.emplace_back(searched.question.lanes[leg.lane].id);
  return lanes;
}

Outcome<fit::Answer> FindsWay(const Asked& asked, const Trip& trip, const RouteAsked& limits) {
  if (trip.from == trip.to) {
    return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kUnusable,
                                   .input = "route",
                                   .problem = "starts where it ends",
                                   .right = "name another place to go to"});
  }
  const auto searched = Search(asked, trip, limits);
  if (!searched) return tl::unexpected(searched.error());
  const SearchedRoute& route = searched->route;
  std::string line = fit::DriversLine(route.found, asked.units);
  if (route.found.route) line += ByLanes(route);
  fit::Answer answer =
      AnswerFrom(searched->readings,
                 {.verdict = route.found.route ? fit::Verdict::kClear : fit::Verdict::kConflict,
                  .line = std::move(line)},
                 kFindsWaySources, kFindsWayAssumptions);
  answer.inputs = route.inputs;
  const auto shown = [&](Metres length) { return Text(length, asked.units, fit::Rounding::kUp); };
  answer.inputs.push_back(InputOf(searched->asked_of_lanes.side, asked.units));
  answer.inputs.push_back(InputOf(searched->asked_of_lanes.grade, asked.units));
  answer.inputs.push_back(
      Computed("radius that it turns on", shown(route.question.needs.turn_radius)));
  if (const auto* way = LegsOf(route.found)) {
    for (const fit::RouteLeg& leg : *way) {
      const fit::RouteLane& lane = route.question.lanes[leg.lane];
      if (lane.steepest_by.empty()) continue;
      AddOnce(answer.inputs, Default(fmt::format("grade of {} by {}", lane.id, lane.steepest_by),
                                     Text(*lane.steepest, asked.units, fit::Rounding::kUp)));
    }
  }
  return answer;
}

}  // namespace chockwise::survey
