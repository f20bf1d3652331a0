#include "services/history/projection.h"

#include <fmt/format.h>

#include <charconv>
#include <filesystem>

#include "services/ledger/merkle.h"
#include "services/ledger/status.h"

namespace chockwise::history {
namespace {

constexpr const char* kTables = R"(
CREATE TABLE meta(name TEXT PRIMARY KEY, value BLOB) WITHOUT ROWID;
CREATE TABLE moves(number INTEGER PRIMARY KEY, kind TEXT, machine TEXT, carrier TEXT,
                   from_place TEXT, to_place TEXT, state INTEGER, live_phase INTEGER,
                   request_us INTEGER, refusals INTEGER, stops INTEGER, record BLOB, tally BLOB);
CREATE INDEX moves_by_kind ON moves(kind);
CREATE INDEX moves_by_machine ON moves(machine);
CREATE INDEX moves_by_carrier ON moves(carrier);
CREATE INDEX moves_by_from ON moves(from_place);
CREATE INDEX moves_by_to ON moves(to_place);
CREATE INDEX moves_by_time ON moves(request_us);
CREATE TABLE move_people(person TEXT, number INTEGER, PRIMARY KEY(person, number)) WITHOUT ROWID;
CREATE TABLE move_doors(door TEXT, number INTEGER, PRIMARY KEY(door, number)) WITHOUT ROWID;
CREATE TABLE move_entries(move INTEGER, entry INTEGER, PRIMARY KEY(move, entry)) WITHOUT ROWID;
CREATE TABLE yard_entries(subject TEXT, entry INTEGER, PRIMARY KEY(subject, entry)) WITHOUT ROWID;
CREATE TABLE refusals(entry INTEGER PRIMARY KEY, move INTEGER, person TEXT, time_us INTEGER);
CREATE TABLE refusal_gates(gate TEXT, entry INTEGER, PRIMARY KEY(gate, entry)) WITHOUT ROWID;
CREATE TABLE yard_versions(version INTEGER PRIMARY KEY, entry INTEGER);
)";

absl::StatusOr<int64_t> OneInteger(ledger::Database& database, const char* sql) {
  auto statement = database.Prepare(sql);
  if (!statement.ok()) return statement.status();
  auto row = statement->Step();
  if (!row.ok()) return row.status();
  return *row ? statement->Integer(0) : 0;
}

absl::StatusOr<std::string> LeafOf(ledger::Reader& reader, int64_t entry) {
  auto page = reader.Read(static_cast<uint64_t>(entry), 1);
  if (!page.ok()) return page.status();
  if (page->empty()) return std::string();
  const ledger::Digest leaf = ledger::LeafHash(page->front().bytes);
  return std::string(ledger::AsChars(leaf));
}

/// Whether what the file says was read is what this ledger holds. A failure is the ledger's; a
/// damaged file is just false.
absl::StatusOr<bool> CanGoOn(ledger::Database& database, ledger::Reader& reader,
                             const ledger::Identity& identity) {
  auto format = OneInteger(database, "PRAGMA user_version");
  if (!format.ok() || *format != kProjectionFormat) return false;
  auto id = ReadMeta(database, "ledger_id");
  auto last_leaf = ReadMeta(database, "last_leaf");
  auto next = NextEntry(database);
  if (!id.ok() || !last_leaf.ok() || !next.ok()) return false;
  if (*id != ledger::AsChars(identity.id) || *next < 1) return false;
  // A ledger put back from a copy has the same id and may have gone another way since.
  auto leaf = LeafOf(reader, *next - 1);
  if (!leaf.ok()) return leaf.status();
  return *leaf == *last_leaf;
}

absl::StatusOr<ledger::Database> Open(const std::string& path, int flags) {
  auto database =
      ledger::Database::Open({.path = path, .flags = flags, .immutable = false, .vfs = {}});
  if (!database.ok()) return database.status();
  CW_RETURN_IF_ERROR(database->Run(
      "PRAGMA journal_mode=WAL; PRAGMA synchronous=NORMAL; PRAGMA cache_size=-16000"));
  return database;
}

absl::Status Create(ledger::Database& database, ledger::Reader& reader,
                    const ledger::Identity& identity) {
  CW_RETURN_IF_ERROR(database.Run("BEGIN IMMEDIATE"));
  CW_RETURN_IF_ERROR(database.Run(kTables));
  CW_RETURN_IF_ERROR(
      database.Run(fmt::format("PRAGMA user_version={}", kProjectionFormat).c_str()));
  CW_RETURN_IF_ERROR(WriteMeta(database, "ledger_id", ledger::AsChars(identity.id)));
  CW_RETURN_IF_ERROR(WriteMeta(database, "yard", identity.yard));
  auto genesis = LeafOf(reader, 0);
  if (!genesis.ok()) return genesis.status();
  CW_RETURN_IF_ERROR(WriteMeta(database, "next_entry", "1"));
  CW_RETURN_IF_ERROR(WriteMeta(database, "last_leaf", *genesis));
  return database.Run("COMMIT");
}

void Remove(const std::string& path) {
  std::error_code ignored;  // what cannot be removed shows itself when the new file is made
  for (const char* end : {"", "-wal", "-shm"}) std::filesystem::remove(path + end, ignored);
}

}  // namespace

