#include "services/server/errands.h"

#include "services/server/limits.h"

namespace chockwise::server {

Errands::Errands(int threads) {
  for (int i = 0; i < threads; ++i) threads_.emplace_back([this] { Loop(); });
}

Errands::~Errands() { Drain(); }

absl::Status Errands::Run(std::function<void()> errand) {
  {
    const std::lock_guard lock(mutex_);
    if (closed_)
      return absl::UnavailableError("the service is shutting down; ask again when it is back");
    if (waiting_.size() >= kMaxErrands) {
      return absl::ResourceExhaustedError(
          "more long questions wait than are answered at once; ask again in a moment");
    }
    waiting_.push_back(std::move(errand));
  }
  changed_.notify_one();
  return absl::OkStatus();
}

void Errands::Drain() {
  {
    const std::lock_guard lock(mutex_);
    closed_ = true;
  }
  changed_.notify_all();
  for (std::thread& thread : threads_) {
    if (thread.joinable()) thread.join();
  }
}

void Errands::Loop() {
  while (true) {
    std::function<void()> errand;
    {
      std::unique_lock lock(mutex_);
      changed_.wait(lock, [this] { return closed_ || !waiting_.empty(); });
      if (waiting_.empty()) return;
      errand = std::move(waiting_.front());
      waiting_.pop_front();
    }
    errand();
  }
}

}  // namespace chockwise::server
