#include "services/fit/loading_ramp.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

Ramp Tilt() {
  return {.deck_height = Inches(18),
          .ramp_length = Feet(12),
          .friction = 0.5,
          .wheelbase = Feet(7),
          .belly_clearance = Inches(10),
          .nose_overhang = Feet(3),
          .nose_clearance = Inches(12),
          .tail_overhang = Feet(2),
          .tail_clearance = Inches(12)};
}
std::string LineOf(const Ramp& ramp) { return DriversLine(*JudgeRamp(ramp), UnitSystem::kUs); }

TEST(Ramp, TheDriverReadsWhatStopsHim) {
  EXPECT_EQ(LineOf(Tilt()), "GO UP: 12.6 %, grips to 33.3 %");
  Ramp ramp = Tilt();
  ramp.deck_height = Inches(36);
  ramp.ramp_length = Feet(8);
  ramp.friction = kSteelOnWetSteel;
  EXPECT_EQ(LineOf(ramp), "TOO STEEP: 40.5 %, grips to 6.6 %. WINCH");
  ramp = Tilt();
  ramp.wheelbase = Feet(30);  // 30 ft x 12.6 % / 4 = 11.34 in, and an inch under it
  EXPECT_EQ(LineOf(ramp), "WILL GROUND at the ramp top: 3 in short");
  ramp = Tilt();
  ramp.nose_overhang = Feet(8);  // 12.1 in and an inch
  EXPECT_EQ(LineOf(ramp), "WILL GROUND at the ramp toe: 2 in short");
  ramp = Tilt();
  ramp.tail_overhang = Feet(8);
  EXPECT_EQ(LineOf(ramp), "WILL GROUND at the ramp toe: 2 in short");
}

TEST(Ramp, TheGroundUnderTheCarrierCounts) {
  Ramp ramp = Tilt();
  ramp.friction = 0.2;
  EXPECT_EQ(JudgeRamp(ramp)->verdict, Verdict::kClear);
  ramp.ground = Percent(2);
  EXPECT_EQ(JudgeRamp(ramp)->worst, RampTrouble::kGrip);
}

TEST(Ramp, ARideReplacesTheClosedForms) {
  Ramp ramp = Tilt();
  ramp.wheelbase = Feet(30);
  ramp.ridden_clearance = Inches(2);
  EXPECT_EQ(JudgeRamp(ramp)->verdict, Verdict::kClear);
  ramp.ridden_clearance = Inches(0.5);
  EXPECT_EQ(JudgeRamp(ramp)->worst, RampTrouble::kTop);
}

TEST(Ramp, AnInputOutOfItsDomainIsNamed) {
  const auto with = [](auto spoil) {
    Ramp ramp = Tilt();
    spoil(ramp);
    return UnusableOf(JudgeRamp(ramp));
  };
  using R = Ramp;
  ExpectNamed({
      {"no deck", with([](R& r) { r.deck_height = {}; }), "deck height"},
      {"negative deck", with([](R& r) { r.deck_height = Feet(-1); }), "deck height"},
      {"absurd deck", with([](R& r) { r.deck_height = Feet(21); }), "deck height"},
      {"no ramp", with([](R& r) { r.ramp_length = {}; }), "ramp length"},
      {"ramp as high as long", with([](R& r) { r.ramp_length = r.deck_height; }), "ramp length"},
      {"absurd ramp", with([](R& r) { r.ramp_length = Feet(101); }), "ramp length"},
      {"no friction", with([](R& r) { r.friction = 0; }), "friction"},
      {"friction in percent", with([](R& r) { r.friction = 50; }), "friction"},
      {"ground", with([](R& r) { r.ground = Percent(31); }), "slope under the carrier"},
      {"no wheelbase", with([](R& r) { r.wheelbase = {}; }), "wheelbase"},
      {"no belly", with([](R& r) { r.belly_clearance = {}; }), "belly clearance"},
      {"absurd belly", with([](R& r) { r.belly_clearance = Feet(11); }), "belly clearance"},
      {"negative nose", with([](R& r) { r.nose_overhang = Feet(-1); }), "nose overhang"},
      {"nose on the ground", with([](R& r) { r.nose_clearance = {}; }), "nose clearance"},
      {"negative tail", with([](R& r) { r.tail_overhang = Feet(-1); }), "tail overhang"},
      {"tail on the ground", with([](R& r) { r.tail_clearance = {}; }), "tail clearance"},
      {"absurd ride", with([](R& r) { r.ridden_clearance = Feet(11); }), "ridden clearance"},
      {"near upright", with([](R& r) {
         r.deck_height = Feet(10.4);
         r.ramp_length = Feet(12);
         r.ground = Percent(5);
       }),
       "angle of the ramp"},
  });
}

