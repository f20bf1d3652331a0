#include "services/server/ledger_service.h"

#include <fmt/format.h>
#include <google/protobuf/util/time_util.h>

#include <charconv>

#include "services/moves/names.h"

namespace chockwise::server {
namespace {

using Reactor = grpc::ServerUnaryReactor;

std::string Bytes(std::span<const uint8_t> bytes) { return std::string(ledger::AsChars(bytes)); }

void Fill(const ledger::Checkpoint& from, v1::Checkpoint& to) {
  const std::string text = ledger::CheckpointText(from);
  to.set_size(static_cast<int64_t>(from.size));
  to.set_root(Bytes(from.root));
  *to.mutable_time() = google::protobuf::util::TimeUtil::MicrosecondsToTimestamp(from.time_micros);
  to.set_signed_bytes(text.substr(0, text.rfind("signature ")));
  to.set_signature(Bytes(from.signature));
}

class CheckpointJob final : public Job {
 public:
  explicit CheckpointJob(const Call<v1::Checkpoint>& call)
      : reactor_(call.reactor), out_(call.response) {
    deadline = call.context->deadline();
  }
  void Work(Desk& desk) override { desk.WantCheckpoint(&checkpoint_); }
  void Answer() override {
    Fill(checkpoint_, *out_);
    reactor_->Finish(grpc::Status::OK);
  }
  void Fail(const absl::Status& why) override { reactor_->Finish(ToGrpc(why)); }

 private:
  Reactor* const reactor_;
  v1::Checkpoint* const out_;
  ledger::Checkpoint checkpoint_;
};

// "yards/{yard}/entries/{number}", where numbers begin at 0: the one name that NumberIn does not
// read.
std::optional<int64_t> EntryNumber(const std::string& name, const std::string& yard_id) {
  const std::optional<std::string_view> id = moves::IdIn(name, yard_id, "entries");
  if (!id || id->empty() || (id->size() > 1 && id->front() == '0') || id->front() == '-')
    return std::nullopt;
  int64_t number = 0;
  const auto read = std::from_chars(id->data(), id->data() + id->size(), number);
  if (read.ec != std::errc() || read.ptr != id->data() + id->size()) return std::nullopt;
  return number;
}

moves::Refusal NoSuchYard(const std::string& name) {
  return moves::RefuseNotFound("no yard \"" + name + "\" here").value();
}

grpc::Status BeyondTree(int64_t size, int64_t acknowledged) {
  return ToGrpc(
      absl::OutOfRangeError(fmt::format("the tree has {} entries, not {}", acknowledged, size)));
}

grpc::Status ProveEntry(const Front& front, int64_t number, const v1::GetEntryRequest& request,
                        v1::EntryWithProof& out) {
  const int64_t acknowledged = front.writer->acknowledged();
  const int64_t size = request.tree_size() == 0 ? acknowledged : request.tree_size();
  if (size < 0)
    return ToGrpc(
        moves::RefuseField("tree_size", "is below 0; 0 means the tree as it stands").value());
  if (size > acknowledged) return BeyondTree(size, acknowledged);
  if (number >= size) {
    return ToGrpc(absl::OutOfRangeError(
        fmt::format("entry {} is not in a tree of {} entries", number, size)));
  }
  absl::StatusOr<std::unique_ptr<ledger::Reader>> reader = front.writer->NewReader();
  if (!reader.ok()) return ToGrpc(reader.status());
  absl::StatusOr<std::vector<ledger::Entry>> read =
      (*reader)->Read(static_cast<uint64_t>(number), 1);
  if (!read.ok()) return ToGrpc(read.status());
  if (read->size() != 1)
    return ToGrpc(absl::NotFoundError(fmt::format("there is no entry {}", number)));
  const absl::StatusOr<ledger::Proof> proof = (*reader)->ProveInclusion(
      {.index = static_cast<uint64_t>(number), .size = static_cast<uint64_t>(size)});
  if (!proof.ok()) return ToGrpc(proof.status());
  out.set_entry(number);
  out.set_bytes(read->front().bytes);
  out.set_tree_size(size);
  for (const ledger::Digest& digest : *proof) out.add_path(Bytes(digest));
  return grpc::Status::OK;
}

grpc::Status ProveConsistent(const Front& front, const v1::GetConsistencyProofRequest& request,
                             v1::ConsistencyProof& out) {
  const int64_t acknowledged = front.writer->acknowledged();
  if (request.first_size() < 1)
    return ToGrpc(moves::RefuseField("first_size", "must be at least 1").value());
  if (request.second_size() < request.first_size()) {
    return ToGrpc(moves::RefuseField("second_size", "must be at least first_size").value());
  }
  if (request.second_size() > acknowledged) return BeyondTree(request.second_size(), acknowledged);
  absl::StatusOr<std::unique_ptr<ledger::Reader>> reader = front.writer->NewReader();
  if (!reader.ok()) return ToGrpc(reader.status());
  const absl::StatusOr<ledger::Proof> proof =
      (*reader)->ProveConsistency({.old_size = static_cast<uint64_t>(request.first_size()),
                                   .new_size = static_cast<uint64_t>(request.second_size())});
  if (!proof.ok()) return ToGrpc(proof.status());
  for (const ledger::Digest& digest : *proof) out.add_path(Bytes(digest));
  return grpc::Status::OK;
}

}  // namespace

Reactor* LedgerService::GetCheckpoint(Context* context, const v1::GetCheckpointRequest* request,
                                      v1::Checkpoint* checkpoint) {
  const Call<v1::Checkpoint> call(context, checkpoint);
  const HolderOr holder = Identify(front_, *context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  if (request->name() != moves::YardName(front_.writer->yard_id()))
    return call.Finish(ToGrpc(NoSuchYard(request->name())));
  front_.writer->Post(std::make_unique<CheckpointJob>(call));
  return call.reactor;
}

Reactor* LedgerService::GetEntry(Context* context, const v1::GetEntryRequest* request,
                                 v1::EntryWithProof* entry) {
  const Call<v1::EntryWithProof> call(context, entry);
  const HolderOr holder = Identify(front_, *context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  const std::optional<int64_t> number = EntryNumber(request->name(), front_.writer->yard_id());
  if (!number)
    return call.Finish(
        ToGrpc(moves::RefuseNotFound("\"" + request->name() + "\" names no entry here").value()));
  return TakeErrand(front_, call.reactor, [this, number = *number, request, entry] {
    return ProveEntry(front_, number, *request, *entry);
  });
}

Reactor* LedgerService::GetConsistencyProof(Context* context,
                                            const v1::GetConsistencyProofRequest* request,
                                            v1::ConsistencyProof* proof) {
  const Call<v1::ConsistencyProof> call(context, proof);
  const HolderOr holder = Identify(front_, *context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  if (request->name() != moves::YardName(front_.writer->yard_id()))
    return call.Finish(ToGrpc(NoSuchYard(request->name())));
  return TakeErrand(front_, call.reactor,
                    [this, request, proof] { return ProveConsistent(front_, *request, *proof); });
}

}  // namespace chockwise::server
