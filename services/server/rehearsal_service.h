// RehearsalService: only a server that serves a rehearsal has it.
#pragma once

#include "chockwise/v1/rehearsals.grpc.pb.h"
#include "services/server/front.h"

namespace chockwise::server {

class RehearsalService final : public v1::RehearsalService::CallbackService {
 public:
  explicit RehearsalService(Front front) : front_(std::move(front)) {}

  /// The clock is moved on the writer's thread and time's effects are recorded before the answer.
  grpc::ServerUnaryReactor* AdvanceClock(grpc::CallbackServerContext* context,
                                         const v1::AdvanceClockRequest* request,
                                         v1::AdvanceClockResponse* response) override;

 private:
  const Front front_;
};

}  // namespace chockwise::server
