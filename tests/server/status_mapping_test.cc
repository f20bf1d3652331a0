#include "services/server/status_mapping.h"

#include <gtest/gtest.h>

#include <map>

#include "chockwise/v1/refusals.pb.h"
#include "services/server/limits.h"

namespace chockwise::server {
namespace {

v1::StatusEnvelope EnvelopeOf(const grpc::Status& status) {
  v1::StatusEnvelope envelope;
  EXPECT_TRUE(envelope.ParseFromString(status.error_details()));
  return envelope;
}

TEST(StatusMapping, IsTotalForRefusals) {
  const std::map<moves::RefusalKind, grpc::StatusCode> table = {
      {moves::RefusalKind::kInvalid, grpc::StatusCode::INVALID_ARGUMENT},
      {moves::RefusalKind::kNotFound, grpc::StatusCode::NOT_FOUND},
      {moves::RefusalKind::kNotAllowed, grpc::StatusCode::PERMISSION_DENIED},
      {moves::RefusalKind::kPrecondition, grpc::StatusCode::FAILED_PRECONDITION},
      {moves::RefusalKind::kExhausted, grpc::StatusCode::RESOURCE_EXHAUSTED},
  };
  // One more than the last enumerator has no meaning; every enumerator before it has one of its
  // own.
  const int last = static_cast<int>(moves::RefusalKind::kExhausted);
  EXPECT_EQ(table.size(), static_cast<size_t>(last) + 1);
  for (const auto& [kind, code] : table) {
    EXPECT_EQ(CodeOf(kind), code);
    moves::Refusal refusal;
    refusal.kind = kind;
    refusal.rule = "a rule";
    refusal.problem = "a problem";
    const grpc::Status status = ToGrpc(refusal);
    EXPECT_EQ(status.error_code(), code);
    EXPECT_EQ(status.error_message(), "a problem");
    const v1::StatusEnvelope envelope = EnvelopeOf(status);
    EXPECT_EQ(envelope.code(), static_cast<int>(code));
    EXPECT_EQ(envelope.details_size(), 1);
  }
}

TEST(StatusMapping, IsTotalForFailures) {
  // Both enumerations give the same sixteen failures the same numbers and names.
  const std::map<absl::StatusCode, const char*> names = {
      {absl::StatusCode::kCancelled, "CANCELLED"},
      {absl::StatusCode::kUnknown, "UNKNOWN"},
      {absl::StatusCode::kInvalidArgument, "INVALID_ARGUMENT"},
      {absl::StatusCode::kDeadlineExceeded, "DEADLINE_EXCEEDED"},
      {absl::StatusCode::kNotFound, "NOT_FOUND"},
      {absl::StatusCode::kAlreadyExists, "ALREADY_EXISTS"},
      {absl::StatusCode::kPermissionDenied, "PERMISSION_DENIED"},
      {absl::StatusCode::kResourceExhausted, "RESOURCE_EXHAUSTED"},
      {absl::StatusCode::kFailedPrecondition, "FAILED_PRECONDITION"},
      {absl::StatusCode::kAborted, "ABORTED"},
      {absl::StatusCode::kOutOfRange, "OUT_OF_RANGE"},
      {absl::StatusCode::kUnimplemented, "UNIMPLEMENTED"},
      {absl::StatusCode::kInternal, "INTERNAL"},
      {absl::StatusCode::kUnavailable, "UNAVAILABLE"},
      {absl::StatusCode::kDataLoss, "DATA_LOSS"},
      {absl::StatusCode::kUnauthenticated, "UNAUTHENTICATED"},
  };
  EXPECT_EQ(names.size(), 16u);
  for (const auto& [code, name] : names) {
    EXPECT_STREQ(CodeName(CodeOf(code)), name);
    EXPECT_EQ(absl::StatusCodeToString(code), name);
    EXPECT_EQ(EnvelopeOf(ToGrpc(absl::Status(code, "why"))).message(), "why");
  }
  EXPECT_TRUE(ToGrpc(absl::OkStatus()).ok());
  EXPECT_EQ(CodeOf(static_cast<absl::StatusCode>(99)), grpc::StatusCode::UNKNOWN);
}

TEST(StatusMapping, AFailureThatNamesItsFieldCarriesAViolation) {
  v1::FieldViolations detail;
  const auto bad = absl::InvalidArgumentError("page_size: it is -3; give 0 to 200");
  ASSERT_TRUE(EnvelopeOf(ToGrpc(bad)).details(0).UnpackTo(&detail));
  EXPECT_EQ(detail.violations(0).field(), "page_size");
  EXPECT_EQ(detail.violations(0).problem(), "it is -3; give 0 to 200");
  EXPECT_EQ(EnvelopeOf(ToGrpc(absl::InvalidArgumentError("nothing: at all"))).details_size(), 1);
  EXPECT_EQ(EnvelopeOf(ToGrpc(absl::InvalidArgumentError("Nothing at all"))).details_size(), 0);
}

moves::Refusal RefusalOf(int gates) {
  moves::Refusal refusal;
  refusal.kind = moves::RefusalKind::kPrecondition;
  refusal.problem = std::to_string(gates) + " gates are not clear";
  for (int i = 0; i < gates; ++i) {
    v1::UnmetGate gate;
    gate.set_gate_id("gate-with-a-long-name-" + std::to_string(i));
    gate.set_title("a title of some length, number " + std::to_string(i));
    gate.set_state(v1::GATE_STATE_STALE);
    gate.set_gate_class(v1::GATE_CLASS_HARD);
    gate.set_reason(std::string(150, 'r'));
    gate.set_remedy(std::string(180, 'm'));
    gate.add_parties(v1::PARTY_DRIVER);
    gate.add_parties(v1::PARTY_SPOTTER);
    for (int p = 0; p < 6; ++p) gate.add_people("person-" + std::to_string(p));
    gate.add_controls(std::string(80, 'c'));
    refusal.gates.push_back(gate);
  }
  return refusal;
}

TEST(StatusMapping, AFewGatesAreToldInFull) {
  const moves::Refusal refusal = RefusalOf(3);
  const v1::StatusEnvelope envelope = EnvelopeOf(ToGrpc(refusal));
  ASSERT_EQ(envelope.details_size(), 1);
  EXPECT_EQ(envelope.details(0).type_url(), "type.googleapis.com/chockwise.v1.UnmetGates");
  v1::UnmetGates detail;
  ASSERT_TRUE(envelope.details(0).UnpackTo(&detail));
  ASSERT_EQ(detail.gates_size(), 3);
  for (int i = 0; i < 3; ++i) {
    EXPECT_EQ(detail.gates(i).SerializeAsString(),
              refusal.gates[static_cast<size_t>(i)].SerializeAsString());
  }
}

// Law 1 tells all unmet gates at once; 8 KiB of metadata must do for them.
TEST(StatusMapping, FortyGatesFitAndNoneIsLeftOut) {
  const grpc::Status status = ToGrpc(RefusalOf(40));
  EXPECT_LT(status.error_details().size() * 4 / 3 + status.error_message().size() * 3 + 200,
            8'192u);
  v1::UnmetGates detail;
  ASSERT_TRUE(EnvelopeOf(status).details(0).UnpackTo(&detail));
  ASSERT_EQ(detail.gates_size(), 40);
  for (int i = 0; i < 40; ++i) {
    EXPECT_EQ(detail.gates(i).gate_id(), "gate-with-a-long-name-" + std::to_string(i));
    EXPECT_EQ(detail.gates(i).state(), v1::GATE_STATE_STALE);
    EXPECT_EQ(detail.gates(i).parties_size(), 2);
  }
}

// What says no is what people must read: its numbers and what helps stay as long as anything about
// the others can give way.
TEST(StatusMapping, WhatSaysNoKeepsItsNumbersWhileTheRestGivesWay) {
  moves::Refusal refusal = RefusalOf(40);
  for (size_t i = 0; i < refusal.gates.size(); ++i) {
    if (i % 10 == 0) {
      refusal.gates[i].set_state(v1::GATE_STATE_NOT_CLEAR);
    } else if (i % 10 > 1) {
      refusal.gates[i].set_state(v1::GATE_STATE_NOT_ASKED);
    }
  }
  v1::UnmetGates detail;
  ASSERT_TRUE(EnvelopeOf(ToGrpc(refusal)).details(0).UnpackTo(&detail));
  ASSERT_EQ(detail.gates_size(), 40);
  for (int i = 0; i < 40; i += 10) {
    EXPECT_EQ(detail.gates(i).reason(), std::string(150, 'r')) << i;
    EXPECT_EQ(detail.gates(i).controls_size(), 1) << i;
    EXPECT_FALSE(detail.gates(i).title().empty()) << i;
  }
}

// As many as one move of the invented yard has: everybody's name for a gate stays, too.
TEST(StatusMapping, FiveAndTwentyUnaskedGatesKeepTheirTitles) {
  moves::Refusal refusal = RefusalOf(25);
  for (v1::UnmetGate& gate : refusal.gates) gate.set_state(v1::GATE_STATE_NOT_ASKED);
  v1::UnmetGates detail;
  ASSERT_TRUE(EnvelopeOf(ToGrpc(refusal)).details(0).UnpackTo(&detail));
  for (int i = 0; i < 25; ++i)
    EXPECT_EQ(detail.gates(i).title(), refusal.gates[static_cast<size_t>(i)].title());
}

TEST(StatusMapping, FiveHundredComplaintsAreCutAndCounted) {
  yard::Complaints complaints(500, {.file = "machines.csv",
                                    .line = 7,
                                    .where = "C-1",
                                    .field = "class",
                                    .problem = std::string(200, 'p'),
                                    .right = std::string(100, 'r')});
  const grpc::Status status = ToGrpc(ComplaintsRefusal(complaints));
  EXPECT_EQ(status.error_code(), grpc::StatusCode::INVALID_ARGUMENT);
  EXPECT_NE(status.error_message().find("and 499 more"), std::string::npos)
      << status.error_message();
  v1::FieldViolations detail;
  ASSERT_TRUE(EnvelopeOf(status).details(0).UnpackTo(&detail));
  EXPECT_GT(detail.violations_size(), 5);
  EXPECT_LE(status.error_details().size() * 4 / 3, 8'192u);
  EXPECT_EQ(detail.violations(0).field(), "machines.csv:7");
  // The place is said once.
  EXPECT_EQ(detail.violations(0).problem().substr(0, 16), "C-1: class: pppp");
}

TEST(StatusMapping, ALongMessageIsCutBetweenCharacters) {
  moves::Refusal refusal;
  for (int i = 0; i < 400; ++i) refusal.problem += "\u00e9";  // two bytes each
  const grpc::Status status = ToGrpc(refusal);
  EXPECT_LE(status.error_message().size(), kMaxStatusMessageBytes);
  EXPECT_EQ((status.error_message().size() - 3) % 2, 0u)
      << "an ellipsis has three bytes, the rest whole characters";
}

}  // namespace
}  // namespace chockwise::server
