// LedgerService: checkpoints from the writer, entries and proofs from a reader beside it.
#pragma once

#include "chockwise/v1/ledger.grpc.pb.h"
#include "services/server/front.h"

namespace chockwise::server {

class LedgerService final : public v1::LedgerService::CallbackService {
 public:
  explicit LedgerService(Front front) : front_(std::move(front)) {}

  using Context = grpc::CallbackServerContext;
  using Reactor = grpc::ServerUnaryReactor;

  Reactor* GetCheckpoint(Context* context, const v1::GetCheckpointRequest* request,
                         v1::Checkpoint* checkpoint) override;
  Reactor* GetEntry(Context* context, const v1::GetEntryRequest* request,
                    v1::EntryWithProof* entry) override;
  Reactor* GetConsistencyProof(Context* context, const v1::GetConsistencyProofRequest* request,
                               v1::ConsistencyProof* proof) override;

 private:
  const Front front_;
};

}  // namespace chockwise::server
