#include "services/survey/taken_way.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/survey/answers.h"

namespace chockwise::survey {
namespace {

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

TakenWay TakeWay(const Asked& asked, const Trip& trip, fit::Travel travel) {
  if (!trip.by.empty()) return {.trip = trip, .told = AsAsked("way", Named(trip.by))};
  const char* why = "way (the shortest)";
  std::optional<yard::Route> route;
  if (!trip.machine.empty()) {
    const auto fitting = FittingRoute(asked, trip, {.travel = travel});
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
