// Clearances from live lines. 29 CFR 1926.1408 Table A and 1926.1411 Table T: read in secondary
// copies ("the value that follows 'to' is up to and includes that value"). 29 CFR 1926.600(a)(6):
// read in a public mirror of the eCFR. 30 CFR 77.807-2: read in a code corpus of the same family.
#include <gtest/gtest.h>

#include "services/fit/power_lines.h"

namespace chockwise::fit {
namespace {

struct Row {
  double kv;
  double feet;
  double metres;
};

TEST(Osha1926Lines, TableAWhole) {
  const Row rows[] = {{0.12, 10, 3.05},   {50, 10, 3.05},   {50.1, 15, 4.57},   {200, 15, 4.57},
                      {200.1, 20, 6.10},  {350, 20, 6.10},  {350.1, 25, 7.62},  {500, 25, 7.62},
                      {500.1, 35, 10.67}, {750, 35, 10.67}, {750.1, 45, 13.72}, {1000, 45, 13.72}};
  for (const Row& row : rows) {
    EXPECT_EQ(LineTableA(Kilovolts(row.kv), UnitSystem::kUs), Feet(row.feet)) << row.kv;
    EXPECT_EQ(LineTableA(Kilovolts(row.kv), UnitSystem::kSi), InMetres(row.metres)) << row.kv;
  }
}

TEST(Osha1926Lines, TableTWhole) {
  const Row rows[] = {{0.12, 4, 1.22},  {0.75, 4, 1.22},   {0.76, 6, 1.83},   {50, 6, 1.83},
                      {50.1, 10, 3.05}, {345, 10, 3.05},   {345.1, 16, 4.88}, {350, 16, 4.88},
                      {750, 16, 4.88},  {750.1, 20, 6.10}, {1000, 20, 6.10}};
  for (const Row& row : rows) {
    EXPECT_EQ(LineTableT(Kilovolts(row.kv), UnitSystem::kUs), Feet(row.feet)) << row.kv;
    EXPECT_EQ(LineTableT(Kilovolts(row.kv), UnitSystem::kSi), InMetres(row.metres)) << row.kv;
  }
}

TEST(Osha1926Lines, Above1000KvTheUtilitySays) {
  for (const auto& table : {LineTableA, LineTableT}) {
    const auto above = table(Kilovolts(1000.1), UnitSystem::kUs);
    ASSERT_FALSE(above);
    EXPECT_NE(above.error().right.find("the utility or a registered professional engineer"),
              std::string::npos);
  }
}

// "10 feet plus 0.4 inch for each 1 kV over 50 kV". 138 kV: computed from the rule by an
// independent script.
TEST(Osha1926Lines, _600a6InUse) {
  EXPECT_EQ(LineClearanceInUse(Kilovolts(12)), Feet(10));
  EXPECT_EQ(LineClearanceInUse(Kilovolts(50)), Feet(10));
  EXPECT_NEAR(LineClearanceInUse(Kilovolts(138))->inches(), 12 * 12 + 11.2, 1e-9);
  EXPECT_NEAR(LineClearanceInUse(Kilovolts(138))->metres(), 3.942, 5e-4);
}

// In transit, no load, boom lowered: 4 ft below 50 kV, 10 ft over 50 to 345 kV, 16 ft to 750 kV.
TEST(Osha1926Lines, _600a6InTransit) {
  EXPECT_EQ(LineClearanceInTransit(Kilovolts(49.9)), Feet(4));
  EXPECT_EQ(LineClearanceInTransit(Kilovolts(50)), Feet(10));  // between the bands: the longer
  EXPECT_EQ(LineClearanceInTransit(Kilovolts(345)), Feet(10));
  EXPECT_EQ(LineClearanceInTransit(Kilovolts(345.1)), Feet(16));
  EXPECT_EQ(LineClearanceInTransit(Kilovolts(750)), Feet(16));
  EXPECT_FALSE(LineClearanceInTransit(Kilovolts(750.1)));
}

// Two rules in force for one line of 138 kV: 12 ft 11.2 in and 15 ft. The stricter wins.
TEST(Osha1926Lines, TheStricterOfTwoRulesWins) {
  const LineCrossing at = {.voltage = Kilovolts(138),
                           .wire_height = Feet(40),
                           .beside = Metres(),
                           .carried_height = Feet(13),
                           .bounce = Inches(3),
                           .sag = Feet(2),
                           .reading_error = Inches(3),
                           .travel = LineTravel::kLoadedOrRaised,
                           .site = LineSite::kGeneral};
  EXPECT_EQ(ClearanceOfLine(at, UnitSystem::kUs)->needed, Feet(15));
}

// Booms and masts: below 69 kV 10 ft; 69 to 114: 12; 115 to 229: 15; 230 to 344: 20; 345 to 499:
// 25; 500 or more: 35 ft.
TEST(Msha77Lines, _807_2) {
  const Row rows[] = {{12, 10, 0},    {68.9, 10, 0}, {69, 12, 0},  {114, 12, 0}, {115, 15, 0},
                      {229, 15, 0},   {230, 20, 0},  {344, 20, 0}, {345, 25, 0}, {499, 25, 0},
                      {499.5, 25, 0}, {500, 35, 0},  {765, 35, 0}};
  for (const Row& row : rows)
    EXPECT_EQ(LineClearanceAtMine(Kilovolts(row.kv)), Feet(row.feet)) << row.kv;
  EXPECT_EQ(LineClearanceAtMine(Kilovolts(114.5)), Feet(15));  // between two bands: the longer
}

}  // namespace
}  // namespace chockwise::fit
