// What hangs behind a machine, from the yard's files: its answers are those of the library for a
// train that is made by hand, and no computation leaves a trailer out.
#include "services/survey/train.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "services/survey/machines.h"
#include "services/survey/path.h"
#include "services/survey/route.h"
#include "services/survey/turning.h"
#include "tests/survey/straight_lane.h"
#include "tests/survey/train_yard.h"

namespace chockwise::survey {
namespace {

using fit::Feet;
using fit::Inches;
using fit::Metres;
using ::testing::HasSubstr;

const Trip& Out() {
  static const Trip out = TripOf("ST-104", "truck-row", "s1-apron");
  return out;
}

Metres FeetAndInches(double feet, double inches) { return Feet(feet) + Inches(inches); }

fit::BodyBox BoxOf(Metres ahead, Metres behind, Metres width) {
  return {.ahead = ahead, .behind = behind, .left = width / 2, .right = width / 2};
}

/// ST-104 with DL-961 and FT-962, written down from the same tape.
fit::TurningMachine TurningByHand() {
  const Metres wheelbase = FeetAndInches(17, 2);
  return {.steering = fit::Steering::kFrontAxle,
          .wheelbase = wheelbase,
          .most_steer = *fit::SteeringOf({.wheelbase = wheelbase, .outer_wheel_radius = Feet(31)}),
          .boxes = {BoxOf(FeetAndInches(20, 8), Feet(9), FeetAndInches(8, 6))},
          .trailers = {{.hitch_ahead = Feet(-9),
                        .hitch_to_axle = FeetAndInches(6, 6),
                        .most_fold = fit::Degrees(70),
                        .boxes = {BoxOf(FeetAndInches(6, 6), Feet(2), Feet(8))}},
                       {.hitch_ahead = Feet(0),
                        .hitch_to_axle = Feet(20),
                        .most_fold = fit::Degrees(70),
                        .boxes = {BoxOf(Feet(23), Feet(4), FeetAndInches(8, 8))}}}};
}

std::vector<fit::OutlinePoint> Flat(Metres length, Metres height) {
  return {{Metres(), height}, {length, height}};
}

fit::RidingMachine RidingByHand() {
  const Metres truck = FeetAndInches(29, 8), dolly = FeetAndInches(8, 6), body = Feet(27);
  return {.units = {{.id = "truck",
                     .groups = {{.behind_front = FeetAndInches(3, 6), .wheel_radius = Inches(20)},
                                {.behind_front = FeetAndInches(20, 8), .wheel_radius = Inches(20)}},
                     .next_hangs_at = fit::Coupling{FeetAndInches(29, 8), Inches(30)},
                     .top = Flat(truck, FeetAndInches(12, 4)),
                     .bottom = Flat(truck, Inches(11))},
                    {.id = "dolly",
                     .groups = {{.behind_front = FeetAndInches(6, 6), .wheel_radius = Inches(18)}},
                     .coupled_by = fit::Coupling{Metres(), Inches(30)},
                     .next_hangs_at = fit::Coupling{FeetAndInches(6, 6), Inches(40)},
                     .top = Flat(dolly, FeetAndInches(3, 8)),
                     .bottom = Flat(dolly, Inches(14))},
                    {.id = "body",
                     .groups = {{.behind_front = Feet(23), .wheel_radius = Inches(18)}},
                     .coupled_by = fit::Coupling{Feet(3), Inches(40)},
                     .top = Flat(body, FeetAndInches(12, 8)),
                     .bottom = Flat(body, Inches(9))}}};
}

fit::TurningMachine TurningFromFiles(const yard::Yard& yard, const char* id) {
  Readings readings(yard, At(yard).when);
  const auto turning = Turning(readings, MachineIn(yard, id));
  EXPECT_TRUE(turning) << turning.error().Text();
  return turning.value_or(fit::TurningMachine{});
}

/// How far two drives of one line part, over every step of every unit.
double MostApartM(const fit::Driven& one, const fit::Driven& other) {
  EXPECT_EQ(one.units.size(), other.units.size());
  double most_m = 0;
  for (size_t unit = 0; unit < std::min(one.units.size(), other.units.size()); ++unit) {
    const auto &a = one.units[unit].frames, &b = other.units[unit].frames;
    EXPECT_EQ(a.size(), b.size());
    for (size_t i = 0; i < std::min(a.size(), b.size()); ++i)
      most_m = std::max(most_m, LengthM(a[i].at - b[i].at));
  }
  return most_m;
}

TEST(Train, TurnsAsTheLibraryTurnsTheOneMadeByHand) {
  const yard::Yard yard = TrainYard();
  const fit::TurningMachine from_files = TurningFromFiles(yard, "ST-104"),
                            by_hand = TurningByHand();
  const fit::Line bend = {{0, 0}, {45, 0}, {80, 30}};
  for (const fit::Travel travel : {fit::Travel::kForwards, fit::Travel::kReversing}) {
    const auto one = fit::DriveAlong({.machine = from_files, .line = bend, .travel = travel});
    const auto other = fit::DriveAlong({.machine = by_hand, .line = bend, .travel = travel});
    ASSERT_TRUE(one && other);
    EXPECT_EQ(one->units.size(), 3u);
    EXPECT_LT(MostApartM(*one, *other), 1e-9);
  }
  // The same lane mirrored mirrors what it does.
  const auto left = fit::DriveAlong({.machine = from_files, .line = bend});
  const auto right = fit::DriveAlong({.machine = from_files, .line = {{0, 0}, {45, 0}, {80, -30}}});
  ASSERT_TRUE(left && right);
  fit::Driven mirrored = *right;
  for (fit::UnitMotion& unit : mirrored.units) {
    for (fit::AxleFrame& frame : unit.frames) frame.at.y_m = -frame.at.y_m;
  }
  EXPECT_LT(MostApartM(*left, mirrored), 1e-9);
}

// Rolling without side slip: on a circle every axle points at its middle, so each coupling is the
// corner of two right triangles. From the front axle's radius r: rear axle r² - 17.167², hitch +
// 9², dolly's axle - 6.5², body's axle - 20² (ft). Geometry; common practice knows it as the sum of
// squares.
TEST(Train, OnASteadyTurnEveryAxleIsWherePythagorasPutsIt) {
  const yard::Yard yard = TrainYard();
  const double front_m = Feet(60).metres();
  fit::Line circles = {{0, 0}};
  constexpr int kSides = 720;
  for (int side = 0; side <= 3 * kSides; ++side) {
    const double turned = 2 * std::numbers::pi * side / kSides;
    circles.push_back({20 + front_m * std::sin(turned), front_m * (1 - std::cos(turned))});
  }
  const auto driven = fit::DriveAlong({.machine = TurningFromFiles(yard, "ST-104"),
                                       .line = circles,
                                       .trace_tolerance = kTraceTolerance});
  ASSERT_TRUE(driven) << driven.error().problem;
  ASSERT_FALSE(driven->shortfall) << Text(*driven->shortfall, fit::UnitSystem::kUs);
  const double rear = 60.0 * 60 - (206.0 / 12) * (206.0 / 12);
  const double dolly = rear + 9 * 9 - 6.5 * 6.5, body = dolly - 20.0 * 20;
  const double squares[] = {rear, dolly, body};
  ASSERT_EQ(driven->units.size(), 3u);
  for (size_t unit = 0; unit < 3; ++unit) {
    const fit::Point axle = driven->units[unit].frames.back().at;
    EXPECT_NEAR(LengthM(axle - fit::Point{20, front_m}), Feet(std::sqrt(squares[unit])).metres(),
                kTraceTolerance.metres() + driven->units[unit].error_m)
        << unit;
  }
}

TEST(Train, SweepsTheWayAsTheOneMadeByHand) {
  const yard::Yard yard = TrainYard();
  const auto way = DriveOf(At(yard), Out(), {});
  ASSERT_TRUE(way) << way.error().Text();
  const auto by_hand = fit::Sweep({.manoeuvre = {.machine = TurningByHand(),
                                                 .line = way->way.middle,
                                                 .trace_tolerance = kTraceTolerance},
                                   .obstacles = way->beside,
                                   .needed_margin = kBesideMachine});
  ASSERT_TRUE(by_hand);
  ASSERT_FALSE(way->swept.margins.empty());
  ASSERT_EQ(way->swept.margins.size(), by_hand->margins.size());
  for (size_t i = 0; i < by_hand->margins.size(); ++i) {
    EXPECT_NEAR(way->swept.margins[i].margin.metres(), by_hand->margins[i].margin.metres(), 1e-9);
    EXPECT_EQ(way->swept.margins[i].unit, by_hand->margins[i].unit);
  }
}

TEST(Train, RidesTheWayAsTheOneMadeByHand) {
  yard::Yard yard = TrainYard();
  const fit::RidingMachine machine = RidingByHand();
  for (const fit::Travel travel : {fit::Travel::kForwards, fit::Travel::kReversing}) {
    const auto ridden = RideOf(At(yard), Out(), travel);
    ASSERT_TRUE(ridden) << ridden.error().Text();
    fit::RideQuestion question = QuestionOf(*ridden);
    const auto by_hand = fit::RideOver({.machine = machine,
                                        .profile = question.profile,
                                        .allow = question.allow,
                                        .facing = question.facing});
    ASSERT_TRUE(by_hand) << by_hand.error().problem;
    EXPECT_NEAR(ridden->ride.below.gap.metres(), by_hand->below.gap.metres(), 1e-9);
    // The belly of the body is the lowest of all.
    EXPECT_EQ(by_hand->below.unit, "body");
    EXPECT_EQ(ridden->ride.below.unit, "FT-962");
  }
}

TEST(Train, GoesUnderWithItsHighestUnit) {
  yard::Yard yard = TrainYard();
  const Trip in = TripOf("ST-104", "s1-apron", "s1-bay-1");
  LayStraight(yard, "bay-1-way", {{.along_m = 0, .up_m = 12}, {.along_m = 60, .up_m = 12}});
  yard.doors.at(yard::DoorId("door-1")).along = fit::InMetres(30);
  ChangeReading(yard, "door-1", "sill-height", Metres());
  // With 3 in of bounce 12 ft 4 in goes under, and 12 ft 8 in does not.
  ChangeReading(yard, "door-1", "clear-height", FeetAndInches(12, 9));
  EXPECT_EQ(VerdictOf(GoesUnder(At(Unhitched(yard)), in, fit::Travel::kForwards)),
            fit::Verdict::kClear);
  EXPECT_EQ(VerdictOf(GoesUnder(At(yard), in, fit::Travel::kForwards)), fit::Verdict::kConflict);
  const auto ridden = RideOf(At(yard), in, fit::Travel::kForwards);
  ASSERT_TRUE(ridden && ridden->ride.least_overhead);
  const fit::TightSpot& least = ridden->ride.overheads[*ridden->ride.least_overhead];
  EXPECT_EQ(least.unit, "FT-962");
  EXPECT_NEAR(least.gap.inches(), 1, 1e-6);
}

TEST(Train, IsAsLongWideHighAndHeavyAsAllOfIt) {
  const yard::Yard yard = TrainYard();
  Readings readings(yard, At(yard).when);
  const yard::Machine& truck = MachineIn(yard, "ST-104");
  // 20 ft 8 in to the axle, 9 ft to the hitch, 6 ft 6 in of drawbar, 20 ft and 4 ft of body.
  EXPECT_NEAR(TrainLength(readings, truck)->inches(), 12 * 60 + 2, 1e-9);
  EXPECT_NEAR(TrainWidth(readings, truck)->inches(), 12 * 8 + 8, 1e-9);
  EXPECT_NEAR(TrainHeight(readings, truck)->inches(), 12 * 12 + 8, 1e-9);
  EXPECT_NEAR(TrainMass(readings, truck)->pounds(), 31'400 + 5'200 + 12'400, 1e-6);
  // The drive finds the same length from its boxes.
  const auto straight =
      fit::DriveAlong({.machine = TurningFromFiles(yard, "ST-104"), .line = {{0, 0}, {1, 0}}});
  ASSERT_TRUE(straight);
  const auto &first = straight->units.front(), &last = straight->units.back();
  const double front_m = Place(first.frames.front(), {first.boxes.front().ahead.metres(), 0}).x_m;
  const double rear_m = Place(last.frames.front(), {-last.boxes.front().behind.metres(), 0}).x_m;
  EXPECT_NEAR(front_m - rear_m, TrainLength(readings, truck)->metres(), 1e-9);
}

TEST(Train, WeighsOnTheGroundAsAWhole) {
  yard::Yard yard = TrainYard();
  const auto line = [&](double pounds, const yard::Yard& of) {
    yard::Yard changed = of;
    ChangeReading(changed, "row-way", "rated-mass", fit::Pounds(pounds));
    return LineOf(GroundCarries(At(changed), Out()));
  };
  // 49,000 lb together, weighed 1 % light: 49,490 lb.
  EXPECT_THAT(line(49'491.5, yard), HasSubstr("GROUND CARRIES on row-way: 1 lb to spare"));
  EXPECT_THAT(line(49'489.5, yard), HasSubstr("STAY OFF row-way: 1 lb too heavy"));
  EXPECT_THAT(line(49'489.5, Unhitched(yard)), HasSubstr("17,775 lb to spare"));
}

TEST(Train, NeedsOfItsRouteWhatAllOfItNeeds) {
  const yard::Yard yard = TrainYard();
  const auto searched = SearchOf(At(yard), Out(), {.travel = fit::Travel::kForwards});
  ASSERT_TRUE(searched) << searched.error().Text();
  const fit::RouteNeeds& needs = searched->question.needs;
  EXPECT_NEAR(needs.length.inches(), 12 * 60 + 2, 1e-9);
  EXPECT_NEAR(needs.load.pounds(), 1.01 * 49'000, 1e-6);
  // A tape may be 1/2 in off on each side.
  EXPECT_NEAR((needs.width - 2 * searched->needed_each_side).inches(), 12 * 8 + 8 + 1, 1e-9);
  EXPECT_NEAR((needs.height - fit::kBounceOnTyres).inches(), 12 * 12 + 8, 1e-9);
}

TEST(Train, BehindASemitrailerHangsBehindTheSemitrailer) {
  yard::YardFiles files = DemoFiles();
  files.machines_csv = TowedRegister(files.machines_csv, "CA-901", "DL-961; FT-962",
                                     "DL-961,Trailer dolly,trailer,carrier-pad-1,,0,,\n"
                                     "FT-962,Trailer body,trailer,carrier-pad-1,,2,,\n");
  files.measurements_csv += kTrainReadings;
  files.measurements_csv += "CA-901 hitch-behind-axle,4 ft 10 in,,,dov,2026-11-02T08:00:00Z\n";
  const yard::Yard yard = Read(files);
  const fit::TurningMachine turning = TurningFromFiles(yard, "CA-901");
  ASSERT_EQ(turning.trailers.size(), 3u);
  EXPECT_NEAR(turning.trailers[0].hitch_to_axle.feet(), 30, 1e-9);
  EXPECT_NEAR(turning.trailers[1].hitch_ahead.inches(), -58, 1e-9);
  Readings readings(yard, At(yard).when);
  const auto riding = Riding(readings, MachineIn(yard, "CA-901"));
  ASSERT_TRUE(riding) << riding.error().Text();
  ASSERT_EQ(riding->units.size(), 4u);
  // 3 ft 0 in of nose, 30 ft to the axle, 4 ft 10 in behind it.
  EXPECT_NEAR(riding->units[1].next_hangs_at->behind_front.inches(), 12 * 37 + 10, 1e-9);
  EXPECT_EQ(riding->units[2].id, "DL-961");
  // 4 ft 2 in, 15 ft 6 in less 1 ft 6 in, 30 ft, 4 ft 10 in, then the drawbar and the body.
  EXPECT_NEAR(TrainLength(readings, MachineIn(yard, "CA-901"))->inches(),
              50 + 186 - 18 + 360 + 58 + 78 + 240 + 48, 1e-9);
}

TEST(Train, BehindAMachineThatTurnsAboutItsMiddleHangsFromItsRearAxle) {
  yard::YardFiles files = DemoFiles();
  files.machines_csv = TowedRegister(files.machines_csv, "TH-201", "DL-961",
                                     "DL-961,Trailer dolly,trailer,s2-bay-1,,0,,\n");
  const std::string readings = kTrainReadings;
  files.measurements_csv += readings.substr(0, readings.find("FT-962"));
  files.measurements_csv += "TH-201 hitch-behind-axle,4 ft 1 in,,forks,dov,2026-11-02T08:00:00Z\n";
  const fit::TurningMachine turning = TurningFromFiles(Read(files), "TH-201");
  ASSERT_EQ(turning.trailers.size(), 1u);
  // Half of the wheelbase of 9 ft 6 in, and 4 ft 1 in.
  EXPECT_NEAR(turning.trailers[0].hitch_ahead.inches(), -(57 + 49), 1e-9);
}

}  // namespace
}  // namespace chockwise::survey
