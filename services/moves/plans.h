// The gates of each kind of move, looked up once per version of the rules, together with those that
// the laws ask of every kind.
#pragma once

#include "services/moves/state.h"

namespace chockwise::moves {

/// Every kind with its gates in the order in which people are asked. Where a kind's own gates leave
/// a law uncovered in a phase (a local kind that forgot to ask for the ground, say), the law's own
/// gate is added: rules can add to the laws, never leave one out. Pointers reach into `yard`, which
/// must outlive the plans.
std::map<std::string, KindPlan, std::less<>> PlansOf(const yard::Yard& yard);

}  // namespace chockwise::moves
