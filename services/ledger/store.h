// The store interface: what the ledger asks of the thing that keeps its rows. Rows are dumb here;
// what they mean and whether they are whole is judged above, by hashes.
//
// The seam for faults: tests put a failing Store in front of the real one. Not safe from two
// threads.
#pragma once

#include <absl/status/statusor.h>

#include <cstdint>
#include <functional>
#include <map>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "services/ledger/sha256.h"

namespace chockwise::ledger {

/// One row of the entry table as found. Views end when the visitor returns.
struct EntryRow {
  int64_t seq = 0;
  std::string_view bytes;  ///< exactly as hashed
  std::string_view leaf;   ///< the leaf hash as it was stored; 32 bytes unless damaged
};

/// Anything but OK ends the scan and is what Scan returns.
using EntryVisitor = std::function<absl::Status(const EntryRow&)>;

struct CheckpointRow {
  int64_t number = 0;
  std::string text;
};

/// The convenience copy of the genesis: by name, e.g. "kind" → "REAL".
using Meta = std::map<std::string, std::string>;

/// The read half. Errors: DATA_LOSS where the file is not readable as what it should be,
/// UNAVAILABLE otherwise.
class StoreReader {
 public:
  virtual ~StoreReader() = default;
  virtual absl::StatusOr<Meta> ReadMeta() = 0;
  /// All checkpoints in the order of their numbers.
  virtual absl::StatusOr<std::vector<CheckpointRow>> ReadCheckpoints() = 0;
  /// Every row with seq ≥ first, in the order of seq. Rows that should not be there are shown too.
  virtual absl::Status Scan(int64_t first, const EntryVisitor& visit) = 0;
};

enum class StoreState {
  kEmpty,      ///< no table at all
  kLedger,     ///< the tables of a ledger
  kSomething,  ///< tables, but not ours
};

struct NewEntry {
  std::string_view bytes;
  Digest leaf;
};

/// The write half. Each call is one transaction that is durable when it returns OK. After any
/// failure the effect is unknown: the caller drops the store, opens again and reads what is there.
class Store : public StoreReader {
 public:
  virtual absl::StatusOr<StoreState> State() = 0;
  /// Tables, meta and entry 0 in one transaction.
  virtual absl::Status Create(const Meta& meta, const NewEntry& genesis) = 0;
  virtual absl::Status Append(uint64_t first_seq, std::span<const NewEntry> entries) = 0;
  virtual absl::Status AppendCheckpoint(uint64_t number, std::string_view text) = 0;
  /// Moves everything in the write-ahead log to its place and syncs it, whether or not the log
  /// itself was synced.
  virtual absl::Status FoldLog() = 0;
  /// Until this is called, destroying the store leaves every file as it is: they may be evidence.
  virtual void LeaveTidy() = 0;
};

}  // namespace chockwise::ledger
