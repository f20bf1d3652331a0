// Keeps the history's file up with the ledger, on a thread of its own that gives way to the commit
// path.
//
// It polls instead of being woken by every commit: a batch of a tenth of a second's entries costs
// far less than as many small ones, and whoever asks is told how far behind the answer is.
//
//   HistoryReader reader({.path = "history.db", .open_ledger = [&] { return writer.NewReader(); },
//   .logger = logger});
#pragma once

#include <absl/status/statusor.h>

#include <condition_variable>
#include <functional>
#include <memory>
#include <mutex>
#include <string>
#include <thread>

#include "services/history/follower.h"
#include "services/ledger/reader.h"

namespace spdlog {
class logger;
}

namespace chockwise::server {

class HistoryReader {
 public:
  struct Options {
    std::string path;
    std::function<absl::StatusOr<std::unique_ptr<ledger::Reader>>()> open_ledger;
    std::shared_ptr<spdlog::logger> logger;
  };
  explicit HistoryReader(Options options);
  ~HistoryReader();

 private:
  void Run();
  /// False: nothing waits, or something is wrong.
  bool Step();
  bool WaitOrStop(std::chrono::milliseconds period);

  const Options options_;
  std::unique_ptr<history::Follower> follower_;  // the thread's own
  std::string last_trouble_;
  std::mutex mutex_;
  std::condition_variable stopped_;
  bool stop_ = false;
  std::thread thread_;
};

}  // namespace chockwise::server
