#include "services/server/mailbox.h"

#include <utility>

namespace chockwise::server {

absl::Status Mailbox::Post(std::unique_ptr<Job>&& job) {
  bool wake = false;
  {
    const std::lock_guard lock(mutex_);
    if (closed_)
      return absl::UnavailableError("the service is shutting down; ask again when it is back");
    switch (job->lane()) {
      case Job::Lane::kStop:  // Law 5: no limit stands before a stop.
        stops_.push_back(std::move(job));
        stops_waiting_.store(stops_.size(), std::memory_order_release);
        break;
      case Job::Lane::kOrdinary:
        if (ordinary_.size() >= most_waiting_) {
          return absl::ResourceExhaustedError(
              "more calls wait than this yard takes at once; ask again in a moment");
        }
        ordinary_.push_back(std::move(job));
        break;
    }
    wake = std::exchange(taker_waits_, false);
  }
  if (wake) arrived_.notify_one();
  return absl::OkStatus();
}

Mailbox::Taken Mailbox::Take() { return Take(Taken{}); }

Mailbox::Taken Mailbox::Take(Taken spare) {
  spare.stops.clear();
  spare.ordinary.clear();
  std::unique_lock lock(mutex_);
  while (stops_.empty() && ordinary_.empty() && !nudged_ && !closed_) {
    taker_waits_ = true;
    arrived_.wait(lock);
  }
  taker_waits_ = false;
  nudged_ = false;
  std::swap(spare.stops, stops_);
  std::swap(spare.ordinary, ordinary_);
  stops_waiting_.store(0, std::memory_order_release);
  spare.closed = closed_ && spare.stops.empty() && spare.ordinary.empty();
  return spare;
}

Jobs Mailbox::TakeStops() {
  const std::lock_guard lock(mutex_);
  stops_waiting_.store(0, std::memory_order_release);
  return std::exchange(stops_, {});
}

Jobs Mailbox::TakeOrdinary() {
  const std::lock_guard lock(mutex_);
  return std::exchange(ordinary_, {});
}

void Mailbox::Nudge() {
  {
    const std::lock_guard lock(mutex_);
    nudged_ = true;
    taker_waits_ = false;
  }
  arrived_.notify_one();
}

void Mailbox::Close() {
  {
    const std::lock_guard lock(mutex_);
    closed_ = true;
    taker_waits_ = false;
  }
  arrived_.notify_one();
}

}  // namespace chockwise::server
