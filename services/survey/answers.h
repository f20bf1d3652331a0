// How an answer is put together from a result of fit and the readings behind it. Private to the
// room.
#pragma once

#include <fmt/format.h>

#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/answer.h"
#include "services/survey/inputs.h"
#include "services/survey/parts.h"
#include "services/survey/readings.h"
#include "services/survey/survey.h"

namespace chockwise::survey {

struct Said {
  fit::Verdict verdict;
  std::string line;
  std::optional<fit::Spare> spare = {};
};

template <class Sources, class Assumptions>
fit::Answer AnswerFrom(const Readings& readings, Said said, const Sources& sources,
                       const Assumptions& assumptions) {
  fit::Answer answer;
  answer.verdict = said.verdict;
  answer.line = std::move(said.line);
  answer.spare = std::move(said.spare);
  answer.inputs = readings.inputs();
  for (const std::string_view source : sources) answer.sources.emplace_back(source);
  for (const std::string_view assumption : assumptions) answer.assumptions.emplace_back(assumption);
  return answer;
}

template <class Quantity>
struct Wanted {
  std::string_view subject;
  std::string_view quantity;
  Quantity* into;
};

/// Each in order, up to the first that is not known.
template <class Quantity>
Outcome<void> ReadAll(Readings& readings, const std::vector<Wanted<Quantity>>& all) {
  for (const Wanted<Quantity>& one : all) {
    const auto value = readings.Of<Quantity>(one.subject, one.quantity);
    if (!value) return tl::unexpected(value.error());
    *one.into = *value;
  }
  return {};
}

/// Puts the worst part first, and gives what it says: a conflict before what is undecided, then the
/// part that has used most of what it may take. Requires at least one part.
Said WorstOf(std::vector<Part>& parts);

template <class Sources, class Assumptions>
PartedAnswer PartedFrom(const Readings& readings, std::vector<Part> parts, const Sources& sources,
                        const Assumptions& assumptions) {
  Said said = WorstOf(parts);
  return {.answer = AnswerFrom(readings, std::move(said), sources, assumptions),
          .parts = std::move(parts)};
}

/// An allowance or an error as it counts, so that whoever does the numbers again has the same.
inline std::string Exactly(fit::Metres length, fit::UnitSystem units) {
  return units == fit::UnitSystem::kUs ? fmt::format("{:g} in", length.inches())
                                       : fmt::format("{:g} mm", length.metres() * 1000);
}

/// A length that was asked for or is to spare: rounded down.
inline std::string Shown(fit::Metres length, fit::UnitSystem units) {
  return Text(length, units, fit::Rounding::kDown);
}
inline std::string SpareOrShort(fit::Metres margin, fit::UnitSystem units) {
  if (margin < fit::Metres()) return Text(-margin, units, fit::Rounding::kUp) + " short";
  return Shown(margin, units) + " to spare";
}

/// Where along a way: "12 ft along", "6 ft before its start" for what a tail stands on.
inline std::string AlongText(fit::Metres along, fit::UnitSystem units) {
  if (along < fit::Metres()) return Text(-along, units, fit::Rounding::kDown) + " before its start";
  return Shown(along, units) + " along";
}

/// The machine of the register, or why there is none.
Outcome<const yard::Machine*> MachineOf(const yard::Yard& yard, const yard::MachineId& id);

/// The place of the map, or why there is none.
Outcome<const yard::Place*> PlaceOf(const yard::Yard& yard, const yard::PlaceId& id);

/// The lane of the map, or why there is none.
Outcome<const yard::Lane*> LaneOf(const yard::Yard& yard, const yard::LaneId& id);

/// The way of a trip, or why there is none. The machine is not asked.
Outcome<yard::Route> WayOf(const Asked& asked, const Trip& trip);

/// The machine and its way, or why there is none.
struct Laid {
  const yard::Machine* machine;
  yard::Route route;
};
Outcome<Laid> RouteOf(const Asked& asked, const Trip& trip);

}  // namespace chockwise::survey
