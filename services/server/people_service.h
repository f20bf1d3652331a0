// PeopleService over the yard's writer: who the caller is, and tokens.
#pragma once

#include "chockwise/v1/people.grpc.pb.h"
#include "services/server/front.h"

namespace chockwise::server {

class PeopleService final : public v1::PeopleService::CallbackService {
 public:
  explicit PeopleService(Front front) : front_(std::move(front)) {}

  using Context = grpc::CallbackServerContext;
  using Reactor = grpc::ServerUnaryReactor;

  Reactor* WhoAmI(Context* context, const v1::WhoAmIRequest* request,
                  v1::Identity* identity) override;
  Reactor* IssueToken(Context* context, const v1::IssueTokenRequest* request,
                      v1::IssuedToken* issued) override;
  Reactor* ListTokens(Context* context, const v1::ListTokensRequest* request,
                      v1::ListTokensResponse* page) override;
  Reactor* RevokeToken(Context* context, const v1::RevokeTokenRequest* request,
                       v1::Token* token) override;

 private:
  const Front front_;
};

}  // namespace chockwise::server
