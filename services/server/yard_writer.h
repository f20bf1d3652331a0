// The one writer of a yard: whatever changes passes here, one command after the other.
//
//   mailbox → turns (decide, apply) → ONE append for all → completer (head, answers) ∥ the next
//   batch
//
// A batch is what arrived while the last one was written: nothing waits on a timer. A stop is
// decided before everything that waits, and the batch is cut behind it (law 5). Reads ride along
// and are answered when what they saw is on disk.
//
// When something cannot be written, nobody in that batch or on top of it is told yes; the ledger is
// closed, opened again, which checks every hash, and the yard is rebuilt from it and begins as
// after any restart, with nothing released (law 7). Where that fails too the yard is down: every
// call is UNAVAILABLE with the reason. It tries again, except where entries are lost: that is for
// people to judge.
//
// Threads: Post, NewReader and the rest of the public part are safe from any. It runs three of its
// own: the writer, the completer and a ticker that nudges the writer.
//
//   absl::StatusOr<std::unique_ptr<YardWriter>> writer = YardWriter::Start(std::move(options));
//   (*writer)->Post(std::make_unique<MyJob>(...));
//   (*writer)->Drain();
#pragma once

#include <absl/status/statusor.h>

#include <atomic>
#include <chrono>
#include <condition_variable>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>
#include <vector>

#include "services/ledger/ledger.h"
#include "services/server/batch.h"
#include "services/server/clock.h"
#include "services/server/completer.h"
#include "services/server/mailbox.h"
#include "services/server/rebuild.h"

namespace chockwise::server {

struct CheckpointCadence {
  int64_t entries = kCheckpointEntries;
  std::chrono::milliseconds period = kCheckpointPeriod;
};

class YardWriter final : private Desk {
 public:
  struct Options {
    ledger::LedgerOptions ledger;
    std::shared_ptr<Clock> clock;
    CheckpointCadence checkpoints;
    size_t most_waiting = kMaxWaitingJobs;
    std::shared_ptr<spdlog::logger> logger;
    Identities* identities = nullptr;
    WatchHub* watchers = nullptr;
    std::function<void(bool serving)> serving_changed;  // any thread; may be empty
  };

  /// Opens and replays the ledger and records the restart; serves when it returns. Errors: those of
  /// Ledger::Open.
  static absl::StatusOr<std::unique_ptr<YardWriter>> Start(Options options);
  ~YardWriter() override;

  /// The job is answered or failed, now or later.
  void Post(std::unique_ptr<Job> job);

  /// Finishes what waits, signs the last checkpoint and closes the ledger. Posts after it fail as
  /// UNAVAILABLE. Once.
  void Drain();

  absl::StatusOr<std::unique_ptr<ledger::Reader>> NewReader() const;
  /// Entries that callers may have been told of, the genesis included.
  int64_t acknowledged() const { return acknowledged_.load(std::memory_order_acquire); }
  /// OK while serving; otherwise why not.
  absl::Status health() const;
  const ledger::Identity& identity() const { return identity_; }
  const ledger::OpenReport& open_report() const { return open_report_; }
  std::string yard_id() const { return identity_.yard; }

 private:
  enum class Phase { kServing, kRecovering, kDown, kDraining };
  using SteadyTime = std::chrono::steady_clock::time_point;

  YardWriter(Options options, std::unique_ptr<Rebuilt> rebuilt);

  // Desk. The writer's thread.
  const moves::YardState& yard() const override { return rebuilt_->state; }
  fit::Instant now() const override { return options_.clock->Now(); }
  Verdict Record(const v1::Command& command) override;
  std::optional<Verdict> Recall(const v1::Command& command) override;
  void WantCheckpoint(ledger::Checkpoint* checkpoint) override { wishes_.push_back(checkpoint); }
  std::optional<int64_t> EntryOfVersion(int64_t version) const override;

  void Run();
  bool TakeJobs();
  void LookAtTime();
  void GiveTurns();
  void GiveTurn(std::unique_ptr<Job> job);
  absl::Status Commit();
  absl::Status AppendEntries();
  bool CheckpointDue() const;
  absl::Status SignCheckpoint();

  Verdict Judge(const v1::Command& command);
  bool Serialise(const moves::Entries& entries);
  absl::StatusOr<v1::Entry> RecordedEntry(int64_t number);
  void Note(const v1::Command& command, const Verdict& verdict);

  // Recovery. The writer's thread.
  absl::Status BeginServing();
  void Recover(const absl::Status& why);
  absl::Status Reopen();
  bool StayDown(const absl::Status& why, std::chrono::milliseconds wait);
  void FailTaken(const absl::Status& why);
  void Enter(Phase phase, absl::Status reason);

  const Options options_;
  DecisionLog log_;
  Mailbox mailbox_;
  ledger::Identity identity_;
  ledger::OpenReport open_report_;
  std::atomic<int64_t> acknowledged_{0};

  mutable std::mutex phase_mutex_;
  std::atomic<Phase> phase_{Phase::kServing};
  absl::Status reason_;

  // The writer's own.
  mutable std::mutex
      ledger_mutex_;  // the ledger comes and goes under it; only the writer's thread changes it
  std::unique_ptr<Rebuilt> rebuilt_;
  std::unique_ptr<ledger::Reader> reader_;  // for repeats
  Mailbox::Taken taken_;
  size_t next_ordinary_ = 0;
  Batch batch_;
  std::vector<std::string> entries_;  // bytes of the batch; used again from batch to batch
  size_t entries_used_ = 0;
  size_t entries_bytes_ = 0;
  int64_t batch_first_ = 0;  // number of the first entry of the batch
  std::vector<ledger::Checkpoint*> wishes_;
  bool checkpoint_wanted_ = false;
  int64_t unsigned_entries_ = 0;
  SteadyTime last_checkpoint_;
  std::optional<ledger::Checkpoint> latest_checkpoint_;
  SteadyTime turn_begins_;
  SteadyTime next_tick_;
  bool closed_ = false;

  Completer completer_;
  std::mutex ticker_mutex_;
  std::condition_variable ticker_wake_;
  bool ticker_stop_ = false;
  std::thread ticker_;
  std::thread thread_;
};

}  // namespace chockwise::server
