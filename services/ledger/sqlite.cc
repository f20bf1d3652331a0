#include "services/ledger/sqlite.h"

#include <fmt/format.h>

#include "services/ledger/limits.h"

namespace chockwise::ledger {
namespace {

constexpr int kBusyMillis = 2000;
// A damaged length must not make SQLite ask for gigabytes.
constexpr int kMaxRowBytes = static_cast<int>(kMaxEntryBytes) + 4096;

// SQLite reads '%', '?' and '#' of a URI's path as syntax.
std::string PathInUri(const std::string& path) {
  std::string escaped;
  for (char c : path) {
    if (c == '%' || c == '?' || c == '#') {
      escaped += fmt::format("%{:02X}", static_cast<unsigned>(static_cast<unsigned char>(c)));
    } else {
      escaped += c;
    }
  }
  return escaped;
}

}  // namespace

absl::Status SqliteStatus(sqlite3* handle, int code) {
  const std::string text = fmt::format(
      "SQLite: {} (code {})", handle != nullptr ? sqlite3_errmsg(handle) : sqlite3_errstr(code),
      handle != nullptr ? sqlite3_extended_errcode(handle) : code);
  switch (code & 0xff) {
    case SQLITE_CORRUPT:
    case SQLITE_NOTADB:
    case SQLITE_FORMAT:
    case SQLITE_TOOBIG:
    case SQLITE_ERROR:  // a table or column that should be there is not
      return absl::DataLossError(text);
    case SQLITE_FULL:
      return absl::ResourceExhaustedError(text + "; the disk is full");
    default:
      return absl::UnavailableError(text);
  }
}

void Statement::BindBlob(int index, std::string_view bytes) {
  sqlite3_bind_blob64(statement_.get(), index, bytes.data(), bytes.size(), SQLITE_STATIC);
}

void Statement::BindText(int index, std::string_view text) {
  sqlite3_bind_text64(statement_.get(), index, text.data(), text.size(), SQLITE_STATIC,
                      SQLITE_UTF8);
}

absl::StatusOr<bool> Statement::Step() {
  const int code = sqlite3_step(statement_.get());
  if (code == SQLITE_ROW) return true;
  if (code == SQLITE_DONE) return false;
  return SqliteStatus(sqlite3_db_handle(statement_.get()), code);
}

absl::Status Statement::Run() {
  absl::StatusOr<bool> row = Step();
  Reset();
  return row.status();
}

std::string_view Statement::Bytes(int column) const {
  const void* data = sqlite3_column_blob(statement_.get(), column);
  const int size = sqlite3_column_bytes(statement_.get(), column);
  return {static_cast<const char*>(data), data == nullptr ? 0 : static_cast<size_t>(size)};
}

absl::StatusOr<Database> Database::Open(const DatabaseOptions& options) {
  const std::string uri =
      fmt::format("file:{}{}", PathInUri(options.path), options.immutable ? "?immutable=1" : "");
  sqlite3* handle = nullptr;
  const int code =
      sqlite3_open_v2(uri.c_str(), &handle, options.flags | SQLITE_OPEN_URI | SQLITE_OPEN_NOMUTEX,
                      options.vfs.empty() ? nullptr : options.vfs.c_str());
  Database database(handle);
  if (code != SQLITE_OK) return SqliteStatus(handle, code);
  sqlite3_extended_result_codes(handle, 1);
  sqlite3_busy_timeout(handle, kBusyMillis);
  sqlite3_limit(handle, SQLITE_LIMIT_LENGTH, kMaxRowBytes);
  // Nothing that a stranger put into the file's schema may run.
  sqlite3_db_config(handle, SQLITE_DBCONFIG_ENABLE_TRIGGER, 0, nullptr);
  sqlite3_db_config(handle, SQLITE_DBCONFIG_ENABLE_VIEW, 0, nullptr);
  sqlite3_db_config(handle, SQLITE_DBCONFIG_TRUSTED_SCHEMA, 0, nullptr);
  sqlite3_db_config(handle, SQLITE_DBCONFIG_DEFENSIVE, 1, nullptr);
  return database;
}

absl::Status Database::Run(const char* sql) {
  const int code = sqlite3_exec(handle_.get(), sql, nullptr, nullptr, nullptr);
  return code == SQLITE_OK ? absl::OkStatus() : SqliteStatus(handle_.get(), code);
}

absl::StatusOr<Statement> Database::Prepare(std::string_view sql) {
  sqlite3_stmt* statement = nullptr;
  const int code = sqlite3_prepare_v3(handle_.get(), sql.data(), static_cast<int>(sql.size()),
                                      SQLITE_PREPARE_PERSISTENT, &statement, nullptr);
  if (code != SQLITE_OK) return SqliteStatus(handle_.get(), code);
  return Statement(statement);
}

}  // namespace chockwise::ledger
