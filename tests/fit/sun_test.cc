#include "services/fit/sun.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

namespace chockwise::fit {
namespace {

/// 2026-11-25T00:00Z and what comes after it.
Instant On(int days, int64_t minutes = 0) {
  return Instant::FromMicros(1'795'564'800'000'000) + Days(days) + Minutes(minutes);
}

PlaceOnEarth At(double latitude_deg, double longitude_deg) {
  return {.latitude = Degrees(latitude_deg), .longitude = Degrees(longitude_deg)};
}

TEST(Sun, ADayRunsInOrderAroundItsNoon) {
  const SunDay day = SunDayAround(At(44.9, -93.2), On(0, 18 * 60)).value();
  ASSERT_TRUE(day.dawn && day.rise && day.set && day.dusk);
  EXPECT_LT(*day.dawn, *day.rise);
  EXPECT_LT(*day.rise, day.noon);
  EXPECT_LT(day.noon, *day.set);
  EXPECT_LT(*day.set, *day.dusk);
  EXPECT_EQ(day.over_horizon, SunCourse::kRisesAndSets);
}

TEST(Sun, PolarDayAndNightHaveNoEventAndNoNonsense) {
  const int to_june = 208;  // 2027-06-21
  const SunDay summer = SunDayAround(At(78.2, 15.6), On(to_june)).value();
  EXPECT_FALSE(summer.dawn || summer.rise || summer.set || summer.dusk);
  EXPECT_EQ(summer.over_horizon, SunCourse::kStaysUp);
  EXPECT_EQ(summer.over_civil_twilight, SunCourse::kStaysUp);
  const SunDay winter = SunDayAround(At(78.2, 15.6), On(26)).value();
  EXPECT_FALSE(winter.dawn || winter.rise || winter.set || winter.dusk);
  EXPECT_EQ(winter.over_horizon, SunCourse::kStaysDown);
  EXPECT_EQ(winter.over_civil_twilight, SunCourse::kStaysDown);
  // At 67 degrees north in midsummer it stays up; at 62 it sets and leaves no dark: no dusk.
  const SunDay bright = SunDayAround(At(62, 15), On(to_june)).value();
  EXPECT_TRUE(bright.set);
  EXPECT_FALSE(bright.dusk);
  EXPECT_EQ(bright.over_civil_twilight, SunCourse::kStaysUp);
}

TEST(Sun, StandsSouthAtNoonInTheNorthAndNorthInTheSouth) {
  const SunDay north = SunDayAround(At(45, 0), On(0, 720)).value();
  EXPECT_NEAR(SunAt(At(45, 0), north.noon)->azimuth.degrees(), 180, 1e-3);
  const SunDay south = SunDayAround(At(-45, 0), On(0, 720)).value();
  const double azimuth_deg = SunAt(At(-45, 0), south.noon)->azimuth.degrees();
  EXPECT_NEAR(std::remainder(azimuth_deg, 360), 0, 1e-3);
  EXPECT_LT(SunAt(At(45, 0), north.noon - Hours(3))->azimuth, Degrees(180));  // east before noon
}

TEST(Sun, RefractionLiftsByHalfADegreeAtTheHorizonAndNotBelow) {
  const PlaceOnEarth place = At(45, 0);
  const SunDay day = SunDayAround(place, On(0, 720)).value();
  const SunPosition rising = SunAt(place, *day.rise).value();
  EXPECT_NEAR(rising.altitude.degrees(), -0.833, 1e-4);
  EXPECT_NEAR((rising.apparent_altitude - rising.altitude).degrees(), 0.6, 0.05);
  const SunPosition dawn = SunAt(place, *day.dawn).value();
  EXPECT_NEAR(dawn.altitude.degrees(), -6, 1e-4);
  EXPECT_EQ(dawn.apparent_altitude, dawn.altitude);
  const SunPosition noon = SunAt(place, day.noon).value();
  EXPECT_LT((noon.apparent_altitude - noon.altitude).degrees(), 0.05);
}

TEST(Sun, ClockTextRoundsTheLightAwayNotTowards) {
  const Instant dusk = On(0, 42 * 60 + 42) + Seconds(59);
  EXPECT_EQ(ClockText(dusk, {Duration()}, Rounding::kDown), "18:42");
  EXPECT_EQ(ClockText(dusk, {Hours(-6)}, Rounding::kDown), "12:42");
  EXPECT_EQ(ClockText(dusk, {Minutes(330)}, Rounding::kDown), "00:12");
  EXPECT_EQ(ClockText(dusk, {Duration()}, Rounding::kUp), "18:43");
  EXPECT_EQ(ClockText(On(0, 1122), {Duration()}, Rounding::kUp), "18:42");
}

TEST(Sun, EveryInputOutOfItsDomainIsNamed) {
  struct Row {
    const char* input;
    PlaceOnEarth place;
    Instant when;
  };
  const Row rows[] = {{"latitude", At(90.1, 0), On(0)},
                      {"latitude", At(-91, 0), On(0)},
                      {"longitude", At(0, 180.5), On(0)},
                      {"longitude", At(0, -360), On(0)},
                      {"time", At(45, 0), Instant()},  // a clock that was never set
                      {"time", At(45, 0), Instant::FromMicros(-1)},
                      {"time", At(45, 0), Instant::FromMicros(946'684'799'999'999)},
                      {"time", At(45, 0), Instant::FromMicros(4'102'444'800'000'000)}};
  for (const Row& row : rows) {
    const auto position = SunAt(row.place, row.when);
    ASSERT_FALSE(position) << row.input;
    EXPECT_EQ(position.error().input, row.input);
    const auto day = SunDayAround(row.place, row.when);
    ASSERT_FALSE(day) << row.input;
    EXPECT_EQ(day.error().input, row.input);
    EXPECT_FALSE(day.error().right.empty());
  }
  EXPECT_TRUE(SunAt(At(45, 0), Instant::FromMicros(946'684'800'000'000)));
}

// Any place, any time: in range, and events that are what they say. A quantity cannot be NaN (it
// aborts), so that it comes back at all says that too.
RC_GTEST_PROP(Sun, EverywhereAndAlwaysInRange, (uint16_t north, uint16_t east, uint32_t minutes)) {
  const PlaceOnEarth place = At(north / 65535.0 * 180 - 90, east / 65535.0 * 360 - 180);
  const Instant when =
      Instant::FromMicros(946'684'800'000'000) + Days(2) + Minutes(minutes % (99LL * 365 * 1440));
  const SunPosition sun = SunAt(place, when).value();
  RC_ASSERT(sun.altitude >= Degrees(-90.001) && sun.altitude <= Degrees(90.001));
  RC_ASSERT(sun.azimuth >= Angle() && sun.azimuth < Degrees(360.0001));
  RC_ASSERT(sun.apparent_altitude >= sun.altitude);
  const SunDay day = SunDayAround(place, when).value();
  const Duration off = when > day.noon ? when - day.noon : day.noon - when;
  RC_ASSERT(off <= Hours(12) + Minutes(1));
  for (const auto& [event, altitude_deg] :
       {std::pair{day.dawn, -6.0}, std::pair{day.rise, -0.833}, std::pair{day.set, -0.833},
        std::pair{day.dusk, -6.0}}) {
    if (event) RC_ASSERT(std::abs(SunAt(place, *event)->altitude.degrees() - altitude_deg) < 1e-4);
  }
}

}  // namespace
}  // namespace chockwise::fit
