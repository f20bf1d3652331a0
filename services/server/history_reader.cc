#include "services/server/history_reader.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>
#include <sys/resource.h>
#include <unistd.h>

#include "services/server/decision_log.h"
#include "services/server/failure.h"
#include "services/server/limits.h"

namespace chockwise::server {

HistoryReader::HistoryReader(Options options)
    : options_(std::move(options)), thread_([this] { Run(); }) {}

HistoryReader::~HistoryReader() {
  {
    const std::lock_guard lock(mutex_);
    stop_ = true;
  }
  stopped_.notify_all();
  thread_.join();
}

void HistoryReader::Run() {
  // On Linux this is the thread's own niceness. Where it cannot be had the reader is merely less
  // polite.
  setpriority(PRIO_PROCESS, static_cast<id_t>(gettid()), kHistoryNiceness);
  while (true) {
    const bool more = Step();
    if (WaitOrStop(more ? std::chrono::milliseconds(0) : kHistoryPeriod)) return;
  }
}

bool HistoryReader::WaitOrStop(std::chrono::milliseconds period) {
  std::unique_lock lock(mutex_);
  return stopped_.wait_for(lock, period, [this] { return stop_; });
}

bool HistoryReader::Step() {
  absl::Status trouble;
  if (follower_ == nullptr) {
    absl::StatusOr<std::unique_ptr<ledger::Reader>> ledger = options_.open_ledger();
    if (!ledger.ok()) return false;  // the yard is being rebuilt, or is down and says so itself
    auto follower = history::Follower::Open({.path = options_.path}, *std::move(ledger));
    if (follower.ok()) {
      follower_ = *std::move(follower);
    } else {
      trouble = follower.status();
    }
  }
  bool more = false;
  if (follower_ != nullptr) {
    const absl::StatusOr<bool> step = follower_->Step();
    if (step.ok()) {
      more = *step;
    } else {
      trouble = step.status();
      follower_.reset();
    }
  }
  // Told once, not ten times a second.
  if (!trouble.ok() && Why(trouble) != last_trouble_) {
    LogEvent(*options_.logger, Severity::kError,
             fmt::format("event=history_behind why=\"{}\"", Why(trouble)));
  }
  last_trouble_ = Why(trouble);
  return more;
}

}  // namespace chockwise::server
