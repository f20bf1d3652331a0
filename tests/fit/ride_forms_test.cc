#include "services/fit/ride_forms.h"

#include <gtest/gtest.h>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

TEST(RideForms, TheBreakIsMostMidwayAndNothingAtTheWheels) {
  const auto at = [](double feet) {
    return BreakOffsetAt(
               {.grade_change = Percent(8), .wheelbase = Feet(36), .behind_front_axle = Feet(feet)})
        ->inches();
  };
  EXPECT_NEAR(at(0), 0, 1e-12);
  EXPECT_NEAR(at(36), 0, 1e-12);
  EXPECT_NEAR(at(10), 6.933, 5e-4);  // 0.08·10·26/36 ft: computed from the rule independently
  EXPECT_NEAR(at(10), at(26), 1e-12);
  EXPECT_NEAR(at(18), BreakOffset({.grade_change = Percent(8), .wheelbase = Feet(36)})->inches(),
              1e-12);
  EXPECT_GT(at(18), at(17.9));
}

TEST(RideForms, TheGreatestBreakIsTheOffsetTurnedRound) {
  for (const double clearance : {3.0, 5.0, 9.0, 20.0}) {
    const auto most = GreatestBreak({.clearance = Inches(clearance), .wheelbase = Feet(36)});
    const auto back = BreakOffset({.grade_change = *most, .wheelbase = Feet(36)});
    EXPECT_NEAR(back->inches(), clearance, 1e-9);
  }
  EXPECT_NEAR(BreakoverAngle({.clearance = Feet(1), .wheelbase = Feet(2)})->degrees(), 90, 1e-9);
}

// At C = L both branches of the curve meet; a curve of no length is the sharp break.
TEST(RideForms, TheCurvesBranchesMeet) {
  const auto at = [](double feet) {
    return CurveOffset(
               {.grade_change = Percent(12), .wheelbase = Feet(36), .curve_length = Feet(feet)})
        ->feet();
  };
  EXPECT_NEAR(at(36), at(36 - 1e-9), 1e-9);
  EXPECT_NEAR(at(0), 0.12 * 36 / 4, 1e-12);
  EXPECT_GT(at(30), at(40));
}

TEST(RideForms, AWideCrestDoesNotCancel) {
  const auto crest = CrestOffset({.radius = InMetres(1e6), .wheelbase = InMetres(10)});
  EXPECT_NEAR(crest->metres(), 1.25e-5, 1e-15);
  EXPECT_NEAR(CrestOffset({.radius = InMetres(5), .wheelbase = InMetres(10)})->metres(), 5, 1e-12);
}

TEST(RideForms, ASignShowsNoMoreThanThereIs) {
  for (int tenths = 1; tenths < 4000; ++tenths) {
    const Metres measured = Inches(tenths / 10.0);
    const auto sign = SignHeight({.measured = measured, .buffer = Metres()});
    EXPECT_LE(*sign, measured + Millimetres(1e-4));
    EXPECT_GT(*sign, measured - Inches(1));
  }
}

TEST(RideForms, SpoiledInputsAreNamed) {
  const auto row = [](const char* spoiled, const auto& outcome, const char* named) {
    return UnusableRow{spoiled, UnusableOf(outcome), named};
  };
  ExpectNamed({
      row("grade 0", BreakOffset({Grade(), Feet(20)}), "grade change"),
      row("grade -5 %", BreakOffset({Percent(-5), Feet(20)}), "grade change"),
      row("grade 51 %", BreakOffset({Percent(51), Feet(20)}), "grade change"),
      row("wheelbase 0", BreakOffset({Percent(5), Metres()}), "wheelbase"),
      row("wheelbase -1", BreakOffset({Percent(5), Feet(-1)}), "wheelbase"),
      row("wheelbase 1 km", BreakOffset({Percent(5), InMetres(1000)}), "wheelbase"),
      row("break ahead", BreakOffsetAt({Percent(5), Feet(20), Feet(-1)}),
          "break behind the front axle"),
      row("break behind", BreakOffsetAt({Percent(5), Feet(20), Feet(21)}),
          "break behind the front axle"),
      row("clearance 0", GreatestBreak({Metres(), Feet(20)}), "clearance"),
      row("clearance -1", BreakoverAngle({Inches(-1), Feet(20)}), "clearance"),
      row("wheelbase 0", GreatestBreak({Inches(5), Metres()}), "wheelbase"),
      row("curve -1", CurveOffset({Percent(5), Feet(20), Feet(-1)}), "curve length"),
      row("curve absurd", CurveOffset({Percent(5), Feet(20), InMetres(1e5)}), "curve length"),
      row("radius small", CrestOffset({Feet(9), Feet(20)}), "crest radius"),
      row("radius absurd", CrestOffset({InMetres(2e6), Feet(20)}), "crest radius"),
      row("overhang 0", OverhangRise({Percent(5), Metres()}), "overhang"),
      row("overhang -1", OverhangRise({Percent(5), Feet(-1)}), "overhang"),
      row("measured 0", SignHeight({Metres(), Metres()}), "measured clearance"),
      row("buffer -1", SignHeight({Feet(13), Inches(-1)}), "buffer"),
      row("buffer absurd", SignHeight({Feet(13), Feet(3)}), "buffer"),
      row("buffer takes all", SignHeight({Inches(2), Inches(3)}), "measured clearance"),
  });
}

}  // namespace
}  // namespace chockwise::fit
