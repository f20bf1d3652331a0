// The line to the server: channel, stubs, token, retries.
//
//   Session session(target, token, {.timeout = std::chrono::seconds(5)});
//   v1::Move move;
//   grpc::Status status = session.Call(session.moves(), &v1::MoveService::Stub::GetMove, request,
//   move);
//
// Only UNAVAILABLE is tried again, with the very same request: its request_id lets the server
// answer a repeat with the first answer. The timeout bounds all tries together. Threads: one at a
// time.
#pragma once

#include <grpcpp/channel.h>
#include <grpcpp/client_context.h>

#include <chrono>
#include <memory>
#include <optional>
#include <string>

#include "chockwise/v1/history.grpc.pb.h"
#include "chockwise/v1/ledger.grpc.pb.h"
#include "chockwise/v1/moves.grpc.pb.h"
#include "chockwise/v1/people.grpc.pb.h"
#include "chockwise/v1/rehearsals.grpc.pb.h"
#include "chockwise/v1/yards.grpc.pb.h"
#include "cli-client/options.h"

namespace chockwise::cli {

inline constexpr int kMostTries = 4;
inline constexpr std::chrono::milliseconds kFirstPause{100};

struct SessionLimits {
  std::chrono::milliseconds timeout{5000};
};

class Session {
 public:
  Session(const Target& target, std::string token, const SessionLimits& limits);

  v1::MoveService::Stub& moves() { return *moves_; }
  v1::YardService::Stub& yards() { return *yards_; }
  v1::PeopleService::Stub& people() { return *people_; }
  v1::LedgerService::Stub& ledger() { return *ledger_; }
  v1::HistoryService::Stub& history() { return *history_; }
  v1::RehearsalService::Stub& rehearsals() { return *rehearsals_; }

  template <class Stub, class Request, class Reply>
  grpc::Status Call(Stub& stub,
                    grpc::Status (Stub::*method)(grpc::ClientContext*, const Request&, Reply*),
                    const Request& request, Reply& reply) {
    const auto deadline = std::chrono::system_clock::now() + limits_.timeout;
    for (int tried = 1;; ++tried) {
      grpc::ClientContext context;
      Prepare(context);
      context.set_deadline(deadline);
      grpc::Status status = (stub.*method)(&context, request, &reply);
      if (status.error_code() != grpc::StatusCode::UNAVAILABLE || tried == kMostTries)
        return status;
      if (!PauseBefore(tried + 1, deadline)) return status;
    }
  }

  /// For a stream: token, no deadline.
  std::unique_ptr<grpc::ClientContext> StreamContext();

  /// Who the caller is; asked once.
  grpc::Status WhoAmI(v1::Identity& me);
  /// What WhoAmI said, if it was asked and answered.
  const std::optional<v1::Identity>& known_identity() const { return identity_; }

 private:
  void Prepare(grpc::ClientContext& context);
  /// Sleeps longer before each try, by a random part so that many callers do not come back at once.
  /// False: no time is left.
  static bool PauseBefore(int next_try, std::chrono::system_clock::time_point deadline);

  std::string token_;
  SessionLimits limits_;
  std::unique_ptr<v1::MoveService::Stub> moves_;
  std::unique_ptr<v1::YardService::Stub> yards_;
  std::unique_ptr<v1::PeopleService::Stub> people_;
  std::unique_ptr<v1::LedgerService::Stub> ledger_;
  std::unique_ptr<v1::HistoryService::Stub> history_;
  std::unique_ptr<v1::RehearsalService::Stub> rehearsals_;
  std::optional<v1::Identity> identity_;
};

/// A random UUID (version 4) in its usual text form. Source: RFC 9562, 5.4.
std::string NewRequestId();

}  // namespace chockwise::cli
