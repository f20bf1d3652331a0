// Where the sun stands, and when it rises, sets and leaves twilight, at a place on earth.
//
//   Outcome<SunPosition> sun = SunAt({.latitude = Degrees(37.4), .longitude = Degrees(-121.9)},
//   now); Outcome<SunDay> day = SunDayAround(place, now); if (day->dusk) ... // no event where the
//   sun does not cross
//
// Instants are UTC on both sides. No time zone enters a computation: a day here runs from the
// sun's lowest to its lowest around its noon at the place, so no calendar is asked for.
//
// Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

struct PlaceOnEarth {
  Angle latitude;   // north positive, -90 to 90 degrees
  Angle longitude;  // east positive, -180 to 180 degrees
};

struct SunPosition {
  Angle altitude;           // of the centre, without air: what every threshold here is about
  Angle apparent_altitude;  // lifted by refraction in standard air; as `altitude` below -1 degree
  Angle azimuth;            // clockwise from true north, 0 to below 360 degrees
};

/// Error: altitude below 0.02 degrees, azimuth times cosine of the altitude below 0.02 degrees
/// (compared with an astronomy library over the whole domain). Units: radians. Unusable:
/// "latitude", "longitude", "time" outside the years 2000 to 2099: a clock that was never set.
/// Source: the equations of the NOAA solar calculator (from memory, after Meeus, Astronomical
/// Algorithms), UT for dynamical time; refraction: Saemundsson's formula at 10 degrees Celsius and
/// 1010 hPa (from memory).
Outcome<SunPosition> SunAt(const PlaceOnEarth& place, Instant when);

enum class SunCourse { kRisesAndSets, kStaysUp, kStaysDown };

/// The day around the noon nearest to an instant. In order: dawn, rise, noon, set, dusk.
struct SunDay {
  std::optional<Instant> dawn;  // the centre climbs over -6 degrees: civil twilight begins
  std::optional<Instant> rise;  // the upper edge, refracted, at the horizon: centre at -0.833
  Instant noon;                 // due south or north: the hour angle is 0
  std::optional<Instant> set;
  std::optional<Instant> dusk;    // civil twilight ends
  SunCourse over_horizon;         // kRisesAndSets also where only one of rise and set is
  SunCourse over_civil_twilight;  // the same of dawn and dusk
};

/// Nullopt where the sun does not cross, never a number that is not one. Error: 1 minute up to 60
/// degrees of latitude; nearer the poles, where it crosses flatly, as much longer as the sun then
/// needs for 0.02 degrees: beyond 60 degrees twilight ends flatly in white nights. Hills, buildings and weather are not counted. Unusable as SunAt, and
/// "time" within a day of the ends of its years. Source: zenith 90.833 degrees for rise and set, 96
/// for civil twilight (National Weather Service, sun and moon tables).
Outcome<SunDay> SunDayAround(const PlaceOnEarth& place, Instant when);

/// "18:42" on a clock that stands `ahead` of UTC (behind: negative). Toward caution: what begins
/// the light is rounded up to the minute, what ends it down.
struct ClockAhead {
  Duration ahead;
};
std::string ClockText(Instant when, ClockAhead clock, Rounding rounding);

inline constexpr std::array<std::string_view, 2> kSunSources = {
    "NOAA solar equations (from memory)",
    "rise and set at 90.833 degrees, civil twilight at 96: National Weather Service"};
inline constexpr std::array<std::string_view, 2> kSunAssumptions = {
    "Flat horizon, clear sky, standard refraction", "The clock is right and tells UTC"};

}  // namespace chockwise::fit
