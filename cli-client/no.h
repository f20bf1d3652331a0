// A "no" as it came off the wire: status code, message, and the typed details that say what is
// missing.
//
//   grpc::Status status = stub.RequestRelease(...);
//   No no = ReadNo(status);
//   if (no.unmet) for (const v1::UnmetGate& gate : no.unmet->gates()) ...
//
// Threads: plain data.
#pragma once

#include <grpcpp/support/status.h>

#include <optional>
#include <string>
#include <string_view>

#include "chockwise/v1/refusals.pb.h"
#include "cli-client/exit_codes.h"

namespace chockwise::cli {

struct No {
  grpc::StatusCode code = grpc::StatusCode::UNKNOWN;
  std::string message;
  std::optional<v1::UnmetGates> unmet;
  std::optional<v1::Refused> refused;
  std::optional<v1::FieldViolations> violations;
};

/// Reads a status that is not OK. Details that cannot be read are left out: the code and message
/// still stand.
No ReadNo(const grpc::Status& status);

/// A "no" that this program itself has to say.
No LocalNo(grpc::StatusCode code, std::string message);

/// The exit code of a gRPC code. Total: a code that gRPC adds later is kOther.
ExitCode ExitCodeFor(grpc::StatusCode code);

/// "FAILED_PRECONDITION", as gRPC spells it.
std::string_view CodeName(grpc::StatusCode code);

}  // namespace chockwise::cli
