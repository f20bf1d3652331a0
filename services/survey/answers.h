// How an answer is put together from a result of fit and the readings behind it. Private to the
// room.
#pragma once

#include <string>
#include <string_view>

#include "services/fit/answer.h"
#include "services/survey/inputs.h"
#include "services/survey/readings.h"
#include "services/survey/survey.h"

namespace chockwise::survey {

struct Said {
  fit::Verdict verdict;
  std::string line;
};

template <class Sources, class Assumptions>
fit::Answer AnswerFrom(const Readings& readings, Said said, const Sources& sources,
                       const Assumptions& assumptions) {
  fit::Answer answer;
  answer.verdict = said.verdict;
  answer.line = std::move(said.line);
  answer.inputs = readings.inputs();
  for (const std::string_view source : sources) answer.sources.emplace_back(source);
  for (const std::string_view assumption : assumptions) answer.assumptions.emplace_back(assumption);
  return answer;
}

/// A length that was asked for or is to spare: rounded down.
inline std::string Shown(fit::Metres length, fit::UnitSystem units) {
  return Text(length, units, fit::Rounding::kDown);
}
inline std::string SpareOrShort(fit::Metres margin, fit::UnitSystem units) {
  if (margin < fit::Metres()) return Text(-margin, units, fit::Rounding::kUp) + " short";
  return Shown(margin, units) + " to spare";
}

/// The machine of the register, or why there is none.
Outcome<const yard::Machine*> MachineOf(const yard::Yard& yard, const yard::MachineId& id);

/// The machine and its way, or why there is none.
struct Laid {
  const yard::Machine* machine;
  yard::Route route;
};
Outcome<Laid> RouteOf(const Asked& asked, const Trip& trip);

}  // namespace chockwise::survey
