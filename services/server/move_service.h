// MoveService over the yard's writer. Thin: requests become commands, questions become reads.
#pragma once

#include "chockwise/v1/moves.grpc.pb.h"
#include "services/server/front.h"

namespace chockwise::server {

class MoveService final : public v1::MoveService::CallbackService {
 public:
  explicit MoveService(Front front) : front_(std::move(front)) {}

  using Context = grpc::CallbackServerContext;
  using Reactor = grpc::ServerUnaryReactor;

  Reactor* RequestMove(Context* context, const v1::RequestMoveRequest* request,
                       v1::Receipt* receipt) override;
  Reactor* GetMove(Context* context, const v1::GetMoveRequest* request, v1::Move* move) override;
  Reactor* ListMoves(Context* context, const v1::ListMovesRequest* request,
                     v1::ListMovesResponse* page) override;
  Reactor* NameSpotter(Context* context, const v1::NameSpotterRequest* request,
                       v1::Receipt* receipt) override;
  Reactor* AcceptSpotting(Context* context, const v1::AcceptSpottingRequest* request,
                          v1::Receipt* receipt) override;
  Reactor* LeaveSpotting(Context* context, const v1::LeaveSpottingRequest* request,
                         v1::Receipt* receipt) override;
  Reactor* SwapDriver(Context* context, const v1::SwapDriverRequest* request,
                      v1::Receipt* receipt) override;
  Reactor* Confirm(Context* context, const v1::ConfirmRequest* request,
                   v1::Receipt* receipt) override;
  Reactor* AcceptGate(Context* context, const v1::AcceptGateRequest* request,
                      v1::Receipt* receipt) override;
  Reactor* RequestRelease(Context* context, const v1::RequestReleaseRequest* request,
                          v1::Receipt* receipt) override;
  Reactor* BeginMove(Context* context, const v1::BeginMoveRequest* request,
                     v1::Receipt* receipt) override;
  Reactor* HoldMove(Context* context, const v1::HoldMoveRequest* request,
                    v1::Receipt* receipt) override;
  Reactor* ParkMove(Context* context, const v1::ParkMoveRequest* request,
                    v1::Receipt* receipt) override;
  Reactor* CloseMove(Context* context, const v1::CloseMoveRequest* request,
                     v1::Receipt* receipt) override;
  Reactor* StopMove(Context* context, const v1::StopMoveRequest* request,
                    v1::Receipt* receipt) override;
  Reactor* AllowRestart(Context* context, const v1::AllowRestartRequest* request,
                        v1::Receipt* receipt) override;
  Reactor* RefuseMove(Context* context, const v1::RefuseMoveRequest* request,
                      v1::Receipt* receipt) override;
  Reactor* WithdrawMove(Context* context, const v1::WithdrawMoveRequest* request,
                        v1::Receipt* receipt) override;
  Reactor* ReportAway(Context* context, const v1::ReportAwayRequest* request,
                      v1::Receipt* receipt) override;
  Reactor* ReportBreakdown(Context* context, const v1::ReportBreakdownRequest* request,
                           v1::Receipt* receipt) override;
  grpc::ServerWriteReactor<v1::Move>* WatchMove(Context* context,
                                                const v1::WatchMoveRequest* request) override;

 private:
  const Front front_;
};

}  // namespace chockwise::server
