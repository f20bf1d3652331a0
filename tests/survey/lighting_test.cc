// The sun low ahead on the lanes of the demo yard, at 20 degrees north, 40 degrees west. Where the
// sun stands is held to a table in tests/published/sun_and_light_test.cc and to an astronomy
// library in tests/second_opinion; the numbers here are of a second reckoning with the Astronomical
// Almanac's low-precision formulas (from memory, within 0.05 degrees).
#include "services/survey/lighting.h"

#include <gmock/gmock.h>

#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::HasSubstr;

/// 2026-11-24T09:30Z: 6.89 degrees up, at 114.88 degrees from north.
constexpr fit::Instant kMorning = kNoon - fit::Hours(2) - fit::Minutes(30);
/// 2026-11-24T19:40Z: 3.30 degrees up, at 246.60.
constexpr fit::Instant kEvening = kNoon + fit::Hours(7) + fit::Minutes(40);

FoundLight On(const yard::Yard& yard, fit::Instant when, const Trip& trip) {
  return LightOnTrip(At(yard, when), trip).value();
}

std::string ValueOf(const fit::Answer& answer, std::string_view name) {
  for (const fit::Input& input : answer.inputs)
    if (input.name == name) return input.value;
  return "not told";
}

TEST(LightOnTrip, GlaresTowardTheSunAndNotAwayFromIt) {
  // The cross way runs 2.6 degrees south of east from the apron: 114.88 - 93.0 = 21.9 degrees off.
  const yard::Yard yard = DemoYard();
  const Trip east = TripOf("TH-201", "s1-apron", "yard-cross");
  const FoundLight found = On(yard, kMorning, east);
  ASSERT_EQ(found.glare.size(), 1u);
  EXPECT_EQ(found.glare[0].lane, "cross-way");
  EXPECT_NEAR(found.glare[0].off.degrees(), 21.9, 0.3);
  EXPECT_EQ(found.light, fit::Verdict::kClear);
  EXPECT_EQ(found.parted.answer.verdict, fit::Verdict::kUndecided) << "law 2: somebody looks";
  EXPECT_THAT(found.parted.answer.line, HasSubstr("GLARE AHEAD on cross-way: sun 21."));
  EXPECT_THAT(found.parted.answer.line, HasSubstr("6.8 deg up")) << "rounded down";
  const Trip west = TripOf("TH-201", "yard-cross", "s1-apron");
  EXPECT_TRUE(On(yard, kMorning, west).glare.empty());
  EXPECT_EQ(On(yard, kMorning, west).parted.answer.verdict, fit::Verdict::kClear);
}

TEST(LightOnTrip, InTheEveningTheOtherWayGlares) {
  // 270 degrees and 2.6 more: 26.6 off 246.6, so the cross way back is just out of it at 19:40Z.
  // The row way bends to the south of west on its first piece.
  const yard::Yard yard = DemoYard();
  EXPECT_TRUE(On(yard, kEvening, TripOf("TH-201", "s1-apron", "yard-cross")).glare.empty());
  const FoundLight row = On(yard, kEvening, TripOf("ST-101", "s1-apron", "truck-row"));
  ASSERT_EQ(row.glare.size(), 1u);
  EXPECT_EQ(row.glare[0].lane, "row-way");
}

TEST(LightOnTrip, AHighSunGlaresNowhere) {
  const yard::Yard yard = DemoYard();
  for (const auto& [id, lane] : yard.lanes) {
    const Trip trip{.machine = {}, .from = lane.from, .to = lane.to, .by = {id}};
    EXPECT_TRUE(On(yard, kNoon, trip).glare.empty()) << id.value();
  }
}

/// Law 2, both ways: an unnamed lane of the shortest way counts as much as one that is named.
TEST(LightOnTrip, EveryLaneOfTheWayIsLookedAlong) {
  const yard::Yard yard = DemoYard();
  const FoundLight found = On(yard, kMorning, TripOf("TH-201", "s1-bay-1", "wash-pad"));
  std::vector<std::string> lanes;
  for (const SunAhead& one : found.glare) lanes.push_back(one.lane);
  EXPECT_THAT(lanes, testing::ElementsAre("bay-1-way", "cross-way"))
      << "bay 1's way ends to the southeast; the wash way begins to the north of east";
}

TEST(LightOnTrip, TellsWhatTheSkyDoes) {
  const yard::Yard yard = DemoYard();
  Asked asked = At(yard, kMorning);
  asked.clock = {fit::Hours(-3)};
  const fit::Answer answer =
      LightOnTrip(asked, TripOf("TH-201", "s1-apron", "yard-cross")).value().parted.answer;
  EXPECT_EQ(ValueOf(answer, "altitude of the sun"), "6.8 deg");
  EXPECT_THAT(ValueOf(answer, "azimuth of the sun"), HasSubstr("114."));
  EXPECT_THAT(ValueOf(answer, "sunrise"), HasSubstr(" UTC-03:00"));
  EXPECT_EQ(ValueOf(answer, "night clothing"), "not needed");
  EXPECT_EQ(ValueOf(answer, "lamps"), "not needed");
  EXPECT_EQ(ValueOf(answer, "lights on the machine"), "not needed");
  EXPECT_THAT(ValueOf(answer, "sun off cross-way"), HasSubstr("21."));
  const fit::Answer night =
      On(yard, kNoon + fit::Hours(15), TripOf("TH-201", "s1-apron", "yard-cross")).parted.answer;
  EXPECT_EQ(ValueOf(night, "night clothing"), "needed");
  EXPECT_EQ(ValueOf(night, "lamps"), "needed");
}

