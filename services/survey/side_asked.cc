#include "services/survey/side_asked.h"

#include "services/survey/inputs.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

/// The rules were checked when they were read; what is missing all the same asks nothing.
std::optional<Metres> EachSide(const v1::GateRule& gate, std::string_view computation,
                               fit::Travel travel) {
  if (gate.computed().computation() != computation) return std::nullopt;
  const auto& parameters = gate.computed().parameters();
  const auto how = parameters.find("travel");
  if (how != parameters.end() && TravelOf(how->second) != travel) return std::nullopt;
  const auto side = parameters.find("each_side");
  if (side == parameters.end()) return std::nullopt;
  const auto value = yard::ReadMeasuredValue(side->second);
  if (!value || !std::holds_alternative<Metres>(*value)) return std::nullopt;
  return std::get<Metres>(*value);
}

}  // namespace

SideAsked SideAskedFor(const v1::Rules& rules, std::string_view computation, fit::Travel travel,
                       const std::optional<Metres>& as_asked) {
  if (as_asked) return {.length = *as_asked, .by = SideAsked::By::kAsked, .gate = ""};
  SideAsked most;
  for (const v1::GateRule& gate : rules.gates()) {
    const auto side = EachSide(gate, computation, travel);
    if (!side || (most.by == SideAsked::By::kRules && *side <= most.length)) continue;
    most = {.length = *side, .by = SideAsked::By::kRules, .gate = gate.id()};
  }
  return most;
}

fit::Input InputOf(const SideAsked& side, fit::UnitSystem units) {
  const char* name = "asked for on each side";
  const std::string value = Text(side.length, units, fit::Rounding::kUp);
  switch (side.by) {
    case SideAsked::By::kDefault:
      return Default(name, value);
    case SideAsked::By::kRules:
      return {.name = name, .value = value, .by = "gate " + side.gate, .when = std::nullopt};
    case SideAsked::By::kAsked:
      return AsAsked(name, value);
  }
  return Default(name, value);
}

}  // namespace chockwise::survey
