#include "services/fit/standing.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

Parked OnGrade(double percent) {
  return {
      .grade = Percent(percent), .friction = 0.35, .braked_share = 0.6, .weight = Pounds(26'400)};
}

TEST(Hold, GripOfTheBrakedWheelsAgainstTheGrade) {
  EXPECT_EQ(DriversLine(*JudgeHold(OnGrade(8)), UnitSystem::kUs),
            "BRAKES HOLD: grade 8.0 %, grip to 21.0 %");
  EXPECT_EQ(DriversLine(*JudgeHold(OnGrade(-22)), UnitSystem::kUs),
            "WILL ROLL: grade 22.0 %, grip to 21.0 %");
  Parked weak = OnGrade(8);
  weak.brake_holds = Percent(6);
  EXPECT_EQ(JudgeHold(weak)->verdict, Verdict::kConflict);
}

TEST(Hold, AtTheLimitItIsUndecided) {
  Parked edge = OnGrade(0);
  edge.grade = RiseOverRun(0.35 * 0.6);
  EXPECT_EQ(JudgeHold(edge)->verdict, Verdict::kUndecided);
}

ChockedWheel Wheel() {
  return {.diameter = InMetres(1.0),
          .contact_height = InMetres(0.25),
          .chock_friction = 0.4,
          .grade = Percent(10),
          .chocked_share = 0.5};
}

TEST(Chock, ClimbsOrSlides) {
  EXPECT_EQ(DriversLine(*JudgeChock(Wheel()), UnitSystem::kUs),
            "CHOCK HOLDS: 50 % of what it takes");
  ChockedWheel ice = Wheel();
  ice.chock_friction = 0.1;
  EXPECT_EQ(DriversLine(*JudgeChock(ice), UnitSystem::kUs),
            "CHOCK SLIDES: dry the ground or chock more wheels");
  ChockedWheel low = Wheel();
  low.contact_height = InMetres(0.005);
  EXPECT_EQ(DriversLine(*JudgeChock(low), UnitSystem::kUs), "CHOCK TOO LOW: take a higher one");
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
      {"nothing braked", hold([](P& p) { p.braked_share = 0; }), "braked share"},
      {"share in percent", hold([](P& p) { p.braked_share = 60; }), "braked share"},
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
      {"nothing chocked", chock([](C& c) { c.chocked_share = 0; }), "chocked share"},
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
