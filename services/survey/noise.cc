#include "services/survey/noise.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/survey/answers.h"
#include "services/survey/reading_errors.h"
#include "services/survey/words.h"

namespace chockwise::survey {
namespace {

using fit::Decibels;
using fit::Verdict;

constexpr const char* kExposureForm = "write LEVEL for TIME: 100 dB for 2 h, 90 dB for 90 min";

std::string Level(Decibels level, fit::Rounding rounding) {
  return Text(level, fit::UnitSystem::kUs, rounding);
}

/// Whole minutes, rounded down: "2 h", "1 h 31 min", "15 min".
std::string TimeText(fit::Duration time) {
  const int64_t minutes = time.micros() / fit::Minutes(1).micros();
  const int64_t hours = minutes / 60, rest = minutes % 60;
  if (hours == 0) return fmt::format("{} min", rest);
  return rest == 0 ? fmt::format("{} h", hours) : fmt::format("{} h {} min", hours, rest);
}

/// Rounded up; a billionth is binary noise.
std::string Percent(double percent) {
  return fmt::format("{:.0f} %", std::max(0.0, std::ceil(percent - 1e-9)));
}

std::string DayLine(const fit::NoiseDose& dose) {
  std::string line = DriversLine(dose);
  if (dose.time_weighted)
    line += fmt::format(", as {} over 8 h", Level(*dose.time_weighted, fit::Rounding::kUp));
  if (dose.over_limit) line += ". OVER THE LIMIT";
  if (dose.action_needed) line += ". HEARING CONSERVATION";
  return line;
}

/// How long a level is permitted, in words: below 80 dB(A) nothing is counted, above 115 no time is
/// permitted.
std::string PermittedText(Decibels level) {
  if (level > fit::kNoNoiseAbove) return "none";
  if (level < fit::kNoiseCountsFrom) return "any time";
  const auto permitted = fit::PermittedTime(level);
  if (!permitted) return "none";
  return *permitted >= fit::Hours(24) ? "any time" : TimeText(*permitted);
}

std::string PlaceLine(const std::string& place, Decibels worst, fit::Talk talk) {
  const std::string permitted = PermittedText(worst);
  std::string line = place + ": ";
  if (permitted == "none") {
    line += "EAR PROTECTION, no time without it is permitted";
  } else if (permitted == "any time") {
    line += "ANY TIME";
  } else {
    line += "NO LONGER THAN " + permitted + " a day";
  }
  if (worst >= kActionLevel) line += ". HEARING CONSERVATION where it is all day";
  return line + ". " + DriversLine(talk);
}

}  // namespace

Outcome<fit::NoiseExposure> ReadExposure(std::string_view text) {
  constexpr std::string_view kFor = " for ";
  const auto mistyped = [&] {
    return tl::unexpected(Mistyped("exposure", fmt::format("is '{}'", text), kExposureForm));
  };
  const size_t at = text.find(kFor);
  if (at == std::string_view::npos) return mistyped();
  const auto level = yard::ReadMeasuredValue(text.substr(0, at));
  const auto lasted = yard::ReadAge(text.substr(at + kFor.size()));
  if (!level || !std::holds_alternative<Decibels>(*level) || !lasted) return mistyped();
  return fit::NoiseExposure{.level = std::get<Decibels>(*level), .lasted = *lasted};
}

Outcome<PartedAnswer> NoiseOfDay(const std::vector<fit::NoiseExposure>& exposures) {
  const auto dose = fit::DoseOf(exposures);
  if (!dose) return tl::unexpected(NoAnswerOf(dose.error(), ""));
  const Part part{.verdict = dose->over_limit ? Verdict::kConflict : Verdict::kClear,
                  .used = dose->limit_percent / 100,
                  .line = DayLine(*dose)};
  PartedAnswer day;
  day.parts = {part};
  fit::Answer& answer = day.answer;
  answer.verdict = part.verdict;
  answer.line = part.line;
  for (const fit::NoiseExposure& one : exposures) {
    const std::string level = Level(one.level, fit::Rounding::kUp);
    answer.inputs.push_back(AsAsked("at " + level, TimeText(one.lasted)));
    AddOnce(answer.inputs, Computed("permitted a day at " + level, PermittedText(one.level)));
  }
  answer.inputs.push_back(
      Computed("dose from 90 dB on, the limit is 100 %", Percent(dose->limit_percent)));
  answer.inputs.push_back(
      Computed("dose from 80 dB on, it acts at 50 %", Percent(dose->action_percent)));
  for (const std::string_view source : kNoiseSources) answer.sources.emplace_back(source);
  for (const std::string_view text : kNoiseAssumptions) answer.assumptions.emplace_back(text);
  return day;
}

Outcome<PartedAnswer> NoiseAt(const Asked& asked, const yard::PlaceId& place) {
  if (const auto known = PlaceOf(asked.yard, place); !known) return tl::unexpected(known.error());
  Readings readings(asked.yard, asked.when);
  const auto level = readings.Of<Decibels>(place.value(), "ambient-level");
  if (!level) return tl::unexpected(level.error());
  const auto off = [&](double sign) {
    return fit::InDecibels(level->decibels() + sign * kSoundMeterError.decibels());
  };
  const auto talk = fit::TalkAt({.ambient = *level, .ambient_error = kSoundMeterError});
  if (!talk) return tl::unexpected(NoAnswerOf(talk.error(), place.value()));
  Part part{.verdict = Verdict::kClear, .line = PlaceLine(place.value(), off(1), *talk)};
  if (off(1) > fit::kNoNoiseAbove)
    part.verdict = off(-1) > fit::kNoNoiseAbove ? Verdict::kConflict : Verdict::kUndecided;
  PartedAnswer there = PartedFrom(readings, {part}, kNoiseSources, kNoiseAssumptions);
  there.answer.inputs.push_back(SoundMeterErrorInput());
  return there;
}

PartedAnswer Together(PartedAnswer first, const PartedAnswer& second) {
  first.parts.insert(first.parts.end(), second.parts.begin(), second.parts.end());
  const Said said = WorstOf(first.parts);
  first.answer.verdict = said.verdict;
  first.answer.line = said.line;
  first.answer.spare = said.spare;
  for (const fit::Input& input : second.answer.inputs) AddOnce(first.answer.inputs, input);
  return first;
}

}  // namespace chockwise::survey
