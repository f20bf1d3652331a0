// What all adapters share: who is calling, and the jobs that most calls are.
//
// An adapter turns a request into a command, or a question into a read, and lets the yard's writer
// have it:
//
//   grpc::ServerUnaryReactor* ParkMove(grpc::CallbackServerContext* context, const
//   v1::ParkMoveRequest* request,
//                                      v1::Receipt* receipt) override {
//     return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_park_move);
//   }
//
// Safe from any thread.
#pragma once

#include <grpcpp/server_context.h>
#include <grpcpp/support/server_callback.h>

#include <memory>
#include <string>
#include <utility>

#include "services/server/bad_token_limit.h"
#include "services/server/clock.h"
#include "services/server/errands.h"
#include "services/server/identity.h"
#include "services/server/secrets.h"
#include "services/server/status_mapping.h"
#include "services/server/watch_hub.h"
#include "services/server/yard_writer.h"

namespace chockwise::server {

struct Front {
  YardWriter* writer = nullptr;
  Clock* clock = nullptr;
  Identities* identities = nullptr;
  WatchHub* watchers = nullptr;
  Errands* errands = nullptr;
  BadTokenLimit* bad_tokens = nullptr;
  std::shared_ptr<spdlog::logger> logger;
  std::string yard_folder;
  bool rehearsal = false;
};

using HolderOr = absl::StatusOr<std::shared_ptr<const Holder>>;

/// UNAUTHENTICATED without a good token, PERMISSION_DENIED where its holder has left the register,
/// RESOURCE_EXHAUSTED for further bad tokens from a peer that has sent many.
HolderOr Identify(const Front& front, const grpc::CallbackServerContext& context);
/// The same for who calls a stop or a hold: any good token will do, and nothing is counted. Law 5.
HolderOr IdentifyForStop(const Front& front, const grpc::CallbackServerContext& context);

/// A call that is answered with one message. Make one per call: asking the context twice for its
/// reactor makes two.
template <class Response>
struct Call {
  Call(grpc::CallbackServerContext* its_context, Response* its_response)
      : context(its_context), reactor(its_context->DefaultReactor()), response(its_response) {}
  grpc::ServerUnaryReactor* Finish(const grpc::Status& status) const {
    reactor->Finish(status);
    return reactor;
  }
  grpc::CallbackServerContext* context;  // gone once the call is finished
  grpc::ServerUnaryReactor* reactor;
  Response* response;
};

/// Records a command and answers with what was recorded. Subclasses say how, in Reply().
class CommandJob : public Job {
 public:
  template <class Response>
  CommandJob(const Call<Response>& call, v1::Command command, Lane lane = Lane::kOrdinary)
      : Job(lane), command_(std::move(command)), reactor_(call.reactor) {
    deadline = call.context->deadline();
  }
  void Work(Desk& desk) override { verdict_ = desk.Record(command_); }
  void Answer() override { reactor_->Finish(Finished()); }
  void Fail(const absl::Status& why) override { reactor_->Finish(ToGrpc(why)); }

 protected:
  /// Fills the response from a recorded yes.
  virtual grpc::Status Reply(const Recorded& recorded) = 0;
  const v1::Command& command() const { return command_; }
  const Verdict& verdict() const { return verdict_; }

 private:
  grpc::Status Finished();

  const v1::Command command_;
  grpc::ServerUnaryReactor* const reactor_;
  Verdict verdict_;
};

class ReceiptJob final : public CommandJob {
 public:
  ReceiptJob(const Call<v1::Receipt>& call, v1::Command command, std::string yard_id,
             Lane lane = Lane::kOrdinary)
      : CommandJob(call, std::move(command), lane),
        receipt_(call.response),
        yard_id_(std::move(yard_id)) {}

 protected:
  grpc::Status Reply(const Recorded& recorded) override;

 private:
  v1::Receipt* const receipt_;
  const std::string yard_id_;
};

/// Reads the yard: `read` is called once with the desk on the writer's thread, fills the response
/// and returns the status.
template <class Read>
class ReadJob final : public Job {
 public:
  template <class Response>
  ReadJob(const Call<Response>& call, Read read) : read_(std::move(read)), reactor_(call.reactor) {
    deadline = call.context->deadline();
  }
  void Work(Desk& desk) override { status_ = read_(desk); }
  void Answer() override { reactor_->Finish(status_); }
  void Fail(const absl::Status& why) override { reactor_->Finish(ToGrpc(why)); }

 private:
  Read read_;
  grpc::ServerUnaryReactor* const reactor_;
  grpc::Status status_;
};

template <class Response, class Read>
grpc::ServerUnaryReactor* TakeRead(const Front& front, const Call<Response>& call, Read read) {
  front.writer->Post(std::make_unique<ReadJob<Read>>(call, std::move(read)));
  return call.reactor;
}

/// Runs `work`, which returns the status, on an errand's thread. What it captures must live until
/// the call is finished.
template <class Work>
grpc::ServerUnaryReactor* TakeErrand(const Front& front, grpc::ServerUnaryReactor* reactor,
                                     Work work) {
  const absl::Status taken =
      front.errands->Run([reactor, work = std::move(work)] { reactor->Finish(work()); });
  if (!taken.ok()) reactor->Finish(ToGrpc(taken));
  return reactor;
}

/// Person, request id and digest of a command. INVALID_ARGUMENT where the request id is no UUID.
absl::Status BeginCommand(const Holder& holder, const std::string& request_id,
                          const google::protobuf::Message& request, v1::Command& command);
/// The same for a stop, which is taken without a request id too.
void BeginStop(const Holder& holder, const std::string& request_id,
               const google::protobuf::Message& request, v1::Command& command);
grpc::Status BadRequestId();

template <class Request>
grpc::ServerUnaryReactor* TakeCommand(const Front& front, const Call<v1::Receipt>& call,
                                      const Request& request, Request* (v1::Command::*verb)()) {
  const HolderOr holder = Identify(front, *call.context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  v1::Command command;
  if (!BeginCommand(**holder, request.request_id(), request, command).ok())
    return call.Finish(BadRequestId());
  *(command.*verb)() = request;
  front.writer->Post(
      std::make_unique<ReceiptJob>(call, std::move(command), front.writer->yard_id()));
  return call.reactor;
}

template <class Request>
grpc::ServerUnaryReactor* TakeStop(const Front& front, const Call<v1::Receipt>& call,
                                   const Request& request, Request* (v1::Command::*verb)()) {
  const HolderOr holder = IdentifyForStop(front, *call.context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  v1::Command command;
  BeginStop(**holder, request.request_id(), request, command);
  *(command.*verb)() = request;
  front.writer->Post(std::make_unique<ReceiptJob>(call, std::move(command), front.writer->yard_id(),
                                                  Job::Lane::kStop));
  return call.reactor;
}

}  // namespace chockwise::server
