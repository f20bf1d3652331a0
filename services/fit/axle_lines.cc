// What is said of axles: how much is to spare and where, which way to move, and that no move helps.
#include <fmt/format.h>

#include <cmath>

#include "services/fit/axle_loads.h"

namespace chockwise::fit {
namespace {

std::string NameOf(const AxleLimit& group) {
  switch (group.rule) {
    case AxleRule::kGross:
      return "gross";
    case AxleRule::kCouplingRating:
    case AxleRule::kCouplingStaysDown:
      return fmt::format("coupling {}", group.first);
    case AxleRule::kStaysDown:
    case AxleRule::kSingleAxle:
    case AxleRule::kTandem:
    case AxleRule::kBridge:
    case AxleRule::kTandemPair:
    case AxleRule::kAxleRating:
      break;
  }
  if (group.first == group.last) return fmt::format("axle {}", group.first);
  return fmt::format("axles {} to {}", group.first, group.last);
}

std::string WhatIsWrong(const AxleLimit& group, UnitSystem system) {
  const std::string name = NameOf(group);
  if (group.margin >= -group.error) {
    const Kilograms spare = group.margin < Kilograms() ? Kilograms() : group.margin;
    return fmt::format("{} {} to spare and may be off by {}: weigh it", name,
                       Text(spare, system, Rounding::kDown),
                       Text(group.error, system, Rounding::kUp));
  }
  const std::string over = Text(-group.margin, system, Rounding::kUp);
  switch (group.rule) {
    case AxleRule::kCouplingRating:
      return fmt::format("{} {} over its rating", name, over);
    case AxleRule::kCouplingStaysDown:
      return fmt::format("{} lifts, {} short of what must be left on it", name, over);
    case AxleRule::kStaysDown:
      return name + " lifts";
    case AxleRule::kGross:
    case AxleRule::kSingleAxle:
    case AxleRule::kTandem:
    case AxleRule::kBridge:
    case AxleRule::kTandemPair:
    case AxleRule::kAxleRating:
      break;
  }
  return fmt::format("{} {} over", name, over);
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
                       NameOf(judged.worst), Text(judged.worst.margin, system, Rounding::kDown),
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