TEST(LightOnTrip, SunriseIsNotToldTooSoonNorSunsetTooLate) {
  // The day at the yard by the same second reckoning: the centre climbs over -0.833 degrees at
  // 08:54:15Z and sinks below it at 19:59:05Z, and below -6 degrees at 20:22:35Z.
  const yard::Yard yard = DemoYard();
  const auto answer = LightAtPlace(At(yard), {.place = yard::PlaceId("s1-apron")}).value();
  EXPECT_EQ(ValueOf(answer.parted.answer, "sunrise"), "08:55 UTC");
  EXPECT_EQ(ValueOf(answer.parted.answer, "sunset"), "19:59 UTC");
  EXPECT_EQ(ValueOf(answer.parted.answer, "civil dusk"), "20:22 UTC");
}

TEST(LightOnTrip, WhereTheSunDoesNotSetNoTimeIsMadeUp) {
  yard::Yard yard = DemoYard();
  yard.places.at(yard::PlaceId("s1-apron")).position.latitude_deg = 80;
  const auto answer = LightAtPlace(At(yard), {.place = yard::PlaceId("s1-apron")}).value();
  EXPECT_EQ(ValueOf(answer.parted.answer, "sunrise"), "none on this day");
  EXPECT_EQ(ValueOf(answer.parted.answer, "civil dusk"), "none on this day");
}

TEST(LightAtPlace, AHeadingIsJudgedToTheEndsOfItsSector) {
  // 25 degrees to either side of azimuth 114.88.
  const yard::Yard yard = DemoYard();
  const auto glares = [&](double heading_deg) {
    return !LightAtPlace(At(yard, kMorning),
                         {.place = yard::PlaceId("s1-apron"), .heading = fit::Degrees(heading_deg)})
                .value()
                .glare.empty();
  };
  EXPECT_TRUE(glares(90) && glares(139) && glares(114.9) && glares(90 + 360));
  EXPECT_FALSE(glares(89) || glares(141) || glares(114.9 + 180) || glares(0));
}

TEST(LightAtPlace, NothingHeadsAnywhereWithoutAHeading) {
  const yard::Yard yard = DemoYard();
  const auto found = LightAtPlace(At(yard, kMorning), {.place = yard::PlaceId("s1-apron")}).value();
  EXPECT_TRUE(found.glare.empty());
  EXPECT_EQ(found.parted.answer.verdict, fit::Verdict::kClear);
}

TEST(LightOnTrip, WhatIsNotThereIsNamed) {
  const yard::Yard yard = DemoYard();
  const auto no_place = LightOnTrip(At(yard), TripOf("TH-201", "s1-apron", "moon"));
  ASSERT_FALSE(no_place);
  EXPECT_EQ(no_place.error().input, "place moon");
  Trip by = TripOf("TH-201", "s1-apron", "yard-cross");
  by.by = {yard::LaneId("row-way")};
  const auto no_way = LightOnTrip(At(yard), by);
  ASSERT_FALSE(no_way);
  EXPECT_THAT(no_way.error().problem, HasSubstr("there is none by the lanes named"));
}

/// One place with what the map says of its roof, and one reading of its lamps or none.
struct Lit {
  std::optional<bool> roof = {};
  std::optional<double> lux = {};
  fit::Instant taken = kNoon - fit::Hours(9);  // 03:00Z: night
};
std::string LineAt(const Lit& lit, fit::Instant now) {
  const yard::PlaceId place("s1-apron");
  yard::Yard yard = DemoYard();
  yard.places.at(place).under_roof = lit.roof;
  LoseReadings(yard, [](const yard::Measurement& reading) {
    return reading.subject == "s1-apron" && reading.quantity == "light-level";
  });
  if (lit.lux) {
    std::vector<yard::Measurement> readings = yard.measurements.all();
    readings.push_back({.subject = "s1-apron",
                        .quantity = "light-level",
                        .value = fit::InLux(*lit.lux),
                        .when = lit.taken});
    yard.measurements = yard::Measurements(std::move(readings));
  }
  const auto found = LightAtPlace(At(yard, now), {.place = place});
  return found ? found->parted.answer.line : found.error().Text();
}

