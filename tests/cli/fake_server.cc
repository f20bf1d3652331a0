#include "tests/cli/fake_server.h"

#include <grpcpp/security/server_credentials.h>
#include <grpcpp/server_builder.h>

#include <sstream>
#include <utility>

#include "chockwise/v1/refusals.pb.h"
#include "cli-client/app.h"

namespace chockwise::cli {
namespace {

std::string RequestIdOf(const google::protobuf::Message& request) {
  const auto* field = request.GetDescriptor()->FindFieldByName("request_id");
  return field == nullptr ? "" : request.GetReflection()->GetString(request, field);
}

}  // namespace

// A writing call answers with the receipt.
#define FAKE_WRITE(method, Request)                                             \
  grpc::Status method(grpc::ServerContext* context, const v1::Request* request, \
                      v1::Receipt* reply) override {                            \
    const grpc::Status status = fake_.Take(#method, *context, *request);        \
    if (status.ok()) *reply = fake_.receipt;                                    \
    return status;                                                              \
  }

struct FakeServer::Services {
  explicit Services(FakeServer& fake)
      : moves{fake}, yards{fake}, people{fake}, ledger{fake}, history{fake}, rehearsals{fake} {}

  class Moves final : public v1::MoveService::Service {
   public:
    explicit Moves(FakeServer& fake) : fake_(fake) {}
    FAKE_WRITE(RequestMove, RequestMoveRequest)
    FAKE_WRITE(NameSpotter, NameSpotterRequest)
    FAKE_WRITE(AcceptSpotting, AcceptSpottingRequest)
    FAKE_WRITE(LeaveSpotting, LeaveSpottingRequest)
    FAKE_WRITE(SwapDriver, SwapDriverRequest)
    FAKE_WRITE(AcceptGate, AcceptGateRequest)
    FAKE_WRITE(RequestRelease, RequestReleaseRequest)
    FAKE_WRITE(BeginMove, BeginMoveRequest)
    FAKE_WRITE(HoldMove, HoldMoveRequest)
    FAKE_WRITE(ParkMove, ParkMoveRequest)
    FAKE_WRITE(CloseMove, CloseMoveRequest)
    FAKE_WRITE(StopMove, StopMoveRequest)
    FAKE_WRITE(AllowRestart, AllowRestartRequest)
    FAKE_WRITE(RefuseMove, RefuseMoveRequest)
    FAKE_WRITE(WithdrawMove, WithdrawMoveRequest)
    FAKE_WRITE(ReportAway, ReportAwayRequest)
    FAKE_WRITE(ReportBreakdown, ReportBreakdownRequest)

    grpc::Status Confirm(grpc::ServerContext* context, const v1::ConfirmRequest* request,
                         v1::Receipt* reply) override {
      const grpc::Status status = fake_.Take("Confirm", *context, *request);
      if (!status.ok()) return status;
      *reply = fake_.receipt;
      const std::lock_guard lock(fake_.mutex_);
      if (fake_.on_confirm) fake_.on_confirm(*request);
      return status;
    }
    grpc::Status GetMove(grpc::ServerContext* context, const v1::GetMoveRequest* request,
                         v1::Move* reply) override {
      const grpc::Status status = fake_.Take("GetMove", *context, *request);
      if (!status.ok()) return status;
      const std::lock_guard lock(fake_.mutex_);
      for (const v1::Move& move : fake_.moves) {
        if (move.name() != request->name()) continue;
        *reply = move;
        return status;
      }
      return {grpc::StatusCode::NOT_FOUND, request->name() + ": no such move"};
    }
    grpc::Status ListMoves(grpc::ServerContext* context, const v1::ListMovesRequest* request,
                           v1::ListMovesResponse* reply) override {
      const grpc::Status status = fake_.Take("ListMoves", *context, *request);
      for (const v1::Move& move : fake_.moves) {
        if (!request->machine().empty() && move.machine() != request->machine()) continue;
        if (!request->person().empty() && move.driver() != request->person() &&
            move.spotter() != request->person())
          continue;
        *reply->add_moves() = move;
      }
      return status;
    }
    grpc::Status WatchMove(grpc::ServerContext* context, const v1::WatchMoveRequest* request,
                           grpc::ServerWriter<v1::Move>* writer) override {
      const grpc::Status status = fake_.Take("WatchMove", *context, *request);
      for (const v1::Move& move : fake_.watched) writer->Write(move);
      return status;
    }

   private:
    FakeServer& fake_;
  } moves;

  class Yards final : public v1::YardService::Service {
   public:
    explicit Yards(FakeServer& fake) : fake_(fake) {}
    FAKE_WRITE(ReloadYard, ReloadYardRequest)
    FAKE_WRITE(BeginShift, BeginShiftRequest)
    FAKE_WRITE(EndShift, EndShiftRequest)
    FAKE_WRITE(HoldYard, HoldYardRequest)
    FAKE_WRITE(LiftHold, LiftHoldRequest)
    FAKE_WRITE(ReportDoor, ReportDoorRequest)
    FAKE_WRITE(ReturnDoor, ReturnDoorRequest)
    FAKE_WRITE(HangTag, HangTagRequest)
    FAKE_WRITE(ClearTag, ClearTagRequest)
    FAKE_WRITE(RecordInspection, RecordInspectionRequest)
    FAKE_WRITE(RecordPutDown, RecordPutDownRequest)
    FAKE_WRITE(ClearGround, ClearGroundRequest)

    grpc::Status GetYard(grpc::ServerContext* context, const v1::GetYardRequest* request,
                         v1::Yard* reply) override {
      *reply = fake_.yard;
      return fake_.Take("GetYard", *context, *request);
    }
    grpc::Status GetYardVersion(grpc::ServerContext* context,
                                const v1::GetYardVersionRequest* request,
                                v1::YardVersion* reply) override {
      reply->set_name(request->name());
      (*reply->mutable_files())["machines.csv"] = "unit\n";
      return fake_.Take("GetYardVersion", *context, *request);
    }
    grpc::Status WatchYard(grpc::ServerContext* context, const v1::WatchYardRequest* request,
                           grpc::ServerWriter<v1::YardEvent>* writer) override {
      const grpc::Status status = fake_.Take("WatchYard", *context, *request);
      for (const v1::YardEvent& event : fake_.events) writer->Write(event);
      return status;
    }

   private:
    FakeServer& fake_;
  } yards;

  class People final : public v1::PeopleService::Service {
   public:
    explicit People(FakeServer& fake) : fake_(fake) {}
    grpc::Status WhoAmI(grpc::ServerContext* context, const v1::WhoAmIRequest* request,
                        v1::Identity* reply) override {
      *reply = fake_.me;
      return fake_.Take("WhoAmI", *context, *request);
    }
    grpc::Status IssueToken(grpc::ServerContext* context, const v1::IssueTokenRequest* request,
                            v1::IssuedToken* reply) override {
      reply->mutable_token()->set_name("yards/north/tokens/9");
      reply->mutable_token()->set_person(request->person());
      reply->set_secret("secret-of-nine");
      return fake_.Take("IssueToken", *context, *request);
    }
    grpc::Status ListTokens(grpc::ServerContext* context, const v1::ListTokensRequest* request,
                            v1::ListTokensResponse* reply) override {
      v1::Token& token = *reply->add_tokens();
      token.set_name(request->page_token().empty() ? "yards/north/tokens/1"
                                                   : "yards/north/tokens/2");
      token.set_person("ana");
      if (request->page_token().empty()) reply->set_next_page_token("2");
      return fake_.Take("ListTokens", *context, *request);
    }
    grpc::Status RevokeToken(grpc::ServerContext* context, const v1::RevokeTokenRequest* request,
                             v1::Token* reply) override {
      reply->set_name(request->name());
      reply->set_revoked_by("ana");
      return fake_.Take("RevokeToken", *context, *request);
    }

   private:
    FakeServer& fake_;
  } people;

  class Ledger final : public v1::LedgerService::Service {
   public:
    explicit Ledger(FakeServer& fake) : fake_(fake) {}
    grpc::Status GetCheckpoint(grpc::ServerContext* context,
                               const v1::GetCheckpointRequest* request,
                               v1::Checkpoint* reply) override {
      reply->set_signed_bytes("no checkpoint\n");
      return fake_.Take("GetCheckpoint", *context, *request);
    }

   private:
    FakeServer& fake_;
  } ledger;

  class History final : public v1::HistoryService::Service {
   public:
    explicit History(FakeServer& fake) : fake_(fake) {}
    grpc::Status ListMoveRecords(grpc::ServerContext* context,
                                 const v1::ListMoveRecordsRequest* request,
                                 v1::ListMoveRecordsResponse* reply) override {
      *reply = fake_.records;
      return fake_.Take("ListMoveRecords", *context, *request);
    }
    grpc::Status SummariseMoves(grpc::ServerContext* context,
                                const v1::SummariseMovesRequest* request,
                                v1::MovesSummary* reply) override {
      *reply = fake_.summary;
      return fake_.Take("SummariseMoves", *context, *request);
    }

   private:
    FakeServer& fake_;
  } history;

  class Rehearsals final : public v1::RehearsalService::Service {
   public:
    explicit Rehearsals(FakeServer& fake) : fake_(fake) {}
    grpc::Status AdvanceClock(grpc::ServerContext* context, const v1::AdvanceClockRequest* request,
                              v1::AdvanceClockResponse* reply) override {
      reply->mutable_time()->set_seconds(request->by().seconds());
      return fake_.Take("AdvanceClock", *context, *request);
    }

   private:
    FakeServer& fake_;
  } rehearsals;
};

FakeServer::FakeServer() : services_(std::make_unique<Services>(*this)) {
  me = FromText<v1::Identity>(
      R"(yard: "yards/north" person: "ana" title: "Ana Ruiz" roles: "driver" token:
          "yards/north/tokens/3")");
  receipt = FromText<v1::Receipt>(
      R"(name: "yards/north/moves/14" entry: 812 entry_time { seconds: 1795561331 }
                                     move_state: MOVE_STATE_REQUESTED)");
  grpc::ServerBuilder builder;
  builder.AddListeningPort("127.0.0.1:0", grpc::InsecureServerCredentials(), &port_);
  builder.RegisterService(&services_->moves);
  builder.RegisterService(&services_->yards);
  builder.RegisterService(&services_->people);
  builder.RegisterService(&services_->ledger);
  builder.RegisterService(&services_->history);
  builder.RegisterService(&services_->rehearsals);
  server_ = builder.BuildAndStart();
}

FakeServer::~FakeServer() { server_->Shutdown(std::chrono::system_clock::now()); }

void FakeServer::Fail(grpc::Status status) {
  const std::lock_guard lock(mutex_);
  fail_.push_back(std::move(status));
}

void FakeServer::AlwaysFail(const std::string& method, grpc::Status status) {
  const std::lock_guard lock(mutex_);
  always_fail_[method] = std::move(status);
}

std::vector<FakeCall> FakeServer::calls() const {
  const std::lock_guard lock(mutex_);
  return calls_;
}

std::vector<FakeCall> FakeServer::calls(const std::string& method) const {
  std::vector<FakeCall> some = calls();
  std::erase_if(some, [&](const FakeCall& call) { return call.method != method; });
  return some;
}

grpc::Status FakeServer::Take(const std::string& method, const grpc::ServerContext& context,
                              const google::protobuf::Message& request) {
  const std::lock_guard lock(mutex_);
  FakeCall call{.method = method,
                .authorization = {},
                .request_id = RequestIdOf(request),
                .request = nullptr};
  call.request.reset(request.New());
  call.request->CopyFrom(request);
  if (const auto found = context.client_metadata().find("authorization");
      found != context.client_metadata().end()) {
    call.authorization.assign(found->second.data(), found->second.size());
  }
  calls_.push_back(std::move(call));
  if (const auto always = always_fail_.find(method); always != always_fail_.end())
    return always->second;
  if (fail_.empty() || method == "WhoAmI") return grpc::Status::OK;
  grpc::Status status = fail_.front();
  fail_.pop_front();
  return status;
}

grpc::Status WithDetail(grpc::StatusCode code, const std::string& message,
                        const google::protobuf::Message& detail) {
  v1::StatusEnvelope envelope;
  envelope.set_code(code);
  envelope.set_message(message);
  envelope.add_details()->PackFrom(detail);
  return {code, message, envelope.SerializeAsString()};
}

Lines Ran::lines() const {
  Lines lines;
  std::istringstream text(out);
  for (std::string line; std::getline(text, line);) lines.push_back(line);
  return lines;
}

Ran RunCli(const std::vector<std::string>& arguments, const RunSetting& setting) {
  std::istringstream in(setting.input);
  std::ostringstream out;
  std::ostringstream err;
  Ran ran;
  ran.exit = Run(arguments, Io{.in = in,
                               .out = out,
                               .err = err,
                               .environment =
                                   [&](const char* name) {
                                     const auto found = setting.environment.find(name);
                                     return found == setting.environment.end() ? std::string()
                                                                               : found->second;
                                   },
                               .in_is_terminal = setting.terminal,
                               .out_is_terminal = setting.terminal,
                               .columns = setting.columns});
  ran.out = out.str();
  ran.err = err.str();
  return ran;
}

Ran RunCli(const std::vector<std::string>& arguments, const FakeServer& server,
           RunSetting setting) {
  setting.environment.emplace("CHOCKWISE_SERVER", server.address());
  setting.environment.emplace("CHOCKWISE_TOKEN", "token-of-ana");
  return RunCli(arguments, setting);
}

}  // namespace chockwise::cli
