// The whole live state of a yard as text, so that two states can be compared and a difference can
// be read.
//
//   EXPECT_EQ(Digest(replayed), Digest(state));
#pragma once

#include <string>

#include "services/moves/state.h"

namespace chockwise::moves {

/// Every field that Apply() keeps. Two states of one text are the same state.
std::string Digest(const YardState& state);

/// The same of one move.
std::string Digest(const Move& move);

}  // namespace chockwise::moves
