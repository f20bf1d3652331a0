// The way through the yard that a machine fits, or what would have to change for one.
//
//   Outcome<fit::Answer> way = FindsWay(asked, trip, {});     // "GO: 320 ft, 1 reversal"
//
// Every lane of the yard is asked with the worst of what stands over, beside and on it. A lane with
// a limit that nobody measured keeps the machine off, and the answer says which. Threads: values.
#pragma once

#include "services/fit/route_search.h"
#include "services/survey/path.h"

namespace chockwise::survey {

struct RouteAsked {
  fit::Metres needed_each_side = kBesideMachine;
  fit::Grade most_grade = fit::Percent(12);  // default: the safety lead's to set
};

struct SearchedRoute {
  fit::RouteQuestion question;
  fit::FoundRoute found;
  std::vector<fit::Input> inputs;
};
Outcome<SearchedRoute> SearchOf(const Asked& asked, const Trip& trip, const RouteAsked& limits);

/// Bends are those of the lanes' middles, each as round as its two sides have room for.
Outcome<fit::Answer> FindsWay(const Asked& asked, const Trip& trip, const RouteAsked& limits);

}  // namespace chockwise::survey
