// Verifies a ledger from its file and a public key alone: offline, read only, trusting hashes and
// nothing else.
//
// A closed file is read without touching anything beside it. Where a write-ahead log is there (a
// writer is at work, or died), SQLite's index file "-shm" may be made or updated; the ledger and
// its log are never written. Entries still in that log are verified too.
//
// Safe from any thread; one call reads the whole file once (about a second per million entries).
//
//   VerifyReport report = VerifyLedger({.database_path = "north-yard.ledger", .key = &key});
//   std::cout << report.Text();
#pragma once

#include <optional>
#include <string>

#include "services/ledger/audit.h"

namespace chockwise::ledger {

struct VerifyOptions {
  std::string database_path = {};
  const PublicKey* key = nullptr;  ///< required
  /// Empty: none at hand. Entries lost behind the last checkpoint then stay unseen.
  std::string head_path = {};
  const Checkpoint* trusted = nullptr;  ///< kept outside since some earlier day
};

VerifyReport VerifyLedger(const VerifyOptions& options);

}  // namespace chockwise::ledger
