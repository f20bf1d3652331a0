#include "services/fit/light.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <functional>

namespace chockwise::fit {
namespace {

const PlaceOnEarth kYard = {.latitude = Degrees(44.9), .longitude = Degrees(-93.2)};
/// 2026-11-25T18:00Z, about noon there.
const Instant kNoon = Instant::FromMicros(1'795'564'800'000'000) + Hours(18);

SunDay Day() { return SunDayAround(kYard, kNoon).value(); }

Lighting AtTime(Instant when) {
  return {.place = kYard,
          .when = when,
          .ground = LitGround::kMixed,
          .site = LitSite::kGeneralIndustry,
          .sky = Sky::kOpen,
          .measured = std::nullopt,
          .leg_headings = {}};
}

LightReading Reading(double average_lx, double least_lx) {
  return {.average = InLux(average_lx), .least = InLux(least_lx), .meter_error = InLux(2)};
}

Light Of(const Lighting& at) { return LightAt(at).value(); }

TEST(Light, DayIsClearWithoutAReading) {
  const Light light = Of(AtTime(kNoon));
  EXPECT_EQ(light.daylight, Daylight::kDay);
  EXPECT_FALSE(light.night_clothing || light.lamps_needed || light.truck_lights_needed);
  EXPECT_EQ(light.verdict, Verdict::kClear);
  EXPECT_EQ(DriversLine(light, UnitSystem::kUs), "DAYLIGHT");
}

TEST(Light, NightClothingFromZeroAndTwilightIsNotClear) {
  // The centre passes 0 degrees some minutes before the upper edge is gone.
  const Light light = Of(AtTime(*Day().set));
  EXPECT_EQ(light.daylight, Daylight::kTwilight);
  EXPECT_TRUE(light.night_clothing);
  EXPECT_FALSE(light.lamps_needed);
  EXPECT_EQ(light.verdict, Verdict::kUndecided);
  EXPECT_EQ(DriversLine(light, UnitSystem::kUs),
            "TWILIGHT: measure the light, night clothing, dusk in 32 min");
}

TEST(Light, AfterDuskWithoutAReadingItIsDark) {
  const Light light = Of(AtTime(*Day().dusk + Minutes(1)));
  EXPECT_EQ(light.daylight, Daylight::kDark);
  EXPECT_TRUE(light.lamps_needed);
  EXPECT_EQ(light.verdict, Verdict::kConflict);
  EXPECT_EQ(DriversLine(light, UnitSystem::kUs), "DARK: lamps and wands, then measure");
}

TEST(Light, TheSunCountsAsLowerByItsError) {
  // At the very second of dusk the altitude is -6 within a hair: dark already.
  EXPECT_EQ(Of(AtTime(*Day().dusk)).daylight, Daylight::kDark);
  EXPECT_EQ(Of(AtTime(*Day().dusk - Minutes(1))).daylight, Daylight::kTwilight);
}

TEST(DaylightAt, IsThatOfTheWholeAnswer) {
  for (int hour = 0; hour < 24; ++hour) {
    const Instant when = kNoon + Hours(hour);
    EXPECT_EQ(DaylightAt(kYard, when).value(), Of(AtTime(when)).daylight) << hour;
  }
  EXPECT_FALSE(DaylightAt({.latitude = Degrees(91), .longitude = Degrees(0)}, kNoon));
}

TEST(Light, AReadingDecidesWheneverThereIsOne) {
  Lighting at = AtTime(*Day().dusk + Hours(3));
  at.measured = Reading(60, 25);
  EXPECT_EQ(Of(at).verdict, Verdict::kClear);
  EXPECT_EQ(Of(at).margin, InLux(5));  // least 25 against 20
  EXPECT_EQ(DriversLine(Of(at), UnitSystem::kSi), "LIGHT ENOUGH: 5.0 lx over");
  at.measured = Reading(60, 21);  // 1 lx over, the meter is off by 2
  EXPECT_EQ(Of(at).verdict, Verdict::kUndecided);
  at.measured = Reading(40, 25);  // average 10 short
  EXPECT_EQ(Of(at).verdict, Verdict::kConflict);
  EXPECT_EQ(DriversLine(Of(at), UnitSystem::kSi), "TOO DARK: 10.0 lx short");
  at.when = kNoon;  // a reading that fails at noon fails
  EXPECT_EQ(Of(at).verdict, Verdict::kConflict);
}

TEST(Light, ObscuredSkyAndRoofsTakeTheDaylight) {
  Lighting at = AtTime(kNoon);
  at.sky = Sky::kObscured;
  EXPECT_EQ(Of(at).verdict, Verdict::kConflict);
  at.sky = Sky::kOpen;
  at.ground = LitGround::kWorkshop;
  EXPECT_EQ(Of(at).verdict, Verdict::kConflict);
  at.measured = Reading(150, 112);
  EXPECT_EQ(Of(at).verdict, Verdict::kClear);
}

TEST(Light, TruckLightsBelowTwoLumensASquareFoot) {
  Lighting at = AtTime(kNoon);
  at.ground = LitGround::kRoute;
  at.measured = Reading(40, 24);  // 21.5 lx are 2 lm/ft2; 24 less 2 is over
  EXPECT_FALSE(Of(at).truck_lights_needed);
  at.measured = Reading(40, 23);
  EXPECT_TRUE(Of(at).truck_lights_needed);
}

TEST(Light, GlareWhereTheLowSunStandsAhead) {
  // An hour before sunset, low in the south-west.
  Lighting at = AtTime(*Day().set - Hours(1));
  const SunPosition sun = SunAt(kYard, at.when).value();
  ASSERT_LT(sun.altitude, Degrees(15));
  const Angle into_it = Degrees(90) - sun.azimuth;
  at.leg_headings = {into_it,
                     into_it + Degrees(24.9),
                     into_it - Degrees(24.9),
                     into_it + Degrees(25.1),
                     into_it + Degrees(180),
                     into_it + Degrees(360)};
  const Light light = Of(at);
  ASSERT_EQ(light.glare.size(), 4u);
  EXPECT_EQ(light.glare[0].leg, 0u);
  EXPECT_NEAR(light.glare[1].off_heading.degrees(), 24.9, 1e-9);
  EXPECT_EQ(light.glare[3].leg, 5u);
  EXPECT_EQ(DriversLine(light, UnitSystem::kUs), "DAYLIGHT, GLARE ahead");
  at.when = kNoon;  // 24 degrees high
  ASSERT_GT(SunAt(kYard, kNoon)->altitude, Degrees(15));
  at.leg_headings = {Degrees(90) - SunAt(kYard, kNoon)->azimuth};
  EXPECT_TRUE(Of(at).glare.empty());
  at.when = *Day().set + Minutes(2);  // gone
  at.leg_headings = {Degrees(90) - SunAt(kYard, at.when)->azimuth};
  EXPECT_TRUE(Of(at).glare.empty());
}

TEST(Light, EveryInputOutOfItsDomainIsNamed) {
  const std::pair<const char*, std::function<void(Lighting&)>> rows[] = {
      {"latitude", [](auto& at) { at.place.latitude = Degrees(449); }},
      {"longitude", [](auto& at) { at.place.longitude = Degrees(-932); }},
      {"time", [](auto& at) { at.when = Instant(); }},
      {"average light", [](auto& at) { at.measured = Reading(-1, -1); }},
      {"average light", [](auto& at) { at.measured = Reading(3e5, 10); }},
      {"least light", [](auto& at) { at.measured = Reading(10, -1); }},
      {"least light", [](auto& at) { at.measured = Reading(10, 11); }},
      {"meter error",
       [](auto& at) {
         at.measured = LightReading{InLux(9), InLux(8), Lux()};
       }},
      {"meter error",
       [](auto& at) {
         at.measured = LightReading{InLux(9), InLux(8), InLux(-1)};
       }},
      {"meter error",
       [](auto& at) {
         at.measured = LightReading{InLux(9), InLux(8), InLux(1001)};
       }},
      {"legs", [](auto& at) { at.leg_headings.resize(10'001); }},
  };
  for (const auto& [input, set] : rows) {
    Lighting at = AtTime(kNoon);
    set(at);
    const auto result = LightAt(at);
    ASSERT_FALSE(result) << input;
    EXPECT_EQ(result.error().input, input);
    EXPECT_FALSE(result.error().right.empty());
  }
}

// More light on the meter never makes it worse, and construction never asks for less.
RC_GTEST_PROP(Light, MoreLightIsNeverWorse,
              (uint16_t average, uint16_t least, uint8_t more, uint8_t ground)) {
  Lighting at = AtTime(*Day().dusk + Hours(2));
  at.ground = static_cast<LitGround>(ground % 5);
  const double least_lx = least % 200;
  const double average_lx = least_lx + average % 200;
  at.measured = Reading(average_lx, least_lx);
  Lighting brighter = at;
  brighter.measured = Reading(average_lx + more, least_lx + more);
  RC_ASSERT(*Of(brighter).margin >= *Of(at).margin);
  if (Of(at).verdict == Verdict::kClear) RC_ASSERT(Of(brighter).verdict == Verdict::kClear);
  Lighting construction = at;
  construction.site = LitSite::kConstruction;
  RC_ASSERT(*Of(construction).margin <= *Of(at).margin);
}

}  // namespace
}  // namespace chockwise::fit
