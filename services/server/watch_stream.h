// One watcher's stream: a bounded queue in front of a gRPC server-side write.
//
// Messages are shared between all watchers of the same thing. A watcher whose queue is full is cut
// with RESOURCE_EXHAUSTED: it may watch again and gets the present state first, so it loses nothing
// but what it was too slow for.
//
// Threads: Push and End from any; the rest is the transport's. A stream lives until the transport
// is done with it and nobody else holds it.
#pragma once

#include <grpcpp/support/server_callback.h>

#include <deque>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>

#include "services/server/limits.h"

namespace chockwise::server {

template <class Message>
class WatchStream final : public grpc::ServerWriteReactor<Message>,
                          public std::enable_shared_from_this<WatchStream<Message>> {
 public:
  /// The stream owns itself until the transport is done. `gone` is called once, then.
  static std::shared_ptr<WatchStream> Make(std::string person) {
    std::shared_ptr<WatchStream> stream(new WatchStream(std::move(person)));
    stream->self_ = stream;
    return stream;
  }
  /// False where the transport was done with it before.
  [[nodiscard]] bool OnGone(std::function<void()> gone) {
    const std::lock_guard lock(mutex_);
    if (self_ == nullptr) return false;
    gone_ = std::move(gone);
    return true;
  }

  const std::string& person() const { return person_; }

  void Push(std::shared_ptr<const Message> message) {
    const std::lock_guard lock(mutex_);
    if (finished_ || ending_) return;
    if (queue_.size() >= kMaxQueuedPerWatcher) {
      Finish({grpc::StatusCode::RESOURCE_EXHAUSTED, "this watcher reads too slowly; watch again"});
      return;
    }
    queue_.push_back(std::move(message));
    if (!writing_) Write();
  }

  /// After what is queued was sent.
  void End(grpc::Status status) {
    const std::lock_guard lock(mutex_);
    if (finished_ || ending_) return;
    ending_ = std::move(status);
    if (!writing_) Finish(*ending_);
  }

  void OnWriteDone(bool ok) override {
    const std::lock_guard lock(mutex_);
    writing_ = false;
    queue_.pop_front();
    if (finished_) return;
    if (!ok) return Finish(grpc::Status::CANCELLED);
    if (!queue_.empty()) return Write();
    if (ending_) Finish(*ending_);
  }
  void OnCancel() override {
    const std::lock_guard lock(mutex_);
    if (!finished_) Finish(grpc::Status::CANCELLED);
  }
  void OnDone() override {
    std::shared_ptr<WatchStream> self;
    std::function<void()> gone;
    {
      const std::lock_guard lock(mutex_);
      self = std::move(self_);
      gone = std::move(gone_);
    }
    if (gone) gone();
  }

 private:
  explicit WatchStream(std::string person) : person_(std::move(person)) {}

  void Write() {
    writing_ = true;
    this->StartWrite(queue_.front().get());
  }
  void Finish(const grpc::Status& status) {
    finished_ = true;
    // What is being written must outlive the write.
    if (queue_.size() > 1) queue_.erase(queue_.begin() + (writing_ ? 1 : 0), queue_.end());
    grpc::ServerWriteReactor<Message>::Finish(status);
  }

  const std::string person_;
  std::mutex mutex_;
  std::shared_ptr<WatchStream> self_;
  std::function<void()> gone_;
  std::deque<std::shared_ptr<const Message>> queue_;
  std::optional<grpc::Status> ending_;
  bool writing_ = false;
  bool finished_ = false;
};

}  // namespace chockwise::server
