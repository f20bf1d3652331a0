// Whether there is light enough for driver, spotter and walkers: sun, lamps and glare.
//
//   Outcome<Light> light = LightAt({.place = yard, .when = now, .ground = LitGround::kRoute,
//                                   .measured = {{.average = InLux(25), .least = InLux(6), ...}},
//                                   ...});
//   if (light->night_clothing) ...
//
// Without a reading it is as dark as the sun leaves it: after civil dusk that is dark, and dark is
// a conflict. Between sunset and dusk the sun alone does not say: undecided, so not clear.
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
#include "services/fit/sun.h"

namespace chockwise::fit {

enum class LitGround {
  kRoute,     // vehicles alone
  kMixed,     // vehicles and people on foot
  kApron,     // where machines are parked, loaded, coupled
  kIndoors,   // warehouse, corridor, way out
  kWorkshop,  // workrooms, equipment rooms
};

/// Construction takes 29 CFR 1926.56 as law; elsewhere its levels for apron, indoors and workshop
/// are taken as common practice.
enum class LitSite { kGeneralIndustry, kConstruction };

/// Fog, smoke, dust or storm take the daylight: then a reading is wanted at noon too.
enum class Sky { kOpen, kObscured };

struct LightReading {
  Lux average;      // 0 to 200,000 lx
  Lux least;        // at the darkest point, not above the average
  Lux meter_error;  // above 0, up to 1,000 lx
};

struct Lighting {
  PlaceOnEarth place;
  Instant when;
  LitGround ground = LitGround::kMixed;
  LitSite site = LitSite::kGeneralIndustry;
  Sky sky = Sky::kOpen;
  std::optional<LightReading> measured;
  std::vector<Angle>
      leg_headings;  // of the route, counter-clockwise from east, any turn; to 10,000
};

enum class Daylight { kDay, kTwilight, kDark };  // from 0, from -6 degrees on, and below

/// By the sun's altitude, rounded toward the dark. Unusable as SunAt.
Outcome<Daylight> DaylightAt(const PlaceOnEarth& place, Instant when);

struct LightLevel {
  std::string source;
  std::optional<Lux> average;
  std::optional<Lux> least;
};

/// Every level that applies; all are asked for, so the stricter wins. Source: kLightSources.
std::vector<LightLevel> LevelsFor(LitGround ground, LitSite site);

struct Glare {
  size_t leg;         // index into leg_headings
  Angle off_heading;  // between heading and sun, 0 or more
};

struct Light {
  SunPosition sun;
  Daylight daylight = Daylight::kDark;
  bool night_clothing = true;       // retroreflective from sunset on: sun below 0 degrees
  bool lamps_needed = true;         // sun below -6 degrees, sky obscured, or under a roof
  bool truck_lights_needed = true;  // less than 2 lm/ft2 surely reached: 1910.178(h)(2)
  std::vector<LightLevel> levels;
  std::optional<Lux> margin;           // least of the reading over what is asked; with a reading
  Lux margin_error = {};               // of that
  std::optional<Duration> until_dusk;  // civil; by day and in the evening, where there is one
  std::vector<Glare> glare;
  Verdict verdict = Verdict::kUndecided;
};

/// With a reading: its least margin over every level against the meter's error. Without: clear by
/// day in the open, undecided in twilight, conflict when dark, obscured or under a roof.
///
/// Glare: the sun is up (its upper edge over the horizon), below 15 degrees and within 25 degrees
/// of the heading (common practice). The sun counts as lower by the error of its altitude for
/// clothing and lamps. Unusable as SunAt, and "average light", "least light", "meter error",
/// "legs".
Outcome<Light> LightAt(const Lighting& at);

/// How far the sun's azimuth is off a heading (counter-clockwise from east), 0 to 180 degrees.
Angle OffSun(const SunPosition& sun, Angle heading);

/// "LIGHT ENOUGH: 2.0 fc over", "DARK: lamps and wands, then measure", "TWILIGHT: ...", with
/// ", dusk in 18 min" within an hour of it and ", GLARE ahead" where it blinds.
std::string DriversLine(const Light& result, UnitSystem system);

inline constexpr std::array<std::string_view, 4> kLightSources = {
    "29 CFR 1926.56 Table D-3", "HSG38: 20/5 lx routes, 50/20 lx mixed (from memory)",
    "29 CFR 1910.178(h)(2): 2 lm/ft2",
    "night clothing from sunset, lamps from civil dusk, glare below 15 degrees: common practice"};
inline constexpr std::array<std::string_view, 2> kLightAssumptions = {
    "Flat horizon; trees, walls and cloud are seen by people alone",
    "Lamps are as they were at the reading; no reading after dusk is dark"};

}  // namespace chockwise::fit
