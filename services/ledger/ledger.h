// The ledger of one yard: append-only entries of opaque bytes, a Merkle tree over them, signed
// checkpoints, and a head outside the database. Law 8: what was acknowledged is on disk, and what
// is in the ledger is never edited.
//
// Entry 0 is the genesis (identity.h); the first entry of a caller is entry 1. An entry's number is
// its place in the tree.
//
// Threads: Append, SignCheckpoint and the destructor belong to one writer thread. WriteHead,
// NewReader, head() and health() may be called from any. So the writer may commit the next batch
// while a second thread writes the head of the last one and then answers its callers: what was
// acknowledged is in the head, always.
//
//   auto ledger = Ledger::Open({.database_path = "north.ledger", .head_path = "/disk2/north.head",
//   .yard = "north-yard",
//                               .kind = LedgerKind::kReal, .key = key, .now_micros = now}, replay);
//   auto head = (*ledger)->Append(batch);           // durable, not yet acknowledged
//   auto written = (*ledger)->WriteHead(*head);     // now callers may be told
//
// After any failure of Append, WriteHead or SignCheckpoint the object is done for: the effect on
// disk is unknown and a sync is never tried again. Every later call says so. Destroy it, open
// again, replay.
#pragma once

#include <absl/status/statusor.h>

#include <cstdint>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "services/ledger/audit.h"
#include "services/ledger/checkpoint.h"
#include "services/ledger/files.h"
#include "services/ledger/head_file.h"
#include "services/ledger/identity.h"
#include "services/ledger/keys.h"
#include "services/ledger/merkle.h"
#include "services/ledger/reader.h"
#include "services/ledger/sqlite_store.h"
#include "services/ledger/store.h"

namespace chockwise::ledger {

enum class MissingHead {
  kRefuse,
  /// Once, by hand, after `ledger verify` against a checkpoint kept elsewhere: begin a new head
  /// from what is there.
  kRebuild,
};

struct LedgerOptions {
  std::string database_path = {};
  std::string head_path = {};  ///< best on another disk than the database
  std::string yard = {};       ///< must be the ledger's own
  LedgerKind kind = LedgerKind::kReal;
  std::optional<SigningKey> key = {};  ///< required
  int64_t now_micros = 0;              ///< for the genesis of a new ledger
  OpenMode mode = OpenMode::kCreateIfMissing;
  MissingHead missing_head = MissingHead::kRefuse;
  std::optional<LedgerId> id_if_new = {};  ///< empty: random
  int page_bytes = 4096;                   ///< of a new database

  // Where tests put faults: a SQLite VFS by name, and wrappers around the two things that are
  // written.
  std::string vfs = {};
  std::function<std::unique_ptr<Store>(std::unique_ptr<Store>)> wrap_store = {};
  std::function<std::unique_ptr<HeadWriter>(std::unique_ptr<HeadWriter>)> wrap_head = {};
};

/// Receives the entries 1, 2, … in order while the ledger opens. Where opening fails afterwards,
/// what was replayed is void. A failure of its own ends the opening with that status.
using Replay = std::function<absl::Status(uint64_t seq, std::string_view bytes)>;

struct OpenReport {
  bool created = false;
  Identity identity;
  uint64_t entries = 0;
  uint64_t entries_after_head = 0;  ///< a writer died between commit and head; they are kept
  uint64_t checkpoints = 0;
  uint64_t unsigned_entries = 0;
  std::vector<std::string> notes;  ///< for the log
};

class Ledger {
 public:
  /// Creates or opens. Opening hashes every entry, compares the tree with the head and all
  /// checkpoints, and hands each entry to `replay`. It then makes durable whatever a dead writer
  /// left unsynced, and writes the head.
  ///
  /// DATA_LOSS: entries are missing or altered; the text says which, where the files are and what
  /// to do, and no file was changed. FAILED_PRECONDITION: another writer, another yard, another
  /// key, a rehearsal where a real ledger was asked for or the other way round, or no head.
  /// NOT_FOUND: no ledger, and mode is kExisting.
  static absl::StatusOr<std::unique_ptr<Ledger>> Open(LedgerOptions options, const Replay& replay);
  ~Ledger();

  /// Commits all entries in one transaction. The head returned is durable in the database;
  /// acknowledge only after WriteHead. INVALID_ARGUMENT (and nothing else happens) for an entry
  /// over kMaxEntryBytes or a batch over kMaxBatchEntries; UNAVAILABLE where the disk failed. No
  /// entries: the present head.
  absl::StatusOr<Head> Append(std::span<const std::string> entries);

  /// Makes the head durable outside the database. From any thread; heads may come late or twice.
  absl::Status WriteHead(const Head& head);

  /// Signs the present tree, stores the checkpoint and writes the head.
  absl::StatusOr<Checkpoint> SignCheckpoint(int64_t time_micros);

  absl::StatusOr<std::unique_ptr<Reader>> NewReader() const;

  /// The tree as committed.
  Head head() const;
  /// OK, or why every call fails.
  absl::Status health() const;
  const Identity& identity() const { return report_.identity; }
  const OpenReport& open_report() const { return report_; }

 private:
  Ledger(LedgerOptions options, FileLock lock);
  absl::Status OpenStore();
  absl::Status Create();
  absl::Status OpenExisting(const Replay& replay);
  absl::Status CheckIdentity();
  absl::Status CheckHeadIsThere();
  absl::Status BeginWriting(const AuditResult& audit);
  absl::Status AdoptHead(absl::StatusOr<std::unique_ptr<HeadFile>> head_file);
  absl::Status DataLoss(const std::string& what) const;
  absl::Status Poison(std::string_view doing, const absl::Status& cause);
  void SetHead(const Head& head);

  const LedgerOptions options_;
  FileLock lock_;
  std::unique_ptr<Store> store_;
  std::unique_ptr<HeadWriter> head_writer_;
  std::optional<HeadReading> head_reading_;
  CompactTree tree_;
  std::shared_ptr<BlockRoots> blocks_ = std::make_shared<BlockRoots>();
  OpenReport report_;

  mutable std::mutex mutex_;  // guards the two below
  Head head_;
  absl::Status failure_;
};

}  // namespace chockwise::ledger
