// A server in the test's own process: a yard, its ledger in a scratch folder, a clock that moves
// when told, and people with tokens who call it over the loopback interface.
//
//   InProcessServer server;
//   Person dan = server.As("dan");
//   auto answer = dan.Call(&v1::MoveService::Stub::RequestMove, request);
//   ASSERT_EQ(answer.status.error_code(), grpc::StatusCode::OK);
//
// A request_id is put in where it is empty.
// Faults: `faults().fail_append = true` makes the next commit fail as a disk does; `fail_head` the
// next head.
#pragma once

#include <grpcpp/grpcpp.h>

#include <atomic>
#include <memory>
#include <string>

#include "chockwise/v1/ledger.grpc.pb.h"
#include "chockwise/v1/moves.grpc.pb.h"
#include "chockwise/v1/people.grpc.pb.h"
#include "chockwise/v1/rehearsals.grpc.pb.h"
#include "chockwise/v1/yards.grpc.pb.h"
#include "services/server/init.h"
#include "services/server/server.h"
#include "tests/ledger/scratch.h"

namespace chockwise::server {

/// A UUID never used before in this process.
std::string NewRequestId();

template <class Response>
struct Answer {
  grpc::Status status;
  Response response;
  bool ok() const { return status.ok(); }
};

/// The details of a "no".
template <class Detail>
Detail DetailOf(const grpc::Status& status) {
  v1::StatusEnvelope envelope;
  Detail detail;
  if (envelope.ParseFromString(status.error_details()) && envelope.details_size() == 1) {
    envelope.details(0).UnpackTo(&detail);
  }
  return detail;
}

inline v1::GetYardRequest ThisYard() {
  v1::GetYardRequest request;
  request.set_name("yards/pads");
  return request;
}

/// Somebody with a token, or with a wrong one.
class Person {
 public:
  Person(std::shared_ptr<grpc::Channel> channel, std::string secret)
      : moves_(v1::MoveService::NewStub(channel)),
        yards_(v1::YardService::NewStub(channel)),
        people_(v1::PeopleService::NewStub(channel)),
        ledger_(v1::LedgerService::NewStub(channel)),
        rehearsals_(v1::RehearsalService::NewStub(channel)),
        secret_(std::move(secret)) {}

  template <class Stub, class Request, class Response>
  Answer<Response> Call(grpc::Status (Stub::*method)(grpc::ClientContext*, const Request&,
                                                     Response*),
                        Request request,
                        std::chrono::milliseconds timeout = std::chrono::seconds(20)) {
    if constexpr (requires { request.request_id(); }) {
      if (request.request_id().empty()) request.set_request_id(NewRequestId());
    }
    return CallAsIs(method, request, timeout);
  }
  /// Without putting a request_id in.
  template <class Stub, class Request, class Response>
  Answer<Response> CallAsIs(grpc::Status (Stub::*method)(grpc::ClientContext*, const Request&,
                                                         Response*),
                            const Request& request,
                            std::chrono::milliseconds timeout = std::chrono::seconds(20)) {
    grpc::ClientContext context;
    Prepare(context, timeout);
    Answer<Response> answer;
    answer.status = (StubOf<Stub>()->*method)(&context, request, &answer.response);
    return answer;
  }
  void Prepare(grpc::ClientContext& context,
               std::chrono::milliseconds timeout = std::chrono::seconds(20)) const {
    context.AddMetadata("authorization", "Bearer " + secret_);
    context.set_deadline(std::chrono::system_clock::now() + timeout);
  }

  v1::MoveService::Stub& moves() { return *moves_; }
  v1::YardService::Stub& yards() { return *yards_; }
  const std::string& secret() const { return secret_; }

 private:
  template <class Stub>
  Stub* StubOf() {
    if constexpr (std::is_base_of_v<v1::MoveService::StubInterface, Stub>) return moves_.get();
    if constexpr (std::is_base_of_v<v1::YardService::StubInterface, Stub>) return yards_.get();
    if constexpr (std::is_base_of_v<v1::PeopleService::StubInterface, Stub>) return people_.get();
    if constexpr (std::is_base_of_v<v1::LedgerService::StubInterface, Stub>) return ledger_.get();
    if constexpr (std::is_base_of_v<v1::RehearsalService::StubInterface, Stub>)
      return rehearsals_.get();
  }

  std::unique_ptr<v1::MoveService::Stub> moves_;
  std::unique_ptr<v1::YardService::Stub> yards_;
  std::unique_ptr<v1::PeopleService::Stub> people_;
  std::unique_ptr<v1::LedgerService::Stub> ledger_;
  std::unique_ptr<v1::RehearsalService::Stub> rehearsals_;
  std::string secret_;
};

/// What goes wrong with the disk, from any thread.
struct Faults {
  std::atomic<bool> fail_append{false};   // the next append fails; it was not written
  std::atomic<bool> fail_head{false};     // the next head fails
  std::atomic<bool> disk_away{false};     // the ledger cannot be opened again, for now
  std::atomic<bool> entries_lost{false};  // the ledger cannot be opened again, ever
  std::atomic<int> append_delay_ms{0};    // every append takes so long
  std::atomic<int> appends{0};
};

class InProcessServer {
 public:
  struct Options {
    std::string yard_folder;  // empty: tests/server/yard
    std::string lead = "lena";
    ledger::LedgerKind kind = ledger::LedgerKind::kReal;
    size_t most_waiting = kMaxWaitingJobs;
    std::string log_level = "off";
    bool manual_clock = true;
    std::string listen = "127.0.0.1:0";
  };
  InProcessServer() : InProcessServer(Options{}) {}
  explicit InProcessServer(Options options);
  ~InProcessServer();

  /// With a token of their own, issued at the first call.
  Person As(const std::string& person);
  Person WithSecret(const std::string& secret) { return Person(channel_, secret); }

  /// As after a clean stop; the clock goes on where it stood.
  void Restart();
  /// Ends it, and leaves the files.
  void Stop() { server_.reset(); }
  absl::Status Start();

  Server& server() { return *server_; }
  ManualClock& clock() { return *clock_; }
  Faults& faults() { return *faults_; }
  std::shared_ptr<grpc::Channel> channel() { return channel_; }
  const std::string& folder() const { return scratch_.path(); }
  const std::string& yard_folder() const { return options_.yard_folder; }
  const ServerOptions& server_options() const { return server_options_; }
  /// A channel with a connection of its own.
  std::shared_ptr<grpc::Channel> NewChannel() const;
  /// One that takes only so many bytes of a stream ahead of its reader.
  std::shared_ptr<grpc::Channel> NarrowChannel(int bytes) const;

 private:
  Options options_;
  ledger::ScratchFolder scratch_;
  std::shared_ptr<ManualClock> clock_;
  std::shared_ptr<Faults> faults_ = std::make_shared<Faults>();
  ServerOptions server_options_;
  std::unique_ptr<Server> server_;
  std::shared_ptr<grpc::Channel> channel_;
  std::string lead_secret_;
  std::map<std::string, std::string> secrets_;
};

/// 2026-11-24T06:00:00Z.
inline constexpr fit::Instant kTestStart = fit::Instant::FromMicros(1'795'500'000'000'000);

}  // namespace chockwise::server
