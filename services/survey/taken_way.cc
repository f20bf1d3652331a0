#include "services/survey/taken_way.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/survey/answers.h"
#include "services/survey/side_asked.h"

namespace chockwise::survey {
namespace {

constexpr std::string_view kFitsRoute = "fits-route";

/// The steepest that a gate lets a machine climb. The rules were checked when they were read.
std::optional<fit::Grade> GradeOf(const v1::Computed& computed) {
  const auto text = computed.parameters().find("most_grade");
  if (text == computed.parameters().end()) return std::nullopt;
  const auto value = yard::ReadMeasuredValue(text->second);
  if (!value || !std::holds_alternative<fit::Grade>(*value)) return std::nullopt;
  return std::get<fit::Grade>(*value);
}

std::string Named(const std::vector<yard::LaneId>& lanes) {
  std::string names;
  for (const yard::LaneId& lane : lanes) names += (names.empty() ? "" : ", ") + lane.value();
  return names.empty() ? "none" : names;
}

}  // namespace

Outcome<std::optional<yard::Route>> FittingRoute(const Asked& asked, const Trip& trip,
                                                 const RouteAsked& limits) {
  const auto searched = SearchOf(asked, trip, limits);
  if (!searched) return tl::unexpected(searched.error());
  if (!searched->found.route || searched->found.route->reversals > 0) return std::nullopt;
  return asked.yard.RouteBy(trip.from, LanesOf(*searched, *searched->found.route));
}

RouteAsked LimitsOf(const yard::Yard& yard) {
  RouteAsked limits;
  std::optional<fit::Grade> most_grade;
  for (const v1::GateRule& gate : yard.rules.gates()) {
    if (gate.computed().computation() != kFitsRoute) continue;
    const auto grade = GradeOf(gate.computed());
    if (grade) most_grade = std::min(most_grade.value_or(*grade), *grade);
  }
  limits.most_grade = most_grade.value_or(limits.most_grade);
  limits.needed_each_side =
      SideAskedFor(yard.rules, kFitsRoute, fit::Travel::kForwards, std::nullopt).length;
  return limits;
}

TakenWay TakeWay(const Asked& asked, const Trip& trip, fit::Travel travel) {
  if (!trip.by.empty()) return {.trip = trip, .told = AsAsked("way", Named(trip.by))};
  const char* why = "way (the shortest)";
  std::optional<yard::Route> route;
  if (!trip.machine.empty()) {
    RouteAsked limits = LimitsOf(asked.yard);
    limits.travel = travel;
    const auto fitting = FittingRoute(asked, trip, limits);
    why = !fitting    ? "way (the shortest; whether it fits is not known)"
          : !*fitting ? "way (the shortest; it fits none)"
                      : "way (the shortest that it fits)";
    if (fitting) route = *fitting;
  }
  if (!route) route = asked.yard.FindRoute(trip.from, trip.to);
  TakenWay taken{.trip = trip, .told = Computed(why, Named({}))};
  if (!route) return taken;
  taken.trip.by = route->lanes;
  taken.told.value = Named(route->lanes);
  return taken;
}

}  // namespace chockwise::survey
