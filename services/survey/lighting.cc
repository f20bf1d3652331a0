#include "services/survey/lighting.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "services/fit/light.h"
#include "services/survey/answers.h"

namespace chockwise::survey {
namespace {

using fit::Angle;
using fit::Rounding;

/// A light meter at working height: within 5 %, and no finer than 1 lx. Common practice.
constexpr double kLightErrorShare = 0.05;
constexpr fit::Lux kLeastLightError = fit::InLux(1);
constexpr std::array<std::string_view, 2> kTripAssumptions = {
    "flat horizon: trees, walls and cloud are seen by people alone; by day a lane lies in the open",
    "lamps are as they were at the reading, and no reading after dusk is dark; people walk on the "
    "lanes; what is under a roof is a workshop"};

/// A straight piece of what is driven; the heading counter-clockwise from east.
struct Leg {
  std::string lane;
  Angle heading;
};

std::vector<Leg> LegsOf(const yard::Yard& yard, const yard::Route& route, yard::PlaceId at) {
  const yard::Plane plane = PlaneOf(yard);
  std::vector<Leg> legs;
  for (const yard::LaneId& id : route.lanes) {
    const yard::Lane& lane = yard.lanes.at(id);
    fit::Line line = OnPlane(plane, lane.line);
    if (lane.from != at) std::ranges::reverse(line);
    at = lane.from == at ? lane.to : lane.from;
    for (size_t i = 1; i < line.size(); ++i) {
      const fit::Point step = line[i] - line[i - 1];
      if (fit::LengthM(step) < kOnePointM) continue;
      legs.push_back({id.value(), fit::Radians(std::atan2(step.y_m, step.x_m))});
    }
  }
  return legs;
}

fit::Lighting LightingAt(const yard::Position& at, fit::LitGround ground, fit::Instant when) {
  return {.place = {.latitude = fit::Degrees(at.latitude_deg),
                    .longitude = fit::Degrees(at.longitude_deg)},
          .when = when,
          .ground = ground,
          .measured = std::nullopt,
          .leg_headings = {}};
}

/// The map does not say what a roof is over; a store or a passage would do with half as much.
fit::Lighting LightingAt(const yard::Place& place, fit::Instant when) {
  const bool roofed = place.under_roof.value_or(true);
  return LightingAt(place.position, roofed ? fit::LitGround::kWorkshop : fit::LitGround::kMixed,
                    when);
}

struct Metered {
  fit::Light light;
  bool of_lamps = false;  // read in the dark
};

/// What is metered, with what the sky alone does there.
struct Lit {
  std::string_view id;
  std::string_view quantity;
  const fit::Lighting& lighting;
  const fit::Light& sky;
};

Outcome<Metered> ByMeter(const Readings& readings, const Lit& what, fit::Lux level) {
  const std::string id(what.id);
  const fit::Instant taken = readings.yard().measurements.Latest(what.id, what.quantity, "")->when;
  const auto taken_by = fit::DaylightAt(what.lighting.place, taken);
  if (!taken_by) return tl::unexpected(NoAnswerOf(taken_by.error(), id));
  // What was read before dark held some daylight, and says nothing of the dark.
  const bool of_lamps = *taken_by == fit::Daylight::kDark;
  if (what.sky.daylight != fit::Daylight::kDay && !of_lamps) {
    return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kUnknown,
                                   .input = fmt::format("{} of {}", what.quantity, id),
                                   .problem = "was measured before it was dark",
                                   .right = "measure it again after dusk, with the lamps on"});
  }
  // The one reading, taken where it is darkest, stands for the whole of it.
  fit::Lighting lighting = what.lighting;
  lighting.measured =
      fit::LightReading{.average = level,
                        .least = level,
                        .meter_error = std::max(kLeastLightError, kLightErrorShare * level)};
  auto light = fit::LightAt(lighting);
  if (!light) return tl::unexpected(NoAnswerOf(light.error(), id));
  return Metered{.light = *std::move(light), .of_lamps = of_lamps};
}

/// Daylight or lamps at one place.
Outcome<fit::Light> LightOf(const Asked& asked, Readings& readings, const yard::Place& place) {
  const std::string& id = place.id.value();
  if (!place.under_roof) {
    return tl::unexpected(NoAnswer{
        .sort = NoAnswer::Sort::kUnknown,
        .input = "under-roof of " + id,
        .problem = "is unknown: the map does not say whether a roof keeps the daylight off",
        .right = "write \"under-roof\": true or false beside its name in map.geojson"});
  }
  const fit::Lighting lighting = LightingAt(place, asked.when.now);
  const auto sky = fit::LightAt(lighting);
  if (!sky) return tl::unexpected(NoAnswerOf(sky.error(), id));
  constexpr std::string_view kLevel = "light-level";
  const auto level = readings.IfThere<fit::Lux>(id, kLevel);
  if (!level) return tl::unexpected(level.error());
  if (!*level) return *sky;
  const auto metered =
      ByMeter(readings, {.id = id, .quantity = kLevel, .lighting = lighting, .sky = *sky}, **level);
  if (!metered) return tl::unexpected(metered.error());
  // By day in the open the sun is light enough, whatever the lamps do at night. Only a reading by
  // day that is too dark says otherwise: something keeps the daylight off.
  const bool sun_does = sky->verdict == fit::Verdict::kClear;
  return sun_does && (metered->of_lamps || metered->light.verdict == fit::Verdict::kClear)
             ? *sky
             : metered->light;
}

