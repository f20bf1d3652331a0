#include "services/server/front.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include "services/moves/describe.h"
#include "services/server/decision_log.h"
#include "services/server/failure.h"

namespace chockwise::server {
namespace {

constexpr std::string_view kBearer = "Bearer ";

std::string_view SecretIn(const grpc::CallbackServerContext& context) {
  const auto& metadata = context.client_metadata();
  const auto found = metadata.find("authorization");
  if (found == metadata.end()) return {};
  const std::string_view value(found->second.data(), found->second.size());
  if (value.substr(0, kBearer.size()) != kBearer) return {};
  return value.substr(kBearer.size());
}

HolderOr FindHolder(const Front& front, const grpc::CallbackServerContext& context) {
  const std::string_view secret = SecretIn(context);
  if (secret.empty() || secret.size() > kMaxSecretBytes) {
    return absl::UnauthenticatedError(
        "no token; send the metadata \"authorization: Bearer <token>\"");
  }
  return front.identities->Find(SecretHash(secret), front.clock->Now());
}

}  // namespace

HolderOr Identify(const Front& front, const grpc::CallbackServerContext& context) {
  HolderOr holder = FindHolder(front, context);
  if (!holder.ok()) {
    const std::string peer = PeerAddress(context.peer());
    if (!front.bad_tokens->Allow(peer, std::chrono::steady_clock::now())) {
      return absl::ResourceExhaustedError(
          "too many calls without a good token came from this address; wait a minute");
    }
    LogEvent(*front.logger, Severity::kInfo,
             fmt::format("event=unauthenticated peer={} why=\"{}\"", peer, Why(holder.status())));
    return holder;
  }
  if (!(*holder)->registered) {
    return absl::PermissionDeniedError((*holder)->person +
                                       " is not in the register any more; a yard lead adds people");
  }
  return holder;
}

HolderOr IdentifyForStop(const Front& front, const grpc::CallbackServerContext& context) {
  return FindHolder(front, context);
}

grpc::Status CommandJob::Finished() {
  if (const auto* failure = std::get_if<absl::Status>(&verdict_)) return ToGrpc(*failure);
  if (const auto* refusal = std::get_if<moves::Refusal>(&verdict_)) return ToGrpc(*refusal);
  const Recorded& recorded = std::get<Recorded>(verdict_);
  if (const std::optional<moves::Refusal> refusal = moves::RefusalIn(recorded.entry))
    return ToGrpc(*refusal);
  return Reply(recorded);
}

grpc::Status ReceiptJob::Reply(const Recorded& recorded) {
  *receipt_ = moves::ReceiptFor(yard_id_, recorded.entry, recorded.number);
  return grpc::Status::OK;
}

absl::Status BeginCommand(const Holder& holder, const std::string& request_id,
                          const google::protobuf::Message& request, v1::Command& command) {
  std::optional<std::string> id = UuidBytes(request_id);
  if (!id) return absl::InvalidArgumentError("request_id");
  command.set_person(holder.person);
  command.set_request_id(*std::move(id));
  command.set_request_digest(RequestDigest(request));
  return absl::OkStatus();
}

void BeginStop(const Holder& holder, const std::string& request_id,
               const google::protobuf::Message& request, v1::Command& command) {
  std::optional<std::string> id = UuidBytes(request_id);
  command.set_person(holder.person);
  command.set_request_id(id ? *std::move(id) : RandomUuidBytes());
  command.set_request_digest(RequestDigest(request));
}

grpc::Status BadRequestId() {
  return ToGrpc(moves::RefuseField("request_id",
                                   "is not a UUID; make a new one for each request, like "
                                   "1b4e28ba-2fa1-11d2-883f-0016d3cca427")
                    .value());
}

}  // namespace chockwise::server
