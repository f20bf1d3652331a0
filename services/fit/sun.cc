#include "services/fit/sun.h"

#include <fmt/format.h>

#include <algorithm>
#include <boost/math/tools/toms748_solve.hpp>
#include <cmath>
#include <numbers>

#include "services/fit/input_check.h"

namespace chockwise::fit {
namespace {

constexpr double kRadian = std::numbers::pi / 180;
constexpr double kRiseDeg = -0.833;  // 34' of refraction and 16' of the sun's radius
constexpr double kTwilightDeg = -6;  // civil
constexpr double kRefractedFromDeg = -1;
constexpr Instant kFirst = Instant::FromMicros(946'684'800'000'000);  // 2000-01-01T00:00Z
constexpr Instant kEnd = Instant::FromMicros(4'102'444'800'000'000);  // 2100-01-01T00:00Z
constexpr double kJ2000Seconds = 946'728'000;                         // 2000-01-01T12:00Z
constexpr double kSecondsPerCentury = 36'525.0 * 86'400;

double SecondsOf(Instant when) { return static_cast<double>(when.micros()) / 1e6; }
Instant AtSeconds(double seconds) {
  return Instant::FromMicros(static_cast<int64_t>(std::floor(seconds * 1e6)));
}
double Sin(double deg) { return std::sin(deg * kRadian); }
double Cos(double deg) { return std::cos(deg * kRadian); }

struct Sun {
  double declination_rad;
  double time_ahead_min;  // equation of time: of the sun's clock over the mean one
};

/// NOAA solar equations, from memory; t in centuries from J2000.
Sun SunOf(double seconds) {
  const double t = (seconds - kJ2000Seconds) / kSecondsPerCentury;
  const double mean_longitude = std::fmod(280.46646 + t * (36000.76983 + t * 0.0003032), 360);
  const double anomaly = std::fmod(357.52911 + t * (35999.05029 - t * 0.0001537), 360);
  const double eccentricity = 0.016708634 - t * (0.000042037 + t * 0.0000001267);
  const double centre = Sin(anomaly) * (1.914602 - t * (0.004817 + t * 0.000014)) +
                        Sin(2 * anomaly) * (0.019993 - t * 0.000101) + Sin(3 * anomaly) * 0.000289;
  const double node = 125.04 - 1934.136 * t;
  const double longitude = mean_longitude + centre - 0.00569 - 0.00478 * Sin(node);
  const double obliquity = 23 +
                           (26 + (21.448 - t * (46.815 + t * (0.00059 - t * 0.001813))) / 60) / 60 +
                           0.00256 * Cos(node);
  const double y = std::pow(std::tan(obliquity / 2 * kRadian), 2);
  const double equation = y * Sin(2 * mean_longitude) - 2 * eccentricity * Sin(anomaly) +
                          4 * eccentricity * y * Sin(anomaly) * Cos(2 * mean_longitude) -
                          0.5 * y * y * Sin(4 * mean_longitude) -
                          1.25 * eccentricity * eccentricity * Sin(2 * anomaly);
  return {.declination_rad = std::asin(Sin(obliquity) * Sin(longitude)),
          .time_ahead_min = 4 * equation / kRadian};
}

/// From the sun's noon at the place, westward, within half a turn.
double HourAngleDeg(const Sun& sun, const PlaceOnEarth& place, double seconds) {
  const double minutes =
      std::fmod(seconds, 86'400) / 60 + sun.time_ahead_min + 4 * place.longitude.degrees();
  return std::remainder(minutes / 4 - 180, 360);
}

double AltitudeRad(const PlaceOnEarth& place, double seconds) {
  const Sun sun = SunOf(seconds);
  const double latitude = place.latitude.radians();
  const double sine =
      std::sin(latitude) * std::sin(sun.declination_rad) +
      std::cos(latitude) * std::cos(sun.declination_rad) * Cos(HourAngleDeg(sun, place, seconds));
  return std::asin(std::clamp(sine, -1.0, 1.0));
}

double RefractionDeg(double altitude_deg) {
  if (altitude_deg < kRefractedFromDeg) return 0;
  const double lifted = 1.02 / std::tan((altitude_deg + 10.3 / (altitude_deg + 5.11)) * kRadian);
  return std::max(0.0, lifted) / 60;  // it would be -0.0001 degrees overhead
}

std::optional<Unusable> Wrong(const PlaceOnEarth& place, Instant when, Duration from_ends) {
  InputCheck check;
  check.Between("latitude", place.latitude, Span{Degrees(-90), Degrees(90)})
      .Between("longitude", place.longitude, Span{Degrees(-180), Degrees(180)});
  if (when < kFirst + from_ends || when >= kEnd - from_ends) {
    check.Refuse({"time", fmt::format("is {:.0f} s after 1970", SecondsOf(when)),
                  "a time of the years 2000 to 2099"});
  }
  if (check.failed()) return check.error();
  return std::nullopt;
}

/// When the sun crosses `altitude_deg` between two times; nullopt where it is on one side at both.
std::optional<Instant> Crossing(const PlaceOnEarth& place, double altitude_deg, double from,
                                double to) {
  const auto above = [&](double seconds) {
    return AltitudeRad(place, seconds) - altitude_deg * kRadian;
  };
  const double at_from = above(from);
  const double at_to = above(to);
  if ((at_from < 0) == (at_to < 0)) return std::nullopt;
  const auto near_enough = [](double a, double b) { return std::abs(a - b) < 1e-3; };  // seconds
  std::uintmax_t steps = 200;  // it needs about ten
  const auto found =
      boost::math::tools::toms748_solve(above, from, to, at_from, at_to, near_enough, steps);
  return AtSeconds(found.first);
}

SunCourse CourseOf(bool crosses, double above_at_noon_rad) {
  if (crosses) return SunCourse::kRisesAndSets;
  return above_at_noon_rad < 0 ? SunCourse::kStaysDown : SunCourse::kStaysUp;
}

}  // namespace

Outcome<SunPosition> SunAt(const PlaceOnEarth& place, Instant when) {
  if (const auto wrong = Wrong(place, when, Duration())) return tl::unexpected(*wrong);
  const double seconds = SecondsOf(when);
  const Sun sun = SunOf(seconds);
  const double hour_angle = HourAngleDeg(sun, place, seconds) * kRadian;
  const double latitude = place.latitude.radians();
  const double altitude = AltitudeRad(place, seconds);
  // From south, westward. Multiplied by the cosine of the declination, which is never 0: nothing to
  // divide by at the poles.
  const double from_south =
      std::atan2(std::sin(hour_angle) * std::cos(sun.declination_rad),
                 std::cos(hour_angle) * std::cos(sun.declination_rad) * std::sin(latitude) -
                     std::sin(sun.declination_rad) * std::cos(latitude));
  const double azimuth_deg = std::fmod(from_south / kRadian + 540, 360);
  return SunPosition{
      .altitude = Radians(altitude),
      .apparent_altitude = Radians(altitude) + Degrees(RefractionDeg(altitude / kRadian)),
      .azimuth = Degrees(azimuth_deg)};
}

Outcome<SunDay> SunDayAround(const PlaceOnEarth& place, Instant when) {
  if (const auto wrong = Wrong(place, when, Days(1))) return tl::unexpected(*wrong);
  double noon = SecondsOf(when);
  // The equation of time moves by 30 s a day at most: the second step is good to microseconds.
  for (int step = 0; step < 3; ++step)
    noon -= HourAngleDeg(SunOf(noon), place, noon) / 360 * 86'400;
  const double before = noon - 43'200;
  const double after = noon + 43'200;
  const double at_noon = AltitudeRad(place, noon);
  SunDay day = {.dawn = Crossing(place, kTwilightDeg, before, noon),
                .rise = Crossing(place, kRiseDeg, before, noon),
                .noon = AtSeconds(noon),
                .set = Crossing(place, kRiseDeg, noon, after),
                .dusk = Crossing(place, kTwilightDeg, noon, after),
                .over_horizon = SunCourse::kRisesAndSets,
                .over_civil_twilight = SunCourse::kRisesAndSets};
  day.over_horizon = CourseOf(day.rise || day.set, at_noon - kRiseDeg * kRadian);
  day.over_civil_twilight = CourseOf(day.dawn || day.dusk, at_noon - kTwilightDeg * kRadian);
  return day;
}

std::string ClockText(Instant when, ClockAhead clock, Rounding rounding) {
  constexpr int64_t kMinute = 60'000'000;
  const int64_t shown =
      (when + clock.ahead).micros() + (rounding == Rounding::kUp ? kMinute - 1 : 0);
  const int64_t of_day = ((shown / kMinute) % 1440 + 1440) % 1440;
  return fmt::format("{:02}:{:02}", of_day / 60, of_day % 60);
}

}  // namespace chockwise::fit
