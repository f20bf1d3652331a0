#include "services/server/completer.h"

#include "services/server/status_mapping.h"

namespace chockwise::server {

Completer::Completer(Parts parts) : parts_(std::move(parts)), thread_([this] { Run(); }) {}

Completer::~Completer() {
  {
    const std::lock_guard lock(mutex_);
    stop_ = true;
  }
  changed_.notify_all();
  thread_.join();
}

void Completer::Hand(Batch batch) {
  {
    std::unique_lock lock(mutex_);
    changed_.wait(lock, [this] { return waiting_.size() < kMaxBatchesInFlight; });
    waiting_.push_back(std::move(batch));
  }
  changed_.notify_all();
}

void Completer::WaitIdle() {
  std::unique_lock lock(mutex_);
  changed_.wait(lock, [this] { return waiting_.empty() && !busy_; });
}

void Completer::Resume() {
  failure_ = absl::OkStatus();
  failed_.store(false, std::memory_order_release);
}

void Completer::Run() {
  std::deque<Batch> batches;
  while (true) {
    {
      std::unique_lock lock(mutex_);
      busy_ = false;
      if (waiting_.empty()) changed_.notify_all();
      changed_.wait(lock, [this] { return stop_ || !waiting_.empty(); });
      if (waiting_.empty()) return;
      std::swap(batches, waiting_);
      busy_ = true;
    }
    changed_.notify_all();
    Complete(batches);
    batches.clear();
  }
}

void Completer::Complete(std::deque<Batch>& batches) {
  const Batch* last = nullptr;
  for (const Batch& batch : batches) {
    if (batch.has_head && batch.failure.ok()) last = &batch;
  }
  if (last != nullptr && failure_.ok()) {
    if (absl::Status written = parts_.write_head(last->head); !written.ok()) {
      failure_ = absl::UnavailableError(
          "what you asked may or may not be recorded: send the same request with the same "
          "request_id again");
      failed_.store(true, std::memory_order_release);
      parts_.failed();
    } else {
      parts_.acknowledged(static_cast<int64_t>(last->head.size));
    }
  }
  // If we die here: entries and head are on disk and nobody was told; a repeat finds them.
  for (Batch& batch : batches) {
    if (!batch.failure.ok()) {
      TellFailure(batch, batch.failure);
    } else if (!failure_.ok()) {
      TellFailure(batch, failure_);
    } else {
      Tell(batch);
    }
  }
}

void Completer::Tell(Batch& batch) {
  parts_.identities->Apply(batch.identity_changes);
  for (Batch::Ride& ride : batch.rides) {
    if (ride.dropped.ok()) {
      ride.job->Answer();
    } else {
      ride.job->Fail(ride.dropped);
    }
    ride.job.reset();
  }
  parts_.watchers->Send(batch.news);
  parts_.log->Write(batch.notes);
}

void Completer::TellFailure(Batch& batch, const absl::Status& why) {
  for (Batch::Ride& ride : batch.rides) {
    ride.job->Fail(ride.dropped.ok() ? why : ride.dropped);
    ride.job.reset();
  }
  parts_.log->Write(batch.notes, CodeOf(why.code()));
}

}  // namespace chockwise::server
