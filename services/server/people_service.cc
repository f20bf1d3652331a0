#include "services/server/people_service.h"

#include <fmt/format.h>

#include "services/moves/describe.h"
#include "services/moves/limits.h"
#include "services/moves/names.h"
#include "services/server/page.h"

namespace chockwise::server {
namespace {

using Reactor = grpc::ServerUnaryReactor;

constexpr int32_t kDefaultTokenDays = 180;

// The answer holds the token as it is after the command, so it is described on the writer's thread.
class TokenJob : public CommandJob {
 public:
  template <class Response>
  TokenJob(const Call<Response>& call, v1::Command command)
      : CommandJob(call, std::move(command)) {}
  void Work(Desk& desk) override {
    CommandJob::Work(desk);
    const auto* recorded = std::get_if<Recorded>(&verdict());
    if (recorded == nullptr) return;
    const v1::Entry& entry = recorded->entry;
    const auto token = desk.yard().tokens.find(
        entry.has_token_issued() ? entry.token_issued().token() : entry.token_revoked().token());
    if (token != desk.yard().tokens.end())
      token_ = moves::DescribeToken(desk.yard(), token->second);
  }

 protected:
  v1::Token token_;
};

class IssueJob final : public TokenJob {
 public:
  IssueJob(const Call<v1::IssuedToken>& call, v1::Command command, std::string secret)
      : TokenJob(call, std::move(command)), issued_(call.response), secret_(std::move(secret)) {}

 protected:
  grpc::Status Reply(const Recorded& recorded) override {
    if (recorded.repeat) {
      return ToGrpc(absl::AlreadyExistsError(
          "this token was issued before, and its secret is kept nowhere; revoke " + token_.name() +
          " and issue another"));
    }
    *issued_->mutable_token() = token_;
    issued_->set_secret(secret_);
    return grpc::Status::OK;
  }

 private:
  v1::IssuedToken* const issued_;
  const std::string secret_;
};

class RevokeJob final : public TokenJob {
 public:
  RevokeJob(const Call<v1::Token>& call, v1::Command command)
      : TokenJob(call, std::move(command)), out_(call.response) {}

 protected:
  grpc::Status Reply(const Recorded&) override {
    *out_ = token_;
    return grpc::Status::OK;
  }

 private:
  v1::Token* const out_;
};

grpc::Status ListPage(const moves::YardState& yard, const v1::ListTokensRequest& request,
                      v1::ListTokensResponse& page) {
  if (request.parent() != moves::YardName(yard.yard->id)) {
    return ToGrpc(moves::RefuseNotFound("no yard \"" + request.parent() + "\" here").value());
  }
  const moves::Outcome<int64_t> last = AfterToken(request, yard.yard->id);
  if (!last) return ToGrpc(last.error());
  if (request.page_size() < 0)
    return ToGrpc(moves::RefuseField("page_size", "is below 0; 0 means 50").value());
  const int32_t size =
      request.page_size() == 0 ? kDefaultPageSize : std::min(request.page_size(), kMaxPageSize);
  for (auto token = yard.tokens.upper_bound(*last); token != yard.tokens.end(); ++token) {
    if (page.tokens_size() == size) {
      page.set_next_page_token(TokenAfter(std::prev(token)->first, request, yard.yard->id));
      break;
    }
    *page.add_tokens() = moves::DescribeToken(yard, token->second);
  }
  return grpc::Status::OK;
}

}  // namespace

Reactor* PeopleService::WhoAmI(Context* context, const v1::WhoAmIRequest*, v1::Identity* identity) {
  const Call<v1::Identity> call(context, identity);
  const HolderOr holder = Identify(front_, *context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  const Holder& caller = **holder;
  const std::string yard_id = front_.writer->yard_id();
  identity->set_yard(moves::YardName(yard_id));
  identity->set_person(caller.person);
  identity->set_title(caller.name);
  for (const yard::Role role : caller.roles) identity->add_roles(std::string(yard::RoleName(role)));
  identity->set_token(moves::TokenName(yard_id, caller.token));
  identity->set_rehearsal(front_.rehearsal);
  return call.Finish(grpc::Status::OK);
}

Reactor* PeopleService::IssueToken(Context* context, const v1::IssueTokenRequest* request,
                                   v1::IssuedToken* issued) {
  const Call<v1::IssuedToken> call(context, issued);
  const HolderOr holder = Identify(front_, *context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  const std::string yard_id = front_.writer->yard_id();
  if (request->parent() != moves::YardName(yard_id)) {
    return call.Finish(
        ToGrpc(moves::RefuseNotFound("no yard \"" + request->parent() + "\" here").value()));
  }
  const int32_t days = request->days() == 0 ? kDefaultTokenDays : request->days();
  if (days < 1 || days > moves::kMaxTokenDays) {
    return call.Finish(
        ToGrpc(moves::RefuseField("days", fmt::format("is {}; a token lasts 1 to {} days", days,
                                                      moves::kMaxTokenDays))
                   .value()));
  }
  v1::Command command;
  if (!BeginCommand(**holder, request->request_id(), *request, command).ok())
    return call.Finish(BadRequestId());
  absl::StatusOr<std::string> secret = NewSecret();
  if (!secret.ok()) return call.Finish(ToGrpc(secret.status()));
  v1::IssueToken* issue = command.mutable_issue_token();
  issue->set_person(request->person());
  issue->set_secret_hash(SecretHash(*secret));
  issue->set_expire_time_us((front_.clock->Now() + fit::Days(days)).micros());
  front_.writer->Post(std::make_unique<IssueJob>(call, std::move(command), *std::move(secret)));
  return call.reactor;
}

Reactor* PeopleService::ListTokens(Context* context, const v1::ListTokensRequest* request,
                                   v1::ListTokensResponse* page) {
  const Call<v1::ListTokensResponse> call(context, page);
  const HolderOr holder = Identify(front_, *context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  if (!(*holder)->HasRole(yard::Role::kSafetyLead)) {
    return call.Finish(
        ToGrpc(moves::RefuseNotAllowed({.rule = "role",
                                        .problem = (*holder)->person + " may not list tokens",
                                        .remedy = "A safety lead does it."})
                   .value()));
  }
  return TakeRead(front_, call,
                  [request, page](Desk& desk) { return ListPage(desk.yard(), *request, *page); });
}

Reactor* PeopleService::RevokeToken(Context* context, const v1::RevokeTokenRequest* request,
                                    v1::Token* token) {
  const Call<v1::Token> call(context, token);
  const HolderOr holder = Identify(front_, *context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  v1::Command command;
  if (!BeginCommand(**holder, request->request_id(), *request, command).ok())
    return call.Finish(BadRequestId());
  *command.mutable_revoke_token() = *request;
  front_.writer->Post(std::make_unique<RevokeJob>(call, std::move(command)));
  return call.reactor;
}

}  // namespace chockwise::server
