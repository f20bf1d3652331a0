// Sun times: the table "Rise and Set for the Sun for 2008" of the U.S. Naval Observatory for 37
// degrees 24 minutes north, 121 degrees 55 minutes west (a secondary copy). Levels of light: 29 CFR
// 1926.56 Table D-3 (read), 29 CFR 1910.178(h)(2) (read in a mirror), HSG38 (from memory).
#include <gtest/gtest.h>

#include <cmath>

#include "services/fit/light.h"
#include "services/fit/sun.h"

namespace chockwise::fit {
namespace {

/// The nearest minute of the day on a clock 8 h behind UTC, as hhmm.
int NearestMinute(Instant when) {
  const int64_t minute = ((when - Hours(8)).micros() + 30'000'000) / 60'000'000 % 1440;
  return static_cast<int>(minute / 60 * 100 + minute % 60);
}

TEST(UsnoSun2008, RiseAndSetToTheMinute) {
  const PlaceOnEarth place = {.latitude = Degrees(37 + 24.0 / 60),
                              .longitude = Degrees(-(121 + 55.0 / 60))};
  struct Row {
    const char* day;
    int64_t days_after_1970;
    int rise, set;
  };
  const Row rows[] = {{"1 January", 13'879, 722, 1700},
                      {"1 March", 13'939, 638, 1802},
                      {"1 July", 14'061, 451, 1932},
                      {"1 October", 14'153, 604, 1750}};
  for (const Row& row : rows) {
    const Instant noon = Instant() + Days(row.days_after_1970) + Hours(20);
    const SunDay day = SunDayAround(place, noon).value();
    EXPECT_EQ(NearestMinute(*day.rise), row.rise) << row.day;
    EXPECT_EQ(NearestMinute(*day.set), row.set) << row.day;
  }
}

// The same table: to the minute of setting somebody who drives at the sun has it in the eyes, and
// nobody who drives away from it does; after it nobody has.
TEST(UsnoSun2008, GlareEndsWithTheSetting) {
  const PlaceOnEarth place = {.latitude = Degrees(37 + 24.0 / 60),
                              .longitude = Degrees(-(121 + 55.0 / 60))};
  const std::pair<int64_t, Duration> settings[] = {{13'879, Hours(17)},
                                                   {13'939, Hours(18) + Minutes(2)},
                                                   {14'061, Hours(19) + Minutes(32)},
                                                   {14'153, Hours(17) + Minutes(50)}};
  for (const auto& [days_after_1970, by_the_clock] : settings) {
    const Instant set = Instant() + Days(days_after_1970) + by_the_clock + Hours(8);
    const auto glares = [&](Instant when, Angle off_azimuth) {
      const Angle heading = Degrees(90) - SunAt(place, when)->azimuth + off_azimuth;
      return !LightAt({.place = place,
                       .when = when,
                       .measured = std::nullopt,
                       .leg_headings = {heading}})
                  ->glare.empty();
    };
    EXPECT_TRUE(glares(set - Minutes(2), Angle()));
    EXPECT_FALSE(glares(set - Minutes(2), Degrees(180)));
    EXPECT_FALSE(glares(set + Minutes(2), Angle()));
    // 15 degrees are at least an hour of the sun's way.
    EXPECT_TRUE(glares(set - Minutes(60), Angle()));
    EXPECT_FALSE(glares(set - Hours(3), Angle()));
  }
}

// Table D-3: 5 fc general construction, 3 fc access ways, active storage, loading platforms, 5 fc
// indoors, 10 fc shops. As illumination that nowhere falls short.
TEST(Osha1926Light, TableD3) {
  const std::pair<LitGround, double> rows[] = {{LitGround::kRoute, 3},
                                               {LitGround::kMixed, 3},
                                               {LitGround::kApron, 5},
                                               {LitGround::kIndoors, 5},
                                               {LitGround::kWorkshop, 10}};
  for (const auto& [ground, foot_candles] : rows) {
    const LightLevel level = LevelsFor(ground, LitSite::kConstruction).back();
    EXPECT_EQ(level.source, "29 CFR 1926.56 Table D-3");
    EXPECT_EQ(level.least, FootCandles(foot_candles));
  }
  EXPECT_NEAR(FootCandles(3).lux(), 32.3, 0.05);
  EXPECT_NEAR(FootCandles(5).lux(), 53.8, 0.05);
  EXPECT_NEAR(FootCandles(10).lux(), 107.6, 0.05);
}

// 1910.178(h)(2): below 2 lm/ft2 (21.5 lx) the truck has its own lights.
TEST(Osha1910Light, _178h2TruckLights) {
  const auto needed = [](double foot_candles) {
    return LightAt({.place = {.latitude = Degrees(20), .longitude = Degrees(-103)},
                    .when = Instant() + Days(20'781) + Hours(6),
                    .ground = LitGround::kIndoors,
                    .measured = {{.average = FootCandles(5),
                                  .least = FootCandles(foot_candles),
                                  .meter_error = FootCandles(0.01)}},
                    .leg_headings = {}})
        ->truck_lights_needed;
  };
  EXPECT_TRUE(needed(1.99));
  EXPECT_TRUE(needed(2)) << "the meter may be off";
  EXPECT_FALSE(needed(2.02));
  EXPECT_NEAR(FootCandles(2).lux(), 21.5, 0.05);
}

// From memory: 20 lx on average and 5 at least for vehicles, 50 and 20 where people walk as well.
TEST(Hsg38, RoutesAndMixedGround) {
  const LightLevel route = LevelsFor(LitGround::kRoute, LitSite::kGeneralIndustry).front();
  EXPECT_EQ(route.average, InLux(20));
  EXPECT_EQ(route.least, InLux(5));
  const LightLevel mixed = LevelsFor(LitGround::kMixed, LitSite::kGeneralIndustry).front();
  EXPECT_EQ(mixed.average, InLux(50));
  EXPECT_EQ(mixed.least, InLux(20));
}

}  // namespace
}  // namespace chockwise::fit
