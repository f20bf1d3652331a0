// Low vehicles over humps and under signs: Transportation Research Record 1356, a state's rail
// manual, the MUTCD, ISO 668 heights. Values marked "computed" come from the rule by an independent
// script; the others were read in the source named beside them.
#include <gtest/gtest.h>

#include "services/fit/ride.h"
#include "services/fit/ride_forms.h"

namespace chockwise::published {
namespace {

using namespace fit;

double GreatestBreakPercent(Metres wheelbase, Metres clearance) {
  return GreatestBreak({.clearance = clearance, .wheelbase = wheelbase})->percent();
}

/// Two points a wheelbase apart, flat below at the clearance.
RidingMachine LowVehicle(Metres wheelbase, Metres clearance) {
  RidingUnit unit = {.id = "low vehicle"};
  unit.groups = {{.behind_front = Metres(), .wheel_radius = Metres()},
                 {.behind_front = wheelbase, .wheel_radius = Metres()}};
  unit.top = {{Metres(), Feet(8)}, {wheelbase, Feet(8)}};
  unit.bottom = {{Metres(), clearance}, {wheelbase, clearance}};
  return {.units = {unit}};
}

/// What is left under a machine that rides over these points, above the least that may be asked.
Metres LeftBelow(const RidingMachine& machine, const std::vector<ProfilePoint>& ground) {
  const LaneProfile lane = {.ground = ground};
  return RideOver({machine, lane, {.bounce = kBounceOnTyres}})->below.gap;
}

std::vector<ProfilePoint> Crest(Grade each_side) {
  const Metres drop = each_side.rise_over_run() * Feet(100);
  return {{Feet(-100), -drop}, {Metres(), Metres()}, {Feet(100), -drop}};
}

// TRR 1356, pp. 80-89, abstract: low vehicle of 36 ft wheelbase and 5 in clearance; "Grade changes
// of more than 2.3% on each side"; "less than or equal to 4.6%".
TEST(Trr1356, TheLowVehiclePasses4_6PercentAndSticksAbove) {
  EXPECT_NEAR(GreatestBreakPercent(Feet(36), Inches(5)), 4.63, 0.005);
  EXPECT_NEAR(GreatestBreakPercent(Feet(36), Inches(5)) / 2, 2.31, 0.005);
  const RidingMachine low = LowVehicle(Feet(36), Inches(5));
  EXPECT_GT(LeftBelow(low, Crest(Percent(2.3))), Metres());
  EXPECT_LT(LeftBelow(low, Crest(Percent(2.33))), Metres());
}

// Computed: 36 ft, 6 in: 5.556 %; 41 ft, 8 in: 6.504 %; 45.5 ft, 10 in: 7.326 %.
TEST(Breaks, GreatestBreaks) {
  EXPECT_NEAR(GreatestBreakPercent(Feet(36), Inches(6)), 5.556, 5e-4);
  EXPECT_NEAR(GreatestBreakPercent(Feet(41), Inches(8)), 6.504, 5e-4);
  EXPECT_NEAR(GreatestBreakPercent(Feet(45.5), Inches(10)), 7.326, 5e-4);
  EXPECT_NEAR(GreatestBreakPercent(Feet(40), Inches(9)), 7.5, 1e-9);
}

// Computed: 10 % under 20 ft is 0.50 ft; before 6 ft of overhang 0.60 ft; 3 ft at 8 % 2.88 in; 6 ft
// at 5 % 3.60 in.
TEST(Breaks, OffsetsAndOverhangs) {
  EXPECT_NEAR(BreakOffset({.grade_change = Percent(10), .wheelbase = Feet(20)})->feet(), 0.5, 1e-9);
  EXPECT_NEAR(OverhangRise({.grade_change = Percent(10), .overhang = Feet(6)})->inches(), 7.2,
              1e-9);
  EXPECT_NEAR(OverhangRise({.grade_change = Percent(8), .overhang = Feet(3)})->inches(), 2.88,
              1e-9);
  EXPECT_NEAR(OverhangRise({.grade_change = Percent(5), .overhang = Feet(6)})->inches(), 3.6, 1e-9);
}

// Computed: 12 % and 36 ft; a curve of 50 ft 0.3888 ft, of 36 ft 0.54, none 1.08.
TEST(Curves, OffsetsOfAParabola) {
  const auto at = [](double feet) {
    return CurveOffset(
               {.grade_change = Percent(12), .wheelbase = Feet(36), .curve_length = Feet(feet)})
        ->feet();
  };
  EXPECT_NEAR(at(50), 0.3888, 5e-5);
  EXPECT_NEAR(at(36), 0.54, 1e-9);
  EXPECT_NEAR(at(0), 1.08, 1e-9);
}

// Computed: a crest of 100 m under 10.973 m is 0.15062 m.
TEST(Curves, SagittaOfACircularCrest) {
  EXPECT_NEAR(CrestOffset({.radius = InMetres(100), .wheelbase = InMetres(10.973)})->metres(),
              0.15062, 5e-6);
}

// A state's rail manual: "should not exceed 3 inches of the rail elevation at a point 30 feet away
// from the center of the nearest rail". The low vehicle of TRR 1356 passes such a crossing, level 2
// ft beyond the rails (from memory).
TEST(RailCrossing, ThreeInchesInThirtyFeetIsPassed) {
  EXPECT_NEAR((Inches(3) / Feet(30)) * 100, 0.83, 0.005);
  const std::vector<ProfilePoint> crossing = {
      {Feet(-32), Inches(-3)}, {Feet(-5), Metres()}, {Feet(5), Metres()}, {Feet(32), Inches(-3)}};
  const Metres left = LeftBelow(LowVehicle(Feet(36), Inches(5)), crossing);
  EXPECT_GT(left, Inches(2));
  EXPECT_LT(left, Inches(4));
}

// MUTCD 2009 2C.27: "to the nearest 1 inch not exceeding the actual clearance" (secondary copy);
// one state: "three inches less than the actual measured clearance". Computed: 13 ft 7.9 in.
TEST(LowClearanceSign, RoundsDownToTheInch) {
  const Metres actual = Feet(13) + Inches(7.9);
  EXPECT_EQ(
      Text(*SignHeight({.measured = actual, .buffer = Metres()}), UnitSystem::kUs, Rounding::kDown),
      "13 ft 7 in");
  EXPECT_EQ(Text(*SignHeight({.measured = actual, .buffer = Inches(3)}), UnitSystem::kUs,
                 Rounding::kDown),
            "13 ft 4 in");
}

/// What is left under an opening on level ground for a load on a deck.
Metres LeftAbove(Metres deck, Metres load, Metres opening) {
  RidingMachine machine = LowVehicle(Feet(36), Inches(12));
  for (OutlinePoint& point : machine.units[0].top) point.height = deck + load;
  const LaneProfile lane = {.ground = {{Metres(), Metres()}, {Feet(100), Metres()}},
                            .overheads = {{"door", Feet(50), Feet(51), opening}}};
  return RideOver({machine, lane, {.bounce = kBounceOnTyres}})->overheads[0].gap;
}

// ISO 668 heights 8 ft 6 in and 9 ft 6 in (encyclopaedic copy), chassis 48 in (a public
// specification), deck 38.5 in (a public specification), well deck 22 in (from memory). Computed:
// high cube on 48 in is 13 ft 6 in, exactly the usual limit, and nothing is left under it.
TEST(ContainerHeights, SumsOfDeckAndLoad) {
  const Metres limit = Feet(13.5);
  EXPECT_NEAR(LeftAbove(Inches(48), Feet(9.5), limit).inches(), 0, 1e-6);
  EXPECT_NEAR(LeftAbove(Inches(48), Feet(8.5), limit).inches(), 12, 1e-6);
  EXPECT_NEAR(LeftAbove(Inches(38.5), Feet(9.5), limit).inches(), 162 - 152.5, 1e-6);
  EXPECT_NEAR(LeftAbove(Inches(22), Feet(11) + Inches(8), limit).inches(), 0, 1e-6);
  EXPECT_NEAR((Inches(48) + Feet(9.5)).metres(), 4.115, 5e-4);
  EXPECT_NEAR((Inches(38.5) + Feet(9.5)).metres(), 3.874, 6e-4);
}

}  // namespace
}  // namespace chockwise::published
