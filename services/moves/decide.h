// The judgement of one yard.
//
//   Outcome<Entries> outcome = Decide(state, command, now);
//   if (outcome) for (const v1::Entry& entry : *outcome) Apply(state, entry);
//
// Whatever Decide() gives back is recorded before anybody is told. A release or close that is
// refused for its gates comes back as an entry (release_refused, close_refused) too: the first
// entry of an outcome is the answer to the caller.
#pragma once

#include "services/moves/refusal.h"
#include "services/moves/state.h"

namespace chockwise::moves {

/// Judges one command. Pure: no clock, no randomness, no I/O; `yard` is unchanged.
///
/// `now` may not be before yard.last_time; where it is, the later of the two counts. At least one
/// entry, each with its time, person and move; only the first carries the request id.
Outcome<Entries> Decide(const YardState& yard, const v1::Command& command, Instant now);

}  // namespace chockwise::moves
