// Work that is too slow for the writer's and the transport's threads: reading a yard's folder,
// proofs, history. A few threads and a short queue.
//
//   if (absl::Status taken = errands.Run([=] { ... reactor->Finish(...); }); !taken.ok())
//   reactor->Finish(ToGrpc(taken));
#pragma once

#include <absl/status/status.h>

#include <condition_variable>
#include <deque>
#include <functional>
#include <mutex>
#include <thread>
#include <vector>

namespace chockwise::server {

class Errands {
 public:
  explicit Errands(int threads);
  ~Errands();
  /// RESOURCE_EXHAUSTED where kMaxErrands wait, UNAVAILABLE after Drain().
  absl::Status Run(std::function<void()> errand);
  /// Finishes what waits. Once or more.
  void Drain();

 private:
  void Loop();

  std::mutex mutex_;
  std::condition_variable changed_;
  std::deque<std::function<void()>> waiting_;
  bool closed_ = false;
  std::vector<std::thread> threads_;
};

}  // namespace chockwise::server
