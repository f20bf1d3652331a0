// Heard: the horn and the reverse alarm against the noise of a place.
#include <fmt/format.h>

#include "services/fit/hearing.h"
#include "services/survey/answers.h"
#include "services/survey/survey.h"

namespace chockwise::survey {
namespace {

/// A sound level meter of class 2 as it is used outdoors; a phone is not one. Common practice.
constexpr fit::Decibels kMeterError = fit::InDecibels(2);

/// What sounds, and how its level is called among the readings.
struct Sound {
  const char* name;
  const char* quantity;
};

Outcome<fit::Answer> IsHeard(const Asked& asked, const HornAsked& horn, const Sound& sound) {
  const auto machine = MachineOf(asked.yard, horn.machine);
  if (!machine) return tl::unexpected(machine.error());
  Readings readings(asked.yard, asked.when);
  const auto level = readings.Of<fit::Decibels>(horn.machine.value(), sound.quantity);
  if (!level) return tl::unexpected(level.error());
  const auto ambient = readings.Of<fit::Decibels>(horn.place.value(), "ambient-level");
  if (!ambient) return tl::unexpected(ambient.error());
  const auto heard =
      fit::HeardAt({.name = sound.name,
                    .sources = {{.level = *level, .at = fit::InMetres(2), .error = kMeterError}},
                    .distance = horn.distance,
                    .ambient = *ambient,
                    .ambient_error = kMeterError,
                    .loss = fit::InDecibels(0)});
  if (!heard) return tl::unexpected(NoAnswerOf(heard.error(), horn.machine.value()));
  fit::Answer answer = AnswerFrom(readings,
                                  {.verdict = heard->verdict,
                                   .line = DriversLine(*heard, asked.units),
                                   .spare = fit::SpareOf(heard->margin, heard->error)},
                                  fit::kHearingSources, fit::kHearingAssumptions);
  answer.inputs.push_back(
      AsAsked("farthest who must hear it", Text(horn.distance, asked.units, fit::Rounding::kUp)));
  answer.inputs.push_back(Default("a sound level meter may be off, each time it is read",
                                  Text(kMeterError, asked.units, fit::Rounding::kUp)));
  return answer;
}

}  // namespace

Outcome<fit::Answer> HornIsHeard(const Asked& asked, const HornAsked& horn) {
  return IsHeard(asked, horn, {.name = "Horn", .quantity = "horn-level-2m"});
}

Outcome<fit::Answer> AlarmIsHeard(const Asked& asked, const HornAsked& alarm) {
  return IsHeard(asked, alarm, {.name = "Reverse alarm", .quantity = "alarm-level-2m"});
}

}  // namespace chockwise::survey
