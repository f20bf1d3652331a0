// The computations that a rule may name: each reads the register, the measurements and the live
// state, and says clear, or why not with the number behind it. Unknown is never clear (law 2).
#pragma once

#include <string>
#include <vector>

#include "services/moves/gates.h"

namespace chockwise::moves {

struct ComputedFinding {
  v1::GateState state = v1::GATE_STATE_NOT_CLEAR;
  std::string reason;
  bool lead_may_accept =
      false;  // not as asked for, but a lead may take it, if the gate's class lets them
};

/// Runs the computation that the rule names. A name this build does not know is not clear.
ComputedFinding Compute(const Sight& sight, const v1::Computed& computed, v1::Phase phase);

/// Those that this room runs: the ones that rules may name (yard::KnownComputations()).
std::vector<std::string> ComputationNames();

}  // namespace chockwise::moves
