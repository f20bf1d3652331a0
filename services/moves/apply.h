// The memory of one yard: folding what was recorded into its live state. Recovery is this, run
// again from the first entry.
#pragma once

#include "services/moves/state.h"

namespace chockwise::moves {

/// Folds one recorded entry. Total: what was recorded once always applies. Entries come in ledger
/// order.
void Apply(YardState& yard, const v1::Entry& entry);

}  // namespace chockwise::moves
