#include "services/server/history_service.h"

namespace chockwise::server {
namespace {

using Reactor = grpc::ServerUnaryReactor;

moves::Outcome<void> MayAsk(const Holder& caller, const std::string& about_person) {
  const bool lead =
      caller.HasRole(yard::Role::kYardLead) || caller.HasRole(yard::Role::kSafetyLead);
  if (!lead && !caller.HasRole(yard::Role::kReader)) {
    return moves::RefuseNotAllowed({.rule = "role",
                                    .problem = caller.person + " may not read the history",
                                    .remedy = "A yard lead, a safety lead or a reader does."});
  }
  if (!lead && !about_person.empty() && about_person != caller.person) {
    return moves::RefuseNotAllowed({.rule = "role",
                                    .problem = "a reader does not ask about one other person",
                                    .remedy = "A yard lead or safety lead does."});
  }
  return {};
}

}  // namespace

template <class Request, class Response>
Reactor* HistoryService::Ask(const Call<Response>& call, const Request* request,
                             const std::string& about_person,
                             absl::StatusOr<Response> (history::Queries::*query)(const Request&)
                                 const) {
  const HolderOr holder = Identify(front_, *call.context);
  if (!holder.ok()) return call.Finish(ToGrpc(holder.status()));
  if (const auto may = MayAsk(**holder, about_person); !may)
    return call.Finish(ToGrpc(may.error()));
  return TakeErrand(front_, call.reactor, [this, request, response = call.response, query] {
    absl::StatusOr<Response> answer = (queries_.*query)(*request);
    if (!answer.ok()) return ToGrpc(answer.status());
    *response = *std::move(answer);
    return grpc::Status::OK;
  });
}

Reactor* HistoryService::ListMoveRecords(Context* context,
                                         const v1::ListMoveRecordsRequest* request,
                                         v1::ListMoveRecordsResponse* page) {
  return Ask(Call(context, page), request, request->person(), &history::Queries::ListMoveRecords);
}

Reactor* HistoryService::GetMoveRecord(Context* context, const v1::GetMoveRecordRequest* request,
                                       v1::MoveTimeLine* line) {
  return Ask(Call(context, line), request, "", &history::Queries::GetMoveRecord);
}

Reactor* HistoryService::ListRefusals(Context* context, const v1::ListRefusalsRequest* request,
                                      v1::ListRefusalsResponse* page) {
  return Ask(Call(context, page), request, request->person(), &history::Queries::ListRefusals);
}

Reactor* HistoryService::SummariseMoves(Context* context, const v1::SummariseMovesRequest* request,
                                        v1::MovesSummary* summary) {
  return Ask(Call(context, summary), request, "", &history::Queries::SummariseMoves);
}

}  // namespace chockwise::server
