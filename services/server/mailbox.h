// Where jobs wait for a yard's writer: two lanes, stops before everything else.
//
// Any thread posts; one thread takes, and takes all that waits at once. Nothing lingers: a batch is
// what arrived while the last one was written.
//
//   if (absl::Status posted = mailbox.Post(std::move(job)); ...)   // job is still the caller's
//   where it was not taken Mailbox::Taken taken = mailbox.Take();
#pragma once

#include <absl/status/status.h>

#include <atomic>
#include <condition_variable>
#include <mutex>

#include "services/server/job.h"

namespace chockwise::server {

class Mailbox {
 public:
  explicit Mailbox(size_t most_waiting) : most_waiting_(most_waiting) {}

  /// RESOURCE_EXHAUSTED where the ordinary lane is full, UNAVAILABLE after Close(); `job` is
  /// untouched then.
  absl::Status Post(std::unique_ptr<Job>&& job);

  struct Taken {
    Jobs stops;
    Jobs ordinary;
    bool closed = false;  // and nothing waits any more
  };
  /// Waits until there is a job, a nudge or the end, and takes all jobs. `spare` gives its memory
  /// to the mailbox.
  Taken Take(Taken spare);
  Taken Take();

  /// The stops that wait, without waiting.
  Jobs TakeStops();
  bool stops_wait() const { return stops_waiting_.load(std::memory_order_acquire) > 0; }
  /// Everything of the ordinary lane, without waiting.
  Jobs TakeOrdinary();

  /// Wakes the taker though there may be no job.
  void Nudge();
  /// Lets nobody post any more. What waits is still taken.
  void Close();

 private:
  const size_t most_waiting_;
  std::mutex mutex_;
  std::condition_variable arrived_;
  Jobs stops_;
  Jobs ordinary_;
  std::atomic<size_t> stops_waiting_{0};
  bool taker_waits_ = false;
  bool nudged_ = false;
  bool closed_ = false;
};

}  // namespace chockwise::server
