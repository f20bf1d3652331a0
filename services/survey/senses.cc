// Heard and seen: the horn against the noise of a place, and the light there.
#include <fmt/format.h>

#include "services/fit/hearing.h"
#include "services/fit/light.h"
#include "services/survey/answers.h"
#include "services/survey/survey.h"

namespace chockwise::survey {
namespace {

/// A sound level meter of class 2 as it is used outdoors; a phone is not one. Common practice.
constexpr fit::Decibels kMeterError = fit::InDecibels(2);
/// A light meter at working height. Common practice.
constexpr fit::Lux kLightError = fit::InLux(1);

}  // namespace

Outcome<fit::Answer> HornIsHeard(const Asked& asked, const HornAsked& horn) {
  const auto machine = MachineOf(asked.yard, horn.machine);
  if (!machine) return tl::unexpected(machine.error());
  Readings readings(asked.yard, asked.when);
  const auto level = readings.Of<fit::Decibels>(horn.machine.value(), "horn-level-2m");
  if (!level) return tl::unexpected(level.error());
  const auto ambient = readings.Of<fit::Decibels>(horn.place.value(), "ambient-level");
  if (!ambient) return tl::unexpected(ambient.error());
  const auto heard =
      fit::HeardAt({.name = "Horn",
                    .sources = {{.level = *level, .at = fit::InMetres(2), .error = kMeterError}},
                    .distance = horn.distance,
                    .ambient = *ambient,
                    .ambient_error = kMeterError,
                    .loss = fit::InDecibels(0)});
  if (!heard) return tl::unexpected(NoAnswerOf(heard.error(), horn.machine.value()));
  fit::Answer answer =
      AnswerFrom(readings, {.verdict = heard->verdict, .line = DriversLine(*heard, asked.units)},
                 fit::kHearingSources, fit::kHearingAssumptions);
  answer.inputs.push_back(
      AsAsked("farthest who must hear it", Text(horn.distance, asked.units, fit::Rounding::kUp)));
  return answer;
}

Outcome<fit::Answer> LightIsEnough(const Asked& asked, const yard::PlaceId& place) {
  const auto found = PlaceOf(asked.yard, place);
  if (!found) return tl::unexpected(found.error());
  Readings readings(asked.yard, asked.when);
  const yard::Position& at = (*found)->position;
  fit::Lighting lighting;
  lighting.place = {.latitude = fit::Degrees(at.latitude_deg),
                    .longitude = fit::Degrees(at.longitude_deg)};
  lighting.when = asked.when.now;
  lighting.ground = fit::LitGround::kMixed;
  const auto level = readings.IfThere<fit::Lux>(place.value(), "light-level");
  if (!level) return tl::unexpected(level.error());
  if (*level) {
    // One reading, taken where it is darkest, stands for the whole place.
    lighting.measured =
        fit::LightReading{.average = **level, .least = **level, .meter_error = kLightError};
  }
  // By day in the open the sun is light enough; a lamp's reading at night says nothing of noon.
  fit::Lighting without_lamps = lighting;
  without_lamps.measured = std::nullopt;
  auto light = fit::LightAt(without_lamps);
  if (light && light->verdict != fit::Verdict::kClear) light = fit::LightAt(lighting);
  if (!light) return tl::unexpected(NoAnswerOf(light.error(), place.value()));
  return AnswerFrom(readings, {.verdict = light->verdict, .line = DriversLine(*light, asked.units)},
                    fit::kLightSources, fit::kLightAssumptions);
}

}  // namespace chockwise::survey
