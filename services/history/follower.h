// Follows the ledger and keeps what the questions of history are asked of: the projection.
//
// It is behind the commit path, never in it: it may lag, and says by how much. It reads in batches,
// each in one transaction together with the number of the entry it reached, and goes on from there
// after a restart. The projection may be deleted at any time, also under a running follower: the
// next step makes it anew from the ledger.
//
// A Follower belongs to one thread. Queries (queries.h) read the same file from any thread
// meanwhile.
//
//   auto follower = Follower::Open({.path = "north.history"}, *ledger->NewReader());
//   while (running) {
//     auto more = (*follower)->Step();              // at most one batch
//     if (more.ok() && !*more) WaitForTheNextCommit();
//   }
#pragma once

#include <absl/status/statusor.h>

#include <cstdint>
#include <map>
#include <memory>
#include <set>
#include <string>
#include <vector>

#include "services/history/move_fold.h"
#include "services/history/projection.h"
#include "services/ledger/reader.h"

namespace chockwise::history {

struct FollowerOptions {
  std::string path;
  size_t batch_entries = 5000;  ///< 1 to ledger::kMaxReadEntries
};

class Follower {
 public:
  /// Errors: those of the reader; RESOURCE_EXHAUSTED, UNAVAILABLE where the file cannot be written.
  static absl::StatusOr<std::unique_ptr<Follower>> Open(FollowerOptions options,
                                                        std::unique_ptr<ledger::Reader> reader);
  ~Follower();

  /// Reads at most one batch. True: more waits. After a failure nothing of the batch is kept, and
  /// the step may be tried again. DATA_LOSS is the ledger's, and does not go away by trying.
  absl::StatusOr<bool> Step();

  /// Steps until nothing waits.
  absl::Status CatchUp();

  absl::StatusOr<Progress> progress();

 private:
  Follower(FollowerOptions options, std::unique_ptr<ledger::Reader> reader);
  absl::Status OpenFile();
  bool FileIsOurs() const;
  absl::Status LoadRules();
  absl::Status ReadBatch(const std::vector<ledger::Entry>& page);
  absl::Status Fold(int64_t number, const v1::Entry& entry);
  absl::Status FoldMove(int64_t number, const v1::Entry& entry);
  absl::Status FoldYard(int64_t number, const v1::Entry& entry);
  absl::Status FoldStarts(v1::StopCause cause);
  absl::Status AddRefusal(int64_t number, const v1::Entry& entry);
  absl::StatusOr<MoveRow*> RowOf(int64_t move);
  absl::Status WriteRows();
  absl::Status WriteRow(int64_t move, MoveRow& row);
  absl::Status Insert(const char* sql, std::string_view text, int64_t number);

  const FollowerOptions options_;
  const std::unique_ptr<ledger::Reader> reader_;
  std::string yard_;

  struct Statements;
  std::unique_ptr<ledger::Database> database_;
  std::unique_ptr<Statements> statements_;  // of database_: dropped before it
  uint64_t file_ = 0;                       // inode: whether the path still leads to what is open
  RuleWords rules_;
  std::map<int64_t, MoveRow> rows_;  // touched by the batch in hand
};

}  // namespace chockwise::history
