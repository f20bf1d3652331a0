// Reads a ledger beside its writer: pages of entries for the history and proofs for whoever asks.
//
// A Reader has its own connection and belongs to one thread at a time; make one per thread. It sees
// what is committed, which may be a moment ahead of what was acknowledged.
//
//   auto reader = ledger->NewReader();
//   auto page = (*reader)->Read(next_seq, 1000);
//   auto proof = (*reader)->ProveInclusion({.index = 7, .size = 1000});
#pragma once

#include <absl/status/statusor.h>

#include <cstdint>
#include <memory>
#include <string>
#include <vector>

#include "services/ledger/checkpoint.h"
#include "services/ledger/proof.h"
#include "services/ledger/sqlite_store.h"

namespace chockwise::ledger {

struct Entry {
  uint64_t seq = 0;
  std::string bytes;
};

class Reader final : private LeafSource {
 public:
  /// `blocks` may be null: proofs then read every leaf. NOT_FOUND where there is no file.
  static absl::StatusOr<std::unique_ptr<Reader>> Open(const std::string& path,
                                                      std::shared_ptr<const BlockRoots> blocks);

  /// Entries, the genesis included.
  absl::StatusOr<uint64_t> Size();

  /// Entries from `first` on, at most `max_count` and kMaxReadEntries; fewer at the end, none
  /// beyond it. Each is hashed again: DATA_LOSS where one does not fit its stored hash or the order
  /// has a gap.
  absl::StatusOr<std::vector<Entry>> Read(uint64_t first, size_t max_count);

  /// OUT_OF_RANGE where the size asked for is larger than the ledger; else as in proof.h.
  absl::StatusOr<Proof> ProveInclusion(const InclusionQuery& query);
  absl::StatusOr<Proof> ProveConsistency(const ConsistencyQuery& query);
  absl::StatusOr<Digest> RootAt(uint64_t size);

  /// All checkpoints, in order. Their signatures are the caller's to check.
  absl::StatusOr<std::vector<Checkpoint>> Checkpoints();

 private:
  Reader(std::unique_ptr<SqliteReader> store, std::shared_ptr<const BlockRoots> blocks)
      : store_(std::move(store)), blocks_(std::move(blocks)) {}
  absl::StatusOr<std::vector<Digest>> Leaves(uint64_t begin, uint64_t end) override;
  absl::Status CheckSize(uint64_t size);

  std::unique_ptr<SqliteReader> store_;
  std::shared_ptr<const BlockRoots> blocks_;
};

}  // namespace chockwise::ledger
