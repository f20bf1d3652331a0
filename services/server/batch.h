// What the writer hands to the completer: the jobs that rode together, and everything that may be
// told once they are safe.
#pragma once

#include <vector>

#include "services/ledger/head_file.h"
#include "services/server/decision_log.h"
#include "services/server/identity.h"
#include "services/server/job.h"
#include "services/server/watch_hub.h"

namespace chockwise::server {

struct Batch {
  struct Ride {
    std::unique_ptr<Job> job;
    absl::Status dropped;  // not OK: it was not judged
  };
  std::vector<Ride> rides;
  std::vector<DecisionNote> notes;
  std::vector<IdentityChange> identity_changes;
  News news;
  ledger::Head head;      // to be written before anybody is told
  bool has_head = false;  // entries were appended
  absl::Status failure;   // not OK: nobody is told yes

  bool empty() const { return rides.empty() && notes.empty() && !has_head; }
};

}  // namespace chockwise::server