/// Lamps along a lane; nothing where the daylight does. Law 2: what nobody has read there after
/// dark is not known to be light.
Outcome<std::optional<fit::Light>> LampsAlong(const Asked& asked, Readings& readings,
                                              const yard::Lane& lane) {
  const std::string& id = lane.id.value();
  const fit::Lighting lighting =
      LightingAt(lane.line.front(), fit::LitGround::kMixed, asked.when.now);
  const auto sky = fit::LightAt(lighting);
  if (!sky) return tl::unexpected(NoAnswerOf(sky.error(), id));
  if (sky->verdict == fit::Verdict::kClear) return std::nullopt;
  constexpr std::string_view kLevel = "lane-light-level";
  const auto level = readings.Of<fit::Lux>(id, kLevel);
  if (!level) return tl::unexpected(level.error());
  const auto metered =
      ByMeter(readings, {.id = id, .quantity = kLevel, .lighting = lighting, .sky = *sky}, *level);
  if (!metered) return tl::unexpected(metered.error());
  return std::optional(metered->light);
}

/// The nearest that the sun comes to the headings of each lane, in the order of travel.
std::vector<SunAhead> PerLane(const std::vector<SunAhead>& legs) {
  std::vector<SunAhead> lanes;
  for (const SunAhead& leg : legs) {
    if (lanes.empty() || lanes.back().lane != leg.lane) lanes.push_back(leg);
    lanes.back().off = std::min(lanes.back().off, leg.off);
  }
  return lanes;
}

Outcome<std::vector<SunAhead>> GlareOn(const std::vector<Leg>& legs, const yard::Place& place,
                                       fit::Instant when) {
  fit::Lighting lighting = LightingAt(place, when);
  for (const Leg& leg : legs) lighting.leg_headings.push_back(leg.heading);
  const auto light = fit::LightAt(lighting);
  if (!light) return tl::unexpected(NoAnswerOf(light.error(), place.id.value()));
  std::vector<SunAhead> glare;
  for (const fit::Glare& one : light->glare)
    glare.push_back({.lane = legs[one.leg].lane, .off = one.off_heading});
  return PerLane(glare);
}

/// Rounded down: nearer to the sun is worse.
std::string Off(Angle off, fit::UnitSystem units) { return Text(off, units, Rounding::kDown); }

Part GlarePart(const std::vector<SunAhead>& glare, const fit::SunPosition& sun,
               fit::UnitSystem units) {
  const SunAhead& worst = *std::ranges::min_element(glare, {}, &SunAhead::off);
  std::string line = "GLARE AHEAD";
  if (!worst.lane.empty()) line += " on " + worst.lane;
  line += fmt::format(": sun {} off, {} up", Off(worst.off, units),
                      Text(sun.altitude, units, Rounding::kDown));
  const char* between = "; also on ";
  for (const SunAhead& one : glare) {
    if (&one == &worst || one.lane == worst.lane) continue;
    line += between + one.lane;
    between = ", ";
  }
  return {.verdict = fit::Verdict::kUndecided, .used = 0, .line = std::move(line)};
}

/// "18:42 UTC", "15:42 UTC-03:00"; what begins the light is rounded up and what ends it down.
std::string TimeOfDay(const std::optional<fit::Instant>& when, fit::ClockAhead clock,
                      Rounding rounding) {
  if (!when) return "none on this day";
  const int64_t ahead_min = clock.ahead.micros() / 60'000'000;
  const std::string text = ClockText(*when, clock, rounding) + " UTC";
  if (ahead_min == 0) return text;
  return fmt::format("{}{}{:02}:{:02}", text, ahead_min < 0 ? '-' : '+', std::abs(ahead_min) / 60,
                     std::abs(ahead_min) % 60);
}

/// What the sun does there, and what follows for clothing and lamps.
struct Sky {
  const yard::Place& place;
  const std::vector<fit::Light>& lights;  // of every place that is asked about, not empty
  const std::vector<Leg>& legs;
};

