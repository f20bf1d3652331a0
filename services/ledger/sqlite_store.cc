#include "services/ledger/sqlite_store.h"

#include <fmt/format.h>

#include "services/ledger/files.h"
#include "services/ledger/limits.h"
#include "services/ledger/status.h"

namespace chockwise::ledger {
namespace {

constexpr char kTables[] =
    "CREATE TABLE entry(seq INTEGER PRIMARY KEY, bytes BLOB NOT NULL, leaf BLOB NOT NULL);"
    "CREATE TABLE checkpoint(number INTEGER PRIMARY KEY, text TEXT NOT NULL);"
    "CREATE TABLE meta(name TEXT PRIMARY KEY, value TEXT NOT NULL) WITHOUT ROWID;";
constexpr char kLogMode[] =
    "PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA journal_size_limit=67108864";
constexpr std::string_view kScan =
    "SELECT seq, bytes, leaf FROM entry WHERE seq >= ?1 ORDER BY seq";

absl::StatusOr<Meta> MetaOf(Database& database) {
  absl::StatusOr<Statement> select = database.Prepare("SELECT name, value FROM meta ORDER BY name");
  if (!select.ok()) return select.status();
  Meta meta;
  while (true) {
    absl::StatusOr<bool> row = select->Step();
    if (!row.ok()) return row.status();
    if (!*row) return meta;
    meta[std::string(select->Bytes(0))] = std::string(select->Bytes(1));
  }
}

absl::StatusOr<std::vector<CheckpointRow>> CheckpointsOf(Database& database) {
  absl::StatusOr<Statement> select =
      database.Prepare("SELECT number, text FROM checkpoint ORDER BY number");
  if (!select.ok()) return select.status();
  std::vector<CheckpointRow> rows;
  while (true) {
    absl::StatusOr<bool> row = select->Step();
    if (!row.ok()) return row.status();
    if (!*row) return rows;
    rows.push_back({select->Integer(0), std::string(select->Bytes(1))});
  }
}

absl::Status ScanWith(Statement& scan, int64_t first, const EntryVisitor& visit) {
  StatementGuard guard(scan);
  scan.Bind(1, first);
  while (true) {
    absl::StatusOr<bool> row = scan.Step();
    if (!row.ok()) return row.status();
    if (!*row) return absl::OkStatus();
    const EntryRow entry{.seq = scan.Integer(0), .bytes = scan.Bytes(1), .leaf = scan.Bytes(2)};
    if (scan.Type(1) != SQLITE_BLOB || scan.Type(2) != SQLITE_BLOB) {
      return absl::DataLossError(
          fmt::format("the row of entry {} is not of the types it was written with", entry.seq));
    }
    CW_RETURN_IF_ERROR(visit(entry));
  }
}

}  // namespace

SqliteStore::SqliteStore(Database database) : database_(std::move(database)) {
  sqlite3_db_config(database_.handle(), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, nullptr);
  sqlite3_wal_hook(database_.handle(), &SqliteStore::NoteLogPages, this);
}

SqliteStore::~SqliteStore() = default;

absl::StatusOr<std::unique_ptr<SqliteStore>> SqliteStore::Open(const SqliteOptions& options) {
  const bool exists = FileExists(options.path);
  if (!exists && options.mode == OpenMode::kExisting) {
    return absl::NotFoundError(fmt::format("there is no ledger at {}", options.path));
  }
  absl::StatusOr<Database> database =
      Database::Open({.path = options.path,
                      .flags = SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE,
                      .vfs = options.vfs});
  if (!database.ok()) return database.status();
  if (!exists) {
    CW_RETURN_IF_ERROR(
        database->Run(fmt::format("PRAGMA page_size={}", options.page_bytes).c_str()));
    CW_RETURN_IF_ERROR(SyncFolderOf(options.path));
  }
  return std::unique_ptr<SqliteStore>(new SqliteStore(*std::move(database)));
}

absl::StatusOr<StoreState> SqliteStore::State() {
  absl::StatusOr<Statement> select = database_.Prepare(
      "SELECT count(*), total(name IN ('entry', 'checkpoint', 'meta')) FROM sqlite_schema WHERE "
      "type = 'table'");
  if (!select.ok()) return select.status();
  absl::StatusOr<bool> row = select->Step();
  if (!row.ok()) return row.status();
  if (select->Integer(0) == 0) return StoreState::kEmpty;
  return select->Integer(1) == 3 ? StoreState::kLedger : StoreState::kSomething;
}

absl::StatusOr<Meta> SqliteStore::ReadMeta() { return MetaOf(database_); }

absl::StatusOr<std::vector<CheckpointRow>> SqliteStore::ReadCheckpoints() {
  return CheckpointsOf(database_);
}

absl::Status SqliteStore::Scan(int64_t first, const EntryVisitor& visit) {
  absl::StatusOr<Statement> scan = database_.Prepare(kScan);
  return scan.ok() ? ScanWith(*scan, first, visit) : scan.status();
}

// Only now, when the ledger was read and found whole, may the file's mode and log be touched.
absl::Status SqliteStore::PrepareWrites() {
  if (writable_) return absl::OkStatus();
  CW_RETURN_IF_ERROR(database_.Run(kLogMode));
  return PrepareStatements();
}

absl::Status SqliteStore::PrepareStatements() {
  struct Prepared {
    Statement& statement;
    std::string_view sql;
  };
  for (const Prepared& wanted : {
           Prepared{begin_, "BEGIN IMMEDIATE"},
           Prepared{insert_, "INSERT INTO entry(seq, bytes, leaf) VALUES(?1, ?2, ?3)"},
           Prepared{insert_checkpoint_, "INSERT INTO checkpoint(number, text) VALUES(?1, ?2)"},
           Prepared{commit_, "COMMIT"},
       }) {
    absl::StatusOr<Statement> prepared = database_.Prepare(wanted.sql);
    if (!prepared.ok()) return prepared.status();
    wanted.statement = *std::move(prepared);
  }
  writable_ = true;
  return absl::OkStatus();
}

absl::Status SqliteStore::Create(const Meta& meta, const NewEntry& genesis) {
  CW_RETURN_IF_ERROR(database_.Run(kLogMode));
  CW_RETURN_IF_ERROR(database_.Run("BEGIN IMMEDIATE"));
  CW_RETURN_IF_ERROR(database_.Run(kTables));
  CW_RETURN_IF_ERROR(PrepareStatements());
  absl::StatusOr<Statement> insert =
      database_.Prepare("INSERT INTO meta(name, value) VALUES(?1, ?2)");
  if (!insert.ok()) return insert.status();
  for (const auto& [name, value] : meta) {
    insert->BindText(1, name);
    insert->BindText(2, value);
    CW_RETURN_IF_ERROR(insert->Run());
  }
  insert_.Bind(1, 0);
  insert_.BindBlob(2, genesis.bytes);
  insert_.BindBlob(3, AsChars(genesis.leaf));
  CW_RETURN_IF_ERROR(insert_.Run());
  return Commit();
}

absl::Status SqliteStore::Append(uint64_t first_seq, std::span<const NewEntry> entries) {
  CW_RETURN_IF_ERROR(PrepareWrites());
  CW_RETURN_IF_ERROR(begin_.Run());
  auto seq = static_cast<int64_t>(first_seq);
  for (const NewEntry& entry : entries) {
    insert_.Bind(1, seq++);
    insert_.BindBlob(2, entry.bytes);
    insert_.BindBlob(3, AsChars(entry.leaf));
    CW_RETURN_IF_ERROR(insert_.Run());
  }
  return Commit();
}

absl::Status SqliteStore::AppendCheckpoint(uint64_t number, std::string_view text) {
  CW_RETURN_IF_ERROR(PrepareWrites());
  CW_RETURN_IF_ERROR(begin_.Run());
  insert_checkpoint_.Bind(1, static_cast<int64_t>(number));
  insert_checkpoint_.BindText(2, text);
  CW_RETURN_IF_ERROR(insert_checkpoint_.Run());
  return Commit();
}

absl::Status SqliteStore::Commit() {
  CW_RETURN_IF_ERROR(commit_.Run());
  // If we die here: rows are in the log and synced, nobody was told; replay finds them.
  return FoldIfDue();
}

int SqliteStore::NoteLogPages(void* self, sqlite3*, const char*, int pages) {
  static_cast<SqliteStore*>(self)->log_pages_ = pages;
  return SQLITE_OK;
}

absl::Status SqliteStore::FoldIfDue() {
  // A smaller log than before has been begun anew. While a reader holds the log it only grows, and
  // folding at every commit would sync the database each time.
  if (log_pages_ < folded_at_pages_) folded_at_pages_ = 0;
  if (log_pages_ - folded_at_pages_ < kFoldEveryPages) return absl::OkStatus();
  folded_at_pages_ = log_pages_;
  const int code = sqlite3_wal_checkpoint_v2(database_.handle(), nullptr, SQLITE_CHECKPOINT_PASSIVE,
                                             nullptr, nullptr);
  // If we die here: the rows are in the database, in the log, or in both; SQLite reads either.
  return code == SQLITE_OK || code == SQLITE_BUSY ? absl::OkStatus()
                                                  : SqliteStatus(database_.handle(), code);
}

absl::Status SqliteStore::FoldLog() {
  CW_RETURN_IF_ERROR(PrepareWrites());
  const int code = sqlite3_wal_checkpoint_v2(database_.handle(), nullptr, SQLITE_CHECKPOINT_FULL,
                                             nullptr, nullptr);
  if (code == SQLITE_BUSY) {
    return absl::UnavailableError(
        "somebody still reads an older state of the ledger (a verify that is running?); try again "
        "when "
        "that is done");
  }
  if (code != SQLITE_OK) return SqliteStatus(database_.handle(), code);
  folded_at_pages_ = 0;
  return absl::OkStatus();
}

void SqliteStore::LeaveTidy() {
  sqlite3_db_config(database_.handle(), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 0, nullptr);
}

absl::StatusOr<std::unique_ptr<SqliteReader>> SqliteReader::Open(const std::string& path,
                                                                 ReadMode mode) {
  if (!FileExists(path)) return absl::NotFoundError(fmt::format("there is no ledger at {}", path));
  absl::StatusOr<Database> database = Database::Open({.path = path,
                                                      .flags = SQLITE_OPEN_READONLY,
                                                      .immutable = mode == ReadMode::kClosed,
                                                      .vfs = ""});
  if (!database.ok()) return database.status();
  sqlite3_db_config(database->handle(), SQLITE_DBCONFIG_NO_CKPT_ON_CLOSE, 1, nullptr);
  return std::unique_ptr<SqliteReader>(new SqliteReader(*std::move(database)));
}

absl::StatusOr<Meta> SqliteReader::ReadMeta() { return MetaOf(database_); }

absl::StatusOr<std::vector<CheckpointRow>> SqliteReader::ReadCheckpoints() {
  return CheckpointsOf(database_);
}

absl::Status SqliteReader::Scan(int64_t first, const EntryVisitor& visit) {
  if (!prepared_) {
    absl::StatusOr<Statement> scan = database_.Prepare(kScan);
    if (!scan.ok()) return scan.status();
    scan_ = *std::move(scan);
    prepared_ = true;
  }
  return ScanWith(scan_, first, visit);
}

absl::StatusOr<uint64_t> SqliteReader::Size() {
  absl::StatusOr<Statement> last = database_.Prepare("SELECT coalesce(max(seq) + 1, 0) FROM entry");
  if (!last.ok()) return last.status();
  absl::StatusOr<bool> row = last->Step();
  if (!row.ok()) return row.status();
  const int64_t size = last->Integer(0);
  return size < 0 ? 0 : static_cast<uint64_t>(size);
}

}  // namespace chockwise::ledger
