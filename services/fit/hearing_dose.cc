#include "services/fit/hearing_dose.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr double kNoiseOfPercent = 1e-9;
constexpr size_t kMostExposures = 10'000;

double PermittedHours(Decibels level) { return 8 / std::exp2((level.decibels() - 90) / 5); }
double HoursOf(Duration span) { return static_cast<double>(span.micros()) / 3.6e9; }

std::optional<Unusable> Wrong(const std::vector<NoiseExposure>& exposures) {
  InputCheck check;
  check.Between("exposures", static_cast<int>(std::min(exposures.size(), kMostExposures + 1)),
                Span{1, static_cast<int>(kMostExposures)});
  Duration together;
  for (const NoiseExposure& each : exposures) {
    check.Between("level", each.level, Span{InDecibels(30), InDecibels(130)});
    if (each.lasted <= Duration() || each.lasted > Hours(24)) {
      check.Refuse({fmt::format("time at {:g} dB", each.level.decibels()),
                    fmt::format("is {:g} h", HoursOf(each.lasted)),
                    "more than 0 h and 24 h at most, one day"});
      break;
    }
    together = together + each.lasted;
  }
  if (together > Hours(24)) {
    check.Refuse(
        {"time together", fmt::format("is {:g} h", HoursOf(together)), "one day at most, 24 h"});
  }
  if (check.failed()) return check.error();
  return std::nullopt;
}

}  // namespace

Outcome<Duration> PermittedTime(Decibels level) {
  InputCheck check;
  check.Between("level", level, Span{kNoiseCountsFrom, InDecibels(130)});
  if (check.failed()) return tl::unexpected(check.error());
  return Duration::FromMicros(static_cast<int64_t>(std::floor(PermittedHours(level) * 3.6e9)));
}

Outcome<NoiseDose> DoseOf(const std::vector<NoiseExposure>& exposures) {
  if (const auto wrong = Wrong(exposures)) return tl::unexpected(*wrong);
  NoiseDose dose;
  for (const auto& [level, lasted] : exposures) {
    const double percent = 100 * HoursOf(lasted) / PermittedHours(level);
    if (level >= kNoiseCountsFrom) dose.action_percent += percent;
    if (level >= InDecibels(90)) dose.limit_percent += percent;
    dose.over_115 |= level > kNoNoiseAbove;
  }
  if (dose.action_percent > 0)
    dose.time_weighted = InDecibels(16.61 * std::log10(dose.action_percent / 100) + 90);
  dose.over_limit = dose.over_115 || dose.limit_percent > 100 + kNoiseOfPercent;
  dose.action_needed = dose.action_percent >= 50 - kNoiseOfPercent;
  return dose;
}

std::string DriversLine(const NoiseDose& result) {
  const double shown = std::max(0.0, std::ceil(result.action_percent - kNoiseOfPercent));
  if (result.over_115) return "EAR PROTECTION: above 115 dB, no time is permitted";
  return fmt::format("{}: {:.0f} % of the day's dose",
                     result.over_limit || result.action_needed ? "EAR PROTECTION" : "NOISE", shown);
}

Outcome<Talk> TalkAt(const TalkingAt& at) {
  InputCheck check;
  check.Between("ambient", at.ambient, Span{InDecibels(20), InDecibels(140)})
      .Positive("ambient error", at.ambient_error, UpTo{InDecibels(20)});
  if (check.failed()) return tl::unexpected(check.error());
  const double worst_db = at.ambient.decibels() + at.ambient_error.decibels();
  return worst_db > 80 ? Talk::kRadioOrHands : Talk::kVoiceRadioOrHands;
}

std::string DriversLine(Talk talk) {
  switch (talk) {
    case Talk::kVoiceRadioOrHands:
      return "Voice, radio or hands";
    case Talk::kRadioOrHands:
      return "Radio or hands; no shouting";
  }
  return "";
}

}  // namespace chockwise::fit
