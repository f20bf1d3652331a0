// A refusal: the rules say no. It tells the person why, and by whom and how it can be made true.
//
//   if (!machine) return Refuse(NotFound("machine", request.machine(), "see the board for unit
//   numbers"));
//
// Failures (disk, peer) and bugs are not refusals and do not pass through here.
#pragma once

#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <vector>

#include "chockwise/v1/entries.pb.h"
#include "chockwise/v1/refusals.pb.h"

namespace chockwise::moves {

enum class RefusalKind {
  kInvalid,       // the request itself is wrong: INVALID_ARGUMENT
  kNotFound,      // it names something that is not there: NOT_FOUND
  kNotAllowed,    // not this person's to do: PERMISSION_DENIED
  kPrecondition,  // not as things stand: FAILED_PRECONDITION
  kExhausted,     // a named limit is reached: RESOURCE_EXHAUSTED
};

struct Refusal {
  RefusalKind kind = RefusalKind::kPrecondition;
  std::string rule;     // "law 4", "hold point"; empty for bad fields
  std::string problem;  // what is wrong
  std::string remedy;   // what would be right, and who can make it so
  std::vector<v1::UnmetGate> gates;
  std::vector<v1::FieldViolations::Violation> violations;
};

template <class T>
using Outcome = tl::expected<T, Refusal>;
using Entries = std::vector<v1::Entry>;

/// What the rules say no with, and how it becomes a yes.
struct Because {
  std::string rule;
  std::string problem;
  std::string remedy;
};

tl::unexpected<Refusal> RefusePrecondition(Because because);
tl::unexpected<Refusal> RefuseNotAllowed(Because because);
tl::unexpected<Refusal> RefuseNotFound(std::string problem);
tl::unexpected<Refusal> RefuseExhausted(std::string problem, std::string remedy);
tl::unexpected<Refusal> RefuseField(std::string field, std::string problem);
tl::unexpected<Refusal> RefuseGates(std::string problem, std::vector<v1::UnmetGate> gates);

}  // namespace chockwise::moves
