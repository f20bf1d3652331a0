#include "tests/bench/load.h"

#include <fmt/format.h>
#include <grpcpp/grpcpp.h>

#include <algorithm>
#include <memory>
#include <thread>

#include "chockwise/v1/moves.grpc.pb.h"
#include "tests/support/request_id.h"

namespace chockwise::bench {
namespace {

using Clock = std::chrono::steady_clock;

/// One caller's call in flight.
struct Call {
  std::unique_ptr<grpc::ClientContext> context;
  v1::ConfirmRequest request;
  v1::Receipt receipt;
  grpc::Status status;
  std::unique_ptr<grpc::ClientAsyncResponseReader<v1::Receipt>> reader;
  Clock::time_point sent;
};

/// The callers of one thread, on one connection.
class Worker {
 public:
  Worker(const Load& load, int callers, int first) : load_(load) {
    grpc::ChannelArguments arguments;
    arguments.SetInt(GRPC_ARG_USE_LOCAL_SUBCHANNEL_POOL, 1);  // a connection of its own
    channel_ =
        grpc::CreateCustomChannel(load.address, grpc::InsecureChannelCredentials(), arguments);
    channel_->WaitForConnected(std::chrono::system_clock::now() + std::chrono::seconds(5));
    stub_ = v1::MoveService::NewStub(channel_);
    for (int i = 0; i < callers; ++i) {
      calls_.push_back(std::make_unique<Call>());
      const size_t move = static_cast<size_t>(first + i) % load.moves.size();
      calls_.back()->request.set_name(load.moves[move]);
      calls_.back()->request.set_gate_id(load.gate_id);
    }
  }

  void Run(Clock::time_point end) {
    for (const auto& call : calls_) Send(*call);
    size_t in_flight = calls_.size();
    void* tag = nullptr;
    bool ok = false;
    while (in_flight > 0 && queue_.Next(&tag, &ok)) {
      Call& call = *static_cast<Call*>(tag);
      const Clock::time_point now = Clock::now();
      if (call.status.ok()) {
        micros_.push_back(std::chrono::duration<float, std::micro>(now - call.sent).count());
      } else if (failed_++ == 0) {
        first_failure_ = call.status.error_message();
      }
      if (now < end) {
        Send(call);
      } else {
        --in_flight;
      }
    }
  }

  std::vector<float> micros_;
  long failed_ = 0;
  std::string first_failure_;

 private:
  void Send(Call& call) {
    call.context = std::make_unique<grpc::ClientContext>();
    call.context->set_deadline(std::chrono::system_clock::now() + std::chrono::seconds(20));
    if (!load_.token.empty()) call.context->AddMetadata("authorization", "Bearer " + load_.token);
    call.request.set_request_id(testing::NewRequestId());
    call.sent = Clock::now();
    call.reader = stub_->AsyncConfirm(call.context.get(), call.request, &queue_);
    call.reader->Finish(&call.receipt, &call.status, &call);
  }

  const Load& load_;
  std::shared_ptr<grpc::Channel> channel_;
  std::unique_ptr<v1::MoveService::Stub> stub_;
  grpc::CompletionQueue queue_;
  std::vector<std::unique_ptr<Call>> calls_;
};

}  // namespace

LoadResult RunLoad(const Load& load) {
  const int threads = load.callers == 1 ? 1 : 2;
  std::vector<std::unique_ptr<Worker>> workers;
  for (int i = 0; i < threads; ++i) {
    workers.push_back(
        std::make_unique<Worker>(load, load.callers / threads, i * load.callers / threads));
  }
  const Clock::time_point began = Clock::now();
  std::vector<std::thread> running;
  for (const auto& worker : workers) running.emplace_back([&] { worker->Run(began + load.time); });
  for (std::thread& thread : running) thread.join();
  const double seconds = std::chrono::duration<double>(Clock::now() - began).count();

  LoadResult result;
  std::vector<float> micros;
  for (const auto& worker : workers) {
    micros.insert(micros.end(), worker->micros_.begin(), worker->micros_.end());
    result.failed += worker->failed_;
    if (result.first_failure.empty()) result.first_failure = worker->first_failure_;
  }
  result.calls_per_second = static_cast<double>(micros.size()) / seconds;
  if (micros.empty()) return result;
  std::sort(micros.begin(), micros.end());
  result.p50_us = micros[micros.size() / 2];
  result.p99_us = micros[micros.size() * 99 / 100];
  return result;
}

double Median(std::vector<double> values) {
  if (values.empty()) return 0;
  std::sort(values.begin(), values.end());
  return values[values.size() / 2];
}

}  // namespace chockwise::bench