absl::StatusOr<ledger::Identity> IdentityOf(ledger::Reader& reader) {
  auto page = reader.Read(0, 1);
  if (!page.ok()) return page.status();
  auto identity = page->empty() ? std::nullopt : ledger::ParseGenesis(page->front().bytes);
  if (!identity) return absl::DataLossError("entry 0 is no genesis: run `chockwise ledger verify`");
  return *identity;
}

absl::StatusOr<ledger::Database> OpenProjection(const std::string& path, ledger::Reader& reader) {
  auto identity = IdentityOf(reader);
  if (!identity.ok()) return identity.status();
  if (std::filesystem::exists(path)) {
    auto old = Open(path, SQLITE_OPEN_READWRITE);
    if (old.ok()) {
      auto can_go_on = CanGoOn(*old, reader, *identity);
      if (!can_go_on.ok()) return can_go_on.status();
      if (*can_go_on) return old;
    }
  }
  Remove(path);
  auto fresh = Open(path, SQLITE_OPEN_READWRITE | SQLITE_OPEN_CREATE);
  if (!fresh.ok()) return fresh.status();
  CW_RETURN_IF_ERROR(Create(*fresh, reader, *identity));
  return fresh;
}

absl::StatusOr<ledger::Database> ReadProjection(const std::string& path) {
  auto database = ledger::Database::Open(
      {.path = path, .flags = SQLITE_OPEN_READWRITE, .immutable = false, .vfs = {}});
  const absl::Status not_ready =
      absl::UnavailableError("the history is being read anew from the ledger; ask again");
  if (!database.ok() || !database->Run("PRAGMA query_only=1").ok()) return not_ready;
  auto format = OneInteger(*database, "PRAGMA user_version");
  if (!format.ok() || *format != kProjectionFormat) return not_ready;
  return database;
}

absl::StatusOr<std::string> ReadMeta(ledger::Database& database, std::string_view name) {
  auto statement = database.Prepare("SELECT value FROM meta WHERE name = ?");
  if (!statement.ok()) return statement.status();
  statement->BindText(1, name);
  auto row = statement->Step();
  if (!row.ok()) return row.status();
  if (!*row) return absl::NotFoundError(fmt::format("the projection has no {}", name));
  return std::string(statement->Bytes(0));
}

absl::Status WriteMeta(ledger::Database& database, std::string_view name, std::string_view value) {
  auto statement = database.Prepare("INSERT OR REPLACE INTO meta(name, value) VALUES(?, ?)");
  if (!statement.ok()) return statement.status();
  statement->BindText(1, name);
  statement->BindBlob(2, value);
  return statement->Run();
}

absl::StatusOr<int64_t> NextEntry(ledger::Database& database) {
  auto text = ReadMeta(database, "next_entry");
  if (!text.ok()) return text.status();
  int64_t next = 0;
  const auto result = std::from_chars(text->data(), text->data() + text->size(), next);
  if (result.ec != std::errc() || result.ptr != text->data() + text->size()) {
    return absl::DataLossError("the projection's next_entry is no number");
  }
  return next;
}

absl::StatusOr<Progress> ProgressOf(ledger::Database& database, ledger::Reader& reader) {
  auto next = NextEntry(database);
  if (!next.ok()) return next.status();
  auto size = reader.Size();
  if (!size.ok()) return size.status();
  return Progress{.as_of_entry = *next - 1,
                  .lag_entries = std::max<int64_t>(0, static_cast<int64_t>(*size) - *next)};
}

}  // namespace chockwise::history
