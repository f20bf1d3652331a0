#include "services/ledger/verify.h"

#include <fmt/format.h>
#include <sys/stat.h>

#include "services/ledger/files.h"
#include "services/ledger/sqlite_store.h"
#include "services/ledger/status.h"

namespace chockwise::ledger {
namespace {

// What changes when somebody writes to the file.
struct FileState {
  int64_t size = -1;
  int64_t changed_seconds = 0;
  int64_t changed_nanos = 0;
  bool has_log = false;
  bool operator==(const FileState&) const = default;
};

FileState StateOf(const std::string& path) {
  struct stat status {};
  FileState state;
  if (::stat(path.c_str(), &status) == 0) {
    state = {.size = status.st_size,
             .changed_seconds = status.st_mtim.tv_sec,
             .changed_nanos = status.st_mtim.tv_nsec};
  }
  state.has_log = FileExists(path + "-wal");
  return state;
}

VerifyReport CannotRead(const absl::Status& status) {
  VerifyReport report;
  report.findings.push_back(
      {FindingKind::kUnreadable, std::nullopt, std::nullopt,
       fmt::format("The ledger cannot be read: {}. If the folder cannot be written to, copy the "
                   "file with its \"-wal\" to one that can, and verify the copy.",
                   Words(status))});
  return report;
}

VerifyReport VerifyOnce(const VerifyOptions& options, ReadMode mode) {
  AuditInputs inputs;
  inputs.key = options.key;
  inputs.trusted = options.trusted;
  // The head is read first: what a living writer adds meanwhile is then more than the head says,
  // never less.
  absl::StatusOr<HeadReading> head = absl::NotFoundError("");
  if (!options.head_path.empty()) {
    head = ReadHeadFile(options.head_path);
    if (!head.ok()) return CannotRead(head.status());
    inputs.head = &*head;
  }
  absl::StatusOr<std::unique_ptr<SqliteReader>> store =
      SqliteReader::Open(options.database_path, mode);
  if (!store.ok()) return CannotRead(store.status());
  if (absl::Status begun = (*store)->BeginSnapshot(); !begun.ok()) return CannotRead(begun);
  return Audit(**store, inputs).report;
}

}  // namespace

VerifyReport VerifyLedger(const VerifyOptions& options) {
  const FileState before = StateOf(options.database_path);
  if (before.has_log) return VerifyOnce(options, ReadMode::kLive);
  VerifyReport report = VerifyOnce(options, ReadMode::kClosed);
  // A writer that came meanwhile made the reading worthless.
  if (StateOf(options.database_path) != before) return VerifyOnce(options, ReadMode::kLive);
  return report;
}

}  // namespace chockwise::ledger
