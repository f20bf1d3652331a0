#include "services/survey/rules_asked.h"

#include "services/survey/answers.h"
#include "services/yard/parameters.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

bool IsForTravel(const v1::GateRule& gate, fit::Travel travel) {
  const std::string how = yard::WordParameter(gate.computed().parameters(), "travel");
  return how.empty() || TravelOf(how) == travel;
}

template <class Quantity>
fit::Input Told(const char* name, std::string value, const RuleAsked<Quantity>& asked) {
  switch (asked.by) {
    case AskedBy::kDefault:
      return Default(name, std::move(value));
    case AskedBy::kRules:
      return {.name = name,
              .value = std::move(value),
              .by = "gate " + asked.gate,
              .when = std::nullopt};
    case AskedBy::kCaller:
      return AsAsked(name, std::move(value));
  }
  return Default(name, std::move(value));
}

}  // namespace

SideAsked SideAskedFor(const v1::Rules& rules, std::string_view computation, fit::Travel travel,
                       const std::optional<Metres>& as_asked) {
  if (as_asked) return {.value = *as_asked, .by = AskedBy::kCaller};
  SideAsked most{.value = kBesideMachine};
  for (const v1::GateRule& gate : rules.gates()) {
    if (gate.computed().computation() != computation || !IsForTravel(gate, travel)) continue;
    const auto side = yard::ParameterIfThere<Metres>(gate.computed().parameters(), "each_side");
    if (!side || (most.by == AskedBy::kRules && *side <= most.value)) continue;
    most = {.value = *side, .by = AskedBy::kRules, .gate = gate.id()};
  }
  return most;
}

GradeAsked GradeAskedFor(const v1::Rules& rules, std::string_view computation,
                         const std::optional<fit::Grade>& as_asked) {
  if (as_asked) return {.value = *as_asked, .by = AskedBy::kCaller};
  GradeAsked least{.value = kMostGrade};
  for (const v1::GateRule& gate : rules.gates()) {
    if (gate.computed().computation() != computation) continue;
    const auto grade =
        yard::ParameterIfThere<fit::Grade>(gate.computed().parameters(), "most_grade");
    if (!grade || (least.by == AskedBy::kRules && *grade >= least.value)) continue;
    least = {.value = *grade, .by = AskedBy::kRules, .gate = gate.id()};
  }
  return least;
}

fit::Input InputOf(const SideAsked& side, fit::UnitSystem units) {
  return Told("asked for on each side", Exactly(side.value, units), side);
}

fit::Input InputOf(const GradeAsked& grade, fit::UnitSystem units) {
  return Told("steepest that it may climb", Text(grade.value, units, fit::Rounding::kDown), grade);
}

}  // namespace chockwise::survey
