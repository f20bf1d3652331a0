// The way that a new move takes: one that the machine fits, where the kind asks whether it does.
//
//   const auto route = ChooseRoute(state, plan, {.machine = id, .from = from, .to = to}, now);
//
// Pure reads of the live state. Threads: the yard's writer.
#pragma once

#include <optional>

#include "services/moves/state.h"
#include "services/survey/route.h"
#include "services/yard/parameters.h"

namespace chockwise::moves {

/// What a gate that computes "fits-route" asks of every lane.
survey::RouteAsked RouteLimits(const yard::Parameters& parameters);

/// The way the machine fits, if the kind has a gate that computes "fits-route": ridden and driven
/// as the kind travels, without a change between driving and reversing, past no door that is out of
/// service and no machine that was left standing. Where there is none, the shortest: its gates say
/// what is in the way, and by how much. Unset where no lanes lead there at all.
std::optional<yard::Route> ChooseRoute(const YardState& state, const KindPlan& plan,
                                       const survey::Trip& trip, Instant now);

}  // namespace chockwise::moves
