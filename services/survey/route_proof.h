// A closer look at a way that the search found: the real ride over it and the real path between
// what stands beside it, each stretch in the direction in which it is driven. Private to the
// room.
//
// Threads: values.
#pragma once

#include <vector>

#include "services/survey/route.h"

namespace chockwise::survey {

/// A stretch of a way in one direction of travel.
struct Stretch {
  Trip trip;
  fit::Travel travel = fit::Travel::kForwards;
  std::vector<fit::RouteLeg> legs;
};
std::vector<Stretch> StretchesOf(const Asked& asked, const Trip& trip,
                                 const fit::RouteQuestion& question,
                                 const std::vector<fit::RouteLeg>& legs);

struct Proof {
  std::vector<fit::RouteFinding> findings;  // empty: it rides and drives all of it
  std::vector<ProvenStretch> stretches;
  std::vector<fit::Input> inputs;
};

/// What is near the end of a lane, within the machine's length, counts for the turn there; the rest
/// for the lane as it is gone over.
Outcome<Proof> ProofOf(const Asked& asked, const Trip& trip, const SearchedRoute& searched,
                       const std::vector<fit::RouteLeg>& legs);

}  // namespace chockwise::survey
