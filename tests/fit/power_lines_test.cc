#include "services/fit/power_lines.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <random>

namespace chockwise::fit {
namespace {

/// Passes under 12.47 kV unloaded: 27 ft of wire over 13 ft 6 in, with 6 ft asked for.
LineCrossing Usual() {
  return {.voltage = Kilovolts(12.47),
          .wire_height = Feet(27),
          .beside = Metres(),
          .carried_height = Feet(13.5),
          .bounce = Inches(3),
          .sag = Feet(2),
          .reading_error = Inches(6),
          .travel = LineTravel::kUnloadedAndLowered,
          .site = LineSite::kGeneral};
}

LineClearance Of(const LineCrossing& at) { return ClearanceOfLine(at, UnitSystem::kUs).value(); }

TEST(PowerLines, GapIsWireLessSagMachineAndBounce) {
  const LineClearance result = Of(Usual());
  EXPECT_NEAR(result.gap.feet(), 27 - 2 - 13.5 - 0.25, 1e-12);
  EXPECT_EQ(result.needed, Feet(6));
  EXPECT_NEAR(result.margin.feet(), 5.25, 1e-12);
  EXPECT_NEAR(result.error.feet(), 1, 1e-12);
  EXPECT_EQ(result.verdict, Verdict::kClear);
  EXPECT_TRUE(result.spotter_needed);  // within 20 ft
  EXPECT_EQ(DriversLine(result, UnitSystem::kUs),
            "PASS THE WIRE: 4 ft 3 in beyond the 6 ft asked for, spotter watches the wire");
}

TEST(PowerLines, UndecidedWithinTheReadingErrorAndNotClear) {
  LineCrossing at = Usual();
  at.wire_height = Feet(22);  // margin 3 in, error 1 ft
  EXPECT_EQ(Of(at).verdict, Verdict::kUndecided);
  EXPECT_EQ(DriversLine(Of(at), UnitSystem::kUs), "KEEP OUT: 9 in short of 6 ft to the wire");
  at.wire_height = Feet(20);  // 21 in short, error 1 ft
  EXPECT_EQ(Of(at).verdict, Verdict::kConflict);
  EXPECT_EQ(DriversLine(Of(at), UnitSystem::kUs), "KEEP OUT: 2 ft 9 in short of 6 ft to the wire");
}

TEST(PowerLines, AMachineMayBeReadBetterThanAWire) {
  LineCrossing at = Usual();
  at.carried_error = Inches(1);
  EXPECT_NEAR(Of(at).error.inches(), 6 + 1, 1e-9);
  at.beside = Feet(3);
  EXPECT_NEAR(Of(at).error.inches(), 2 * 6 + 1, 1e-9);
}

TEST(PowerLines, LoadedOrRaisedKeepsTheLongerClearance) {
  LineCrossing at = Usual();
  at.travel = LineTravel::kLoadedOrRaised;
  EXPECT_EQ(Of(at).needed, Feet(10));
  EXPECT_EQ(Of(at).rule, "29 CFR 1926.1408 Table A");
  EXPECT_EQ(Of(at).verdict, Verdict::kClear);  // 11 ft 3 in less 1 ft
  at.voltage = Kilovolts(69);
  EXPECT_EQ(Of(at).needed, Feet(15));
  EXPECT_EQ(Of(at).verdict, Verdict::kConflict);
}

TEST(PowerLines, UnknownVoltageKeepsTwentyFeetHoweverItTravels) {
  LineCrossing at = Usual();
  at.voltage.reset();
  for (LineTravel travel : {LineTravel::kUnloadedAndLowered, LineTravel::kLoadedOrRaised}) {
    at.travel = travel;
    EXPECT_EQ(Of(at).needed, Feet(20));
    EXPECT_EQ(Of(at).verdict, Verdict::kConflict);
  }
  at.wire_height = Feet(40);
  EXPECT_EQ(Of(at).verdict, Verdict::kClear);
}

TEST(PowerLines, BesideTheWireTheGapIsTheHypotenuse) {
  LineCrossing at = Usual();
  at.wire_height = Feet(2 + 13.5 + 0.25 + 3);  // 3 ft above the machine
  at.beside = Feet(4);
  EXPECT_NEAR(Of(at).gap.feet(), 5, 1e-12);
  EXPECT_NEAR(Of(at).error.feet(), 1.5, 1e-12);
  at.wire_height = Feet(10);  // lower than the machine's top: the side distance alone counts
  EXPECT_NEAR(Of(at).gap.feet(), 4, 1e-12);
  EXPECT_EQ(Of(at).verdict, Verdict::kConflict);
}

TEST(PowerLines, AMachineHigherThanTheWireStrikesIt) {
  LineCrossing at = Usual();
  at.wire_height = Feet(12);
  EXPECT_LT(Of(at).gap, Metres());
  EXPECT_EQ(Of(at).verdict, Verdict::kConflict);
}

TEST(PowerLines, SpotterWatchesWithinTwentyFeetOrFiftyOfAHighLine) {
  LineCrossing at = Usual();
  at.wire_height = Feet(37);  // gap 21.25 ft, less 1 ft of error
  EXPECT_FALSE(Of(at).spotter_needed);
  at.wire_height = Feet(36.5);
  EXPECT_TRUE(Of(at).spotter_needed);
  at.wire_height = Feet(50);
  at.voltage = Kilovolts(500);
  EXPECT_FALSE(Of(at).spotter_needed);
  at.travel = LineTravel::kLoadedOrRaised;
  EXPECT_TRUE(Of(at).spotter_needed);
}

TEST(PowerLines, AMineTakesTheStricterOfBothRules) {
  LineCrossing at = Usual();
  at.travel = LineTravel::kLoadedOrRaised;
  at.voltage = Kilovolts(346);  // 20 ft by Table A, 25 ft by 30 CFR 77.807-2
  EXPECT_EQ(Of(at).needed, Feet(20));
  at.site = LineSite::kMine;
  EXPECT_EQ(Of(at).needed, Feet(25));
  EXPECT_EQ(Of(at).rule, "30 CFR 77.807-2");
  at.voltage = Kilovolts(201);  // 20 ft by Table A, 15 ft by the mine's
  EXPECT_EQ(Of(at).needed, Feet(20));
  at.travel = LineTravel::kUnloadedAndLowered;
  at.voltage = Kilovolts(0.4);  // a mine asks for 10 ft, or precautions, where Table T asks for 4
  EXPECT_EQ(Of(at).needed, Feet(10));
}

TEST(PowerLines, TheTwoPrintedUnitsAreTwoTables) {
  EXPECT_EQ(LineTableA(Kilovolts(50), UnitSystem::kUs), Feet(10));
  EXPECT_EQ(LineTableA(Kilovolts(50), UnitSystem::kSi), InMetres(3.05));
  EXPECT_NE(*LineTableA(Kilovolts(50), UnitSystem::kUs),
            *LineTableA(Kilovolts(50), UnitSystem::kSi));
  LineCrossing at = Usual();
  at.travel = LineTravel::kLoadedOrRaised;
  EXPECT_EQ(ClearanceOfLine(at, UnitSystem::kSi)->needed, InMetres(3.05));
  // 4.57 m are less than the 15 ft that the rule in feet asks for at 200 kV.
  at.voltage = Kilovolts(200);
  EXPECT_EQ(ClearanceOfLine(at, UnitSystem::kSi)->needed, Feet(15));
}

struct Wrong {
  const char* input;
  std::function<void(LineCrossing&)> set;
};

TEST(PowerLines, EveryInputOutOfItsDomainIsNamed) {
  const Wrong rows[] = {
      {"voltage", [](auto& at) { at.voltage = Volts(); }},
      {"voltage", [](auto& at) { at.voltage = Kilovolts(-12); }},
      {"voltage", [](auto& at) { at.voltage = Kilovolts(1000.1); }},
      {"wire height", [](auto& at) { at.wire_height = Metres(); }},
      {"wire height", [](auto& at) { at.wire_height = Feet(-27); }},
      {"wire height", [](auto& at) { at.wire_height = InMetres(2700); }},
      {"beside", [](auto& at) { at.beside = Feet(-1); }},
      {"beside", [](auto& at) { at.beside = InMetres(1001); }},
      {"carried height", [](auto& at) { at.carried_height = Metres(); }},
      {"carried height", [](auto& at) { at.carried_height = Feet(-13); }},
      {"carried height", [](auto& at) { at.carried_height = InMetres(162); }},
      {"bounce", [](auto& at) { at.bounce = Inches(-1); }},
      {"bounce", [](auto& at) { at.bounce = InMetres(3); }},
      {"sag", [](auto& at) { at.sag = Feet(-1); }},
      {"sag", [](auto& at) { at.sag = InMetres(21); }},
      {"reading error", [](auto& at) { at.reading_error = Metres(); }},
      {"reading error", [](auto& at) { at.reading_error = Inches(-1); }},
      {"reading error", [](auto& at) { at.reading_error = InMetres(6); }},
      {"carried error", [](auto& at) { at.carried_error = Metres(); }},
      {"carried error", [](auto& at) { at.carried_error = Inches(-1); }},
      {"carried error", [](auto& at) { at.carried_error = InMetres(6); }},
  };
  for (const Wrong& row : rows) {
    LineCrossing at = Usual();
    row.set(at);
    const auto result = ClearanceOfLine(at, UnitSystem::kUs);
    ASSERT_FALSE(result) << row.input;
    EXPECT_EQ(result.error().input, row.input);
    EXPECT_FALSE(result.error().problem.empty());
    EXPECT_FALSE(result.error().right.empty());
  }
}

double Share(uint16_t number) { return number / 65535.0; }

// More wire, less machine, less sag and a surer reading never turn clear into anything else.
RC_GTEST_PROP(PowerLines, MoreRoomNeverTurnsClearIntoConflict,
              (uint16_t kv, uint16_t wire, uint16_t height, uint16_t more)) {
  LineCrossing at = Usual();
  at.voltage = Kilovolts(0.1 + 999 * Share(kv));
  at.wire_height = InMetres(5 + 30 * Share(wire));
  at.carried_height = InMetres(1 + 4 * Share(height));
  for (LineTravel travel : {LineTravel::kUnloadedAndLowered, LineTravel::kLoadedOrRaised}) {
    at.travel = travel;
    LineCrossing roomier = at;
    roomier.wire_height += InMetres(3 * Share(more));
    roomier.reading_error = at.reading_error * (1 - 0.5 * Share(more));
    RC_ASSERT(Of(roomier).margin >= Of(at).margin);
    if (Of(at).verdict == Verdict::kClear) RC_ASSERT(Of(roomier).verdict == Verdict::kClear);
    if (Of(roomier).verdict == Verdict::kConflict) RC_ASSERT(Of(at).verdict == Verdict::kConflict);
  }
}

// A hundred thousand crossings whose true gap is what is asked for, give or take a hair, read with
// an error that is anything up to the stated one: never clear where it is less in truth, and never
// a conflict where it is more.
TEST(PowerLines, NeverClearWhereTheTruthIsShort) {
  std::mt19937_64 random(41);
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  int of[3] = {};  // verdicts
  for (int i = 0; i < 100'000; ++i) {
    LineCrossing at = Usual();
    at.voltage = Kilovolts(between(0.1, 999));
    at.reading_error = InMetres(std::pow(10.0, between(-6, -0.5)));
    const double error_m = at.reading_error.metres();
    const long double needed_m = Of(at).needed.metres();
    const long double short_m = std::pow(10.0, between(-12, 0.3)) * (i % 2 == 0 ? 1 : -1);
    const long double gap_m = std::max(needed_m - short_m, 0.01L);
    const double carried_m = between(1, 5);
    const long double over_m = carried_m + at.bounce.metres() + at.sag.metres();
    // Straight above, or beside it and above.
    const long double beside_m = i % 3 == 0 ? 0 : gap_m * between(0.3, 1);
    const long double wire_m = over_m + std::sqrt(gap_m * gap_m - beside_m * beside_m);
    const auto read = [&](long double truth_m) {
      return InMetres(static_cast<double>(truth_m) + error_m * between(-0.999, 0.999));
    };
    at.wire_height = read(wire_m);
    at.carried_height = read(carried_m);
    at.beside = beside_m == 0 ? Metres() : std::max(read(beside_m), InMetres(1e-9));
    const Verdict verdict = Of(at).verdict;
    ++of[static_cast<int>(verdict)];
    if (gap_m < needed_m - 1e-12L) {
      ASSERT_NE(verdict, Verdict::kClear) << i;
    }
    if (gap_m > needed_m + 1e-12L) {
      ASSERT_NE(verdict, Verdict::kConflict) << i;
    }
  }
  for (const int count : of) EXPECT_GT(count, 10'000);
}

// Each rule alone never asks for more than the answer does.
RC_GTEST_PROP(PowerLines, TheStrictestRuleWins, (uint16_t volts)) {
  LineCrossing at = Usual();
  at.voltage = Kilovolts(0.1 + 999 * Share(volts));
  const Metres travelling = Of(at).needed;
  RC_ASSERT(travelling >= *LineTableT(*at.voltage, UnitSystem::kUs));
  if (const auto transit = LineClearanceInTransit(*at.voltage)) RC_ASSERT(travelling >= *transit);
  at.travel = LineTravel::kLoadedOrRaised;
  RC_ASSERT(Of(at).needed >= *LineTableA(*at.voltage, UnitSystem::kUs));
  RC_ASSERT(Of(at).needed >= *LineClearanceInUse(*at.voltage));
  RC_ASSERT(Of(at).needed >= travelling);
  at.site = LineSite::kMine;
  RC_ASSERT(Of(at).needed >= *LineClearanceAtMine(*at.voltage));
}

}  // namespace
}  // namespace chockwise::fit
