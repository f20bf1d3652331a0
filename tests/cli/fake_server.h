// A server that answers what a test tells it to, on a port of 127.0.0.1 that the system picks. It
// knows no rules.
//
//   FakeServer server;
//   server.Fail(grpc::Status(grpc::StatusCode::UNAVAILABLE, "away"));  // the next call
//   Ran ran = RunCli({"close", "14"}, server);
//   server.calls()   every call with its request, in order
//
// Threads: the handlers lock; set answers before the calls that they are for.
#pragma once

#include <google/protobuf/text_format.h>
#include <grpcpp/server.h>

#include <deque>
#include <map>
#include <memory>
#include <mutex>
#include <string>
#include <vector>

#include "chockwise/v1/history.grpc.pb.h"
#include "chockwise/v1/ledger.grpc.pb.h"
#include "chockwise/v1/moves.grpc.pb.h"
#include "chockwise/v1/people.grpc.pb.h"
#include "chockwise/v1/rehearsals.grpc.pb.h"
#include "chockwise/v1/yards.grpc.pb.h"
#include "cli-client/cli.h"

namespace chockwise::cli {

struct FakeCall {
  std::string method;
  std::string authorization;
  std::string request_id;
  std::shared_ptr<google::protobuf::Message> request;
};

class FakeServer {
 public:
  FakeServer();
  ~FakeServer();

  std::string address() const { return "127.0.0.1:" + std::to_string(port_); }
  /// The next calls other than WhoAmI fail so, one each.
  void Fail(grpc::Status status);
  /// Calls of one method fail so, every time.
  void AlwaysFail(const std::string& method, grpc::Status status);
  std::vector<FakeCall> calls() const;
  /// Calls of one method.
  std::vector<FakeCall> calls(const std::string& method) const;

  // What is answered.
  v1::Identity me;
  std::vector<v1::Move> moves;
  v1::Yard yard;
  v1::Receipt receipt;
  std::vector<v1::Move> watched;  // streamed by WatchMove
  std::vector<v1::YardEvent> events;
  v1::ListMoveRecordsResponse records;
  v1::MovesSummary summary;
  /// Called with the lock held after a confirm, so that gates can clear.
  std::function<void(const v1::ConfirmRequest&)> on_confirm;

  /// Notes the call; the status it must fail with, or OK.
  grpc::Status Take(const std::string& method, const grpc::ServerContext& context,
                    const google::protobuf::Message& request);
  std::mutex& mutex() { return mutex_; }

 private:
  struct Services;
  mutable std::mutex mutex_;
  std::deque<grpc::Status> fail_;
  std::map<std::string, grpc::Status> always_fail_;
  std::vector<FakeCall> calls_;
  std::unique_ptr<Services> services_;
  std::unique_ptr<grpc::Server> server_;
  int port_ = 0;
};

/// A status with typed details, as the server sends it.
grpc::Status WithDetail(grpc::StatusCode code, const std::string& message,
                        const google::protobuf::Message& detail);

struct Ran {
  ExitCode exit = ExitCode::kOther;
  std::string out;
  std::string err;
  Lines lines() const;
};

struct RunSetting {
  std::string input = {};
  std::map<std::string, std::string> environment = {};
  bool terminal = false;  // standard input and output are a terminal of `columns` by 24
  int columns = 80;
};

/// Runs the command line in this process, without a server and without a token.
Ran RunCli(const std::vector<std::string>& arguments, const RunSetting& setting = {});
/// Against the fake, with a token.
Ran RunCli(const std::vector<std::string>& arguments, const FakeServer& server,
           RunSetting setting = {});

/// A message from its text form; the test fails where it cannot be read.
template <class Message>
Message FromText(const std::string& text) {
  Message message;
  if (!google::protobuf::TextFormat::ParseFromString(text, &message)) std::abort();
  return message;
}

}  // namespace chockwise::cli
