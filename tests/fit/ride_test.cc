#include "services/fit/ride.h"

#include <gtest/gtest.h>

#include <cmath>

#include "services/fit/ride_forms.h"
#include "tests/fit/ride_machines.h"

namespace chockwise::fit {
namespace {

constexpr double kFound = 1.1e-4;  // what the search and roundings may leave, metres

Ride Ridden(const RidingMachine& machine, const LaneProfile& lane, Facing facing = Facing::kAlong) {
  const auto ride = RideOver({machine, lane, kOnTyres, facing});
  EXPECT_TRUE(ride) << ride.error().input << " " << ride.error().problem;
  return *ride;
}

TEST(RideOver, LevelGroundIsSubtraction) {
  LaneProfile lane = Level(InMetres(100));
  lane.overheads = {{"door-1", InMetres(50), InMetres(50.3), Feet(14)},
                    {"wire-1", InMetres(70), InMetres(70), Feet(18)}};
  const Ride ride = Ridden(RigidTruck(), lane);
  EXPECT_NEAR(ride.overheads[0].gap.inches(), 12, 1e-6);
  EXPECT_NEAR(ride.overheads[0].margin.inches(), 9, 1e-6);
  EXPECT_NEAR(ride.overheads[1].gap.inches(), 60, 1e-6);
  EXPECT_EQ(ride.least_overhead, 0u);
  EXPECT_NEAR(ride.below.gap.inches(), 12, 1e-6);
  EXPECT_NEAR(ride.below.margin.inches(), 11, 1e-6);
  EXPECT_EQ(ride.verdict, Verdict::kClear);
}

// A·L/4: 10 % under 20 ft lifts a roof over the break by 6 in (computed from the rule by an
// independent script).
TEST(RideOver, RoofOverASagRisesByTheBreak) {
  LaneProfile lane = Break(Percent(-5), Percent(5));
  lane.overheads = {{"canopy", Metres(), Metres(), Feet(14)}};
  const Ride ride = Ridden(RigidTruck(), lane);
  const auto rise = BreakOffset({.grade_change = Percent(10), .wheelbase = Feet(20)});
  EXPECT_NEAR(ride.overheads[0].gap.metres(), (Feet(1) - *rise).metres(), kFound);
  EXPECT_NEAR(ride.overheads[0].gap.inches(), 6, 0.01);
  EXPECT_NEAR(ride.overheads[0].lead_at.feet(), 10, 0.01);
  EXPECT_NEAR(ride.overheads[0].behind_front.feet(), 16, 0.02);
}

TEST(RideOver, CrestComesUpUnderTheBellyByTheBreak) {
  const Ride ride = Ridden(RigidTruck(), Break(Percent(4), Percent(-4)));
  EXPECT_NEAR(ride.below.gap.inches(), 12 - 0.08 * 240 / 4, 0.01);
  EXPECT_EQ(ride.below.at, "");
  EXPECT_NEAR(ride.below.along.metres(), 0, 0.02);
}

// A·o: 10 % before an overhang of 6 ft is 7.2 in (computed from the rule by an independent script).
TEST(RideOver, NoseComesDownToARampToeByTheOverhang) {
  const Ride ride = Ridden(RigidTruck(), Break(Percent(0), Percent(10)));
  EXPECT_NEAR(ride.below.gap.inches(), 12 - 7.2, 0.01);
  EXPECT_NEAR(ride.below.behind_front.feet(), 0, 0.001);
  EXPECT_NEAR(ride.below.lead_at.metres(), 0, 0.01);
}

TEST(RideOver, NoseRisesOverACrestByTheOverhang) {
  LaneProfile lane = Break(Percent(10), Percent(0));
  lane.overheads = {{"beam", InMetres(1), InMetres(3), Feet(15)}};
  const Ride ride = Ridden(RigidTruck(), lane);
  // The lead axle is on the crest, the machine still at its grade; the top leans back.
  const double pitch = std::atan(0.1);
  const double nose = 13 * std::cos(pitch) + 6 * std::sin(pitch);
  EXPECT_NEAR(ride.overheads[0].gap.feet(), 15 - nose, 0.001);
  EXPECT_NEAR(ride.overheads[0].gap.feet(), 2 - 0.6, 0.07);
}

TEST(RideOver, ACircularCrestIsItsSagitta) {
  LaneProfile lane;
  for (int i = -600; i <= 600; ++i) {
    const double x = 0.05 * i;
    lane.ground.push_back({InMetres(x), InMetres(std::sqrt(1e4 - x * x) - 100)});
  }
  RidingMachine truck = RigidTruck();
  truck.units[0].groups[1].behind_front = Feet(6) + InMetres(10.973);
  truck.units[0].bottom = Straight(Feet(6), Feet(6) + InMetres(10.973), Feet(1));
  truck.units[0].top = Straight(Feet(6), Feet(6) + InMetres(10.973), Feet(1.1));
  const auto crest = CrestOffset({.radius = InMetres(100), .wheelbase = InMetres(10.973)});
  EXPECT_NEAR(Ridden(truck, lane).below.gap.metres(), 0.3048 - crest->metres(), 2e-4);
}

TEST(RideOver, AVerticalCurveIsItsClosedForm) {
  LaneProfile lane = Break(Percent(6), Percent(-6));
  lane.ground = *WithVerticalCurve(lane.ground, {.at = Metres(), .length = Feet(50)});
  RidingMachine truck = RigidTruck();
  truck.units[0].groups[1].behind_front = Feet(42);
  truck.units[0].bottom = Straight(Feet(6), Feet(42), Feet(1));
  const auto offset =
      CurveOffset({.grade_change = Percent(12), .wheelbase = Feet(36), .curve_length = Feet(50)});
  EXPECT_NEAR(offset->feet(), 0.3888, 5e-5);
  EXPECT_NEAR(Ridden(truck, lane).below.gap.metres(), (Feet(1) - *offset).metres(), 3e-4);
}

// On one grade the gap straight up is the gap square to the ground times sqrt(1 + g²).
TEST(RideOver, OneGradeScalesGapsByItsStretch) {
  for (const double grade : {0.0, 0.02, 0.1, -0.25}) {
    LaneProfile lane = Break(RiseOverRun(grade), RiseOverRun(grade));
    lane.overheads = {{"door-1", InMetres(5), InMetres(9), Feet(18)}};
    const double stretch = std::sqrt(1 + grade * grade);
    for (const RidingMachine& machine : {RigidTruck(), TractorAndSemitrailer(), Excavator()}) {
      const Ride level = Ridden(machine, [&] {
        LaneProfile flat = Level(InMetres(60));
        flat.overheads = {{"door-1", InMetres(30), InMetres(34), Feet(18)}};
        return flat;
      }());
      const Ride ride = Ridden(machine, lane);
      const double high = Feet(18).metres() - level.overheads[0].gap.metres();
      EXPECT_NEAR(ride.overheads[0].gap.metres(), Feet(18).metres() - high * stretch, 1e-7);
      EXPECT_NEAR(ride.below.gap.metres(), level.below.gap.metres() * stretch, 1e-7);
    }
  }
}

TEST(RideOver, WheelsClimbASillAndTheTopWithThem) {
  LaneProfile lane = Level(InMetres(100));
  lane.sills = {{"sill-1", InMetres(50), InMetres(50.3), Inches(3)}};
  lane.overheads = {{"door-1", InMetres(50), InMetres(50.3), InMetres(4.5)}};
  const Ride ride = Ridden(TractorAndSemitrailer(), lane);
  // One axle of a tandem lifts its group by half of the sill, the cab's front axle lifts the cab.
  EXPECT_LT(ride.overheads[0].gap.metres(), 0.4 - 0.03);
  EXPECT_GT(ride.overheads[0].gap.metres(), 0.4 - Inches(3).metres() * 1.3);
  EXPECT_EQ(ride.below.at, "sill-1");
  EXPECT_NEAR(ride.below.along.metres(), 50.15, 0.16);
}

TEST(RideOver, TheTrailerGroundsWhereTheTractorDoesNot) {
  LaneProfile lane = Break(Percent(8), Percent(-8));
  RidingMachine machine = TractorAndSemitrailer();
  const Ride whole = Ridden(machine, lane);
  EXPECT_EQ(whole.verdict, Verdict::kConflict);
  EXPECT_EQ(whole.below.unit, "trailer");
  machine.units.resize(1);
  machine.units[0].next_hangs_at.reset();
  EXPECT_EQ(Ridden(machine, lane).verdict, Verdict::kClear);
}

// Over a break the mass tips: before, the boom points along the first grade and stands high.
TEST(RideOver, TracksTipOverACrest) {
  LaneProfile lane = Break(Percent(10), Percent(-10));
  lane.overheads = {{"beam", InMetres(4), InMetres(4), InMetres(5)}};
  const RidingMachine excavator = Excavator();
  const Ride ride = Ridden(excavator, lane);
  // The mass is over the break: its foot is ahead by its height times the sine of the pitch.
  const double pitch = std::atan(0.1);
  const double foot = std::sin(pitch);
  const double x = 4;
  const double top =
      0.1 * foot + 3 * std::cos(pitch) + (x - (foot - 3 * std::sin(pitch))) * std::tan(pitch);
  EXPECT_NEAR(ride.overheads[0].gap.metres(), 5 - 0.4 - top, kFound);
  EXPECT_NEAR(ride.overheads[0].lead_at.metres(), 0, 0.05);
  // The track lies on the break, so below the belly nothing rises.
  EXPECT_NEAR(ride.below.gap.metres(), 0.45, 0.01);
}

TEST(RideOver, TracksBridgeASag) {
  LaneProfile lane = Break(Percent(-5), Percent(5));
  lane.overheads = {{"canopy", Metres(), Metres(), InMetres(4)}};
  RidingMachine excavator = Excavator();
  excavator.units[0].top = Straight(InMetres(3), InMetres(7), InMetres(3));
  const Ride ride = Ridden(excavator, lane);
  EXPECT_NEAR(ride.overheads[0].gap.metres(), 1 - 0.1 * 4 / 4, kFound);
}

// Which end leads is a difference of the machine, not of the motion.
TEST(RideOver, FacingAgainstTheLaneIsRidingItsMirrorImage) {
  LaneProfile lane = Break(Percent(0), Percent(10));
  lane.sills = {{"sill-1", InMetres(-20), InMetres(-19.5), Inches(2)}};
  lane.overheads = {{"door-1", InMetres(1), InMetres(3), Feet(16)}};
  LaneProfile mirror = lane;
  std::reverse(mirror.ground.begin(), mirror.ground.end());
  for (ProfilePoint& point : mirror.ground) point.along = -point.along;
  mirror.sills[0].from = -lane.sills[0].to;
  mirror.sills[0].to = -lane.sills[0].from;
  mirror.overheads[0].from = -lane.overheads[0].to;
  mirror.overheads[0].to = -lane.overheads[0].from;
  const Ride against = Ridden(TractorAndSemitrailer(), lane, Facing::kAgainst);
  const Ride mirrored = Ridden(TractorAndSemitrailer(), mirror, Facing::kAlong);
  EXPECT_EQ(against.below.gap, mirrored.below.gap);
  EXPECT_EQ(against.below.along, -mirrored.below.along);
  EXPECT_EQ(against.overheads[0].gap, mirrored.overheads[0].gap);
  const Ride along = Ridden(TractorAndSemitrailer(), lane, Facing::kAlong);
  EXPECT_NE(along.below.gap, against.below.gap);
}

TEST(RideOver, AnErrorOfTheProfileWidensTheErrorByItsLevers) {
  const RidingMachine truck = RigidTruck();
  const LaneProfile lane = Level(InMetres(50));
  RideAllowances allow = kOnTyres;
  allow.profile_error = InMetres(0.3);
  const auto ride = RideOver({truck, lane, allow});
  // At the nose: 26/20 and 6/20, with a quarter more, and the ground below: 1 + 1.25·1.6.
  EXPECT_NEAR(ride->below.error.metres(), 0.3 * (1 + 1.25 * 1.6), 1e-6);
  EXPECT_EQ(ride->verdict, Verdict::kUndecided);
}

/// The truck on wheels of half a metre: at its nose the levers are 26/20 and 6/20, and the search
/// takes a quarter more, so 2 in all.
TEST(RideOver, AnErrorOfTheHeightsCountsForEachThatIsInTheGap) {
  RidingMachine truck = RigidTruck();
  for (AxleGroup& group : truck.units[0].groups) group.wheel_radius = InMetres(0.5);
  LaneProfile lane = Level(InMetres(200));
  lane.overheads = {{"door-1", InMetres(100), InMetres(100.3), Feet(15)}};
  RideAllowances allow = kOnTyres;
  allow.reading_error = Inches(0.5);
  const auto level = RideOver({truck, lane, allow});
  EXPECT_NEAR(level->overheads[0].error.inches(), 0.5 * 2, 1e-3) << "the door's and the machine's";
  EXPECT_NEAR(level->below.error.inches(), 0.5, 1e-3) << "the belly's";
  lane.sills = {{"far sill", InMetres(30), InMetres(30.3), Inches(1)}};
  EXPECT_NEAR(RideOver({truck, lane, allow})->overheads[0].error.inches(), 0.5 * 2, 1e-3);
  lane.sills = {{"door-1 sill", InMetres(100), InMetres(100.3), Inches(1)}};
  const auto sill = RideOver({truck, lane, allow});
  EXPECT_NEAR(sill->overheads[0].error.inches(), 0.5 * (2 + 2), 0.01);
  EXPECT_EQ(sill->below.at, "door-1 sill");
  EXPECT_NEAR(sill->below.error.inches(), 0.5 * (2 + 2), 0.01);
}

TEST(PoseAt, DrawsTheMachineOnItsWheels) {
  const RidingMachine machine = TractorAndSemitrailer();
  const LaneProfile lane = Break(Percent(4), Percent(-4));
  const RideQuestion question = {machine, lane, kOnTyres};
  const auto pose = PoseAt(question, InMetres(5));
  ASSERT_TRUE(pose);
  ASSERT_EQ(pose->units.size(), 2u);
  EXPECT_EQ(pose->units[0].wheel_centres.size(), 3u);
  EXPECT_EQ(pose->units[1].contacts.size(), 2u);
  for (const UnitPose& unit : pose->units) {
    for (size_t i = 0; i < unit.contacts.size(); ++i) {
      const Point contact = unit.contacts[i];
      EXPECT_NEAR(contact.y_m, -0.04 * std::abs(contact.x_m), 1e-9);
      EXPECT_NEAR(LengthM(contact - unit.wheel_centres[i]), unit.wheel_radii_m[i], 1e-9);
    }
  }
  EXPECT_NEAR(pose->units[1].pitch_rad, std::atan(0.04), 0.02);
  // The kingpin is where the hitch is: 5.5 m behind the tractor's nose and 0.9 behind the
  // trailer's.
  const auto along = [](const UnitPose& unit, double behind, double high) {
    return FromPose({unit.top[0], unit.pitch_rad}, -behind, high);
  };
  const Point hitch = along(pose->units[0], 5.5, 1.2 - 2);
  const Point kingpin = along(pose->units[1], 0.9, 1.2 - 4.1);
  EXPECT_NEAR(hitch.x_m, kingpin.x_m, 1e-9);
  EXPECT_NEAR(hitch.y_m, kingpin.y_m, 1e-9);
}

TEST(PoseAt, RefusesAPlaceFarOffTheLane) {
  const RidingMachine truck = RigidTruck();
  const LaneProfile lane = Level(InMetres(50));
  EXPECT_EQ(PoseAt({truck, lane, kOnTyres}, InMetres(100)).error().input, "lead position");
  EXPECT_EQ(PoseAt({truck, lane, kOnTyres}, InMetres(-90)).error().input, "lead position");
}

TEST(RideLine, IsAVerbAndANumber) {
  LaneProfile lane = Level(InMetres(50));
  EXPECT_EQ(DriversLine(Ridden(RigidTruck(), lane), UnitSystem::kUs),
            "GO OVER: 11 in to spare below");
  lane.overheads = {{"door-3", InMetres(20), InMetres(21), Feet(14)}};
  EXPECT_EQ(DriversLine(Ridden(RigidTruck(), lane), UnitSystem::kUs),
            "GO UNDER: 9 in to spare above, 11 in below");
  lane.overheads[0].clear_height = Feet(13) + Inches(1.5);
  EXPECT_EQ(DriversLine(Ridden(RigidTruck(), lane), UnitSystem::kUs),
            "STOP: 2 in short under door-3");
  EXPECT_EQ(DriversLine(Ridden(RigidTruck(), Break(Percent(9.9), Percent(-9.9))), UnitSystem::kUs),
            "WILL GROUND: 1 in short at the ground, do not enter");
}

// 13 ft 8 in over 13 ft and 3 in of bounce leave 5 in; two heights that may be half an inch off
// take 1 in of them. Where 0.4 in are left, 0.6 in are missing to be sure.
TEST(RideLine, TellsWhatSurelyRemains) {
  const RidingMachine truck = RigidTruck();
  LaneProfile lane = Level(InMetres(50));
  RideAllowances allow = kOnTyres;
  allow.reading_error = Inches(0.5);
  lane.overheads = {{"door-3", InMetres(20), InMetres(21), Feet(13) + Inches(8)}};
  const auto ride = RideOver({truck, lane, allow});
  EXPECT_EQ(ride->verdict, Verdict::kClear);
  EXPECT_EQ(DriversLine(*ride, UnitSystem::kUs), "GO UNDER: 4 in to spare above, 10 in below");
  lane.overheads[0].clear_height = Feet(13) + Inches(3.4);
  const auto close = RideOver({truck, lane, allow});
  EXPECT_EQ(close->verdict, Verdict::kUndecided);
  EXPECT_EQ(DriversLine(*close, UnitSystem::kUs), "STOP: 1 in short under door-3");
}

}  // namespace
}  // namespace chockwise::fit
