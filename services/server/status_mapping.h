// The one place that says how a "no" travels: refusals by the rules and failures of the machine
// become gRPC statuses.
//
// Every status that is not OK carries a v1::StatusEnvelope as its details, in the layout of
// google.rpc.Status, so that clients in any language read it with their usual means. It travels in
// the trailing metadata, of which clients take 8 KiB, so details are bounded: every unmet gate
// stays, and what is said about each gets shorter until all fit.
//
// Pure; safe from any thread.
#pragma once

#include <absl/status/status.h>
#include <grpcpp/support/status.h>

#include "services/moves/refusal.h"
#include "services/yard/yard.h"

namespace chockwise::server {

/// INVALID_ARGUMENT, NOT_FOUND, PERMISSION_DENIED, FAILED_PRECONDITION or RESOURCE_EXHAUSTED.
grpc::StatusCode CodeOf(moves::RefusalKind kind);
/// The code of the same name: the two tables have the same meanings.
grpc::StatusCode CodeOf(absl::StatusCode code);
/// "FAILED_PRECONDITION"
const char* CodeName(grpc::StatusCode code);

grpc::Status ToGrpc(const moves::Refusal& refusal);
grpc::Status ToGrpc(const absl::Status& failure);

/// A yard's complaints as the refusal of a load: a violation for each.
moves::Refusal ComplaintsRefusal(const yard::Complaints& complaints);

}  // namespace chockwise::server
