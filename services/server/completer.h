// Answers callers. It makes the head of a batch durable, so that what was acknowledged is
// remembered outside the database too, and then tells everybody: those who asked, the watchers and
// the log. Meanwhile the writer decides the next batch.
//
// One thread of its own. Batches come in the order of the ledger and are answered in it. All
// batches that wait share one writing of the head.
//
// When a head cannot be written, nobody in that batch or in any after it is told yes, until the
// writer has rebuilt the yard and says Resume().
#pragma once

#include <atomic>
#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>

#include "services/server/batch.h"

namespace chockwise::server {

class Completer {
 public:
  struct Parts {
    std::function<absl::Status(const ledger::Head&)> write_head;
    std::function<void(int64_t entries)> acknowledged;  // so many entries may now be told of
    std::function<void()> failed;                       // once per failure; wakes the writer
    Identities* identities = nullptr;
    WatchHub* watchers = nullptr;
    DecisionLog* log = nullptr;
  };
  explicit Completer(Parts parts);
  ~Completer();

  /// Takes a batch; waits while kMaxBatchesInFlight are on their way, so that the writer's next
  /// batch grows instead.
  void Hand(Batch batch);
  /// Waits until everything handed over was answered.
  void WaitIdle();
  bool failed() const { return failed_.load(std::memory_order_acquire); }
  /// After the yard was rebuilt.
  void Resume();

 private:
  void Run();
  void Complete(std::deque<Batch>& batches);
  void Tell(Batch& batch);
  void TellFailure(Batch& batch, const absl::Status& why);

  const Parts parts_;
  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<Batch> waiting_;
  bool busy_ = false;
  bool stop_ = false;
  std::atomic<bool> failed_{false};
  absl::Status failure_;  // the completer's own thread, and the writer's in Resume() while idle
  std::thread thread_;
};

}  // namespace chockwise::server
