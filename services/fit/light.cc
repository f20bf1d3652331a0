#include "services/fit/light.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr Angle kSunError = Degrees(0.02);  // SunAt
constexpr Angle kSunUp = Degrees(-0.833);   // upper edge at the horizon
constexpr Angle kCivilDusk = Degrees(-6);
constexpr Angle kGlareBelow = Degrees(15);         // common practice
constexpr Angle kGlareWithin = Degrees(25);        // common practice
constexpr Lux kTruckLightsBelow = FootCandles(2);  // 29 CFR 1910.178(h)(2)
constexpr size_t kMostLegs = 10'000;

std::optional<Unusable> Wrong(const Lighting& at) {
  InputCheck check;
  if (at.measured) {
    const Lux most = InLux(200'000);  // the sun at noon gives about 130,000
    check.NotNegative("average light", at.measured->average, UpTo{most})
        .NotNegative("least light", at.measured->least, UpTo{most})
        .Positive("meter error", at.measured->meter_error, UpTo{InLux(1000)});
    if (at.measured->least > at.measured->average) {
      check.Refuse({"least light", "is above the average", "at most the average"});
    }
  }
  if (at.leg_headings.size() > kMostLegs) {
    check.Refuse({"legs", fmt::format("are {}", at.leg_headings.size()), "at most 10,000"});
  }
  if (check.failed()) return check.error();
  return std::nullopt;
}

bool UnderARoof(LitGround ground) {
  switch (ground) {
    case LitGround::kRoute:
    case LitGround::kMixed:
    case LitGround::kApron:
      return false;
    case LitGround::kIndoors:
    case LitGround::kWorkshop:
      return true;
  }
  return true;
}

Daylight DaylightOf(Angle altitude) {
  if (altitude >= Angle()) return Daylight::kDay;
  return altitude >= kCivilDusk ? Daylight::kTwilight : Daylight::kDark;
}

Lux LeastMargin(const std::vector<LightLevel>& levels, const LightReading& reading) {
  Lux margin = reading.average;
  for (const LightLevel& level : levels) {
    if (level.average) margin = std::min(margin, reading.average - *level.average);
    if (level.least) margin = std::min(margin, reading.least - *level.least);
  }
  return margin;
}

std::vector<Glare> GlareOf(const SunPosition& sun, const std::vector<Angle>& headings) {
  if (sun.altitude + kSunError < kSunUp || sun.altitude - kSunError >= kGlareBelow) return {};
  std::vector<Glare> glare;
  for (size_t leg = 0; leg < headings.size(); ++leg) {
    const Angle off = OffSun(sun, headings[leg]);
    if (off <= kGlareWithin + kSunError) glare.push_back({.leg = leg, .off_heading = off});
  }
  return glare;
}

Verdict WithoutReading(const Light& light) {
  if (light.lamps_needed) return Verdict::kConflict;
  return light.daylight == Daylight::kDay ? Verdict::kClear : Verdict::kUndecided;
}

std::optional<Duration> UntilDusk(const Lighting& at) {
  const Outcome<SunDay> day = SunDayAround(at.place, at.when);
  if (!day || !day->dusk || *day->dusk < at.when) return std::nullopt;
  return *day->dusk - at.when;
}

}  // namespace

Outcome<Daylight> DaylightAt(const PlaceOnEarth& place, Instant when) {
  const Outcome<SunPosition> sun = SunAt(place, when);
  if (!sun) return tl::unexpected(sun.error());
  return DaylightOf(sun->altitude - kSunError);
}

std::vector<LightLevel> LevelsFor(LitGround ground, LitSite site) {
  const std::string table_d3 = site == LitSite::kConstruction
                                   ? "29 CFR 1926.56 Table D-3"
                                   : "common practice, after 29 CFR 1926.56 Table D-3";
  std::vector<LightLevel> levels;
  const auto least_of_d3 = [&](double foot_candles) {
    levels.push_back({table_d3, std::nullopt, FootCandles(foot_candles)});
  };
  switch (ground) {
    case LitGround::kRoute:
      levels.push_back({"HSG38 (from memory)", InLux(20), InLux(5)});
      if (site == LitSite::kConstruction) least_of_d3(3);  // access ways
      break;
    case LitGround::kMixed:
      levels.push_back({"HSG38 (from memory)", InLux(50), InLux(20)});
      if (site == LitSite::kConstruction) least_of_d3(3);
      break;
    case LitGround::kApron:
    case LitGround::kIndoors:
      least_of_d3(5);
      break;
    case LitGround::kWorkshop:
      least_of_d3(10);
      break;
  }
  return levels;
}

Angle OffSun(const SunPosition& sun, Angle heading) {
  const double compass_deg = 90 - heading.degrees();
  return Degrees(std::abs(std::remainder(compass_deg - sun.azimuth.degrees(), 360)));
}

Outcome<Light> LightAt(const Lighting& at) {
  const Outcome<SunPosition> sun = SunAt(at.place, at.when);
  if (!sun) return tl::unexpected(sun.error());
  if (const auto wrong = Wrong(at)) return tl::unexpected(*wrong);

  Light light;
  light.sun = *sun;
  light.daylight = DaylightOf(sun->altitude - kSunError);
  light.night_clothing = light.daylight != Daylight::kDay;
  light.lamps_needed =
      light.daylight == Daylight::kDark || at.sky == Sky::kObscured || UnderARoof(at.ground);
  light.levels = LevelsFor(at.ground, at.site);
  light.glare = GlareOf(*sun, at.leg_headings);
  light.until_dusk = UntilDusk(at);
  if (!at.measured) {
    light.truck_lights_needed = light.lamps_needed || light.night_clothing;
    light.verdict = WithoutReading(light);
    return light;
  }
  const LightReading& reading = *at.measured;
  light.truck_lights_needed = reading.least - reading.meter_error < kTruckLightsBelow;
  light.margin = LeastMargin(light.levels, reading);
  light.margin_error = reading.meter_error;
  light.verdict = Judge(light.margin->lux(), light.margin_error.lux());
  return light;
}

std::string DriversLine(const Light& result, UnitSystem system) {
  std::string line;
  if (result.margin && result.verdict == Verdict::kClear) {
    line = fmt::format("LIGHT ENOUGH: {} over", Text(*result.margin, system, Rounding::kDown));
  } else if (result.margin && result.verdict == Verdict::kConflict) {
    line = fmt::format("TOO DARK: {} short", Text(-*result.margin, system, Rounding::kUp));
  } else if (result.margin) {
    line = "TOO DARK: too close to call";
  } else {
    switch (result.verdict) {
      case Verdict::kClear:
        line = "DAYLIGHT";
        break;
      case Verdict::kConflict:
        line = "DARK: lamps and wands, then measure";
        break;
      case Verdict::kUndecided:
        line = "TWILIGHT: measure the light, night clothing";
        break;
    }
  }
  if (result.until_dusk && *result.until_dusk <= Hours(1))
    line += fmt::format(", dusk in {} min", result.until_dusk->micros() / 60'000'000);
  return line + (result.glare.empty() ? "" : ", GLARE ahead");
}

}  // namespace chockwise::fit
