// Which limits of a lane do not hold for a machine. Used by route_search.h alone.
#pragma once

#include <optional>
#include <vector>

#include "services/fit/route_search.h"

namespace chockwise::fit {

/// All of a lane's limits that the needs overstep, whichever way it faces; empty: it fits.
std::vector<LaneShort> ShortsOf(const RouteQuestion& question, size_t lane);
/// And its bends, for what turns on this radius. The lane's number is left out.
std::optional<LaneShort> BendShort(const RouteLane& lane, Metres radius);

/// How much of a change it is; the lower is asked for first. What is taken or hazardous is below 0,
/// an unknown is 0, a measured limit is the part of the need that is missing.
double ChangeOf(const LaneShort& change, const RouteNeeds& needs);

/// The first number that is out of its domain.
std::optional<Unusable> FaultOf(const RouteQuestion& question);

}  // namespace chockwise::fit
