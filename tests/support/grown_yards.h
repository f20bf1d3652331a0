// Yards grown from the scenario's to the size that a bench asks for. They hold no more than what
// the survey asks about.
#pragma once

#include <string>

#include "services/fit/route_search.h"
#include "services/yard/yard.h"

namespace chockwise::testing {

/// The scenario's yard. Ends the program with a reason where it cannot be read.
yard::Yard ScenarioYard(const std::string& folder);

/// The scenario's tractor and semitrailer on a way of `length_m` that sways a little, with a point
/// each 5 m, through three doors of 20 ft. The way goes from "start" to "end".
yard::Yard LongWay(const yard::Yard& scenario, int length_m);

/// Machines like the scenario's wide excavator, each measured with three attachments, and doors
/// like its first.
struct Crowd {
  int machines;
  int doors;
};
yard::Yard Crowded(const yard::Yard& scenario, const Crowd& crowd);

/// A yard whose lanes are those of SquareNet(), each measured and every tenth with a door, for the
/// scenario's machines. It goes from "cross-0" to `end`.
struct NetYard {
  yard::Yard yard;
  yard::PlaceId end;
};
NetYard Net(const yard::Yard& scenario, size_t side);

/// Lanes between the crossings of a square net, from its first corner to its last; about twice
/// `side` squared.
fit::RouteQuestion SquareNet(size_t side);

}  // namespace chockwise::testing
