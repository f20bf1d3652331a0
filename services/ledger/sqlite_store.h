// The ledger's rows in one SQLite file.
//
//   entry(seq INTEGER PRIMARY KEY, bytes BLOB, leaf BLOB)     no index but the row number: a commit
//   touches the last page checkpoint(number INTEGER PRIMARY KEY, text TEXT) meta(name TEXT PRIMARY
//   KEY, value TEXT)
//
// Write-ahead log, synchronous=FULL: one fdatasync of the log per commit. SQLite's own automatic
// folding of the log is off because it swallows errors; the store folds every kFoldEveryPages pages
// and reports.
//
// SqliteStore and SqliteReader each belong to one thread at a time. Readers never block the writer,
// nor it them.
#pragma once

#include <absl/status/statusor.h>

#include <memory>
#include <string>

#include "services/ledger/sqlite.h"
#include "services/ledger/store.h"

namespace chockwise::ledger {

enum class OpenMode { kExisting, kCreateIfMissing };

struct SqliteOptions {
  std::string path = {};
  OpenMode mode = OpenMode::kCreateIfMissing;
  int page_bytes = 4096;  ///< of a new file: a power of two, 512 to 65536
  std::string vfs = {};   ///< empty: the system's. Tests name one that fails on demand
};

class SqliteStore final : public Store {
 public:
  /// NOT_FOUND where there is no file and mode is kExisting. Changes no byte of an existing ledger.
  static absl::StatusOr<std::unique_ptr<SqliteStore>> Open(const SqliteOptions& options);
  ~SqliteStore() override;

  absl::StatusOr<Meta> ReadMeta() override;
  absl::StatusOr<std::vector<CheckpointRow>> ReadCheckpoints() override;
  absl::Status Scan(int64_t first, const EntryVisitor& visit) override;
  absl::StatusOr<StoreState> State() override;
  absl::Status Create(const Meta& meta, const NewEntry& genesis) override;
  absl::Status Append(uint64_t first_seq, std::span<const NewEntry> entries) override;
  absl::Status AppendCheckpoint(uint64_t number, std::string_view text) override;
  absl::Status FoldLog() override;
  void LeaveTidy() override;

 private:
  explicit SqliteStore(Database database);
  absl::Status PrepareWrites();
  absl::Status PrepareStatements();
  absl::Status Commit();
  absl::Status FoldIfDue();
  static int NoteLogPages(void* self, sqlite3*, const char*, int pages);

  Database database_;
  Statement begin_;
  Statement insert_;
  Statement insert_checkpoint_;
  Statement commit_;
  bool writable_ = false;
  int log_pages_ = 0;
  int folded_at_pages_ = 0;
};

enum class ReadMode {
  kLive,  ///< a writer may be at work, or a log is left to read: SQLite's shared index file is used
  kClosed,  ///< nobody has the file open and there is no log: nothing but the file is touched
};

class SqliteReader final : public StoreReader {
 public:
  static absl::StatusOr<std::unique_ptr<SqliteReader>> Open(const std::string& path, ReadMode mode);

  /// From here to EndSnapshot all reads see one state of the ledger.
  absl::Status BeginSnapshot() { return database_.Run("BEGIN"); }
  absl::Status EndSnapshot() { return database_.Run("COMMIT"); }

  absl::StatusOr<Meta> ReadMeta() override;
  absl::StatusOr<std::vector<CheckpointRow>> ReadCheckpoints() override;
  absl::Status Scan(int64_t first, const EntryVisitor& visit) override;
  /// One more than the largest seq; 0 for none.
  absl::StatusOr<uint64_t> Size();

 private:
  explicit SqliteReader(Database database) : database_(std::move(database)) {}
  Database database_;
  Statement scan_;
  bool prepared_ = false;
};

}  // namespace chockwise::ledger
