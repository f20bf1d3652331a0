#include "services/ledger/reader.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/ledger/limits.h"
#include "services/ledger/status.h"

namespace chockwise::ledger {
namespace {

// Ends a scan that has all it wants; never leaves this file.
const absl::Status& Enough() {
  static const absl::Status kEnough = absl::CancelledError("enough");
  return kEnough;
}

absl::Status DamagedRow(uint64_t wanted, int64_t found) {
  return absl::DataLossError(
      fmt::format("entry {} is not what was recorded (row {} was found): stop, and run `chockwise "
                  "ledger verify`",
                  wanted, found));
}

}  // namespace

absl::StatusOr<std::unique_ptr<Reader>> Reader::Open(const std::string& path,
                                                     std::shared_ptr<const BlockRoots> blocks) {
  absl::StatusOr<std::unique_ptr<SqliteReader>> store = SqliteReader::Open(path, ReadMode::kLive);
  if (!store.ok()) return store.status();
  return std::unique_ptr<Reader>(new Reader(*std::move(store), std::move(blocks)));
}

absl::StatusOr<uint64_t> Reader::Size() { return store_->Size(); }

absl::StatusOr<std::vector<Entry>> Reader::Read(uint64_t first, size_t max_count) {
  const size_t count = std::min(max_count, kMaxReadEntries);
  std::vector<Entry> entries;
  if (count == 0) return entries;
  const absl::Status scanned =
      store_->Scan(static_cast<int64_t>(first), [&](const EntryRow& row) -> absl::Status {
        const uint64_t wanted = first + entries.size();
        if (row.seq != static_cast<int64_t>(wanted) || AsChars(LeafHash(row.bytes)) != row.leaf) {
          return DamagedRow(wanted, row.seq);
        }
        entries.push_back({.seq = wanted, .bytes = std::string(row.bytes)});
        return entries.size() == count ? Enough() : absl::OkStatus();
      });
  if (!scanned.ok() && scanned != Enough()) return scanned;
  return entries;
}

absl::Status Reader::CheckSize(uint64_t size) {
  absl::StatusOr<uint64_t> have = Size();
  if (!have.ok()) return have.status();
  if (size <= *have) return absl::OkStatus();
  return absl::OutOfRangeError(fmt::format("the ledger holds {} entries, not yet {}", *have, size));
}

absl::StatusOr<Proof> Reader::ProveInclusion(const InclusionQuery& query) {
  CW_RETURN_IF_ERROR(CheckSize(query.size));
  return ledger::ProveInclusion(*this, blocks_.get(), query);
}

absl::StatusOr<Proof> Reader::ProveConsistency(const ConsistencyQuery& query) {
  CW_RETURN_IF_ERROR(CheckSize(query.new_size));
  return ledger::ProveConsistency(*this, blocks_.get(), query);
}

absl::StatusOr<Digest> Reader::RootAt(uint64_t size) {
  CW_RETURN_IF_ERROR(CheckSize(size));
  return ledger::RootAt(*this, blocks_.get(), size);
}

absl::StatusOr<std::vector<Checkpoint>> Reader::Checkpoints() {
  absl::StatusOr<std::vector<CheckpointRow>> rows = store_->ReadCheckpoints();
  if (!rows.ok()) return rows.status();
  std::vector<Checkpoint> checkpoints;
  for (const CheckpointRow& row : *rows) {
    absl::StatusOr<Checkpoint> checkpoint = ParseCheckpoint(row.text);
    if (!checkpoint.ok()) {
      return absl::DataLossError(fmt::format(
          "checkpoint {} cannot be read: stop, and run `chockwise ledger verify`", row.number));
    }
    checkpoints.push_back(*std::move(checkpoint));
  }
  return checkpoints;
}

absl::StatusOr<std::vector<Digest>> Reader::Leaves(uint64_t begin, uint64_t end) {
  std::vector<Digest> leaves;
  leaves.reserve(end - begin);
  const absl::Status scanned =
      store_->Scan(static_cast<int64_t>(begin), [&](const EntryRow& row) -> absl::Status {
        Digest leaf;
        if (row.seq != static_cast<int64_t>(begin + leaves.size()) ||
            row.leaf.size() != leaf.size()) {
          return DamagedRow(begin + leaves.size(), row.seq);
        }
        std::copy(row.leaf.begin(), row.leaf.end(), leaf.begin());
        leaves.push_back(leaf);
        return begin + leaves.size() == end ? Enough() : absl::OkStatus();
      });
  if (!scanned.ok() && scanned != Enough()) return scanned;
  return leaves;
}

}  // namespace chockwise::ledger
