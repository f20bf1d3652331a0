// The gates that the laws ask of every kind of move, whatever its rules leave out, as the audit
// knows them: a second implementation, so that it can say when the first one forgot. Private to the
// room.
//
// Pure; safe from any thread.
#pragma once

#include <vector>

#include "chockwise/v1/rules.pb.h"

namespace chockwise::history {

/// Those of the laws' gates that a kind's own gates do not ask as hard, phase by phase. They live
/// as long as the program.
std::vector<const v1::GateRule*> LawGatesBeside(const std::vector<const v1::GateRule*>& own);

}  // namespace chockwise::history