Outcome<void> AddSky(const Asked& asked, const Sky& sky, std::vector<fit::Input>& inputs) {
  const fit::Lighting at = LightingAt(sky.place, asked.when.now);
  const auto day = fit::SunDayAround(at.place, at.when);
  if (!day) return tl::unexpected(NoAnswerOf(day.error(), sky.place.id.value()));
  const fit::SunPosition& sun = sky.lights.front().sun;
  const auto add = [&](const char* name, std::string value) {
    inputs.push_back(Computed(name, std::move(value)));
  };
  const auto needed = [&](const char* name, bool fit::Light::*need) {
    const bool any =
        std::ranges::any_of(sky.lights, [&](const fit::Light& light) { return light.*need; });
    add(name, any ? "needed" : "not needed");
  };
  add("altitude of the sun", Text(sun.altitude, asked.units, Rounding::kDown));
  add("azimuth of the sun", Text(sun.azimuth, asked.units, Rounding::kDown));
  add("sunrise", TimeOfDay(day->rise, asked.clock, Rounding::kUp));
  add("sunset", TimeOfDay(day->set, asked.clock, Rounding::kDown));
  add("civil dusk", TimeOfDay(day->dusk, asked.clock, Rounding::kDown));
  needed("night clothing", &fit::Light::night_clothing);
  needed("lamps", &fit::Light::lamps_needed);
  needed("lights on the machine", &fit::Light::truck_lights_needed);
  std::vector<SunAhead> off;
  for (const Leg& leg : sky.legs)
    off.push_back({.lane = leg.lane, .off = fit::OffSun(sun, leg.heading)});
  for (const SunAhead& one : PerLane(off)) {
    add(one.lane.empty() ? "sun off the heading" : ("sun off " + one.lane).c_str(),
        Off(one.off, asked.units));
  }
  return {};
}

/// None where the sky alone decides.
std::optional<fit::Spare> SpareOf(const fit::Light& light) {
  if (!light.margin) return std::nullopt;
  return fit::SpareOf(*light.margin, light.margin_error);
}

Outcome<FoundLight> Find(const Asked& asked, const std::vector<const yard::Place*>& places,
                         const std::vector<yard::LaneId>& lanes, const std::vector<Leg>& legs) {
  Readings readings(asked.yard, asked.when);
  std::vector<fit::Light> lights;
  std::vector<Part> parts;
  FoundLight found{.parted = {}, .light = fit::Verdict::kClear, .glare = {}};
  const auto add = [&](const std::string& id, fit::Light light) {
    found.light = fit::Worse(found.light, light.verdict);
    parts.push_back({.verdict = light.verdict,
                     .used = 0,
                     .line = id + ": " + DriversLine(light, asked.units),
                     .spare = SpareOf(light)});
    lights.push_back(std::move(light));
  };
  for (const yard::Place* place : places) {
    auto light = LightOf(asked, readings, *place);
    if (!light) return tl::unexpected(light.error());
    add(place->id.value(), std::move(*light));
  }
  for (const yard::LaneId& id : lanes) {
    auto light = LampsAlong(asked, readings, asked.yard.lanes.at(id));
    if (!light) return tl::unexpected(light.error());
    if (*light) add(id.value(), std::move(**light));
  }
  auto glare = GlareOn(legs, *places.front(), asked.when.now);
  if (!glare) return tl::unexpected(glare.error());
  found.glare = std::move(*glare);
  if (!found.glare.empty())
    parts.push_back(GlarePart(found.glare, lights.front().sun, asked.units));
  found.parted = PartedFrom(readings, std::move(parts), fit::kLightSources, kTripAssumptions);
  const auto added = AddSky(asked, {.place = *places.front(), .lights = lights, .legs = legs},
                            found.parted.answer.inputs);
  if (!added) return tl::unexpected(added.error());
  if (std::ranges::any_of(lights, [](const fit::Light& light) { return light.margin.has_value(); }))
    found.parted.answer.inputs.push_back(
        Default("a light meter may be off",
                fmt::format("{:.0f} %, {} at least", kLightErrorShare * 100,
                            Text(kLeastLightError, fit::UnitSystem::kSi, Rounding::kUp))));
  return found;
}

}  // namespace

Outcome<FoundLight> LightOnTrip(const Asked& asked, const Trip& trip) {
  std::vector<const yard::Place*> places;
  for (const yard::PlaceId& id : {trip.from, trip.to}) {
    const auto place = PlaceOf(asked.yard, id);
    if (!place) return tl::unexpected(place.error());
    if (places.empty() || places.front() != *place) places.push_back(*place);
  }
  const auto route = WayOf(asked, trip);
  if (!route) return tl::unexpected(route.error());
  return Find(asked, places, route->lanes, LegsOf(asked.yard, *route, trip.from));
}

Outcome<FoundLight> LightAtPlace(const Asked& asked, const LightThere& what) {
  const auto place = PlaceOf(asked.yard, what.place);
  if (!place) return tl::unexpected(place.error());
  std::vector<Leg> legs;
  if (what.heading) legs.push_back({.lane = "", .heading = fit::Degrees(90) - *what.heading});
  return Find(asked, {*place}, {}, legs);
}

bool GlaredAlready(const Asked& asked, const Trip& trip, fit::Instant looked) {
  const auto place = PlaceOf(asked.yard, trip.from);
  const auto route = WayOf(asked, trip);
  if (!place || !route) return false;
  const std::vector<Leg> legs = LegsOf(asked.yard, *route, trip.from);
  const auto now = GlareOn(legs, **place, asked.when.now);
  const auto then = GlareOn(legs, **place, looked);
  if (!now || !then) return false;
  return std::ranges::all_of(*now, [&](const SunAhead& one) {
    return std::ranges::any_of(*then,
                               [&](const SunAhead& other) { return other.lane == one.lane; });
  });
}

}  // namespace chockwise::survey
