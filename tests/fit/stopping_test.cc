#include "services/fit/stopping.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

BrakedMotion Yard(double mph, double friction = 0.20) {
  return {.speed = MilesPerHour(mph), .friction = friction};
}

TEST(Stopping, TheDriverReadsAVerbAndANumber) {
  EXPECT_EQ(DriversLine(*StoppingDistance(Yard(5)), UnitSystem::kUs), "STOPS IN 23 ft");
  EXPECT_EQ(DriversLine(*StoppingDistance(Yard(5)), UnitSystem::kSi), "STOPS IN 6.9 m");
  EXPECT_EQ(DriversLine(*SpotterStandoff(Yard(5), Feet(20)), UnitSystem::kUs), "KEEP 43 ft");
  EXPECT_EQ(DriversLine(*JudgeStop(Yard(5), {.clear_ahead = Feet(40)}), UnitSystem::kUs),
            "STOPS IN TIME: 17 ft 5 in to spare");
  EXPECT_EQ(DriversLine(*JudgeStop(Yard(5), {.clear_ahead = Feet(20)}), UnitSystem::kUs),
            "SLOW DOWN: 3 ft short");
  EXPECT_EQ(SpeedCapLine(*SpeedCap(Yard(5), {.clear_ahead = Feet(30)}), UnitSystem::kUs),
            "NO FASTER THAN 6.3 mph");
  EXPECT_EQ(SpeedCapLine(InMetresPerSecond(0), UnitSystem::kUs), "DO NOT MOVE: sight is too short");
}

TEST(Stopping, AirBrakesRollHalfASecondFurther) {
  BrakedMotion air = Yard(10);
  air.lag = kAirLag;
  const Metres more = StoppingDistance(air)->distance - StoppingDistance(Yard(10))->distance;
  EXPECT_NEAR(more.metres(), 4.4704 * 0.5, 1e-12);
}

TEST(Stopping, TheWeakerOfBrakesAndGroundStops) {
  BrakedMotion dry = Yard(20, 0.75);
  dry.brake_share = 0.435;
  EXPECT_EQ(StoppingDistance(dry)->distance, StoppingDistance(Yard(20, 0.435))->distance);
  BrakedMotion ice = Yard(20, 0.10);
  ice.brake_share = 0.435;
  EXPECT_EQ(StoppingDistance(ice)->distance, StoppingDistance(Yard(20, 0.10))->distance);
}

// 2,300 of 5,050 kg braked, the centre of mass 0.66 m over a wheelbase of 1.70 m: 0.14 x 0.455 is
// 6.4 %, of which the shift takes 1 / 1.054; nothing stops down 8.4 % (statics, from the rule).
TEST(Stopping, OnlyTheBrakedShareOfTheWeightGrips) {
  BrakedMotion forklift = Yard(3, 0.14);
  forklift.wheels = {.share = 2'300.0 / 5'050, .height_over_wheelbase = 0.66 / 1.70};
  const double grip = 0.14 * 2'300 / 5'050 / (1 + 0.14 * 0.66 / 1.70), v = 3 * 0.44704;
  EXPECT_NEAR(StoppingDistance(forklift)->braked.metres(), v * v / (2 * kGravity * grip), 1e-9);
  forklift.grade = Percent(-8.4);
  EXPECT_EQ(UnusableOf(StoppingDistance(forklift))->input, "grade");
  EXPECT_EQ(UnusableOf(SpeedCap(forklift, {.clear_ahead = Feet(40)}))->input, "grade");
  forklift.wheels = {};
  EXPECT_TRUE(StoppingDistance(forklift).has_value());
}

TEST(Stopping, WhoWalksAheadIsNoNearerThanTenYards) {
  const SeenAhead near = {.clear_ahead = Feet(29), .body_length = Feet(6)};
  EXPECT_EQ(*SpeedCap(Yard(5), near), InMetresPerSecond(0));
  EXPECT_EQ(JudgeStop(Yard(0.5), near)->verdict, Verdict::kConflict);
  EXPECT_EQ(JudgeStop(Yard(0.5), near)->needed, kLeastStandoff);
  const SeenAhead off = {.clear_ahead = Feet(31), .body_length = Feet(6)};
  EXPECT_GT(*SpeedCap(Yard(5), off), InMetresPerSecond(1));
  EXPECT_EQ(JudgeStop(Yard(0.5), off)->verdict, Verdict::kClear);
}

