// The way through the yard that a machine fits, or what would have to change for one.
//
//   Outcome<fit::Answer> way = FindsWay(asked, trip, {});     // "GO: 320 ft, 1 reversal"
//
// Every lane of the yard is asked with the worst of what stands over, beside and on it; where the
// trip names its lanes, those alone. A lane with a limit that nobody measured keeps the machine
// off, and the answer says which. Threads: values.
#pragma once

#include <map>

#include "services/fit/route_search.h"
#include "services/survey/path.h"

namespace chockwise::survey {

struct RouteAsked {
  fit::Metres needed_each_side = kBesideMachine;
  fit::Grade most_grade = fit::Percent(12);         // default: the safety lead's to set
  std::map<yard::LaneId, std::string> closed = {};  // and by what: "door-3, out of service"
};

struct SearchedRoute {
  fit::RouteQuestion question;
  fit::FoundRoute found;
  std::vector<fit::Input> inputs;
};
Outcome<SearchedRoute> SearchOf(const Asked& asked, const Trip& trip, const RouteAsked& limits);
/// The lanes of a way in the order of travel.
std::vector<yard::LaneId> LanesOf(const SearchedRoute& searched, const fit::FittingRoute& route);

/// Bends are those of the lanes' middles, each as round as its two sides have room for.
Outcome<fit::Answer> FindsWay(const Asked& asked, const Trip& trip, const RouteAsked& limits);

}  // namespace chockwise::survey
