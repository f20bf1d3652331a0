// The way through the yard that a machine fits, or what would have to change for one.
//
//   Outcome<fit::Answer> way = FindsWay(asked, trip, {});     // "GO: 320 ft, 1 reversal, by ..."
//
// Every lane of the yard is asked with the worst of what stands over, beside and on it, and every
// two that meet with the turn between them. The way that the search ends with is ridden and driven;
// where it grounds, strikes or cannot turn, that lane or turn is closed and the search goes on, up
// to kMostLooks times. Where the trip names its lanes, those alone are asked, in their order and
// without a reversal. A lane with a limit that nobody measured keeps the machine off, and the
// answer says which. Threads: values.
#pragma once

#include <map>

#include "services/fit/route_search.h"
#include "services/survey/path.h"

namespace chockwise::survey {

/// How many ways are ridden and driven before the machine is refused.
inline constexpr int kMostLooks = 8;

struct RouteAsked {
  // Unset: what the yard's rules ask at the gates that compute "fits-route", the stricter of them;
  // the room's defaults where none does.
  std::optional<fit::Metres> needed_each_side = {};
  std::optional<fit::Grade> most_grade = {};
  std::map<yard::LaneId, std::string> closed = {};  // and by what: "door-3, out of service"
  std::map<yard::LaneId, std::string> taken = {};   // and by whom: a machine left standing
  std::optional<fit::Travel> travel = {};  // all the way, without a reversal; unset: as it fits
};

/// A stretch of the way in one direction of travel, as it was ridden and driven.
struct ProvenStretch {
  Trip trip;
  fit::Travel travel = fit::Travel::kForwards;
  RiddenWay ridden;
  DrivenWay driven;
};

struct SearchedRoute {
  fit::RouteQuestion question;
  fit::FoundRoute found;
  std::vector<ProvenStretch> proven;  // of the way that was found, in its order; empty: none was
  fit::Metres needed_each_side;
  std::vector<fit::Input> inputs;
};
/// Nothing is found, and no reason but an unknown reading is known: the reading refuses.
Outcome<SearchedRoute> SearchOf(const Asked& asked, const Trip& trip, const RouteAsked& limits);
/// The way that was found, else the one that what would have to change opens; null: none.
const std::vector<fit::RouteLeg>* LegsOf(const fit::FoundRoute& found);
/// The lanes of a way in the order of travel.
std::vector<yard::LaneId> LanesOf(const SearchedRoute& searched, const fit::FittingRoute& route);

/// Bends are those of the lanes' middles, each as round as its two sides have room for. A grade is
/// the steeper of its reading and of the map's elevations from point to point.
Outcome<fit::Answer> FindsWay(const Asked& asked, const Trip& trip, const RouteAsked& limits);

inline constexpr std::array<std::string_view, 3> kFindsWaySources = {
    fit::kRouteSearchSources[0],
    "the way found: ridden on its profile, driven between what stands "
    "beside it",
    "bends: an arc uses radius x tan(turn / 2) of both its sides"};
inline constexpr std::array<std::string_view, 2> kFindsWayAssumptions = {
    "it stands straight on its lane where it starts and where it changes direction, either end "
    "first",
    "doors out of service and ground that others have taken are known to the server alone"};

}  // namespace chockwise::survey
