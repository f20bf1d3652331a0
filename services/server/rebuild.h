// A yard out of its ledger: the state, what is remembered of requests, and where each version of
// the yard is. Starting and recovering are this, both.
//
//   auto rebuilt = Rebuild(options);   // opens the ledger, which checks every hash, and replays it
#pragma once

#include <absl/status/statusor.h>

#include <map>
#include <memory>

#include "services/ledger/ledger.h"
#include "services/moves/state.h"
#include "services/server/request_memory.h"

namespace chockwise::server {

struct Rebuilt {
  std::unique_ptr<ledger::Ledger> ledger;
  moves::YardState state;
  RequestMemory memory;
  std::map<int64_t, int64_t> entry_of_version;

  /// Folds one entry that the ledger holds, or will hold once the batch it is in is committed.
  void Take(const v1::Entry& entry, int64_t number);
};

/// DATA_LOSS where an entry is not one of ours; else as Ledger::Open.
absl::StatusOr<std::unique_ptr<Rebuilt>> Rebuild(const ledger::LedgerOptions& options);

}  // namespace chockwise::server
