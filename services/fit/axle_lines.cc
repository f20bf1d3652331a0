// What is said of axles: how much is to spare and where, which way to move, and that no move helps.
#include <fmt/format.h>

#include <cmath>

#include "services/fit/axle_loads.h"

namespace chockwise::fit {
namespace {

/// How a limit is named, and what is said of it where it is over: "{0}" is the name, "{1}" how
/// much.
struct Words {
  std::string name;
  const char* over;
};

Words WordsOf(const AxleLimit& group) {
  const std::string coupling = fmt::format("coupling {}", group.first);
  const std::string axles = group.first == group.last
                                ? fmt::format("axle {}", group.first)
                                : fmt::format("axles {} to {}", group.first, group.last);
  constexpr const char* kOver = "{0} {1} over";
  switch (group.rule) {
    case AxleRule::kGross:
      return {"gross", kOver};
    case AxleRule::kCouplingRating:
      return {coupling, "{0} {1} over its rating"};
    case AxleRule::kCouplingStaysDown:
      return {coupling, "{0} lifts, {1} short of what must be left on it"};
    case AxleRule::kStaysDown:
      return {axles, "{0} lifts"};
    case AxleRule::kSingleAxle:
    case AxleRule::kTandem:
    case AxleRule::kBridge:
    case AxleRule::kTandemPair:
    case AxleRule::kAxleRating:
      break;
  }
  return {axles, kOver};
}

std::string WhatIsWrong(const AxleLimit& group, UnitSystem system) {
  const Words words = WordsOf(group);
  if (group.margin >= -group.error) {
    const Kilograms spare = group.margin < Kilograms() ? Kilograms() : group.margin;
    return fmt::format("{} {} to spare and may be off by {}: weigh it", words.name,
                       Text(spare, system, Rounding::kDown),
                       Text(group.error, system, Rounding::kUp));
  }
  return fmt::format(fmt::runtime(words.over), words.name,
                     Text(-group.margin, system, Rounding::kUp));
}

Metres StepOf(UnitSystem system) { return system == UnitSystem::kUs ? Inches(1) : Millimetres(10); }

}  // namespace

std::optional<Metres> MoveToSay(const AxleJudgement& judged, UnitSystem system) {
  if (!judged.move) return std::nullopt;
  const Metres step = StepOf(system);
  const Metres size = *judged.move < Metres() ? -*judged.move : *judged.move;
  const Metres rounded = step * std::ceil(size / step - 1e-6);
  // Nobody sets a machine down finer than a step: a narrower stretch is no place.
  if (rounded - size > judged.legal->rear - judged.legal->front) return std::nullopt;
  return *judged.move > Metres() ? rounded : -rounded;
}

std::optional<DeckStretch> StretchToSay(const DeckStretch& stretch, UnitSystem system) {
  const Metres step = StepOf(system);
  const DeckStretch said = {step * std::ceil(stretch.front / step - 1e-6),
                            step * std::floor(stretch.rear / step + 1e-6)};
  if (said.front > said.rear) return std::nullopt;
  return said;
}

std::string NoStretchLine(UnitSystem system) {
  return "NO PLACE ON THE DECK HELPS: the legal stretch is narrower than " +
         Text(StepOf(system), system, Rounding::kDown);
}

std::string DriversLine(const AxleJudgement& judged, UnitSystem system) {
  if (judged.verdict == Verdict::kClear) {
    return fmt::format("AXLES WITHIN LIMITS: {} {} to spare, of it {} may be error",
                       WordsOf(judged.worst).name,
                       Text(judged.worst.margin, system, Rounding::kDown),
                       Text(judged.worst.error, system, Rounding::kUp));
  }
  if (!judged.legal) {
    return "NO PLACE ON THE DECK HELPS: at best " + WhatIsWrong(judged.least_bad, system);
  }
  const std::optional<Metres> move = MoveToSay(judged, system);
  if (!move) return NoStretchLine(system);
  const bool back = *move > Metres();
  return fmt::format("MOVE MACHINE {} {}: {}", Text(back ? *move : -*move, system, Rounding::kUp),
                     back ? "BACK" : "FORWARD", WhatIsWrong(judged.worst, system));
}

}  // namespace chockwise::fit
