#include "services/server/status_mapping.h"

#include <fmt/format.h>
#include <google/protobuf/any.pb.h>

#include <algorithm>
#include <optional>

#include "services/server/failure.h"
#include "services/server/limits.h"

namespace chockwise::server {
namespace {

// At most `most` bytes, cut between characters of UTF-8, with an ellipsis where something was cut.
std::string Shortened(const std::string& text, size_t most) {
  constexpr std::string_view kEllipsis = "\u2026";
  if (text.size() <= most) return text;
  if (most == 0) return "";
  size_t end = most > kEllipsis.size() ? most - kEllipsis.size() : 0;
  while (end > 0 && (static_cast<unsigned char>(text[end]) & 0xC0) == 0x80) --end;
  return text.substr(0, end) + std::string(kEllipsis);
}

template <class Field>
void Shorten(Field* text, size_t most) {
  *text = Shortened(*text, most);
}

google::protobuf::Any Packed(const google::protobuf::Message& detail) {
  google::protobuf::Any any;
  any.PackFrom(detail);  // "type.googleapis.com/chockwise.v1...."
  return any;
}

// How much is said about a gate: bytes of each text, and how many of each list.
struct Room {
  size_t title = 200;
  size_t reason = 1'000;
  size_t remedy = 1'000;
  int people = 100;
  int controls = 100;
};

// What is said less and less of, one row after the other, until all fit. What nobody has looked at
// yet gives way first, since there is nothing to say about it but its name; the numbers of what
// says no go last. The gates themselves, how they stand and who clears them always stay.
struct Step {
  v1::GateState state;
  Room room;
};
constexpr Step kSteps[] = {
    {v1::GATE_STATE_NOT_ASKED, {.reason = 0, .remedy = 0, .people = 3, .controls = 0}},
    {v1::GATE_STATE_STALE, {.remedy = 60, .people = 3, .controls = 0}},
    {v1::GATE_STATE_NOT_ASKED, {.reason = 0, .remedy = 0, .people = 0, .controls = 0}},
    {v1::GATE_STATE_STALE, {.reason = 80, .remedy = 0, .people = 0, .controls = 0}},
    {v1::GATE_STATE_NOT_CLEAR, {.remedy = 60, .people = 3}},
    {v1::GATE_STATE_STALE, {.reason = 40, .remedy = 0, .people = 0, .controls = 0}},
    {v1::GATE_STATE_NOT_CLEAR, {.remedy = 0, .people = 3}},
    {v1::GATE_STATE_NOT_ASKED, {.title = 24, .reason = 0, .remedy = 0, .people = 0, .controls = 0}},
    {v1::GATE_STATE_STALE, {.title = 24, .reason = 0, .remedy = 0, .people = 0, .controls = 0}},
    {v1::GATE_STATE_NOT_CLEAR, {.reason = 160, .remedy = 0, .people = 0}},
    {v1::GATE_STATE_NOT_ASKED, {.title = 0, .reason = 0, .remedy = 0, .people = 0, .controls = 0}},
    {v1::GATE_STATE_STALE, {.title = 0, .reason = 0, .remedy = 0, .people = 0, .controls = 0}},
    {v1::GATE_STATE_NOT_CLEAR,
     {.title = 24, .reason = 80, .remedy = 0, .people = 0, .controls = 0}},
    {v1::GATE_STATE_NOT_CLEAR,
     {.title = 24, .reason = 40, .remedy = 0, .people = 0, .controls = 0}},
    {v1::GATE_STATE_NOT_CLEAR, {.title = 0, .reason = 24, .remedy = 0, .people = 0, .controls = 0}},
    {v1::GATE_STATE_NOT_CLEAR, {.title = 0, .reason = 0, .remedy = 0, .people = 0, .controls = 0}},
};

template <class List>
void KeepFirst(List* list, int most) {
  if (list->size() > most) list->DeleteSubrange(most, list->size() - most);
}

void TellLess(const Room& room, v1::UnmetGate& gate) {
  Shorten(gate.mutable_title(), room.title);
  Shorten(gate.mutable_reason(), room.reason);
  Shorten(gate.mutable_remedy(), room.remedy);
  KeepFirst(gate.mutable_people(), room.people);
  KeepFirst(gate.mutable_controls(), room.controls);
}

v1::UnmetGates FittingGates(const std::vector<v1::UnmetGate>& gates) {
  v1::UnmetGates detail;
  for (const v1::UnmetGate& gate : gates) *detail.add_gates() = gate;
  for (const Step& step : kSteps) {
    if (detail.ByteSizeLong() <= kMaxDetailBytes) break;
    for (v1::UnmetGate& gate : *detail.mutable_gates()) {
      if (gate.state() == step.state) TellLess(step.room, gate);
    }
  }
  // More gates than any kind of move has; the entry holds them all, and so does GetMove.
  while (detail.ByteSizeLong() > kMaxDetailBytes) detail.mutable_gates()->RemoveLast();
  return detail;
}

v1::FieldViolations FittingViolations(
    const std::vector<v1::FieldViolations::Violation>& violations) {
  v1::FieldViolations detail;
  size_t bytes = 0;
  for (const v1::FieldViolations::Violation& violation : violations) {
    v1::FieldViolations::Violation one = violation;
    Shorten(one.mutable_field(), 200);
    Shorten(one.mutable_problem(), 500);
    bytes += one.ByteSizeLong() + 8;
    if (bytes > kMaxDetailBytes) break;
    *detail.add_violations() = std::move(one);
  }
  return detail;
}

// "page_size: it is -3; give 0 to 200": a reader's way of naming the bad field.
std::optional<v1::FieldViolations> FieldIn(const absl::Status& failure) {
  if (!absl::IsInvalidArgument(failure)) return std::nullopt;
  const std::string text = Why(failure);
  const size_t end = text.find_first_not_of("abcdefghijklmnopqrstuvwxyz_");
  if (end == 0 || end == std::string::npos || text.compare(end, 2, ": ") != 0) return std::nullopt;
  v1::FieldViolations detail;
  v1::FieldViolations::Violation* violation = detail.add_violations();
  violation->set_field(text.substr(0, end));
  violation->set_problem(Shortened(text.substr(end + 2), 500));
  return detail;
}

std::string MessageFor(const moves::Refusal& refusal) {
  if (!refusal.problem.empty()) return refusal.problem;
  if (refusal.violations.empty()) return "refused";
  const auto& first = refusal.violations.front();
  const size_t more = refusal.violations.size() - 1;
  std::string text = first.field().empty() ? first.problem()
                                           : fmt::format("{}: {}", first.field(), first.problem());
  text = Shortened(text, kMaxStatusMessageBytes - 20);
  return more == 0 ? text : fmt::format("{} (and {} more)", text, more);
}

grpc::Status WithDetails(grpc::StatusCode code, const std::string& message,
                         const google::protobuf::Message* detail) {
  v1::StatusEnvelope envelope;
  envelope.set_code(code);
  envelope.set_message(Shortened(message, kMaxStatusMessageBytes));
  if (detail != nullptr) *envelope.add_details() = Packed(*detail);
  return grpc::Status(code, envelope.message(), envelope.SerializeAsString());
}

}  // namespace

grpc::StatusCode CodeOf(moves::RefusalKind kind) {
  switch (kind) {
    case moves::RefusalKind::kInvalid:
      return grpc::StatusCode::INVALID_ARGUMENT;
    case moves::RefusalKind::kNotFound:
      return grpc::StatusCode::NOT_FOUND;
    case moves::RefusalKind::kNotAllowed:
      return grpc::StatusCode::PERMISSION_DENIED;
    case moves::RefusalKind::kPrecondition:
      return grpc::StatusCode::FAILED_PRECONDITION;
    case moves::RefusalKind::kExhausted:
      return grpc::StatusCode::RESOURCE_EXHAUSTED;
  }
  return grpc::StatusCode::INTERNAL;
}

grpc::StatusCode CodeOf(absl::StatusCode code) {
  // absl's codes are gRPC's by definition of both; what is outside the table is not ours.
  const int value = static_cast<int>(code);
  if (value < 0 || value > static_cast<int>(absl::StatusCode::kUnauthenticated))
    return grpc::StatusCode::UNKNOWN;
  return static_cast<grpc::StatusCode>(value);
}

const char* CodeName(grpc::StatusCode code) {
  static constexpr const char* kNames[] = {"OK",
                                           "CANCELLED",
                                           "UNKNOWN",
                                           "INVALID_ARGUMENT",
                                           "DEADLINE_EXCEEDED",
                                           "NOT_FOUND",
                                           "ALREADY_EXISTS",
                                           "PERMISSION_DENIED",
                                           "RESOURCE_EXHAUSTED",
                                           "FAILED_PRECONDITION",
                                           "ABORTED",
                                           "OUT_OF_RANGE",
                                           "UNIMPLEMENTED",
                                           "INTERNAL",
                                           "UNAVAILABLE",
                                           "DATA_LOSS",
                                           "UNAUTHENTICATED"};
  const auto index = static_cast<size_t>(code);
  return index < std::size(kNames) ? kNames[index] : "UNKNOWN";
}

grpc::Status ToGrpc(const moves::Refusal& refusal) {
  const grpc::StatusCode code = CodeOf(refusal.kind);
  const std::string message = MessageFor(refusal);
  if (!refusal.gates.empty()) {
    const v1::UnmetGates detail = FittingGates(refusal.gates);
    return WithDetails(code, message, &detail);
  }
  if (!refusal.violations.empty()) {
    const v1::FieldViolations detail = FittingViolations(refusal.violations);
    return WithDetails(code, message, &detail);
  }
  v1::Refused detail;
  detail.set_rule(Shortened(refusal.rule, 100));
  detail.set_problem(Shortened(refusal.problem, 1'000));
  detail.set_remedy(Shortened(refusal.remedy, 1'000));
  return WithDetails(code, message, &detail);
}

grpc::Status ToGrpc(const absl::Status& failure) {
  if (failure.ok()) return grpc::Status::OK;
  if (const std::optional<v1::FieldViolations> bad_field = FieldIn(failure)) {
    return WithDetails(CodeOf(failure.code()), Why(failure), &*bad_field);
  }
  return WithDetails(CodeOf(failure.code()), Why(failure), nullptr);
}

moves::Refusal ComplaintsRefusal(const yard::Complaints& complaints) {
  moves::Refusal refusal;
  refusal.kind = moves::RefusalKind::kInvalid;
  for (const yard::Complaint& complaint : complaints) {
    v1::FieldViolations::Violation violation;
    violation.set_field(complaint.Place());
    violation.set_problem(complaint.What());
    refusal.violations.push_back(std::move(violation));
  }
  return refusal;
}

}  // namespace chockwise::server
