// How machines of the scenario's yard stop, against numbers worked out by hand from its readings: a
// scale 1 %, a tape half an inch and a slope 0.2 % off, each against the machine.
#include "services/survey/stopping.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <regex>

#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::HasSubstr;
using ::testing::StartsWith;

constexpr auto kThree = fit::MilesPerHour(3);

MachineStop On(const char* machine, fit::Grade grade, StopQuestion question = {.speed = kThree}) {
  return {.machine = yard::MachineId(machine), .way = grade, .question = question};
}
MachineStop Over(const Trip& trip, StopQuestion question) {
  return {.machine = trip.machine, .way = trip, .question = question};
}

TEST(Stops, AForkliftThatBrakesOnHalfItsWeight) {
  // 2,300 of 5,050 kg less 2 % are 0.446 of it; 0.673 m over 1.687 m: 0.14 x 0.446 / 1.056 = 5.9 %.
  // 1.341 m/s for 3 s and 1.341² / (2 x 0.581): 5.57 m, 18.3 ft. With every wheel braked 15.4 ft.
  const yard::Yard yard = DemoYard();
  const auto level = Stops(At(yard), On("FL-501", fit::Percent(0)));
  EXPECT_EQ(LineOf(level), "STOPS IN 19 ft");
  EXPECT_EQ(VerdictOf(level), fit::Verdict::kClear);
  EXPECT_EQ(LineOf(Stops(At(yard), On("FL-501", fit::Percent(-2)))), "STOPS IN 21 ft");
  EXPECT_LE(level->assumptions.size(), 2u);
}

TEST(Stops, NothingStopsWhereTheGradeBeatsTheBrakedShare) {
  const yard::Yard yard = DemoYard();
  const auto typed = Stops(At(yard), On("FL-501", fit::Percent(-8.4)));
  EXPECT_THAT(LineOf(typed), StartsWith("refused: grade beats the brakes")) << "0.059 - 0.084";
  // The parts way falls 8.4 %.
  const auto trip = TripOf("FL-501", "parts-dock", "yard-cross");
  EXPECT_THAT(LineOf(Stops(At(yard), Over(trip, {.speed = kThree}))),
              StartsWith("refused: grade beats the brakes"));
}

TEST(Stops, AMachineWhoseBrakedMassNobodyKnowsIsRefused) {
  for (const char* what : {"braked-mass", "mass", "centre-height", "wheelbase"}) {
    const yard::Yard yard = DemoYard([&](std::string& text) {
      text = std::regex_replace(text, std::regex(std::string("\nFL-501 ") + what + ",[^\n]*"), "");
    });
    const auto stops = Stops(At(yard), On("FL-501", fit::Percent(0)));
    ASSERT_FALSE(stops) << LineOf(stops);
    EXPECT_EQ(stops.error().sort, NoAnswer::Sort::kUnknown);
    EXPECT_THAT(stops.error().input, StartsWith(std::string(what) + " of FL-501"));
  }
  const yard::Yard yard = DemoYard();
  EXPECT_THAT(LineOf(Stops(At(yard), On("ZZ-9", fit::Percent(0)))), HasSubstr("machine ZZ-9"));
}

TEST(Stops, ATrackedMachineBrakesWithAllItsWeight) {
  // 0.20 on every wheel: 4.023 m and 1.341² / (2 x 1.961): 14.7 ft.
  EXPECT_EQ(LineOf(Stops(At(DemoYard()), On("DZ-701", fit::Percent(0)))), "STOPS IN 15 ft");
}

