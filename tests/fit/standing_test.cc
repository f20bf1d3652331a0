#include "services/fit/standing.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

Parked OnGrade(double percent) {
  return {.grade = Percent(percent),
          .friction = 0.35,
          .wheels = {.share = 0.6},
          .weight = Pounds(26'400)};
}

TEST(Hold, GripOfTheBrakedWheelsWithItsReserveAgainstTheGrade) {
  // 0.35 x 0.6 is 21 %; over 1.5, 14 %.
  EXPECT_EQ(DriversLine(*JudgeHold(OnGrade(8)), UnitSystem::kUs),
            "BRAKES HOLD: grade 8.0 %, grip to 14.0 %");
  EXPECT_EQ(DriversLine(*JudgeHold(OnGrade(-15)), UnitSystem::kUs),
            "WILL ROLL: grade 15.0 %, grip to 14.0 %");
  Parked weak = OnGrade(8);
  weak.brake_holds = Percent(6);
  EXPECT_EQ(JudgeHold(weak)->verdict, Verdict::kConflict);
}

TEST(Hold, ABrakeIsTakenAtItsTrialAndGripAtTwoThirds) {
  Parked tried = OnGrade(13);
  tried.brake_holds = Percent(13.5);
  EXPECT_EQ(JudgeHold(tried)->verdict, Verdict::kClear);
  tried.grade = Percent(13.9);
  EXPECT_EQ(JudgeHold(tried)->verdict, Verdict::kConflict);
}

// A forklift, 0.66 m over 1.70 m: at 15 % 0.388 x 0.15 of its weight has left the braked axle.
TEST(Hold, AGradeTakesWeightOffTheBrakedWheels) {
  const HoldingWheels wheels = {.share = 0.4554, .height_over_wheelbase = 0.66 / 1.70};
  EXPECT_NEAR(ShareOnGrade(Percent(15), wheels), 0.397, 0.0005);
  EXPECT_EQ(ShareOnGrade(Percent(-15), wheels), ShareOnGrade(Percent(15), wheels));
  Parked forklift{
      .grade = Percent(15), .friction = 0.52, .wheels = wheels, .weight = Pounds(11'133)};
  const auto hold = JudgeHold(forklift);
  // At the grade where it slides the friction on what is left there is the pull.
  EXPECT_NEAR(hold->slides_at.rise_over_run(), 0.52 * ShareOnGrade(hold->slides_at, wheels), 1e-15);
  EXPECT_EQ(hold->verdict, Verdict::kConflict);
  forklift.wheels.height_over_wheelbase = 0;
  EXPECT_EQ(JudgeHold(forklift)->verdict, Verdict::kClear);
}

TEST(Hold, AtTheLimitItIsUndecided) {
  Parked edge = OnGrade(0);
  edge.grade = RiseOverRun(0.35 * 0.6 / kHoldReserve);
  EXPECT_EQ(JudgeHold(edge)->verdict, Verdict::kUndecided);
}

ChockedWheel Wheel() {
  return {.diameter = InMetres(1.0),
          .contact_height = InMetres(0.25),
          .chock_friction = 0.7,
          .grade = Percent(10),
          .chocked = {.share = 0.5}};
}

TEST(Chock, AShapeThatWedgesIsProved) {
  // 60 degrees and 2 x atan 0.7 = 70; (0.866 + 0.7 x 0.5) / (0.5 + 0.7 x 0.866 + 1) = 0.577 holds
  // 2.8 times the 0.2 that push.
  const auto chock = JudgeChock(Wheel());
  EXPECT_NEAR(chock->contact.degrees(), 60, 1e-9);
  EXPECT_NEAR(chock->wedges_to.degrees(), 2 * 34.992, 1e-3);
  EXPECT_EQ(chock->proof, ChockProof::kShape);
  EXPECT_EQ(DriversLine(*chock, UnitSystem::kUs), "CHOCKS HOLD 2.8 times the push");
}

TEST(Chock, AShapeThatDoesNotWedgeProvesNothingHoweverLittlePushes) {
  ChockedWheel slippery = Wheel();
  slippery.chock_friction = 0.14;
  slippery.grade = Percent(0.1);
  const auto chock = JudgeChock(slippery);
  EXPECT_EQ(chock->verdict, Verdict::kUndecided);
  EXPECT_EQ(chock->holds, 0);
  EXPECT_EQ(DriversLine(*chock, UnitSystem::kUs),
            "CHOCKS NOT PROVED: they may slide. Try them on a slope, enter chock-grade");
}

// The forklift of the scenario: 120 mm under a wheel of 0.35 m radius is 48.9 degrees; wet, 0.14,
// wedges to 15.9.
TEST(Chock, ASmallChockUnderASmallWheelOnWetGround) {
  ChockedWheel forklift = Wheel();
  forklift.diameter = InMetres(0.70);
  forklift.contact_height = Millimetres(120);
  forklift.chock_friction = 0.14;
  forklift.grade = Percent(0.7);
  const auto chock = JudgeChock(forklift);
  EXPECT_NEAR(chock->contact.degrees(), 48.9, 0.05);
  EXPECT_NEAR(chock->wedges_to.degrees(), 15.9, 0.05);
  EXPECT_EQ(chock->verdict, Verdict::kUndecided);
}

TEST(Chock, WhatWedgesHoldsWithItsReserveOrIsUndecided) {
  ChockedWheel steep = Wheel();
  steep.grade = Percent(19.2);  // pushes 0.384; 0.577 / 1.5 is 0.385
  EXPECT_EQ(JudgeChock(steep)->verdict, Verdict::kClear);
  steep.grade = Percent(19.3);
  EXPECT_EQ(JudgeChock(steep)->verdict, Verdict::kUndecided);
}

TEST(Chock, ATrialDecidesUpToItsGrade) {
  ChockedWheel tried = Wheel();
  tried.chock_friction = 0.14;
  tried.tried_on = Percent(12);
  EXPECT_EQ(DriversLine(*JudgeChock(tried), UnitSystem::kUs),
            "CHOCKS HOLD: grade 10.0 %, tried to 12.0 %");
  tried.grade = Percent(-12.5);
  EXPECT_EQ(JudgeChock(tried)->verdict, Verdict::kUndecided);
}

TEST(Chock, WhatIsTooLowIsClimbedWhateverWasTried) {
  ChockedWheel low = Wheel();
  low.contact_height = InMetres(0.005);
  low.tried_on = Percent(50);
  EXPECT_EQ(DriversLine(*JudgeChock(low), UnitSystem::kUs), "CHOCK TOO LOW: take a higher one");
}

TEST(Chock, AGradeThatLiftsTheChockedWheelsIsNotHeldThere) {
  ChockedWheel lifted = Wheel();
  lifted.chocked = {.share = 0.2, .height_over_wheelbase = 1};
  lifted.grade = Percent(20);
  EXPECT_EQ(JudgeChock(lifted)->verdict, Verdict::kConflict);
}

TEST(SideTipping, SlopeAndTurnAddAsAngles) {
  const SideLoad still = {.track = InMetres(1.8), .centre_height = InMetres(1.2)};
  EXPECT_EQ(DriversLine(*JudgeSideTip(still), UnitSystem::kUs),
            "STANDS: leans as on 0.0 deg, tips at 36.8 deg");
  SideLoad turning = still;
  turning.cross_slope = Percent(20);
  turning.lateral_g = 0.35;
  EXPECT_EQ(JudgeSideTip(turning)->verdict, Verdict::kConflict);
  EXPECT_NEAR(JudgeSideTip(turning)->demand.degrees(), 11.3099 + 19.2900, 1e-3);
}

TEST(Standing, AnInputOutOfItsDomainIsNamed) {
  const auto hold = [](auto spoil) {
    Parked parked = OnGrade(8);
    spoil(parked);
    return UnusableOf(JudgeHold(parked));
  };
  const auto chock = [](auto spoil) {
    ChockedWheel wheel = Wheel();
    spoil(wheel);
    return UnusableOf(JudgeChock(wheel));
  };
  const auto side = [](auto spoil) {
    SideLoad load = {.track = Feet(6), .centre_height = Feet(4)};
    spoil(load);
    return UnusableOf(JudgeSideTip(load));
  };
  using P = Parked;
  using C = ChockedWheel;
  using S = SideLoad;
  const double nan = std::numeric_limits<double>::quiet_NaN();
  ExpectNamed({
      {"absurd grade", hold([](P& p) { p.grade = Percent(101); }), "grade"},
      {"no friction", hold([](P& p) { p.friction = 0; }), "friction"},
      {"friction not a number", hold([nan](P& p) { p.friction = nan; }), "friction"},
      {"nothing braked", hold([](P& p) { p.wheels.share = 0; }), "share held"},
      {"share in percent", hold([](P& p) { p.wheels.share = 60; }), "share held"},
      {"nothing chocked", chock([](C& c) { c.chocked.share = 0; }), "share held"},
      {"tried on the level", chock([](C& c) { c.tried_on = Grade(); }),
       "grade that the chocks held it on"},
      {"no weight", hold([](P& p) { p.weight = {}; }), "weight"},
      {"absurd weight", hold([](P& p) { p.weight = Pounds(500'001); }), "weight"},
      {"brake holds nothing", hold([](P& p) { p.brake_holds = Grade(); }),
       "grade that the brake holds"},
      {"no wheel", chock([](C& c) { c.diameter = {}; }), "wheel diameter"},
      {"absurd wheel", chock([](C& c) { c.diameter = Feet(16); }), "wheel diameter"},
      {"no chock", chock([](C& c) { c.contact_height = {}; }), "contact height of the chock"},
      {"above the centre", chock([](C& c) { c.contact_height = InMetres(0.5); }),
       "contact height of the chock"},
      {"no friction", chock([](C& c) { c.chock_friction = 0; }), "friction of the chock"},
      {"grade", chock([](C& c) { c.grade = Percent(-101); }), "grade"},
      {"no track", side([](S& s) { s.track = {}; }), "track"},
      {"negative track", side([](S& s) { s.track = Feet(-6); }), "track"},
      {"no centre", side([](S& s) { s.centre_height = {}; }), "height of the centre of mass"},
      {"absurd centre", side([](S& s) { s.centre_height = Feet(41); }),
       "height of the centre of mass"},
      {"cross slope", side([](S& s) { s.cross_slope = Percent(101); }), "cross slope"},
      {"negative g", side([](S& s) { s.lateral_g = -0.1; }), "lateral g"},
      {"overturned", side([](S& s) { s.lateral_g = 1, s.cross_slope = Percent(100); }),
       "lateral g"},
  });
}

RC_GTEST_PROP(StandingProperty, MoreGripNeverTurnsClearIntoConflict, ()) {
  Parked parked = OnGrade(*rc::gen::inRange(-400, 400) / 10.0);
  parked.friction = *rc::gen::inRange(5, 100) / 100.0;
  const auto before = JudgeHold(parked);
  parked.friction += 0.01;
  if (before->verdict == Verdict::kClear) {
    RC_ASSERT(JudgeHold(parked)->verdict == Verdict::kClear);
  }
}

/// With less friction anywhere nothing is proved that was not, and a heavier push is not held.
RC_GTEST_PROP(StandingProperty, LessGripOrMoreGradeNeverProvesAChock, ()) {
  ChockedWheel wheel = Wheel();
  wheel.contact_height = Millimetres(*rc::gen::inRange(1, 480));
  wheel.chock_friction = *rc::gen::inRange(5, 150) / 100.0;
  wheel.grade = Percent(*rc::gen::inRange(0, 400) / 10.0);
  const auto before = JudgeChock(wheel);
  wheel.chock_friction *= 0.98;
  wheel.grade = wheel.grade + Percent(0.1);
  if (before->verdict != Verdict::kClear) RC_ASSERT(JudgeChock(wheel)->verdict != Verdict::kClear);
}

RC_GTEST_PROP(StandingProperty, AHigherContactIsNeverClimbedSooner, ()) {
  ChockedWheel wheel = Wheel();
  wheel.contact_height = Millimetres(*rc::gen::inRange(1, 480));
  const auto low = JudgeChock(wheel);
  wheel.contact_height += Millimetres(10);
  RC_ASSERT(JudgeChock(wheel)->to_climb > low->to_climb);
}

RC_GTEST_PROP(StandingProperty, ALowerCentreNeverTipsSooner, ()) {
  SideLoad load = {.track = Inches(*rc::gen::inRange(30, 120)),
                   .centre_height = Inches(*rc::gen::inRange(20, 150)),
                   .cross_slope = Percent(*rc::gen::inRange(0, 40))};
  const auto high = JudgeSideTip(load);
  load.centre_height = load.centre_height * 0.9;
  const auto low = JudgeSideTip(load);
  RC_ASSERT(low->tips_at > high->tips_at);
  if (high->verdict == Verdict::kClear) RC_ASSERT(low->verdict == Verdict::kClear);
}

}  // namespace
}  // namespace chockwise::fit
