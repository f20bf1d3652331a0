// The file in which the read side keeps what it has read from the ledger, ordered for its
// questions. Private to the room.
//
// It is no second source of truth. It may be deleted at any time; it is made anew when it is
// missing, damaged, of an older layout, or of another ledger. So it is not synced on every commit:
// what a power cut takes is read again.
//
// Tables, all integers unless said otherwise:
//  - meta: "ledger_id", "yard", "next_entry", "last_leaf" (hash of the last entry read), by name
//  - moves: one row a move; `record` is a MoveRecord, `tally` a MovesSummary of that one move
//  - move_people, move_doors: person or door (text) to move
//  - move_entries: move to its entries
//  - yard_entries: "yard", "door/d", "machine/m" to the entries about it that belong to no move
//  - refusals: entry to who was refused; refusal_gates: gate (text) to refusals it had a part in
//  - yard_versions: version to its entry
#pragma once

#include <absl/status/statusor.h>

#include <cstdint>
#include <string>

#include "services/ledger/identity.h"
#include "services/ledger/reader.h"
#include "services/ledger/sqlite.h"

namespace chockwise::history {

/// Raised with every change of the tables or of what is folded into them.
inline constexpr int64_t kProjectionFormat = 1;

/// How far a projection has come.
struct Progress {
  int64_t as_of_entry = -1;  ///< the last entry read; -1: none
  int64_t lag_entries = 0;   ///< entries of the ledger behind it
};

/// Who the ledger says it is. DATA_LOSS where entry 0 is no genesis.
absl::StatusOr<ledger::Identity> IdentityOf(ledger::Reader& reader);

/// Opens the file for the follower, or makes it anew where it cannot be gone on with.
absl::StatusOr<ledger::Database> OpenProjection(const std::string& path, ledger::Reader& reader);

/// Opens the file to read it. UNAVAILABLE where it is not there or not of this build.
absl::StatusOr<ledger::Database> ReadProjection(const std::string& path);

absl::StatusOr<std::string> ReadMeta(ledger::Database& database, std::string_view name);
absl::Status WriteMeta(ledger::Database& database, std::string_view name, std::string_view value);

/// The first entry that is not read yet.
absl::StatusOr<int64_t> NextEntry(ledger::Database& database);

absl::StatusOr<Progress> ProgressOf(ledger::Database& database, ledger::Reader& reader);

}  // namespace chockwise::history
