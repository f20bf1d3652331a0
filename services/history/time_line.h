// Builds the two long answers: one move from beginning to end, and counts over many. Private to the
// room; one thread.
#pragma once

#include <absl/status/statusor.h>

#include <cstdint>

#include "chockwise/v1/history.pb.h"
#include "services/history/snapshot.h"

namespace chockwise::history {

/// Without progress. A record without a name where there is no such move.
absl::StatusOr<v1::MoveTimeLine> BuildTimeLine(Snapshot& snapshot, int64_t move);

/// Without progress. The filter is over the columns of the table moves.
absl::StatusOr<v1::MovesSummary> BuildSummary(Snapshot& snapshot, const Filter& filter,
                                              int utc_offset_minutes);

}  // namespace chockwise::history
