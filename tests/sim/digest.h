// The live state of a yard as text. Two uses: to see that a state rebuilt from its entries is the
// one that was lived, and to see that two histories have led to the same place.
#pragma once

#include <string>

#include "services/moves/state.h"

namespace chockwise::sim {

/// Every field, with its times.
std::string FullText(const moves::YardState& yard);

/// What decides how the tiny yard goes on from here, and nothing else: times only as far as they
/// still matter, tags by their order, stops only while they stand. Two states of equal text accept
/// and refuse the same from then on.
std::string TinyText(const moves::YardState& yard, moves::Instant now);

}  // namespace chockwise::sim
