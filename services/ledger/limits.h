// Every limit of the ledger room, in one place. They bound memory and time; none of them is a
// tuning knob.
#pragma once

#include <cstddef>
#include <cstdint>

namespace chockwise::ledger {

/// Longest entry, in bytes. A larger one is INVALID_ARGUMENT on append and a finding on verify.
/// The largest there is holds a yard's files.
inline constexpr size_t kMaxEntryBytes = size_t{4} << 20;

/// Most entries that one Append takes (one transaction).
inline constexpr size_t kMaxBatchEntries = 65'536;

/// Most entries that one Reader::Read returns.
inline constexpr size_t kMaxReadEntries = 10'000;

/// Longest yard name, in bytes of printable ASCII.
inline constexpr size_t kMaxYardNameBytes = 80;

/// Longest checkpoint text, in bytes; the layout needs fewer than 600.
inline constexpr size_t kMaxCheckpointBytes = 1024;

/// The write-ahead log is folded into the database each time it has grown by this many pages.
/// Measured: 4000 instead of SQLite's 1000 cut the p99 of a commit of 32 entries to a quarter.
inline constexpr int kFoldEveryPages = 4000;

/// Altered entries, and checkpoints, that verify names one by one; further ones are counted.
inline constexpr size_t kMaxNamedFaults = 20;

/// Roots of complete blocks of 2^8 = 256 leaves are kept in memory for proofs: 32 bytes per 256
/// entries.
inline constexpr int kBlockHeight = 8;
inline constexpr uint64_t kBlockLeaves = uint64_t{1} << kBlockHeight;

}  // namespace chockwise::ledger
