// Ramps, docks and forklifts. 29 CFR 1910.178 and its Appendix A were read in a public mirror.
// Ramp, tilt and tow figures are statics, computed from the rule by an independent script; the
// reserves in them are common practice.
#include <gtest/gtest.h>

#include <cmath>

#include "services/fit/loading_dock.h"
#include "services/fit/loading_forklift.h"
#include "services/fit/loading_ramp.h"

namespace chockwise::fit {
namespace {

Ramp OfInches(double height, double length) {
  return {.deck_height = Inches(height),
          .ramp_length = Inches(length),
          .friction = kSteelOnWetSteel,
          .wheelbase = Feet(6),
          .belly_clearance = Feet(2),
          .nose_overhang = {},
          .tail_overhang = {}};
}

TEST(RampFigures, AnglesAndGrades) {
  const auto steep = JudgeRamp(OfInches(36, 96));
  EXPECT_NEAR(steep->angle.degrees(), 22.0, 0.05);
  EXPECT_NEAR(steep->grade.percent(), 40, 0.5);
  EXPECT_EQ(steep->worst, RampTrouble::kGrip);
  const auto mild = JudgeRamp(OfInches(18, 144));
  EXPECT_NEAR(mild->angle.degrees(), 7.2, 0.05);
  EXPECT_NEAR(mild->grade.percent(), 12.6, 0.05);
}

// The closed forms of a grade break: A·L/4 under the belly, A·o at the nose. 12 % and 36 ft give
// 1.08 ft; 10 % and 6 ft give 0.60 ft.
TEST(RampFigures, BreaksAtTopAndToe) {
  const double length_ft = 20, height_ft = length_ft * std::sin(std::atan(0.12));
  Ramp ramp = {.deck_height = Feet(height_ft),
               .ramp_length = Feet(length_ft),
               .friction = 0.6,
               .wheelbase = Feet(36),
               .belly_clearance = Feet(2),
               .nose_overhang = Feet(6),
               .nose_clearance = Feet(2),
               .tail_overhang = {}};
  const auto climb = JudgeRamp(ramp);
  EXPECT_NEAR((Feet(2) - kBellyReserve - climb->top_margin).feet(), 1.08, 1e-9);
  EXPECT_NEAR((Feet(2) - kBellyReserve - *climb->toe_margin).feet(), 0.72, 1e-9);
}

TEST(RampFigures, PullToTow) {
  const auto pull = PullToTow({.weight = Pounds(40'000), .grade = Percent(6)});
  EXPECT_NEAR(pull->pull.pounds_force(), 40'000 * 0.11, 1e-6);
}

// A 28 ft trailer of 7,000 lb tips under 15,000 lb at 5 ft; a 53 ft one of 14,000 lb does not at 7.
TEST(DockFigures, NoseUp) {
  const auto ratio = [](double tare, double b, double a) {
    return *JudgeNose({.trailer_tare = Pounds(tare),
                       .centre_behind_legs = Feet(b),
                       .forklift = Pounds(15'000),
                       .ahead_of_legs = Feet(a),
                       .cargo = CargoAtNose::kCounted});
  };
  EXPECT_NEAR(ratio(7'000, 8, 5).tipping, 1.339, 0.0005);
  EXPECT_EQ(ratio(7'000, 8, 5).verdict, Verdict::kConflict);
  EXPECT_NEAR(ratio(14'000, 17, 7).tipping, 0.441, 0.0005);
  EXPECT_EQ(ratio(14'000, 17, 7).verdict, Verdict::kClear);
}

TEST(DockFigures, TailDown) {
  const auto tail = [](double behind_ft) {
    return *JudgeTail({.pin_tare = Pounds(8'000),
                       .load = Pounds(42'000),
                       .behind_axles = Feet(behind_ft),
                       .pin_to_axles = Feet(38)});
  };
  EXPECT_NEAR(tail(4).pin_left.pounds(), 3'579, 0.5);
  EXPECT_NEAR(tail(4).pin_left / Pounds(8'000), 0.45, 0.005);
  EXPECT_EQ(tail(4).verdict, Verdict::kClear);
  EXPECT_NEAR(tail(7).pin_left.pounds(), 263, 0.5);
  EXPECT_EQ(tail(7).verdict, Verdict::kConflict);
}

TEST(DockFigures, ABoardOf12000Takes9600) {
  const auto board = JudgeBoard({.gross = Pounds(15'500), .rated = Pounds(12'000)});
  EXPECT_NEAR(board->allowed.pounds(), 9'600, 1e-6);
  EXPECT_EQ(board->verdict, Verdict::kConflict);
}

// A front wheel takes 45 % of truck and load, a stand its share and half as much again (common
// practice): 10,000 lb and 2,000 lb are 5,400 lb on a wheel; 10,000 lb on a pad of 1 ft by 2 ft are
// 15,000 lb, 7,500 psf.
TEST(DockFigures, WheelsAndStands) {
  const auto floor =
      JudgeFloor({.truck = Pounds(10'000), .load = Pounds(2'000), .rated_wheel = Pounds(5'400)});
  EXPECT_NEAR(floor->wheel->actual.pounds(), 5'400, 1e-9);
  EXPECT_EQ(floor->verdict, Verdict::kClear);
  const auto stand = JudgeStand({.share = Pounds(10'000),
                                 .rated = Pounds(15'000),
                                 .pad_length = Feet(1),
                                 .pad_width = Feet(2),
                                 .ground = PoundsPerSquareFoot(7'499)});
  EXPECT_EQ(stand->stand.verdict, Verdict::kClear);
  EXPECT_NEAR(stand->pressure.pounds_per_square_foot(), 7'500, 1e-6);
  EXPECT_EQ(stand->verdict, Verdict::kConflict);
}

// What a carrier's brakes hold (statics): 0.5 of 20,000 lb braked is 10,000 lbf. Against a push of
// 6,000 lbf on the level that holds; with 60,000 lb on 8 % downhill, 4,800 lbf more, it does not.
TEST(RampFigures, ACarrierAgainstThePush) {
  const auto held = [](double percent) {
    return *JudgeCarrierHold({.friction = 0.5,
                              .braked_weight = Pounds(20'000),
                              .weight = Pounds(60'000),
                              .push = PoundsForce(6'000),
                              .grade = Percent(percent)});
  };
  EXPECT_NEAR(held(0).margin.pounds_force(), 4'000, 1e-6);
  EXPECT_NEAR(held(8).margin.pounds_force(), 10'000 - 6'000 * std::hypot(1, 0.08) - 4'800, 1e-6);
  EXPECT_EQ(held(0).verdict, Verdict::kClear);
  EXPECT_EQ(held(8).verdict, Verdict::kConflict);
}

// Appendix A, A-5.3, as printed: 3,000 lb at 24 in is 72,000 in·lb; a load of 60 in has its centre
// at 30 in and may weigh 2,400 lb.
TEST(Osha1910_178, AppendixAStability) {
  EXPECT_NEAR(ForkliftAllows({Pounds(3'000), Inches(24), Inches(30)})->pounds(), 2'400, 1e-9);
}

TEST(Osha1910_178, NumbersOfTheRule) {
  EXPECT_FALSE(*IsUnattended({.distance = Feet(24.99), .in_view = InView::kYes}));
  EXPECT_TRUE(*IsUnattended({.distance = Feet(25), .in_view = InView::kYes}));
  EXPECT_TRUE(*IsUnattended({.distance = Feet(1), .in_view = InView::kNo}));
  EXPECT_FALSE(NeedsLoadUpgrade(Percent(10)));
  EXPECT_TRUE(NeedsLoadUpgrade(Percent(10.01)));
  EXPECT_TRUE(NeedsLoadUpgrade(Percent(-10.01)));
  EXPECT_EQ(*GapToTruckAhead(Feet(12)), Feet(36));
}

}  // namespace
}  // namespace chockwise::fit
