#include "services/server/rehearsal_service.h"

#include <google/protobuf/util/time_util.h>

namespace chockwise::server {

using google::protobuf::util::TimeUtil;

grpc::ServerUnaryReactor* RehearsalService::AdvanceClock(grpc::CallbackServerContext* context,
                                                         const v1::AdvanceClockRequest* request,
                                                         v1::AdvanceClockResponse* response) {
  const Call<v1::AdvanceClockResponse> call(context, response);
  const HolderOr holder = Identify(front_, *context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  const google::protobuf::Duration& by = request->by();
  // Compared before it is made into microseconds: what a client sends may not fit.
  const bool in_range = by.seconds() >= 0 && by.seconds() <= fit::Days(1).micros() / 1'000'000 &&
                        by.nanos() >= 0 && by.nanos() < 1'000'000'000;
  const fit::Duration micros =
      in_range ? fit::Duration::FromMicros(TimeUtil::DurationToMicroseconds(by)) : fit::Duration();
  if (micros <= fit::Duration() || micros > fit::Days(1)) {
    return call.Finish(
        ToGrpc(moves::RefuseField("by", "is more than zero and at most 24 hours").value()));
  }
  return TakeRead(front_, call, [clock = front_.clock, micros, response](Desk& desk) {
    if (const absl::Status moved = clock->Advance(micros); !moved.ok()) return ToGrpc(moved);
    v1::Command tick;
    tick.mutable_tick();
    desk.Record(tick);
    *response->mutable_time() = TimeUtil::MicrosecondsToTimestamp(desk.now().micros());
    return grpc::Status::OK;
  });
}

}  // namespace chockwise::server
