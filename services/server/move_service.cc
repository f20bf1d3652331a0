#include "services/server/move_service.h"

#include "services/moves/describe.h"
#include "services/moves/names.h"
#include "services/server/page.h"

namespace chockwise::server {
namespace {

using Reactor = grpc::ServerUnaryReactor;

// The first message of a watch, and the watcher's place among the others, taken at one moment.
class WatchMoveJob final : public Job {
 public:
  WatchMoveJob(WatchHub* watchers, std::shared_ptr<MoveStream> stream, std::string name)
      : watchers_(watchers), stream_(std::move(stream)) {
    request_.set_name(std::move(name));
  }

  void Work(Desk& desk) override {
    moves::Outcome<v1::Move> found = moves::GetMove(desk.yard(), request_, desk.now());
    if (!found) {
      end_ = ToGrpc(found.error());
      return;
    }
    const moves::MoveNumber number =
        moves::NumberIn(request_.name(), desk.yard().yard->id, "moves").value_or(0);
    move_ = std::make_shared<const v1::Move>(*std::move(found));
    if (desk.yard().moves.count(number) == 0) {
      end_ = grpc::Status::OK;  // it has ended: once, and no more
    } else if (absl::Status added = watchers_->Add(number, stream_); !added.ok()) {
      move_ = nullptr;
      end_ = ToGrpc(added);
    }
  }
  void Answer() override {
    if (move_ != nullptr) stream_->Push(move_);
    if (end_) stream_->End(*end_);
  }
  void Fail(const absl::Status& why) override { stream_->End(ToGrpc(why)); }

 private:
  WatchHub* const watchers_;
  const std::shared_ptr<MoveStream> stream_;
  v1::GetMoveRequest request_;
  std::shared_ptr<const v1::Move> move_;
  std::optional<grpc::Status> end_;
};

// A move that ended long ago is not kept here, and its number says that it once was.
grpc::Status NotFoundHere(const moves::Refusal& refusal, const moves::YardState& yard,
                          const std::string& name) {
  const std::optional<int64_t> number = moves::NumberIn(name, yard.yard->id, "moves");
  if (refusal.kind != moves::RefusalKind::kNotFound || !number || *number >= yard.next_move)
    return ToGrpc(refusal);
  moves::Refusal elsewhere = refusal;
  elsewhere.problem = name + " ended a while ago and is not kept here any more";
  elsewhere.remedy = "HistoryService.GetMoveRecord has it.";
  return ToGrpc(elsewhere);
}

}  // namespace

Reactor* MoveService::GetMove(Context* context, const v1::GetMoveRequest* request, v1::Move* move) {
  const Call<v1::Move> call(context, move);
  const HolderOr holder = Identify(front_, *context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  return TakeRead(front_, call, [request, move](Desk& desk) {
    moves::Outcome<v1::Move> found = moves::GetMove(desk.yard(), *request, desk.now());
    if (!found) return NotFoundHere(found.error(), desk.yard(), request->name());
    *move = *std::move(found);
    return grpc::Status::OK;
  });
}

Reactor* MoveService::ListMoves(Context* context, const v1::ListMovesRequest* request,
                                v1::ListMovesResponse* page) {
  const Call<v1::ListMovesResponse> call(context, page);
  const HolderOr holder = Identify(front_, *context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  return TakeRead(front_, call, [request, page](Desk& desk) {
    const std::string& yard_id = desk.yard().yard->id;
    const moves::Outcome<int64_t> after = AfterToken(*request, yard_id);
    if (!after) return ToGrpc(after.error());
    moves::Outcome<moves::MovesPage> found =
        moves::ListMoves(desk.yard(), *request, *after, desk.now());
    if (!found) return ToGrpc(found.error());
    *page = std::move(found->moves);
    if (found->last != 0) page->set_next_page_token(TokenAfter(found->last, *request, yard_id));
    return grpc::Status::OK;
  });
}

Reactor* MoveService::StopMove(Context* context, const v1::StopMoveRequest* request,
                               v1::Receipt* receipt) {
  return TakeStop(front_, {context, receipt}, *request, &v1::Command::mutable_stop_move);
}

grpc::ServerWriteReactor<v1::Move>* MoveService::WatchMove(Context* context,
                                                           const v1::WatchMoveRequest* request) {
  const HolderOr holder = Identify(front_, *context);
  std::shared_ptr<MoveStream> stream = MoveStream::Make(holder.ok() ? (*holder)->person : "");
  MoveStream* const reactor = stream.get();
  if (holder.ok()) {
    front_.writer->Post(
        std::make_unique<WatchMoveJob>(front_.watchers, std::move(stream), request->name()));
  } else {
    stream->End(ToGrpc(holder.status()));
  }
  return reactor;
}

Reactor* MoveService::RequestMove(Context* context, const v1::RequestMoveRequest* request,
                                  v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_request_move);
}

Reactor* MoveService::NameSpotter(Context* context, const v1::NameSpotterRequest* request,
                                  v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_name_spotter);
}

Reactor* MoveService::AcceptSpotting(Context* context, const v1::AcceptSpottingRequest* request,
                                     v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_accept_spotting);
}

Reactor* MoveService::LeaveSpotting(Context* context, const v1::LeaveSpottingRequest* request,
                                    v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_leave_spotting);
}

Reactor* MoveService::SwapDriver(Context* context, const v1::SwapDriverRequest* request,
                                 v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_swap_driver);
}

Reactor* MoveService::Confirm(Context* context, const v1::ConfirmRequest* request,
                              v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_confirm);
}

Reactor* MoveService::AcceptGate(Context* context, const v1::AcceptGateRequest* request,
                                 v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_accept_gate);
}

Reactor* MoveService::RequestRelease(Context* context, const v1::RequestReleaseRequest* request,
                                     v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_request_release);
}

Reactor* MoveService::BeginMove(Context* context, const v1::BeginMoveRequest* request,
                                v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_begin_move);
}

Reactor* MoveService::HoldMove(Context* context, const v1::HoldMoveRequest* request,
                               v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_hold_move);
}

Reactor* MoveService::ParkMove(Context* context, const v1::ParkMoveRequest* request,
                               v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_park_move);
}

Reactor* MoveService::CloseMove(Context* context, const v1::CloseMoveRequest* request,
                                v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_close_move);
}

Reactor* MoveService::AllowRestart(Context* context, const v1::AllowRestartRequest* request,
                                   v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_allow_restart);
}

Reactor* MoveService::RefuseMove(Context* context, const v1::RefuseMoveRequest* request,
                                 v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_refuse_move);
}

Reactor* MoveService::WithdrawMove(Context* context, const v1::WithdrawMoveRequest* request,
                                   v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_withdraw_move);
}

Reactor* MoveService::ReportAway(Context* context, const v1::ReportAwayRequest* request,
                                 v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_report_away);
}

Reactor* MoveService::ReportBreakdown(Context* context, const v1::ReportBreakdownRequest* request,
                                      v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_report_breakdown);
}

}  // namespace chockwise::server