TEST(Stopping, TheSpotterKeepsTenYardsEvenFromACrawl) {
  EXPECT_EQ(SpotterStandoff(Yard(0.5), Feet(6))->distance, Feet(30));
  EXPECT_GT(SpotterStandoff(Yard(6), Feet(6))->distance, Feet(30));
}

TEST(Stopping, NothingSeenIsNoSpeed) {
  const SeenAhead blind = {.clear_ahead = Feet(20), .body_length = Feet(20)};
  EXPECT_EQ(*SpeedCap(Yard(5), blind), InMetresPerSecond(0));
}

TEST(Stopping, PlanningFrictionIsTheCarefulEnd) {
  EXPECT_EQ(PlanningFriction(Surface::kIce, Running::kCarTyres), 0.10);
  EXPECT_EQ(PlanningFriction(Surface::kSnow, Running::kCarTyres), 0.20);
  EXPECT_EQ(PlanningFriction(Surface::kWetUnknown, Running::kCarTyres), 0.20);
  EXPECT_EQ(PlanningFriction(Surface::kDryConcrete, Running::kSteelTracks), 0.20);
  EXPECT_EQ(PlanningFriction(Surface::kIce, Running::kSteelTracks), 0.10);
  EXPECT_DOUBLE_EQ(PlanningFriction(Surface::kDryConcrete, Running::kTruckTyres), 0.525);
}

