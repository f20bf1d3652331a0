#include "services/moves/refusal.h"

#include <utility>

namespace chockwise::moves {
namespace {

tl::unexpected<Refusal> Refuse(RefusalKind kind, Because because) {
  Refusal refusal;
  refusal.kind = kind;
  refusal.rule = std::move(because.rule);
  refusal.problem = std::move(because.problem);
  refusal.remedy = std::move(because.remedy);
  return tl::unexpected<Refusal>(std::move(refusal));
}

}  // namespace

tl::unexpected<Refusal> RefusePrecondition(Because because) {
  return Refuse(RefusalKind::kPrecondition, std::move(because));
}

tl::unexpected<Refusal> RefuseNotAllowed(Because because) {
  return Refuse(RefusalKind::kNotAllowed, std::move(because));
}

tl::unexpected<Refusal> RefuseNotFound(std::string problem) {
  return Refuse(RefusalKind::kNotFound, {.rule = "", .problem = std::move(problem), .remedy = ""});
}

tl::unexpected<Refusal> RefuseExhausted(std::string problem, std::string remedy) {
  return Refuse(RefusalKind::kExhausted,
                {.rule = "limit", .problem = std::move(problem), .remedy = std::move(remedy)});
}

tl::unexpected<Refusal> RefuseField(std::string field, std::string problem) {
  Refusal refusal;
  refusal.kind = RefusalKind::kInvalid;
  refusal.problem = field + ": " + problem;
  v1::FieldViolations::Violation violation;
  violation.set_field(std::move(field));
  violation.set_problem(std::move(problem));
  refusal.violations.push_back(std::move(violation));
  return tl::unexpected<Refusal>(std::move(refusal));
}

tl::unexpected<Refusal> RefuseGates(std::string problem, std::vector<v1::UnmetGate> gates) {
  Refusal refusal;
  refusal.kind = RefusalKind::kPrecondition;
  refusal.rule = "law 1";
  refusal.problem = std::move(problem);
  refusal.gates = std::move(gates);
  return tl::unexpected<Refusal>(std::move(refusal));
}

}  // namespace chockwise::moves
