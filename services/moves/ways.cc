#include "services/moves/ways.h"

#include <algorithm>

#include "services/survey/taken_way.h"

namespace chockwise::moves {
namespace {

/// Lanes that are closed or taken for longer than a move takes, and by what.
void BarLanes(const YardState& state, survey::RouteAsked& limits) {
  for (const auto& [id, out] : state.doors_out) {
    const auto door = state.yard->doors.find(id);
    if (door != state.yard->doors.end())
      limits.closed[door->second.lane] = id.value() + ", out of service";
  }
  constexpr std::string_view kLane = "lane/";
  for (const auto& [ground, number] : state.taken) {
    const auto left = state.left_standing.find(number);
    if (left != state.left_standing.end() && ground.starts_with(kLane))
      limits.taken[yard::LaneId(ground.substr(kLane.size()))] = left->second.value();
  }
}

/// Which way the kind drives it, where it asks for room beside the way; a kind that asks for both
/// is driven as it fits.
std::optional<fit::Travel> TravelOf(const KindPlan& plan) {
  std::optional<fit::Travel> travel;
  for (const v1::GateRule* gate : plan.gates) {
    if (gate->computed().computation() != "keeps-clear") continue;
    const auto asked =
        survey::TravelOf(yard::WordParameter(gate->computed().parameters(), "travel"));
    if (travel && asked != travel) return std::nullopt;
    travel = asked;
  }
  return travel;
}

std::optional<yard::Route> FittingRoute(const YardState& state, const KindPlan& plan,
                                        const v1::Computed& asks, const survey::Trip& trip,
                                        Instant now) {
  survey::RouteAsked limits = RouteLimits(asks.parameters());
  limits.travel = TravelOf(plan);
  BarLanes(state, limits);
  const survey::Asked asked{.yard = *state.yard,
                            .when = {.now = now, .max_age = yard::AgeParameter(asks.parameters())}};
  return survey::FittingRoute(asked, trip, limits).value_or(std::nullopt);
}

}  // namespace

survey::RouteAsked RouteLimits(const yard::Parameters& parameters) {
  return {.needed_each_side = yard::LengthParameter(parameters, "each_side"),
          .most_grade = yard::GradeParameter(parameters, "most_grade")};
}

std::optional<yard::Route> ChooseRoute(const YardState& state, const KindPlan& plan,
                                       const survey::Trip& trip, Instant now) {
  const auto asks = std::ranges::find_if(plan.gates, [](const v1::GateRule* gate) {
    return gate->computed().computation() == "fits-route";
  });
  if (asks != plan.gates.end()) {
    if (auto route = FittingRoute(state, plan, (*asks)->computed(), trip, now)) return route;
  }
  return state.yard->FindRoute(trip.from, trip.to);
}

}  // namespace chockwise::moves