// Each row spoils one input; the answer is a refusal that names it. Law 2.
TEST(Stopping, AnInputOutOfItsDomainIsNamed) {
  const auto with = [](auto spoil) {
    BrakedMotion motion = Yard(5);
    spoil(motion);
    return UnusableOf(StoppingDistance(motion));
  };
  const double nan = std::numeric_limits<double>::quiet_NaN();
  ExpectNamed({
      {"zero speed", with([](BrakedMotion& m) { m.speed = {}; }), "speed"},
      {"negative speed", with([](BrakedMotion& m) { m.speed = MilesPerHour(-3); }), "speed"},
      {"absurd speed", with([](BrakedMotion& m) { m.speed = MilesPerHour(81); }), "speed"},
      {"zero friction", with([](BrakedMotion& m) { m.friction = 0; }), "friction"},
      {"negative friction", with([](BrakedMotion& m) { m.friction = -0.2; }), "friction"},
      {"friction in percent", with([](BrakedMotion& m) { m.friction = 20; }), "friction"},
      {"friction not a number", with([nan](BrakedMotion& m) { m.friction = nan; }), "friction"},
      {"grade too steep", with([](BrakedMotion& m) { m.grade = Percent(51); }), "grade"},
      {"grade beats friction", with([](BrakedMotion& m) { m.grade = Percent(-17); }), "grade"},
      {"grade beats the brakes", with([](BrakedMotion& m) {
         m.friction = 0.75;
         m.brake_share = 0.10;
         m.grade = Percent(-8);
       }),
       "grade"},
      {"zero brakes", with([](BrakedMotion& m) { m.brake_share = 0; }), "brake share"},
      {"brakes in percent", with([](BrakedMotion& m) { m.brake_share = 43.5; }), "brake share"},
      {"brakes not a number", with([nan](BrakedMotion& m) { m.brake_share = nan; }), "brake share"},
      {"no wheel brakes", with([](BrakedMotion& m) { m.wheels.share = 0; }), "share held"},
      {"braked in percent", with([](BrakedMotion& m) { m.wheels.share = 45; }), "share held"},
      {"centre under the ground", with([](BrakedMotion& m) {
         m.wheels = {0.5, -0.1};
       }),
       "height of the centre of mass over the wheelbase"},
      {"negative response", with([](BrakedMotion& m) { m.response = Seconds(-1); }),
       "response time, s"},
      {"long response", with([](BrakedMotion& m) { m.response = Seconds(11); }),
       "response time, s"},
      {"negative lag", with([](BrakedMotion& m) { m.lag = Seconds(-1); }), "brake lag, s"},
      {"no body", UnusableOf(SpotterStandoff(Yard(5), Feet(0))), "body length"},
      {"absurd body", UnusableOf(SpotterStandoff(Yard(5), Feet(201))), "body length"},
      {"negative sight", UnusableOf(SpeedCap(Yard(5), {.clear_ahead = Feet(-1)})),
       "clear distance ahead"},
      {"absurd sight", UnusableOf(JudgeStop(Yard(5), {.clear_ahead = Feet(10'001)})),
       "clear distance ahead"},
  });
  EXPECT_EQ(UnusableOf(StoppingDistance(Yard(0)))->problem, "is 0.0 mph (0.0 m/s)");
}

// Friction and grade together of 0.03 hold nothing; a hair more stops, however late.
TEST(Stopping, RefusesWhereTheSlopeBeatsTheFriction) {
  BrakedMotion steep = Yard(3, 0.03);
  EXPECT_FALSE(StoppingDistance(steep).has_value());
  steep.friction = 0.0301;
  EXPECT_TRUE(StoppingDistance(steep).has_value());
}

BrakedMotion AnyMotion() {
  BrakedMotion motion = Yard(*rc::gen::inRange(1, 800) / 10.0, *rc::gen::inRange(10, 150) / 100.0);
  motion.grade = Percent(*rc::gen::inRange(-20, 300) / 10.0);
  motion.wheels = {.share = *rc::gen::inRange(60, 101) / 100.0,
                   .height_over_wheelbase = *rc::gen::inRange(0, 100) / 100.0};
  motion.lag = *rc::gen::element(Duration(), kAirLag);
  return motion;
}

RC_GTEST_PROP(StoppingProperty, TheCapIsTheSpeedThatJustStops, ()) {
  const BrakedMotion motion = AnyMotion();
  const auto stop = StoppingDistance(motion);
  RC_ASSERT(stop.has_value());
  const auto cap = SpeedCap(motion, {.clear_ahead = stop->distance});
  RC_ASSERT(std::abs(*cap / motion.speed - 1) < 1e-13);
}

RC_GTEST_PROP(StoppingProperty, MoreSpeedLessGripOrMoreDownhillNeverStopsSooner, ()) {
  const BrakedMotion motion = AnyMotion();
  BrakedMotion worse = motion;
  worse.speed = std::min(MilesPerHour(80), motion.speed + MilesPerHour(1));
  worse.friction = motion.friction * 0.99;
  worse.grade = motion.grade - Percent(0.5);
  worse.wheels.share = motion.wheels.share * 0.99;
  const auto before = StoppingDistance(motion), after = StoppingDistance(worse);
  RC_PRE(after.has_value());
  RC_ASSERT(after->distance > before->distance);
}

RC_GTEST_PROP(StoppingProperty, MoreSightNeverTurnsClearIntoConflict, ()) {
  const BrakedMotion motion = AnyMotion();
  const Metres sight = Feet(*rc::gen::inRange(0, 2000));
  const auto before = JudgeStop(motion, {.clear_ahead = sight});
  const auto after = JudgeStop(motion, {.clear_ahead = sight + Inches(*rc::gen::inRange(0, 500))});
  if (before->verdict == Verdict::kClear) RC_ASSERT(after->verdict == Verdict::kClear);
}

RC_GTEST_PROP(StoppingProperty, TheUnitOfInputNeverChangesTheAnswer, ()) {
  const int feet = *rc::gen::inRange(1, 400);
  const BrakedMotion motion = AnyMotion();
  const auto us = JudgeStop(motion, {.clear_ahead = Feet(feet)});
  const auto si = JudgeStop(motion, {.clear_ahead = Millimetres(feet * 304.8)});
  RC_ASSERT(us->verdict == si->verdict);
  RC_ASSERT(std::abs((us->margin - si->margin).metres()) < 1e-12);
}

}  // namespace
}  // namespace chockwise::fit
