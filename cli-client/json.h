// The shapes of --json: one document a line. Messages of the API go out in the Protobuf JSON
// mapping with every field present; a refusal is {"error": {...}} with its code, exit code and
// details. Pure.
#pragma once

#include <google/protobuf/message.h>

#include <string>

#include "cli-client/no.h"

namespace chockwise::cli {

std::string ToJson(const google::protobuf::Message& message);

/// {"error":{"code","exitCode","exitName","message","requestId"?, and of "unmetGates", "refused",
/// "violations" what there is}}
std::string ToJson(const No& no, const std::string& request_id);

}  // namespace chockwise::cli
