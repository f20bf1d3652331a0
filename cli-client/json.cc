#include "cli-client/json.h"

#include <google/protobuf/util/json_util.h>

#include <nlohmann/json.hpp>

namespace chockwise::cli {
namespace {

nlohmann::ordered_json Parsed(const google::protobuf::Message& message) {
  return nlohmann::ordered_json::parse(ToJson(message), nullptr, /*allow_exceptions=*/false);
}

}  // namespace

std::string ToJson(const google::protobuf::Message& message) {
  google::protobuf::util::JsonPrintOptions options;
  options.always_print_primitive_fields = true;
  std::string json;
  if (!google::protobuf::util::MessageToJsonString(message, &json, options).ok()) return "{}";
  return json;
}

std::string ToJson(const No& no, const std::string& request_id) {
  const ExitCodeMeaning& meaning = Meaning(ExitCodeFor(no.code));
  nlohmann::ordered_json error;
  error["code"] = CodeName(no.code);
  error["exitCode"] = static_cast<int>(meaning.code);
  error["exitName"] = meaning.name;
  error["message"] = no.message;
  if (no.unmet) error["unmetGates"] = Parsed(*no.unmet)["gates"];
  if (no.refused) error["refused"] = Parsed(*no.refused);
  if (no.violations) error["violations"] = Parsed(*no.violations)["violations"];
  if (!request_id.empty()) error["requestId"] = request_id;
  // A message may hold bytes that are no UTF-8: they are replaced, never thrown about.
  return nlohmann::ordered_json{{"error", error}}.dump(
      -1, ' ', false, nlohmann::ordered_json::error_handler_t::replace);
}

}  // namespace chockwise::cli
