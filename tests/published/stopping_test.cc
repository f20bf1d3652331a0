// Stopping distances as printed.
//
// AASHTO, A Policy on Geometric Design: the formula in US units and its constants were read in a
// state design manual; the metric form and the rounded tables are from memory, and every entry of
// the table is reproduced by the formula. 30 CFR 56.14101 Table M-1 and 49 CFR 393.52(d): read in a
// public mirror. Friction: Noon, Engineering Analysis of Vehicular Accidents (1994), second-hand.
// Values at yard speeds: computed from the rule by an independent script.
#include "services/fit/stopping.h"

#include <gtest/gtest.h>

#include "services/fit/stopping_standards.h"

namespace chockwise::fit {
namespace {

TEST(AashtoSightDistance, TheTableToThePrintedDigit) {
  struct Row {
    double mph, calculated_ft, design_ft;
  };
  const std::vector<Row> rows = {
      {15, 76.7, 80},   {20, 111.9, 115}, {25, 151.9, 155}, {30, 196.6, 200}, {35, 246.2, 250},
      {40, 300.6, 305}, {45, 359.7, 360}, {50, 423.7, 425}, {55, 492.5, 495}, {60, 566.0, 570},
      {65, 644.4, 645}, {70, 727.6, 730}, {75, 815.5, 820}, {80, 908.3, 910}};
  for (const Row& row : rows) {
    const double feet = *AashtoSightDistanceFeet({.speed = row.mph});
    EXPECT_NEAR(feet, row.calculated_ft, 0.05 + 1e-9) << row.mph;
    EXPECT_EQ(RoundUpToFive(feet), row.design_ft) << row.mph;
  }
}

TEST(AashtoSightDistance, OnGrades) {
  const auto feet = [](double mph, double grade) {
    return *AashtoSightDistanceFeet({.speed = mph, .grade = grade});
  };
  EXPECT_NEAR(feet(15, -0.06), 81.2, 0.05);
  EXPECT_NEAR(feet(15, 0.06), 73.5, 0.05);
  EXPECT_NEAR(feet(20, -0.06), 119.8, 0.05);
  EXPECT_NEAR(feet(20, -0.09), 125.2, 0.05);
  EXPECT_NEAR(feet(30, -0.06), 214.5, 0.05);
  EXPECT_NEAR(feet(30, 0.06), 183.8, 0.05);
}

// A worked problem, read second-hand, rounds a/g to 0.35; with 11.2/32.2 the grade gives 652.4 ft.
TEST(AashtoSightDistance, WorkedProblemAtSixtyMilesAnHour) {
  const auto feet = [](double grade, double over_g) {
    return *AashtoSightDistanceFeet({.speed = 60, .grade = grade, .deceleration_over_g = over_g});
  };
  EXPECT_NEAR(feet(0, 0.35), 563.36, 0.005);
  EXPECT_NEAR(feet(-0.07, 0.35), 649.07, 0.005);
  EXPECT_EQ(RoundUpToFive(feet(-0.07, 0.35)), 650);
  EXPECT_NEAR(feet(-0.07, 0), 652.4, 0.05);
}

// The metric table, from memory: 30 to 60 km/h design at 35, 50, 65 and 85 m.
TEST(AashtoSightDistance, MetricTable) {
  const auto design = [](double kmh) {
    return RoundUpToFive(*AashtoSightDistanceMetres({.speed = kmh}));
  };
  EXPECT_EQ(design(30), 35);
  EXPECT_EQ(design(40), 50);
  EXPECT_EQ(design(50), 65);
  EXPECT_EQ(design(60), 85);
}

TEST(AashtoSightDistance, NothingStopsWhereTheGradeBeatsIt) {
  const auto steep = AashtoSightDistanceFeet({.speed = 30, .grade = -0.32});
  ASSERT_FALSE(steep.has_value());
  EXPECT_EQ(steep.error().input, "grade");
  EXPECT_EQ(AashtoSightDistanceMetres({.speed = 0}).error().input, "design speed");
}

TEST(MineBrakes, TableM1AsPrinted) {
  const std::vector<int> light = {34, 38, 43, 48, 53, 59, 64, 70, 76, 83, 89};
  const std::vector<int> heavy = {56, 62, 69, 77, 84, 92, 100, 108, 116, 125, 133};
  const std::vector<double> seconds = {6.8, 6.2, 5.7, 5.2, 4.9, 4.5, 4.3, 4.0, 3.8, 3.6, 3.4};
  for (int mph = 10; mph <= 20; ++mph) {
    const auto at = static_cast<size_t>(mph - 10);
    EXPECT_EQ(*MineStoppingFeet(MineClass::kTo36000, mph), light[at]) << mph;
    EXPECT_EQ(*MineStoppingFeet(MineClass::kTo250000, mph), heavy[at]) << mph;
    EXPECT_DOUBLE_EQ(*MineSecondsPer100Feet(mph), seconds[at]) << mph;
  }
  EXPECT_FALSE(MineStoppingFeet(MineClass::kTo36000, 9).has_value());
  EXPECT_FALSE(MineSecondsPer100Feet(21).has_value());
}

// The footnote gives the printed rows: 9.66 ft/s², response by class and one second of the
// operator, v = 1.47·mph. Two cells (62 at 11 mph, 69 at 12 mph, heavy) are rounded to nearest.
TEST(MineBrakes, TheFootnoteMakesThePrintedRows) {
  for (int mph = 10; mph <= 20; ++mph) {
    const double v = 1.47 * mph;
    const double light = v * 1.5 + v * v / 19.32, heavy = v * 3.0 + v * v / 19.32;
    EXPECT_EQ(*MineStoppingFeet(MineClass::kTo36000, mph), std::ceil(light)) << mph;
    const bool nearest = mph == 11 || mph == 12;
    EXPECT_EQ(*MineStoppingFeet(MineClass::kTo250000, mph),
              nearest ? std::round(heavy) : std::ceil(heavy))
        << mph;
  }
  // Rows between and beyond are longer for each heavier class.
  for (size_t at = 1; at < kMineClasses.size(); ++at)
    EXPECT_GT(*MineStoppingFeet(kMineClasses[at], 15), *MineStoppingFeet(kMineClasses[at - 1], 15));
}

TEST(MineBrakes, ClassesMeetAtTheirBounds) {
  EXPECT_EQ(*MineClassOf(Pounds(36'000)), MineClass::kTo36000);
  EXPECT_EQ(*MineClassOf(Pounds(36'001)), MineClass::kTo70000);
  EXPECT_EQ(*MineClassOf(Pounds(140'001)), MineClass::kTo250000);
  EXPECT_EQ(*MineClassOf(Pounds(250'000)), MineClass::kTo250000);
  EXPECT_EQ(*MineClassOf(Pounds(250'001)), MineClass::kTo400000);
  EXPECT_EQ(*MineClassOf(Pounds(400'001)), MineClass::kOver400000);
  EXPECT_FALSE(MineClassOf(Pounds(0)).has_value());
}

// 393.52(d) as printed, each of its two columns of units by itself.
TEST(HighwayBrakes, AsPrinted) {
  struct Row {
    const char* group;
    double percent;
    int feet_per_second2;
    double metres_per_second2;
    int service_feet;
    double service_metres;
    int emergency_feet;
    double emergency_metres;
  };
  const std::vector<Row> rows = {
      {"A1", 65.2, 21, 6.40, 20, 6.1, 54, 16.5},  {"A2", 52.8, 17, 5.18, 25, 7.6, 66, 20.1},
      {"A3", 43.5, 14, 4.27, 35, 10.7, 85, 25.9}, {"B1", 52.8, 17, 5.18, 25, 7.6, 66, 20.1},
      {"B2", 43.5, 14, 4.27, 35, 10.7, 85, 25.9}, {"B3", 43.5, 14, 4.27, 40, 12.2, 90, 27.4}};
  ASSERT_EQ(kHighwayBrakes.size(), rows.size());
  for (size_t at = 0; at < rows.size(); ++at) {
    const HighwayBrakes& ours = kHighwayBrakes[at];
    const Row& row = rows[at];
    EXPECT_TRUE(ours.group.starts_with(row.group)) << ours.group;
    EXPECT_EQ(ours.force_percent, row.percent) << row.group;
    EXPECT_EQ(ours.slowing_feet_per_second2, row.feet_per_second2) << row.group;
    EXPECT_EQ(ours.slowing_metres_per_second2, row.metres_per_second2) << row.group;
    EXPECT_EQ(ours.service_stop_feet, row.service_feet) << row.group;
    EXPECT_EQ(ours.service_stop_metres, row.service_metres) << row.group;
    EXPECT_EQ(ours.emergency_stop_feet, row.emergency_feet) << row.group;
    EXPECT_EQ(ours.emergency_stop_metres, row.emergency_metres) << row.group;
  }
}

// Note (a): the force is the slowing over 32.2 ft/s².
TEST(HighwayBrakes, TheForceIsTheSlowing) {
  for (const HighwayBrakes& row : kHighwayBrakes)
    EXPECT_NEAR(row.slowing_feet_per_second2 / 32.2 * 100, row.force_percent, 0.05) << row.group;
}

// Note (c): the distances are not v²/2a of that slowing. From 20 mph our braking takes 20.49, 25.31
// and 30.73 ft, so the printed stops are no check of it.
TEST(HighwayBrakes, TheStopsAreNotThatSlowing) {
  const auto braked_feet = [](const HighwayBrakes& row) {
    const double over_g = row.slowing_feet_per_second2 * 0.3048 / kGravity;
    return StoppingDistance({.speed = MilesPerHour(20), .friction = over_g})->braked.feet();
  };
  EXPECT_NEAR(braked_feet(kHighwayBrakes[0]), 20.49, 0.005);
  EXPECT_NEAR(braked_feet(kHighwayBrakes[1]), 25.31, 0.005);
  EXPECT_NEAR(braked_feet(kHighwayBrakes[2]), 30.73, 0.005);
}

Metres Braked(double mph, double friction) {
  return StoppingDistance({.speed = MilesPerHour(mph), .friction = friction})->braked;
}

TEST(Friction, BrakingFromTenMilesAnHour) {
  EXPECT_NEAR(Braked(10, 0.75).metres(), 1.36, 0.005);
  EXPECT_NEAR(Braked(10, 0.60).metres(), 1.70, 0.005);
  EXPECT_NEAR(Braked(10, 0.35).metres(), 2.91, 0.005);
  EXPECT_NEAR(Braked(10, 0.10).metres(), 10.19, 0.005);
  // Five miles an hour, 2.5 s and 3.4 m/s²: 5.588 + 0.735.
  const auto stop = StoppingDistance({.speed = MilesPerHour(5), .friction = 3.4 / kGravity});
  EXPECT_NEAR(stop->rolled.metres(), 5.588, 0.0005);
  EXPECT_NEAR(stop->braked.metres(), 0.735, 0.0005);
}

// On the level at 0.20, and 6 mph down 8 %: the usual form leaves cos θ out and says 32.03 ft where
// the slope takes 32.06.
TEST(Friction, StopsAtYardSpeeds) {
  const auto feet = [](double mph, double percent) {
    return StoppingDistance(
               {.speed = MilesPerHour(mph), .friction = 0.20, .grade = Percent(percent)})
        ->distance.feet();
  };
  EXPECT_NEAR(feet(3, 0), 12.5, 0.05);
  EXPECT_NEAR(feet(5, 0), 22.5, 0.05);
  EXPECT_NEAR(feet(6, 0), 28.0, 0.05);
  EXPECT_NEAR(feet(8, 0), 40.0, 0.05);
  EXPECT_NEAR(feet(10, 0), 53.4, 0.05);
  const double v = 6 * 22.0 / 15, g = 9.80665 / 0.3048;
  const double plain = v * 2.5 + v * v / (2 * g * 0.12);
  EXPECT_NEAR(plain, 32.0, 0.05);
  EXPECT_GE(feet(6, -8), plain);
  EXPECT_NEAR(feet(6, -8), v * 2.5 + (plain - v * 2.5) * std::sqrt(1 + 0.08 * 0.08), 1e-9);
}

}  // namespace
}  // namespace chockwise::fit
