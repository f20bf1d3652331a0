#include "services/fit/hearing.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr double kOverAmbientDb = 10;          // ISO 9533, horn criterion
constexpr double kAimOverAmbientDb = 15;       // ISO 7731:2003, 5.2 a, from memory
constexpr double kLeastDb = 65;                // ISO 7731:2003, 5.2, from memory
constexpr double kLightsAboveAmbientDb = 100;  // ISO 7731
constexpr size_t kMostSources = 100;           // no machine has more

Decibels Plus(Decibels level, double more_db) { return InDecibels(level.decibels() + more_db); }

std::optional<Unusable> Wrong(const std::vector<SoundSource>& sources) {
  InputCheck check;
  check.Between("sources", static_cast<int>(std::min(sources.size(), kMostSources + 1)),
                Span{1, static_cast<int>(kMostSources)});
  for (const SoundSource& source : sources)
    check.Between("level", source.level, Span{InDecibels(40), InDecibels(160)})
        .Positive("reference distance", source.at, UpTo{InMetres(100)})
        .Positive("level error", source.error, UpTo{InDecibels(20)});
  if (check.failed()) return check.error();
  return std::nullopt;
}

/// Requires sources that are right and a distance above 0.
Decibels Level(const std::vector<SoundSource>& sources, Metres distance) {
  std::vector<Decibels> levels;
  for (const SoundSource& source : sources)
    levels.push_back(Plus(source.level, -20 * std::log10(std::max(1.0, distance / source.at))));
  return *EnergySum(levels);
}

Decibels WorstError(const std::vector<SoundSource>& sources) {
  return std::ranges::max_element(sources, {}, &SoundSource::error)->error;
}

/// Requires sources that are right. The level falls in pieces: with distance, those sources whose
/// reference lies nearer go down with its square and the others stay. From the farthest piece on,
/// the first that still has the level holds the answer.
Metres Farthest(std::vector<SoundSource> sources, Decibels level) {
  std::ranges::sort(sources, {}, &SoundSource::at);
  double constant = 0;  // power of those farther out, as shares of the power that is wanted
  double falling = 0;   // power times square of distance of the others
  const auto power = [&](const SoundSource& source) {
    return std::pow(10, (source.level.decibels() - level.decibels()) / 10);
  };
  for (const SoundSource& source : sources) {
    falling += power(source) * source.at.metres() * source.at.metres();
  }
  for (auto source = sources.rbegin(); source != sources.rend(); ++source) {
    const double here = source->at.metres();
    if (falling / (here * here) + constant >= 1)
      return InMetres(std::sqrt(falling / (1 - constant)));
    falling = std::max(0.0, falling - power(*source) * here * here);
    constant += power(*source);
  }
  return Metres();
}

}  // namespace

SoundSource AlarmOf(AlarmClass alarm) {
  double level_db = 0;
  switch (alarm) {
    case AlarmClass::kA:
      level_db = 112;
      break;
    case AlarmClass::kB:
      level_db = 107;
      break;
    case AlarmClass::kC:
      level_db = 97;
      break;
    case AlarmClass::kD:
      level_db = 87;
      break;
    case AlarmClass::kE:
      level_db = 77;
      break;
  }
  return {.level = InDecibels(level_db), .at = InMetres(1.2), .error = InDecibels(4)};
}

Outcome<Decibels> EnergySum(const std::vector<Decibels>& levels) {
  if (levels.empty()) return tl::unexpected(Unusable{"levels", "are none", "one or more"});
  const double loudest = std::ranges::max(levels).decibels();
  double shares = 0;
  for (Decibels level : levels) shares += std::pow(10, (level.decibels() - loudest) / 10);
  return InDecibels(loudest + 10 * std::log10(shares));
}

Outcome<Decibels> LevelAt(const std::vector<SoundSource>& sources, Metres distance) {
  if (const auto wrong = Wrong(sources)) return tl::unexpected(*wrong);
  InputCheck check;
  check.Positive("distance", distance, UpTo{InMetres(1000)});
  if (check.failed()) return tl::unexpected(check.error());
  return Level(sources, distance);
}

Outcome<Metres> FarthestWith(const std::vector<SoundSource>& sources, Decibels level) {
  if (const auto wrong = Wrong(sources)) return tl::unexpected(*wrong);
  InputCheck check;
  check.Between("level wanted", level, Span{InDecibels(20), InDecibels(160)});
  if (check.failed()) return tl::unexpected(check.error());
  return Farthest(sources, level);
}

Outcome<Hearing> HeardAt(const Listening& at) {
  if (const auto wrong = Wrong(at.sources)) return tl::unexpected(*wrong);
  InputCheck check;
  check.Positive("distance", at.distance, UpTo{InMetres(1000)})
      .Between("ambient", at.ambient, Span{InDecibels(20), InDecibels(140)})
      .Positive("ambient error", at.ambient_error, UpTo{InDecibels(20)})
      .NotNegative("loss", at.loss, UpTo{InDecibels(60)});
  if (check.failed()) return tl::unexpected(check.error());

  const double error_db = WorstError(at.sources).decibels() + at.ambient_error.decibels();
  const double ambient_db = at.ambient.decibels();
  Hearing result;
  result.name = at.name;
  result.level = Plus(Level(at.sources, at.distance), -at.loss.decibels());
  result.needed = InDecibels(std::max(kLeastDb, ambient_db + kOverAmbientDb));
  result.aim = InDecibels(std::max(kLeastDb, ambient_db + kAimOverAmbientDb));
  result.margin = LevelAbove(result.level, result.needed);
  result.error = InDecibels(error_db);
  result.reaches_aim = LevelAbove(result.level, result.aim) > result.error;
  result.lights_needed = ambient_db + at.ambient_error.decibels() > kLightsAboveAmbientDb;
  result.surely_heard_to = Farthest(at.sources, Plus(result.needed, error_db + at.loss.decibels()));
  result.verdict = Judge(result.margin.decibels(), error_db);
  // At the very limit the two round apart.
  if (result.verdict == Verdict::kClear)
    result.surely_heard_to = std::max(result.surely_heard_to, at.distance);
  return result;
}

std::string DriversLine(const Hearing& result, UnitSystem system) {
  if (result.verdict != Verdict::kClear) return result.name + " NOT heard: hands only";
  const Decibels sure = LevelAbove(result.margin, result.error);
  return fmt::format("{} HEARD: {} to spare, to {}{}", result.name,
                     Text(sure, system, Rounding::kDown),
                     Text(result.surely_heard_to, system, Rounding::kDown),
                     result.lights_needed ? "; lights as well" : "");
}

}  // namespace chockwise::fit
