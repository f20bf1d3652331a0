// A call on its way through a yard's writer.
//
// A job waits in the mailbox, has its turn on the writer's thread, where it may read the yard and
// record commands, and is answered by the completer when all that it recorded or saw is on disk.
// Each job is answered exactly once, by Answer() or by Fail(), and is destroyed right after.
//
//   class ParkJob : public Job {
//     void Work(Desk& desk) override { verdict_ = desk.Record(command_); }
//     void Answer() override { reactor_->Finish(...); }
//     void Fail(const absl::Status& why) override { reactor_->Finish(ToGrpc(why)); }
//   };
#pragma once

#include <absl/status/status.h>

#include <chrono>
#include <cstdint>
#include <memory>
#include <optional>
#include <variant>

#include "chockwise/v1/entries.pb.h"
#include "services/ledger/checkpoint.h"
#include "services/moves/refusal.h"
#include "services/moves/state.h"

namespace chockwise::server {

/// What a command left in the ledger: its first entry, which answers the caller.
struct Recorded {
  v1::Entry entry;
  int64_t number = 0;
  bool repeat = false;  // recorded earlier, for the same request
};

/// What became of a command. A recorded "no" is a Recorded.
using Verdict = std::variant<Recorded, moves::Refusal, absl::Status>;

/// What a job may do while its turn lasts. The writer's thread only.
class Desk {
 public:
  virtual ~Desk() = default;
  /// The yard with everything decided so far, on disk or not: what is read here is told only after
  /// the commit.
  virtual const moves::YardState& yard() const = 0;
  virtual fit::Instant now() const = 0;
  /// Judges the command and applies what it leaves. A repeat of a request gets what was recorded
  /// first.
  virtual Verdict Record(const v1::Command& command) = 0;
  /// What was recorded for the same request earlier, if anything is remembered. Records nothing.
  virtual std::optional<Verdict> Recall(const v1::Command& command) = 0;
  /// `checkpoint` is filled in before the job is answered: a signed head of the tree that holds
  /// this batch.
  virtual void WantCheckpoint(ledger::Checkpoint* checkpoint) = 0;
  /// The entry that brought a version of the yard into force; unset where there is no such version.
  virtual std::optional<int64_t> EntryOfVersion(int64_t version) const = 0;
};

class Job {
 public:
  enum class Lane {
    kOrdinary,
    kStop,  // goes first, waits for no room, and is never dropped. Law 5.
  };

  explicit Job(Lane lane = Lane::kOrdinary) : lane_(lane) {}
  virtual ~Job() = default;
  Job(const Job&) = delete;
  Job& operator=(const Job&) = delete;

  /// The job's turn. The writer's thread.
  virtual void Work(Desk& desk) = 0;
  /// What Work() saw and recorded is on disk. The completer's thread.
  virtual void Answer() = 0;
  /// Nothing was recorded, or nobody knows whether it was. Any thread; Work() may not have been
  /// called.
  virtual void Fail(const absl::Status& why) = 0;

  Lane lane() const { return lane_; }
  /// After this nobody waits for the answer: an ordinary job whose turn comes later is dropped
  /// before it is judged.
  std::chrono::system_clock::time_point deadline = std::chrono::system_clock::time_point::max();
  /// When it was posted; the log says how long it took.
  std::chrono::steady_clock::time_point posted;

 private:
  const Lane lane_;
};

using Jobs = std::vector<std::unique_ptr<Job>>;

}  // namespace chockwise::server
