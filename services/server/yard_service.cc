#include "services/server/yard_service.h"

#include <fmt/format.h>
#include <google/protobuf/util/time_util.h>

#include "services/moves/describe.h"
#include "services/moves/names.h"
#include "services/server/yard_loading.h"

namespace chockwise::server {
namespace {

using Reactor = grpc::ServerUnaryReactor;

moves::Refusal NoSuchYard(const std::string& name, const std::string& yard_id) {
  return moves::RefuseNotFound(
             fmt::format("no yard \"{}\" here; this server has {}", name, moves::YardName(yard_id)))
      .value();
}

// An old version, read from its entry in the ledger: exactly the bytes that were loaded.
grpc::Status ReadVersion(const Front& front, int64_t entry_number, const std::string& name,
                         v1::YardVersion& version) {
  absl::StatusOr<std::unique_ptr<ledger::Reader>> reader = front.writer->NewReader();
  if (!reader.ok()) return ToGrpc(reader.status());
  absl::StatusOr<std::vector<ledger::Entry>> read =
      (*reader)->Read(static_cast<uint64_t>(entry_number), 1);
  if (!read.ok()) return ToGrpc(read.status());
  v1::Entry entry;
  if (read->size() != 1 || !entry.ParseFromString(read->front().bytes) ||
      !entry.has_yard_loaded()) {
    return ToGrpc(absl::DataLossError(
        fmt::format("entry {} is not the yard version that it was", entry_number)));
  }
  version.set_name(name);
  version.set_digest(entry.yard_loaded().digest());
  version.set_loaded_by(entry.person());
  *version.mutable_load_time() =
      google::protobuf::util::TimeUtil::MicrosecondsToTimestamp(entry.time_us());
  version.mutable_files()->swap(*entry.mutable_yard_loaded()->mutable_files());
  return grpc::Status::OK;
}

class VersionJob final : public Job {
 public:
  VersionJob(const Front& front, const Call<v1::YardVersion>& call,
             const v1::GetYardVersionRequest* request)
      : front_(front), reactor_(call.reactor), version_(call.response), name_(request->name()) {
    deadline = call.context->deadline();
  }
  void Work(Desk& desk) override {
    const std::optional<int64_t> number = moves::NumberIn(name_, desk.yard().yard->id, "versions");
    if (number) entry_ = desk.EntryOfVersion(*number);
  }
  void Answer() override {
    if (!entry_) {
      reactor_->Finish(
          ToGrpc(moves::RefuseNotFound(name_ + " is no version of this yard").value()));
      return;
    }
    TakeErrand(front_, reactor_,
               [&front = front_, entry = *entry_, name = name_, version = version_] {
                 return ReadVersion(front, entry, name, *version);
               });
  }
  void Fail(const absl::Status& why) override { reactor_->Finish(ToGrpc(why)); }

 private:
  const Front& front_;
  Reactor* const reactor_;
  v1::YardVersion* const version_;
  const std::string name_;
  std::optional<int64_t> entry_;
};

// Answers a repeat; where there is none, sends an errand to read the folder, which comes back as a
// command.
class ReloadJob final : public Job {
 public:
  ReloadJob(const Front& front, const Call<v1::Receipt>& call, v1::Command command)
      : front_(front), call_(call), command_(std::move(command)) {
    deadline = call.context->deadline();
  }
  void Work(Desk& desk) override { recalled_ = desk.Recall(command_).has_value(); }
  void Answer() override {
    if (recalled_) {
      front_.writer->Post(
          std::make_unique<ReceiptJob>(call_, std::move(command_), front_.writer->yard_id()));
      return;
    }
    const absl::Status taken =
        front_.errands->Run([&front = front_, call = call_, command = command_]() mutable {
          if (const grpc::Status read = ReadFolderInto(front.yard_folder, command); !read.ok()) {
            call.Finish(read);
            return;
          }
          front.writer->Post(
              std::make_unique<ReceiptJob>(call, std::move(command), front.writer->yard_id()));
        });
    if (!taken.ok()) call_.Finish(ToGrpc(taken));
  }
  void Fail(const absl::Status& why) override { call_.Finish(ToGrpc(why)); }

 private:
  const Front& front_;
  const Call<v1::Receipt> call_;
  v1::Command command_;
  bool recalled_ = false;
};

class WatchYardJob final : public Job {
 public:
  WatchYardJob(WatchHub* watchers, std::shared_ptr<YardStream> stream, std::string name)
      : watchers_(watchers), stream_(std::move(stream)), name_(std::move(name)) {}

  void Work(Desk& desk) override {
    const std::string& yard_id = desk.yard().yard->id;
    if (name_ != moves::YardName(yard_id)) {
      end_ = ToGrpc(NoSuchYard(name_, yard_id));
    } else if (absl::Status added = watchers_->Add(stream_); !added.ok()) {
      end_ = ToGrpc(added);
    }
  }
  void Answer() override {
    if (end_) {
      stream_->End(*end_);
    } else {
      stream_->StartSendInitialMetadata();  // tells the watcher from when on it misses nothing
    }
  }
  void Fail(const absl::Status& why) override { stream_->End(ToGrpc(why)); }

