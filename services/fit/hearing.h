// Whether a horn or a reverse alarm is heard where people stand.
//
//   Outcome<Hearing> horn = HeardAt({.name = "Horn",
//                                    .sources = {{.level = InDecibels(105), .at = InMetres(2),
//                                    ...}}, .distance = InMetres(20), .ambient = InDecibels(78),
//                                    ...});
//   if (horn->verdict != Verdict::kClear) ...   // counts as unheard: hands only
//
// All levels are A-weighted. Whoever wears ear muffs, hears badly or stands round a corner is not
// covered: what is not surely heard is not heard.
//
// Threads: values.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

struct SoundSource {
  Decibels level;  // measured or stated, 40 to 160 dB(A)
  Metres at;       // how far from the source: 2 m by common practice, 1.2 m for alarm classes
  Decibels error;  // of the level, above 0 to 20 dB; a phone is off by 5 dB (common practice)
};

/// SAE J994 (classes read in Canadian Acoustics 21(3), 1993; tolerance from memory).
enum class AlarmClass { kA, kB, kC, kD, kE };

/// The nominal level of a class at 1.2 m with its tolerance of 4 dB.
SoundSource AlarmOf(AlarmClass alarm);

/// Levels add by power: 10·lg Σ 10^(L/10). Unusable: "levels" when there are none.
Outcome<Decibels> EnergySum(const std::vector<Decibels>& levels);

/// The level of sources that sound together from one machine, free field: 20·lg of the distance
/// lower than at the reference, 6.02 dB for each doubling.
///
/// Nearer than its reference distance a source is taken as loud as there: close by, the law of
/// distance promises more than anybody measured. Units: dB(A). Unusable: "sources" when there are
/// none or more than 100, "level", "reference distance", "level error" out of range, "distance" not
/// above 0 or beyond 1 km. Error: that of the worst source, since a sum by power is off by no more
/// than its worst part. Source: spherical spreading.
Outcome<Decibels> LevelAt(const std::vector<SoundSource>& sources, Metres distance);

/// The farthest distance at which the sources together still have `level`; 0 where they have it
/// nowhere. Unusable as LevelAt, and "level wanted" outside 20 to 160 dB(A).
Outcome<Metres> FarthestWith(const std::vector<SoundSource>& sources, Decibels level);

struct Listening {
  std::string name;  // "Horn", "Reverse alarm"
  std::vector<SoundSource> sources;
  Metres distance;         // to the farthest who must hear it
  Decibels ambient;        // at the listener while everything runs, 20 to 140 dB(A)
  Decibels ambient_error;  // above 0 to 20 dB
  Decibels loss;           // what stands between: a closed cab, a door. 0 in the open, up to 60 dB
};

struct Hearing {
  std::string name;
  Decibels level;             // at the listener
  Decibels needed;            // ambient + 10 dB, and 65 dB(A) at least
  Decibels aim;               // ambient + 15 dB, and 65 dB(A) at least
  Decibels margin;            // level less needed
  Decibels error;             // of the margin
  bool reaches_aim = false;   // surely
  bool lights_needed = true;  // ambient may be above 100 dB(A): a sound alone does not do
  Metres surely_heard_to;     // farthest distance that stays clear; 0: nowhere
  Verdict verdict = Verdict::kUndecided;
};

/// Units: dB(A). Unusable as LevelAt, and "ambient", "ambient error", "loss". Error: the level's
/// and the ambient's added. Sources: kHearingSources.
Outcome<Hearing> HeardAt(const Listening& at);

/// "Horn HEARD: 5.0 dB to spare, to 80 ft" or "Horn NOT heard: hands only".
std::string DriversLine(const Hearing& result, UnitSystem system);

inline constexpr std::array<std::string_view, 4> kHearingSources = {
    "ambient + 10 dB: ISO 9533 (horn criterion)",
    "ambient + 15 dB, 65 dB(A), lights above 100 dB(A) ambient: ISO 7731 (15 and 65 from memory)",
    "audible above the surrounding noise: 29 CFR 1926.601(b)(4), 30 CFR 56.14132",
    "classes of reverse alarms: SAE J994"};
inline constexpr std::array<std::string_view, 2> kHearingAssumptions = {
    "Free field: no echo, no wall or stack between; wind and rain are not counted",
    "The listener hears well and wears nothing over the ears"};

}  // namespace chockwise::fit
