// The laws over the tiny yard, said a second time. Slow and obvious on purpose: it looks at nothing
// but the bare list of entries, asks for each word whether anything since has undone it, and shares
// no code with the heart.
//
// The gates of the tiny yard stand in it in its own words (see tiny_yard.h).
#pragma once

#include <string>
#include <vector>

#include "chockwise/v1/entries.pb.h"
#include "services/moves/state.h"
#include "tests/sim/orders.h"

namespace chockwise::sim {

/// A law that does not hold, and where.
struct Broken {
  std::string law;
  std::string what;
};
using Breaks = std::vector<Broken>;
using History = std::vector<const v1::Entry*>;

/// What is wrong with the entries from `first` on, given all before them.
Breaks JudgeEntries(const History& history, size_t first);

/// What of the live state the entries do not bear out, or no state may be.
Breaks JudgeState(const History& history, const moves::YardState& yard);

/// One step: what was said, and the yard on both sides of it.
struct Step {
  const Order& order;
  const moves::YardState& before;
  const moves::YardState& after;
  bool accepted = false;
};
/// Laws 3, 5 and 7: what each sort of order has to do, or may not do.
Breaks JudgeStep(const Step& step);

}  // namespace chockwise::sim
