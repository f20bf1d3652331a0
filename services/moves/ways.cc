#include "services/moves/ways.h"

#include <algorithm>

namespace chockwise::moves {
namespace {

/// Lanes that are closed for longer than a move takes, and by what.
std::map<yard::LaneId, std::string> ClosedLanes(const YardState& state) {
  std::map<yard::LaneId, std::string> closed;
  for (const auto& [id, out] : state.doors_out) {
    const auto door = state.yard->doors.find(id);
    if (door != state.yard->doors.end()) closed[door->second.lane] = id.value();
  }
  constexpr std::string_view kLane = "lane/";
  for (const auto& [ground, number] : state.taken) {
    const auto left = state.left_standing.find(number);
    if (left != state.left_standing.end() && ground.starts_with(kLane))
      closed[yard::LaneId(ground.substr(kLane.size()))] = left->second.value();
  }
  return closed;
}

std::optional<yard::Route> FittingRoute(const YardState& state, const v1::Computed& asks,
                                        const survey::Trip& trip, Instant now) {
  survey::RouteAsked limits = RouteLimits(asks.parameters());
  limits.closed = ClosedLanes(state);
  const survey::Asked asked{.yard = *state.yard,
                            .when = {.now = now, .max_age = AgeParameter(asks.parameters())}};
  const auto searched = survey::SearchOf(asked, trip, limits);
  if (!searched || !searched->found.route || searched->found.route->reversals > 0)
    return std::nullopt;
  return state.yard->RouteBy(trip.from, LanesOf(*searched, *searched->found.route));
}

}  // namespace

survey::RouteAsked RouteLimits(const Parameters& parameters) {
  return {.needed_each_side = LengthParameter(parameters, "each_side"),
          .most_grade = GradeParameter(parameters, "most_grade")};
}

std::optional<yard::Route> ChooseRoute(const YardState& state, const KindPlan& plan,
                                       const survey::Trip& trip, Instant now) {
  const auto asks = std::ranges::find_if(plan.gates, [](const v1::GateRule* gate) {
    return gate->computed().computation() == "fits-route";
  });
  if (asks != plan.gates.end()) {
    if (auto route = FittingRoute(state, (*asks)->computed(), trip, now)) return route;
  }
  return state.yard->FindRoute(trip.from, trip.to);
}

}  // namespace chockwise::moves
