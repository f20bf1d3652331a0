// Thin ownership of SQLite handles with absl::Status as the failure. Not the ledger's alone: the
// read side keeps its projection with it.
//
// One Database and its Statements belong to one thread at a time.
#pragma once

#include <absl/status/statusor.h>
#include <sqlite3.h>

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>

namespace chockwise::ledger {

/// A prepared statement, made once and run many times. Must not outlive its Database.
class Statement {
 public:
  Statement() = default;
  explicit Statement(sqlite3_stmt* statement) : statement_(statement) {}

  void Bind(int index, int64_t value) { sqlite3_bind_int64(statement_.get(), index, value); }
  /// The bytes must stay until the statement is reset.
  void BindBlob(int index, std::string_view bytes);
  void BindText(int index, std::string_view text);

  /// True: a row is ready. False: done.
  absl::StatusOr<bool> Step();
  /// Runs a statement that gives no rows, and resets it.
  absl::Status Run();
  void Reset() { sqlite3_reset(statement_.get()); }

  int64_t Integer(int column) const { return sqlite3_column_int64(statement_.get(), column); }
  std::string_view Bytes(int column) const;
  int Type(int column) const { return sqlite3_column_type(statement_.get(), column); }

 private:
  struct Finalize {
    void operator()(sqlite3_stmt* statement) const { sqlite3_finalize(statement); }
  };
  std::unique_ptr<sqlite3_stmt, Finalize> statement_;
};

/// Resets on every way out, so that no statement keeps a snapshot open.
class StatementGuard {
 public:
  explicit StatementGuard(Statement& statement) : statement_(statement) {}
  ~StatementGuard() { statement_.Reset(); }
  StatementGuard(const StatementGuard&) = delete;
  StatementGuard& operator=(const StatementGuard&) = delete;

 private:
  Statement& statement_;
};

struct DatabaseOptions {
  std::string path = {};
  int flags = SQLITE_OPEN_READONLY;
  bool immutable =
      false;  ///< the caller vouches that nobody writes; SQLite then touches no other file
  std::string vfs = {};  ///< empty: the system's
};

class Database {
 public:
  static absl::StatusOr<Database> Open(const DatabaseOptions& options);

  absl::Status Run(const char* sql);
  absl::StatusOr<Statement> Prepare(std::string_view sql);
  sqlite3* handle() const { return handle_.get(); }

 private:
  struct Close {
    void operator()(sqlite3* handle) const { sqlite3_close_v2(handle); }
  };
  explicit Database(sqlite3* handle) : handle_(handle) {}
  std::unique_ptr<sqlite3, Close> handle_;
};

/// DATA_LOSS where SQLite says that the file is not what it should be, RESOURCE_EXHAUSTED for a
/// full disk, UNAVAILABLE for the rest; the text is SQLite's.
absl::Status SqliteStatus(sqlite3* handle, int code);

}  // namespace chockwise::ledger
