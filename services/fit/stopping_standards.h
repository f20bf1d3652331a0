// Stopping distances as three published standards print them, in their own units and rounding: for
// whoever must show a brake test or a sight line against the standard itself. What a move is
// planned with is in stopping.h.
//
//   *AashtoSightDistanceFeet({.speed = 30})      // 196.6, designed as 200 ft
//
// Threads: values.
#pragma once

#include <array>
#include <string_view>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// AASHTO stopping sight distance. The two unit systems are two formulas with rounded constants,
/// and are not converted into one another.
struct SightDesign {
  double speed = 0;  // mph, or km/h
  double grade = 0;  // rise over run, uphill positive
  double response_s = 2.5;
  double deceleration_over_g = 0;  // 0 for the standard's own: 11.2/32.2 ft, 3.4/9.81 m
};

/// 1.47·V·t + 1.075·V²/a on the level, 1.47·V·t + V²/(30·(a/g + G)) on a grade; feet.
/// Domain: speed above 0 up to 100; |grade| <= 0.5; response 0 to 10 s; a/g + G above 0.03.
/// Source: AASHTO, A Policy on Geometric Design; formula read in a state design manual.
Outcome<double> AashtoSightDistanceFeet(const SightDesign& design);
/// 0.278·V·t + 0.039·V²/a, 0.278·V·t + V²/(254·(a/g + G)); metres. Speed up to 160 km/h.
Outcome<double> AashtoSightDistanceMetres(const SightDesign& design);
/// Up to the next 5 of the unit, as the standard's tables do.
double RoundUpToFive(double distance);

/// The six classes of 30 CFR 56.14101 Table M-1, by gross vehicle weight, pounds.
enum class MineClass { kTo36000, kTo70000, kTo140000, kTo250000, kTo400000, kOver400000 };
inline constexpr std::array kMineClasses = {MineClass::kTo36000,  MineClass::kTo70000,
                                            MineClass::kTo140000, MineClass::kTo250000,
                                            MineClass::kTo400000, MineClass::kOver400000};

/// Refused at or below 0 and above 2,000,000 lb. The bounds between 36,000 and 140,000 and above
/// 250,000 lb are from memory.
Outcome<MineClass> MineClassOf(Kilograms gross);

/// The longest service-brake stop, feet. As printed for the classes to 36,000 and to 250,000 lb;
/// the others by the footnote, v·(1 + t) + v²/(2·9.66), v = 1.47·mph, t = 0.5, 1, 1.5, 2, 2.25, 2.5
/// s, rounded down: up to a foot stricter than a printed cell. Domain: 10 to 20 mph, whole.
Outcome<int> MineStoppingFeet(MineClass gross, int mph);
/// The second row of the table: seconds for 100 ft, to a tenth.
Outcome<double> MineSecondsPer100Feet(int mph);

/// 49 CFR 393.52(d): what a service brake must reach from 20 mph on a hard, level, dry road, and
/// the longest stops, each as printed. The distances are not v²/2a of the slowing.
struct HighwayBrakes {
  std::string_view group;
  double force_percent;  // of the gross weight
  int slowing_feet_per_second2;
  double slowing_metres_per_second2;
  int service_stop_feet;
  double service_stop_metres;
  int emergency_stop_feet;
  double emergency_stop_metres;
};
inline constexpr std::array<HighwayBrakes, 6> kHighwayBrakes = {{
    {"A1: up to 10 seats on a car chassis", 65.2, 21, 6.40, 20, 6.1, 54, 16.5},
    {"A2: more seats, or a truck chassis to 10,000 lb", 52.8, 17, 5.18, 25, 7.6, 66, 20.1},
    {"A3: all other passenger vehicles", 43.5, 14, 4.27, 35, 10.7, 85, 25.9},
    {"B1: single units to 10,000 lb", 52.8, 17, 5.18, 25, 7.6, 66, 20.1},
    {"B2: single units above 10,000 lb", 43.5, 14, 4.27, 35, 10.7, 85, 25.9},
    {"B3: all other combinations", 43.5, 14, 4.27, 40, 12.2, 90, 27.4},
}};

}  // namespace chockwise::fit
