#include "services/moves/apply.h"

#include <algorithm>

#include "services/moves/fold.h"

namespace chockwise::moves {

void Apply(YardState& yard, const v1::Entry& entry) {
  ++yard.entries;
  yard.last_time = std::max(yard.last_time, Instant::FromMicros(entry.time_us()));
  const auto move = yard.moves.find(entry.move());
  if (move != yard.moves.end()) {
    move->second.entry = yard.entries - 1;
    move->second.updated = Instant::FromMicros(entry.time_us());
    if (ApplyToMove(yard, move->second, entry)) return;
  }
  ApplyToYard(yard, entry);
}

}  // namespace chockwise::moves
