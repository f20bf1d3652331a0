#include "tests/bench/watchers.h"

#include <fmt/format.h>
#include <grpcpp/grpcpp.h>

#include <algorithm>
#include <atomic>
#include <chrono>
#include <condition_variable>
#include <cstdlib>
#include <memory>
#include <mutex>
#include <thread>
#include <vector>

#include "chockwise/v1/moves.grpc.pb.h"
#include "tests/support/request_id.h"

namespace chockwise::bench {
namespace {

using Clock = std::chrono::steady_clock;

/// What all watches tell: when the entry that is waited for reached them.
class Arrivals {
 public:
  /// Called for every message of a watch.
  void Note(bool drivers_own, int64_t entry) {
    const Clock::time_point now = Clock::now();
    const std::lock_guard lock(mutex_);
    if (entry > baseline_ && drivers_own && driver_ == Clock::time_point()) driver_ = now;
    if (entry > baseline_) {
      ++arrived_;
      last_ = now;
    }
    ++all_;
    newest_ = std::max(newest_, entry);
    changed_.notify_all();
  }

  bool WaitForAll(long messages) {
    std::unique_lock lock(mutex_);
    return changed_.wait_for(lock, std::chrono::seconds(20), [&] { return all_ >= messages; });
  }

  void Expect(int64_t after_entry) {
    const std::lock_guard lock(mutex_);
    baseline_ = after_entry;
    arrived_ = 0;
    driver_ = last_ = {};
  }

  bool WaitForArrivals(long watchers) {
    std::unique_lock lock(mutex_);
    return changed_.wait_for(lock, std::chrono::seconds(20), [&] { return arrived_ >= watchers; });
  }

  int64_t newest() {
    const std::lock_guard lock(mutex_);
    return newest_;
  }
  long arrived() {
    const std::lock_guard lock(mutex_);
    return arrived_;
  }
  Clock::time_point driver() { return driver_; }
  Clock::time_point last() { return last_; }

 private:
  std::mutex mutex_;
  std::condition_variable changed_;
  int64_t baseline_ = 1LL << 60;
  int64_t newest_ = 0;  // entry that any watch was told of
  long arrived_ = 0, all_ = 0;
  Clock::time_point driver_, last_;
};

class Watch final : public grpc::ClientReadReactor<v1::Move> {
 public:
  Watch(v1::MoveService::Stub& stub, const StopWatch& what, Arrivals& arrivals, bool drivers_own)
      : arrivals_(arrivals), drivers_own_(drivers_own) {
    context_.AddMetadata("authorization", "Bearer " + what.token);
    request_.set_name(what.move);
    stub.async()->WatchMove(&context_, &request_, this);
    StartRead(&move_);
    StartCall();
  }
  void OnReadDone(bool ok) override {
    if (!ok) return;
    arrivals_.Note(drivers_own_, move_.entry());
    StartRead(&move_);
  }
  void OnDone(const grpc::Status& status) override {
    if (!status.ok() && status.error_code() != grpc::StatusCode::CANCELLED)
      fmt::print(stderr, "a watch ended: {}\n", status.error_message());
    done_.store(true);
  }
  void Cancel() { context_.TryCancel(); }
  bool done() const { return done_.load(); }

 private:
  Arrivals& arrivals_;
  const bool drivers_own_;
  grpc::ClientContext context_;
  v1::WatchMoveRequest request_;
  v1::Move move_;
  std::atomic<bool> done_{false};
};

[[noreturn]] void Die(const std::string& why) {
  fmt::print(stderr, "the stop measurement failed: {}\n", why);
  std::exit(1);
}

double Millis(Clock::duration span) {
  return std::chrono::duration<double, std::milli>(span).count();
}

double Percentile(std::vector<double> values, size_t percent) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  return values[std::min(values.size() - 1, values.size() * percent / 100)];
}

}  // namespace

StopResult MeasureStops(const StopWatch& what) {
  constexpr int kPerConnection = 50;
  std::vector<std::unique_ptr<v1::MoveService::Stub>> stubs;
  const auto connect = [&] {
    grpc::ChannelArguments arguments;
    arguments.SetInt(GRPC_ARG_USE_LOCAL_SUBCHANNEL_POOL, 1);
    stubs.push_back(v1::MoveService::NewStub(
        grpc::CreateCustomChannel(what.address, grpc::InsecureChannelCredentials(), arguments)));
  };
  connect();  // the stops' own
  Arrivals arrivals;
  std::vector<std::unique_ptr<Watch>> watches;
  for (int i = 0; i < what.watchers; ++i) {
    if (i % kPerConnection == 0) connect();
    // The driver's own watch is one in the middle: neither first nor last to be told.
    watches.push_back(
        std::make_unique<Watch>(*stubs.back(), what, arrivals, i == what.watchers / 2));
  }
  if (!arrivals.WaitForAll(what.watchers)) Die("not every watch began within 20 s");

  std::vector<double> driver, last;
  int64_t entry = 0;
  for (int i = 0; i < what.stops; ++i) {
    grpc::ClientContext context;
    context.AddMetadata("authorization", "Bearer " + what.token);
    v1::StopMoveRequest request;
    request.set_name(what.move);
    request.set_request_id(testing::NewRequestId());
    v1::Receipt receipt;
    arrivals.Expect(entry);
    const Clock::time_point called = Clock::now();
    const grpc::Status stopped = stubs.front()->StopMove(&context, request, &receipt);
    if (!stopped.ok()) Die(fmt::format("stop {}: {}", i, stopped.error_message()));
    if (!arrivals.WaitForArrivals(what.watchers))
      Die(fmt::format(
          "stop {}: entry {}, and {} of {} watches were told of one after {} within 20 "
          "s; the newest that any was told of is {}",
          i, receipt.entry(), arrivals.arrived(), what.watchers, entry, arrivals.newest()));
    // The first only teaches the number of the entry to count from.
    if (i > 0) {
      driver.push_back(Millis(arrivals.driver() - called));
      last.push_back(Millis(arrivals.last() - called));
    }
    entry = receipt.entry();
    std::this_thread::sleep_for(std::chrono::milliseconds(60));
  }
  for (const auto& watch : watches) watch->Cancel();
  for (const auto& watch : watches) {
    for (int waited = 0; waited < 1'000 && !watch->done(); ++waited)
      std::this_thread::sleep_for(std::chrono::milliseconds(5));
  }
  return {.driver_p50_ms = Percentile(driver, 50),
          .driver_p99_ms = Percentile(driver, 99),
          .last_p50_ms = Percentile(last, 50),
          .last_p99_ms = Percentile(last, 99)};
}

}  // namespace chockwise::bench
