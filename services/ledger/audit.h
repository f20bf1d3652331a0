// Judges a ledger from its rows: every hash is computed again, every checkpoint and the head are
// compared with the tree, and what is wrong is said in sentences. Opening a ledger and verifying
// one are this same walk.
//
// Nothing here trusts the database's own idea of its health. SQLite 3.40 was measured to find one
// in four single-bit flips of a closed file, and none that shorten its log.
//
// One audit runs in one thread, in one pass, and holds no more than the frontier of the tree.
#pragma once

#include <absl/status/status.h>

#include <cstdint>
#include <functional>
#include <optional>
#include <string>
#include <vector>

#include "services/ledger/checkpoint.h"
#include "services/ledger/head_file.h"
#include "services/ledger/identity.h"
#include "services/ledger/keys.h"
#include "services/ledger/merkle.h"
#include "services/ledger/store.h"

namespace chockwise::ledger {

enum class FindingKind {
  kUnreadable,         ///< the database refuses to give rows that should be there
  kEntriesMissing,     ///< a gap, or an end before what a checkpoint or the head vouches for
  kEntryAltered,       ///< an entry is not the one recorded
  kLeafAltered,        ///< the entry is as recorded; the hash kept beside it is not
  kGenesis,            ///< entry 0 is not a genesis, or what is written about it elsewhere differs
  kCheckpointAltered,  ///< a checkpoint does not fit its signature, its place, or the entries
  kCheckpointMissing,
  kHead,  ///< the head cannot be read, or is of another ledger
};

/// `FindingKindName(kEntryAltered)` is "ENTRY_ALTERED".
std::string_view FindingKindName(FindingKind kind);

struct Finding {
  FindingKind kind;
  std::optional<uint64_t> first_seq;  ///< the first entry that is, or may be, wrong
  std::optional<uint64_t> last_seq;   ///< the last one, where it is known
  std::string sentence;               ///< for a safety lead
};

struct VerifyReport {
  bool sound() const { return findings.empty(); }

  std::optional<Identity> identity;  ///< out of entry 0
  uint64_t entries = 0;              ///< read in unbroken order from 0
  Digest root{};                     ///< over them, from their bytes
  uint64_t checkpoints = 0;
  std::optional<Checkpoint> latest_checkpoint;  ///< the last one that is good
  uint64_t unsigned_entries = 0;                ///< not yet under a signature
  std::vector<Finding> findings;                ///< the earliest wrong entry first
  std::vector<std::string> notes;               ///< true and harmless

  /// All of it as lines of text.
  std::string Text() const;
};

enum class SignatureScope {
  kAll,
  kLatest,  ///< opening: roots of all checkpoints, the signature of the last (one costs about 0.1
            ///< ms)
};

struct AuditInputs {
  const PublicKey* key = nullptr;  ///< required
  const HeadReading* head = nullptr;
  const Checkpoint* trusted = nullptr;  ///< kept outside since some earlier day
  SignatureScope signatures = SignatureScope::kAll;
  /// Receives the entries 1, 2, …, as long as nothing is wrong; may be empty. Its failure ends the
  /// audit.
  std::function<absl::Status(uint64_t seq, std::string_view bytes)> replay = {};
  BlockRoots* blocks = nullptr;
};

struct AuditResult {
  VerifyReport report;
  CompactTree tree;  ///< over report.entries
  absl::Status replay_status;
};

AuditResult Audit(StoreReader& store, const AuditInputs& inputs);

/// The meta table's copy of a genesis.
Meta MetaFor(const Identity& identity);

}  // namespace chockwise::ledger