CarrierHold Carrier() {
  return {.friction = 0.35,
          .braked_weight = Pounds(20'000),
          .weight = Pounds(30'000),
          .push = PoundsForce(4'000),
          .grade = Percent(2)};
}

TEST(CarrierHold, BrakedWheelsAgainstPushAndSlope) {
  const auto held = JudgeCarrierHold(Carrier());
  EXPECT_NEAR(held->holds.pounds_force(), 7'000, 1e-6);
  EXPECT_NEAR(held->pushes.pounds_force(), 4'600, 1);
  EXPECT_EQ(DriversLine(*held, UnitSystem::kUs), "CARRIER HOLDS: 2,399 lbf to spare");
  CarrierHold ice = Carrier();
  ice.friction = 0.10;
  EXPECT_EQ(DriversLine(*JudgeCarrierHold(ice), UnitSystem::kUs),
            "CARRIER WILL SHIFT: 2,601 lbf short. CHOCK IT");
}

TEST(CarrierHold, AnInputOutOfItsDomainIsNamed) {
  const auto with = [](auto spoil) {
    CarrierHold carrier = Carrier();
    spoil(carrier);
    return UnusableOf(JudgeCarrierHold(carrier));
  };
  using C = CarrierHold;
  ExpectNamed({
      {"no friction", with([](C& c) { c.friction = 0; }), "friction"},
      {"no weight", with([](C& c) { c.weight = {}; }), "weight of the carrier"},
      {"braked above all", with([](C& c) { c.braked_weight = Pounds(30'001); }),
       "weight on braked wheels"},
      {"negative braked", with([](C& c) { c.braked_weight = Pounds(-1); }),
       "weight on braked wheels"},
      {"negative push", with([](C& c) { c.push = PoundsForce(-1); }), "push"},
      {"absurd push", with([](C& c) { c.push = PoundsForce(500'001); }), "push"},
      {"grade", with([](C& c) { c.grade = Percent(-31); }), "grade"},
  });
}

TEST(Tow, PullAndHoldBack) {
  const Tow up = {.weight = Pounds(20'000), .grade = Percent(10), .rated = PoundsForce(4'000)};
  EXPECT_NEAR(PullToTow(up)->pull.pounds_force(), 3'000, 1e-6);
  EXPECT_EQ(DriversLine(*PullToTow(up), UnitSystem::kUs), "PULL 3,000 lbf: 1,000 lbf to spare");
  Tow down = up;
  down.grade = Percent(-30);
  EXPECT_EQ(DriversLine(*PullToTow(down), UnitSystem::kUs),
            "HOLD BACK 6,000 lbf: LINE TOO WEAK by 2,000 lbf");
  down.rated.reset();
  EXPECT_EQ(PullToTow(down)->verdict, Verdict::kUndecided) << "an unknown line is not clear";
}

TEST(Tow, AnInputOutOfItsDomainIsNamed) {
  const auto with = [](auto spoil) {
    Tow tow = {.weight = Pounds(20'000), .grade = Percent(10)};
    spoil(tow);
    return UnusableOf(PullToTow(tow));
  };
  ExpectNamed({{"no weight", with([](Tow& t) { t.weight = {}; }), "weight of the machine"},
               {"absurd", with([](Tow& t) { t.weight = Pounds(6e5); }), "weight of the machine"},
               {"grade", with([](Tow& t) { t.grade = Percent(101); }), "grade"},
               {"no rolling", with([](Tow& t) { t.rolling = 0; }), "rolling resistance"},
               {"zero rating", with([](Tow& t) { t.rated = Newtons(); }), "rated pull"}});
}

RC_GTEST_PROP(RampProperty, MoreGripAndClearanceNeverTurnClearIntoConflict, ()) {
  Ramp ramp = Tilt();
  ramp.deck_height = Inches(*rc::gen::inRange(4, 60));
  ramp.ramp_length = Feet(*rc::gen::inRange(8, 30));
  ramp.friction = *rc::gen::inRange(5, 100) / 100.0;
  ramp.wheelbase = Feet(*rc::gen::inRange(3, 30));
  ramp.ground = Percent(*rc::gen::inRange(-10, 10));
  const auto before = JudgeRamp(ramp);
  Ramp better = ramp;
  better.friction += 0.1;
  better.belly_clearance += Inches(*rc::gen::inRange(0, 12));
  better.nose_clearance += Inches(*rc::gen::inRange(0, 12));
  if (before->verdict == Verdict::kClear) RC_ASSERT(JudgeRamp(better)->verdict == Verdict::kClear);
}

RC_GTEST_PROP(RampProperty, TheUnitOfInputNeverChangesTheAnswer, ()) {
  const int inches = *rc::gen::inRange(4, 60);
  Ramp us = Tilt(), si = Tilt();
  us.deck_height = Inches(inches);
  si.deck_height = Millimetres(inches * 25.4);
  RC_ASSERT(JudgeRamp(us)->verdict == JudgeRamp(si)->verdict);
}

}  // namespace
}  // namespace chockwise::fit
