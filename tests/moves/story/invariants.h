// What must be true of a yard after every command, whatever was asked: the laws as checks on the
// state and on the entries, written apart from the heart. Tests hold stories, random commands and
// exhaustive searches to them.
//
//   for (const std::string& broken : BrokenLaws(state, entries)) ADD_FAILURE() << broken;
#pragma once

#include <string>
#include <vector>

#include "services/moves/refusal.h"
#include "services/moves/state.h"

namespace chockwise::moves {

/// Each law that the state breaks, in a line. Empty: none.
std::vector<std::string> BrokenLaws(const YardState& state);

/// Law 1, from the entries alone: every looked-at gate of the last Released entry has, for each
/// party it wants, a word of its own that is younger than whatever undid words and not older than
/// the gate allows. `entries` ends with a Released.
std::vector<std::string> BrokenRelease(const YardState& state, const Entries& entries);

}  // namespace chockwise::moves
