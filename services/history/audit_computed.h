// The computed gates, worked out a second time from the yard's files and what the ledger had
// recorded. Private to the room.
//
// Pure; one thread.
#pragma once

#include <optional>
#include <string_view>

#include "services/history/audit_book.h"

namespace chockwise::history {

/// What keeps the computation from being clear. Laws 1, 2, 4, 6, 9.
std::optional<Fault> JudgeComputed(const Moment& moment, const v1::Computed& computed);

/// What stays forbidden even where a lead accepted the gate: an opening that is too small or
/// unknown.
std::optional<Fault> JudgeAcceptedComputed(const Moment& moment, const v1::Computed& computed);

/// The computations that the laws ask for at every release or close, whether or not the rules of
/// the kind name them.
const std::set<std::string_view>& AlwaysComputed(Occasion occasion);

}  // namespace chockwise::history
