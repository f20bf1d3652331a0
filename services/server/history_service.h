// HistoryService: the read side's answers, behind who may ask. Answered on an errand's thread.
#pragma once

#include "chockwise/v1/history.grpc.pb.h"
#include "services/history/queries.h"
#include "services/server/front.h"

namespace chockwise::server {

class HistoryService final : public v1::HistoryService::CallbackService {
 public:
  HistoryService(Front front, history::QueriesOptions options)
      : front_(std::move(front)), queries_(std::move(options)) {}

  using Context = grpc::CallbackServerContext;
  using Reactor = grpc::ServerUnaryReactor;

  Reactor* ListMoveRecords(Context* context, const v1::ListMoveRecordsRequest* request,
                           v1::ListMoveRecordsResponse* page) override;
  Reactor* GetMoveRecord(Context* context, const v1::GetMoveRecordRequest* request,
                         v1::MoveTimeLine* line) override;
  Reactor* ListRefusals(Context* context, const v1::ListRefusalsRequest* request,
                        v1::ListRefusalsResponse* page) override;
  Reactor* SummariseMoves(Context* context, const v1::SummariseMovesRequest* request,
                          v1::MovesSummary* summary) override;

 private:
  template <class Request, class Response>
  Reactor* Ask(const Call<Response>& call, const Request* request, const std::string& about_person,
               absl::StatusOr<Response> (history::Queries::*query)(const Request&) const);

  const Front front_;
  const history::Queries queries_;
};

}  // namespace chockwise::server
