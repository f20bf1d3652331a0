#include "cli-client/no.h"

#include <array>
#include <utility>

namespace chockwise::cli {
namespace {

struct CodeRow {
  grpc::StatusCode code;
  std::string_view name;
  ExitCode exit;
};

constexpr std::array<CodeRow, 17> kCodes{{
    {grpc::StatusCode::OK, "OK", ExitCode::kOk},
    {grpc::StatusCode::CANCELLED, "CANCELLED", ExitCode::kOther},
    {grpc::StatusCode::UNKNOWN, "UNKNOWN", ExitCode::kOther},
    {grpc::StatusCode::INVALID_ARGUMENT, "INVALID_ARGUMENT", ExitCode::kUsage},
    {grpc::StatusCode::DEADLINE_EXCEEDED, "DEADLINE_EXCEEDED", ExitCode::kServerAway},
    {grpc::StatusCode::NOT_FOUND, "NOT_FOUND", ExitCode::kNotFound},
    {grpc::StatusCode::ALREADY_EXISTS, "ALREADY_EXISTS", ExitCode::kRefused},
    {grpc::StatusCode::PERMISSION_DENIED, "PERMISSION_DENIED", ExitCode::kNotAllowed},
    {grpc::StatusCode::RESOURCE_EXHAUSTED, "RESOURCE_EXHAUSTED", ExitCode::kServerAway},
    {grpc::StatusCode::FAILED_PRECONDITION, "FAILED_PRECONDITION", ExitCode::kRefused},
    {grpc::StatusCode::ABORTED, "ABORTED", ExitCode::kRefused},
    {grpc::StatusCode::OUT_OF_RANGE, "OUT_OF_RANGE", ExitCode::kNotFound},
    {grpc::StatusCode::UNIMPLEMENTED, "UNIMPLEMENTED", ExitCode::kOther},
    {grpc::StatusCode::INTERNAL, "INTERNAL", ExitCode::kOther},
    {grpc::StatusCode::UNAVAILABLE, "UNAVAILABLE", ExitCode::kServerAway},
    {grpc::StatusCode::DATA_LOSS, "DATA_LOSS", ExitCode::kLedgerWrong},
    {grpc::StatusCode::UNAUTHENTICATED, "UNAUTHENTICATED", ExitCode::kNotAllowed},
}};

const CodeRow* Find(grpc::StatusCode code) {
  for (const CodeRow& row : kCodes) {
    if (row.code == code) return &row;
  }
  return nullptr;
}

template <class Detail>
void Unpack(const google::protobuf::Any& any, std::optional<Detail>& into) {
  Detail detail;
  if (any.UnpackTo(&detail)) into = std::move(detail);
}

}  // namespace

No ReadNo(const grpc::Status& status) {
  No no = LocalNo(status.error_code(), status.error_message());
  v1::StatusEnvelope envelope;
  if (!envelope.ParseFromString(status.error_details())) return no;
  for (const google::protobuf::Any& any : envelope.details()) {
    Unpack(any, no.unmet);
    Unpack(any, no.refused);
    Unpack(any, no.violations);
  }
  return no;
}

No LocalNo(grpc::StatusCode code, std::string message) {
  No no;
  no.code = code;
  no.message = std::move(message);
  return no;
}

ExitCode ExitCodeFor(grpc::StatusCode code) {
  const CodeRow* row = Find(code);
  return row == nullptr ? ExitCode::kOther : row->exit;
}

std::string_view CodeName(grpc::StatusCode code) {
  const CodeRow* row = Find(code);
  return row == nullptr ? "UNKNOWN" : row->name;
}

}  // namespace chockwise::cli