TEST(Stops, WhatIsSeenSaysHowFast) {
  // 40 ft: 2 x 12.192 / (3 + √(9 + 2 x 12.192 / 0.581)) = 2.404 m/s.
  const yard::Yard yard = DemoYard();
  EXPECT_EQ(LineOf(Stops(At(yard), On("FL-501", fit::Percent(0), {.sight = fit::Feet(40)}))),
            "NO FASTER THAN 5.3 mph");
  const auto slow = Stops(At(yard), On("FL-501", fit::Percent(0),
                                       {.speed = fit::MilesPerHour(6), .sight = fit::Feet(40)}));
  EXPECT_EQ(VerdictOf(slow), fit::Verdict::kConflict);
  EXPECT_EQ(LineOf(slow), "SLOW DOWN: 7 ft short, NO FASTER THAN 5.3 mph");
  const auto blind = Stops(At(yard), On("FL-501", fit::Percent(0), {.sight = fit::Inches(2)}));
  EXPECT_EQ(VerdictOf(blind), fit::Verdict::kConflict);
  EXPECT_EQ(LineOf(blind), "DO NOT MOVE: sight is too short");
}

TEST(Stops, ATripHasItsOwnGradeAndASpotterAhead) {
  // ST-101: 0.14 x 12,300 / 19,500 less 2 %, over 1.040: 8.3 %; bay-1-way falls 1.3 %, 1.5 % with
  // its error. At 3 mph it takes 17.6 ft, and it is 24 ft 6 in long.
  const yard::Yard yard = DemoYard();
  const auto trip = TripOf("ST-101", "s1-bay-1", "s1-apron");
  EXPECT_EQ(LineOf(Stops(At(yard), Over(trip, {.speed = kThree}))), "KEEP 43 ft, STOPS IN 18 ft");
  EXPECT_EQ(LineOf(Stops(At(yard), Over(trip, {.sight = fit::Feet(60)}))),
            "NO FASTER THAN 5.1 mph");
  const auto both =
      Stops(At(yard), Over(trip, {.speed = fit::MilesPerHour(5), .sight = fit::Feet(60)}));
  EXPECT_EQ(LineOf(both), "STOPS IN TIME: 1 ft 2 in to spare, NO FASTER THAN 5.1 mph");
  EXPECT_EQ(VerdictOf(both), fit::Verdict::kClear);
}

TEST(Stops, TheSteeperOfTapeAndMapCounts) {
  const Trip trip = TripOf("TH-201", "parts-dock", "yard-cross");
  const auto stops = [&](const yard::Yard& yard) {
    return Stops(At(yard), Over(trip, {.speed = kThree}));
  };
  const auto taped = stops(DemoYard());
  const auto mistaken = stops(With("parts-way grade,8.4 %", "parts-way grade,0.1 %"));
  EXPECT_EQ(VerdictOf(mistaken), VerdictOf(taped)) << "the map falls as steeply: " << LineOf(taped);
  EXPECT_NE(LineOf(mistaken), "STOPS IN 18 ft") << "as on the level";
  if (mistaken) {
    EXPECT_TRUE(std::ranges::any_of(mistaken->inputs, [](const fit::Input& input) {
      return input.name == "grade of parts-way by the map's elevations";
    }));
  }
}

TEST(Stops, NeitherSpeedNorSightIsNoQuestion) {
  EXPECT_THAT(LineOf(Stops(At(DemoYard()), On("DZ-701", fit::Percent(0), {}))),
              HasSubstr("nor what is seen ahead"));
}

/// Less of the weight on braked wheels never stops sooner.
TEST(Stops, LessBrakedIsNeverBetter) {
  fit::MetresPerSecond cap = fit::MilesPerHour(80);
  for (int kg = 5'050; kg >= 2'000; kg -= 50) {
    yard::Yard yard = DemoYard();
    ChangeReading(yard, "FL-501", "braked-mass", fit::InKilograms(kg));
    Readings readings(yard, At(yard).when);
    const auto motion = MotionOf(readings, *yard.FindMachine("FL-501"), fit::Percent(-1));
    ASSERT_TRUE(motion);
    const auto now = fit::SpeedCap(*motion, {.clear_ahead = fit::Feet(40)});
    ASSERT_TRUE(now);
    EXPECT_LT(*now, cap) << kg;
    cap = *now;
  }
}

}  // namespace
}  // namespace chockwise::survey