 private:
  WatchHub* const watchers_;
  const std::shared_ptr<YardStream> stream_;
  const std::string name_;
  std::optional<grpc::Status> end_;
};

}  // namespace

Reactor* YardService::GetYard(Context* context, const v1::GetYardRequest* request, v1::Yard* yard) {
  const Call<v1::Yard> call(context, yard);
  const HolderOr holder = Identify(front_, *context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  return TakeRead(front_, call, [request, yard, rehearsal = front_.rehearsal](Desk& desk) {
    const std::string& yard_id = desk.yard().yard->id;
    if (request->name() != moves::YardName(yard_id))
      return ToGrpc(NoSuchYard(request->name(), yard_id));
    *yard = moves::DescribeYard(desk.yard(), desk.now());
    yard->set_rehearsal(rehearsal);
    yard->set_entries(desk.yard().entries);
    return grpc::Status::OK;
  });
}

Reactor* YardService::GetYardVersion(Context* context, const v1::GetYardVersionRequest* request,
                                     v1::YardVersion* version) {
  const Call<v1::YardVersion> call(context, version);
  const HolderOr holder = Identify(front_, *context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  front_.writer->Post(std::make_unique<VersionJob>(front_, call, request));
  return call.reactor;
}

Reactor* YardService::ReloadYard(Context* context, const v1::ReloadYardRequest* request,
                                 v1::Receipt* receipt) {
  const Call<v1::Receipt> call(context, receipt);
  const HolderOr holder = Identify(front_, *context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  const Holder& caller = **holder;
  if (!caller.HasRole(yard::Role::kYardLead) && !caller.HasRole(yard::Role::kSafetyLead)) {
    return call.Finish(
        ToGrpc(moves::RefuseNotAllowed({.rule = "role",
                                        .problem = caller.person + " may not load a yard",
                                        .remedy = "A yard lead or safety lead does it."})
                   .value()));
  }
  const std::string& yard_id = front_.writer->yard_id();
  if (request->name() != moves::YardName(yard_id))
    return call.Finish(ToGrpc(NoSuchYard(request->name(), yard_id)));
  v1::Command command;
  if (!BeginCommand(caller, request->request_id(), *request, command).ok())
    return call.Finish(BadRequestId());
  command.mutable_load_yard();
  front_.writer->Post(std::make_unique<ReloadJob>(front_, call, std::move(command)));
  return call.reactor;
}

Reactor* YardService::HoldYard(Context* context, const v1::HoldYardRequest* request,
                               v1::Receipt* receipt) {
  return TakeStop(front_, {context, receipt}, *request, &v1::Command::mutable_hold_yard);
}

grpc::ServerWriteReactor<v1::YardEvent>* YardService::WatchYard(
    Context* context, const v1::WatchYardRequest* request) {
  const HolderOr holder = Identify(front_, *context);
  std::shared_ptr<YardStream> stream = YardStream::Make(holder.ok() ? (*holder)->person : "");
  YardStream* const reactor = stream.get();
  if (holder.ok()) {
    front_.writer->Post(
        std::make_unique<WatchYardJob>(front_.watchers, std::move(stream), request->name()));
  } else {
    stream->End(ToGrpc(holder.status()));
  }
  return reactor;
}

Reactor* YardService::BeginShift(Context* context, const v1::BeginShiftRequest* request,
                                 v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_begin_shift);
}

Reactor* YardService::EndShift(Context* context, const v1::EndShiftRequest* request,
                               v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_end_shift);
}

Reactor* YardService::LiftHold(Context* context, const v1::LiftHoldRequest* request,
                               v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_lift_hold);
}

Reactor* YardService::ReportDoor(Context* context, const v1::ReportDoorRequest* request,
                                 v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_report_door);
}

Reactor* YardService::ReturnDoor(Context* context, const v1::ReturnDoorRequest* request,
                                 v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_return_door);
}

Reactor* YardService::HangTag(Context* context, const v1::HangTagRequest* request,
                              v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_hang_tag);
}

Reactor* YardService::ClearTag(Context* context, const v1::ClearTagRequest* request,
                               v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_clear_tag);
}

Reactor* YardService::RecordInspection(Context* context, const v1::RecordInspectionRequest* request,
                                       v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_record_inspection);
}

Reactor* YardService::RecordPutDown(Context* context, const v1::RecordPutDownRequest* request,
                                    v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_record_put_down);
}

Reactor* YardService::ClearGround(Context* context, const v1::ClearGroundRequest* request,
                                  v1::Receipt* receipt) {
  return TakeCommand(front_, {context, receipt}, *request, &v1::Command::mutable_clear_ground);
}

}  // namespace chockwise::server
