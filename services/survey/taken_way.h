// The lanes that a trip takes at the desk: those that a move of it would take.
//
//   const TakenWay taken = TakeWay(asked, {.machine = id, .from = from, .to = to});
//   auto under = GoesUnder(asked, taken.trip, travel);
//   if (under) under->inputs.push_back(taken.told);     // "way (the shortest that it fits)"
//
// A move takes the shortest way that its machine fits, and where there is none the shortest, whose
// gates say what is in the way. What only the server knows (doors out of service, machines left
// standing) is not known here. Threads: values.
#pragma once

#include "services/survey/route.h"

namespace chockwise::survey {

/// The way that the machine fits, without a change between driving and reversing; unset where there
/// is none.
Outcome<std::optional<yard::Route>> FittingRoute(const Asked& asked, const Trip& trip,
                                                 const RouteAsked& limits);

struct TakenWay {
  Trip trip;        // with its lanes named, unless no lanes lead there at all
  fit::Input told;  // the lanes, and why these
};
/// The machine goes one way round all the way, as a kind of move says which.
TakenWay TakeWay(const Asked& asked, const Trip& trip, fit::Travel travel = fit::Travel::kForwards);

}  // namespace chockwise::survey
