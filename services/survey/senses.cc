// Heard: the horn and the reverse alarm against the noise of a place.
#include <fmt/format.h>

#include "services/fit/hearing.h"
#include "services/survey/answers.h"
#include "services/survey/reading_errors.h"
#include "services/survey/survey.h"
#include "services/survey/train.h"

namespace chockwise::survey {
namespace {

/// What sounds, and how its level is called among the readings.
struct Sound {
  const char* name;
  const char* quantity;
};

/// Whoever stands beside the tail of a train is farther from what sounds.
Outcome<fit::Metres> LengthBehind(Readings& readings, const yard::Machine& machine) {
  if (machine.tows.empty()) return fit::Metres();
  const auto train = TrainLength(readings, machine);
  if (!train) return tl::unexpected(train.error());
  const auto carried = readings.Of<fit::Metres>(machine.id.value(), "carried-length");
  if (!carried) return tl::unexpected(carried.error());
  return *train - *carried;
}

Outcome<fit::Answer> IsHeard(const Asked& asked, const HornAsked& horn, const Sound& sound) {
  const auto machine = MachineOf(asked.yard, horn.machine);
  if (!machine) return tl::unexpected(machine.error());
  if (auto alone = HangsBehindNone(**machine); !alone) return tl::unexpected(alone.error());
  Readings readings(asked.yard, asked.when);
  const auto behind = LengthBehind(readings, **machine);
  if (!behind) return tl::unexpected(behind.error());
  const auto level = readings.Of<fit::Decibels>(horn.machine.value(), sound.quantity);
  if (!level) return tl::unexpected(level.error());
  const auto ambient = readings.Of<fit::Decibels>(horn.place.value(), "ambient-level");
  if (!ambient) return tl::unexpected(ambient.error());
  const auto heard = fit::HeardAt(
      {.name = sound.name,
       .sources = {{.level = *level, .at = fit::InMetres(2), .error = kSoundMeterError}},
       .distance = horn.distance + *behind,
       .ambient = *ambient,
       .ambient_error = kSoundMeterError,
       .loss = fit::InDecibels(0)});
  if (!heard) return tl::unexpected(NoAnswerOf(heard.error(), horn.machine.value()));
  fit::Answer answer = AnswerFrom(readings,
                                  {.verdict = heard->verdict,
                                   .line = DriversLine(*heard, asked.units),
                                   .spare = fit::SpareOf(heard->margin, heard->error)},
                                  fit::kHearingSources, fit::kHearingAssumptions);
  answer.inputs.push_back(
      AsAsked("farthest who must hear it", Text(horn.distance, asked.units, fit::Rounding::kUp)));
  if (*behind > fit::Metres()) {
    answer.inputs.push_back(Computed("length of what it tows, added to that",
                                     Text(*behind, asked.units, fit::Rounding::kUp)));
  }
  answer.inputs.push_back(SoundMeterErrorInput());
  return answer;
}

}  // namespace

Outcome<fit::Answer> HornIsHeard(const Asked& asked, const HornAsked& horn) {
  return IsHeard(asked, horn, {.name = "Horn", .quantity = "horn-level-2m"});
}

Outcome<fit::Answer> AlarmIsHeard(const Asked& asked, const HornAsked& alarm) {
  const auto machine = MachineOf(asked.yard, alarm.machine);
  if (!machine) return tl::unexpected(machine.error());
  // It was read behind the machine alone; behind what hangs there nobody has.
  if (const auto alone = TowsNothing(**machine, "how far its reverse alarm is heard"); !alone)
    return tl::unexpected(alone.error());
  return IsHeard(asked, alarm, {.name = "Reverse alarm", .quantity = "alarm-level-2m"});
}

}  // namespace chockwise::survey