TEST(LightAtPlace, UnderARoofTheSunIsNoLight) {
  EXPECT_THAT(LineAt({.roof = true}, kNoon), HasSubstr("DARK"));
  EXPECT_THAT(LineAt({.roof = true, .lux = 0}, kNoon), HasSubstr("TOO DARK"));
  // 29 CFR 1926.56 Table D-3: 10 foot-candles, 107.6 lx, in shops; the meter may be 5 % off.
  EXPECT_THAT(LineAt({.roof = true, .lux = 60}, kNoon), HasSubstr("TOO DARK"))
      << "light enough for a store or a passage, and nobody says that it is one";
  EXPECT_THAT(LineAt({.roof = true, .lux = 114}, kNoon), HasSubstr("LIGHT ENOUGH"));
  EXPECT_THAT(LineAt({.roof = false}, kNoon), HasSubstr("DAYLIGHT"));
  EXPECT_THAT(LineAt({.roof = false, .lux = 5}, kNoon), HasSubstr("DAYLIGHT"))
      << "weak lamps at night do not darken noon";
}

TEST(LightAtPlace, ARoofThatTheMapDoesNotTellIsAsked) {
  EXPECT_THAT(LineAt({.roof = std::nullopt, .lux = 200}, kNoon),
              HasSubstr("under-roof of s1-apron is unknown"));
}

TEST(LightAtPlace, AReadingByDaylightSaysNothingOfTheDark) {
  const fit::Instant day = kNoon - fit::Hours(24), night = kNoon + fit::Hours(15);
  EXPECT_THAT(LineAt({.roof = false, .lux = 900, .taken = day}, night),
              HasSubstr("was measured before it was dark"));
  EXPECT_THAT(LineAt({.roof = true, .lux = 900, .taken = day}, night),
              HasSubstr("was measured before it was dark"));
  EXPECT_THAT(LineAt({.roof = false, .lux = 900}, night), HasSubstr("LIGHT ENOUGH"));
  EXPECT_THAT(LineAt({.roof = false, .lux = 2, .taken = day}, kNoon), HasSubstr("TOO DARK"))
      << "something keeps the daylight off";
}

TEST(LightAtPlace, AMeterIsOffByAShareOfWhatItReads) {
  // 5 % of 52 lx is 2.6 lx, and 50 lx are asked for.
  const fit::Instant night = kNoon + fit::Hours(15);
  EXPECT_THAT(LineAt({.roof = false, .lux = 52}, night), HasSubstr("too close to call"));
  EXPECT_THAT(LineAt({.roof = false, .lux = 53}, night), HasSubstr("LIGHT ENOUGH"));
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("TH-201", "s1-apron", "yard-cross");
  EXPECT_EQ(ValueOf(On(yard, night, trip).parted.answer, "a light meter may be off"),
            "5 %, 1.0 lx at least");
  EXPECT_EQ(ValueOf(On(yard, kNoon, trip).parted.answer, "a light meter may be off"), "not told")
      << "no meter was asked";
}

/// The lamps along the cross way as they are read, or not at all.
std::string CrossWayAtNight(std::optional<double> lux, fit::Instant taken, fit::Instant now) {
  yard::Yard yard = DemoYard();
  LoseReadings(yard, [](const yard::Measurement& reading) {
    return reading.subject == "cross-way" && reading.quantity == "lane-light-level";
  });
  if (lux) {
    std::vector<yard::Measurement> readings = yard.measurements.all();
    readings.push_back({.subject = "cross-way",
                        .quantity = "lane-light-level",
                        .value = fit::InLux(*lux),
                        .when = taken});
    yard.measurements = yard::Measurements(std::move(readings));
  }
  return LineOf(LightOnTrip(At(yard, now), TripOf("TH-201", "s1-apron", "yard-cross"))
                    .map([](FoundLight found) { return std::move(found.parted); }));
}

/// Law 2. Both ends are lit; the lane between them was not asked about.
TEST(LightOnTrip, AfterDarkEveryLaneOfTheWayNeedsLight) {
  const fit::Instant night = kNoon + fit::Hours(15), read = kNoon - fit::Hours(9);
  EXPECT_THAT(CrossWayAtNight(std::nullopt, read, night),
              HasSubstr("lane-light-level of cross-way is unknown"));
  EXPECT_THAT(CrossWayAtNight(0, read, night), HasSubstr("cross-way: TOO DARK"));
  EXPECT_THAT(CrossWayAtNight(60, read, night), HasSubstr("LIGHT ENOUGH"));
  EXPECT_THAT(CrossWayAtNight(900, kNoon - fit::Hours(24), night),
              HasSubstr("was measured before it was dark"));
  for (const auto lux : {std::optional<double>(), std::optional(0.0)})
    EXPECT_THAT(CrossWayAtNight(lux, read, kNoon), HasSubstr("DAYLIGHT")) << "the sun does";
}

TEST(GlaredAlready, IsTrueOnlyOfALookWithTheSunThere) {
  const yard::Yard yard = DemoYard();
  const Trip east = TripOf("TH-201", "s1-apron", "yard-cross");
  const Asked asked = At(yard, kMorning);
  EXPECT_TRUE(GlaredAlready(asked, east, kMorning));
  EXPECT_TRUE(GlaredAlready(asked, east, kMorning - fit::Minutes(10)));
  EXPECT_FALSE(GlaredAlready(asked, east, kMorning - fit::Hours(1))) << "08:30Z: not up yet";
}

}  // namespace
}  // namespace chockwise::survey
