// YardService over the yard's writer. Reading a folder or an old version leaves the writer's
// thread.
#pragma once

#include "chockwise/v1/yards.grpc.pb.h"
#include "services/server/front.h"

namespace chockwise::server {

class YardService final : public v1::YardService::CallbackService {
 public:
  explicit YardService(Front front) : front_(std::move(front)) {}

  using Context = grpc::CallbackServerContext;
  using Reactor = grpc::ServerUnaryReactor;

  Reactor* GetYard(Context* context, const v1::GetYardRequest* request, v1::Yard* yard) override;
  Reactor* GetYardVersion(Context* context, const v1::GetYardVersionRequest* request,
                          v1::YardVersion* version) override;
  Reactor* ReloadYard(Context* context, const v1::ReloadYardRequest* request,
                      v1::Receipt* receipt) override;
  Reactor* HoldYard(Context* context, const v1::HoldYardRequest* request,
                    v1::Receipt* receipt) override;
  Reactor* BeginShift(Context* context, const v1::BeginShiftRequest* request,
                      v1::Receipt* receipt) override;
  Reactor* EndShift(Context* context, const v1::EndShiftRequest* request,
                    v1::Receipt* receipt) override;
  Reactor* LiftHold(Context* context, const v1::LiftHoldRequest* request,
                    v1::Receipt* receipt) override;
  Reactor* ReportDoor(Context* context, const v1::ReportDoorRequest* request,
                      v1::Receipt* receipt) override;
  Reactor* ReturnDoor(Context* context, const v1::ReturnDoorRequest* request,
                      v1::Receipt* receipt) override;
  Reactor* HangTag(Context* context, const v1::HangTagRequest* request,
                   v1::Receipt* receipt) override;
  Reactor* ClearTag(Context* context, const v1::ClearTagRequest* request,
                    v1::Receipt* receipt) override;
  Reactor* RecordInspection(Context* context, const v1::RecordInspectionRequest* request,
                            v1::Receipt* receipt) override;
  Reactor* RecordPutDown(Context* context, const v1::RecordPutDownRequest* request,
                         v1::Receipt* receipt) override;
  Reactor* ClearGround(Context* context, const v1::ClearGroundRequest* request,
                       v1::Receipt* receipt) override;
  grpc::ServerWriteReactor<v1::YardEvent>* WatchYard(Context* context,
                                                     const v1::WatchYardRequest* request) override;

 private:
  const Front front_;
};

}  // namespace chockwise::server
