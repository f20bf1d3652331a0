// What noise a person took in over a shift, and whether a voice carries.
//
//   Outcome<NoiseDose> dose = DoseOf({{.level = InDecibels(90), .lasted = Hours(4)},
//                                     {.level = InDecibels(100), .lasted = Hours(2)}});
//   if (dose->over_limit) ...   // 150 %
//
// A phone's microphone is off by 5 dB (common practice): its readings warn and never clear.
//
// Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// How long a day a level may last: 8 h / 2^((L − 90) / 5). Units: dB(A) in, whole microseconds
/// out, rounded down. Unusable: "level" outside 80 to 130 dB(A), the range that the rule
/// integrates. Source: 29 CFR 1910.95 App. A (from memory); Table G-16 prints it rounded.
Outcome<Duration> PermittedTime(Decibels level);

/// Table G-16 permits no time above it; nothing below the other is integrated (1910.95(d)(2)(i)).
inline constexpr Decibels kNoNoiseAbove = InDecibels(115);
inline constexpr Decibels kNoiseCountsFrom = InDecibels(80);

struct NoiseExposure {
  Decibels level;   // 30 to 130 dB(A); a meter that shows 0 measured nothing
  Duration lasted;  // above 0; together 24 h at most
};

struct NoiseDose {
  // Against the limit of Table G-16, which begins at 90 dB(A).
  double limit_percent = 0;
  // Against the action level, which counts all from 80 dB(A).
  double action_percent = 0;
  // The level that over 8 h gives action_percent: 16.61 · lg(D / 100) + 90. None below 80 dB(A).
  std::optional<Decibels> time_weighted;
  bool over_115 = false;       // above 115 dB(A) no time is permitted (Table G-16)
  bool over_limit = false;     // above 100 %, or over_115
  bool action_needed = false;  // 50 % or more: 1910.95(c), hearing conservation
};

/// Units: percent of a day's permitted dose. Error: none of its own beyond 1e-9 %; a sum exactly at
/// a threshold is taken as on it. Unusable: "exposures" none or more than 10,000, "level",
/// "time at 90 dB", and "time together". Source: 29 CFR 1910.95(a), (b)(2), (c), Table G-16, App.
/// A.
Outcome<NoiseDose> DoseOf(const std::vector<NoiseExposure>& exposures);

/// "EAR PROTECTION: 150 % of the day's dose" or "NOISE: 32 % of the day's dose".
std::string DriversLine(const NoiseDose& result);

/// How two people may talk at 3 m. A voice is unreliable over 80 dB(A): common practice.
enum class Talk { kVoiceRadioOrHands, kRadioOrHands };

/// Unusable: "ambient" outside 20 to 140 dB(A), "ambient error" not above 0 or above 20 dB.
struct TalkingAt {
  Decibels ambient;
  Decibels ambient_error;
};
Outcome<Talk> TalkAt(const TalkingAt& at);
std::string DriversLine(Talk talk);  // "Radio or hands; no shouting"

inline constexpr std::array<std::string_view, 1> kNoiseDoseSources = {
    "29 CFR 1910.95 Table G-16 and App. A (formula from memory)"};
inline constexpr std::array<std::string_view, 1> kNoiseDoseAssumptions = {
    "Levels are A-weighted and slow; impulses (140 dB peak at most) are not counted"};

}  // namespace chockwise::fit
