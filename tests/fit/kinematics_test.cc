#include "services/fit/kinematics.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <numbers>

#include "services/fit/off_tracking.h"

namespace chockwise::fit {
namespace {

BodyBox Body(double ahead_m, double behind_m, double width_m) {
  return {.ahead = InMetres(ahead_m),
          .behind = InMetres(behind_m),
          .left = InMetres(width_m / 2),
          .right = InMetres(width_m / 2)};
}

TurningMachine Truck() {
  return {.steering = Steering::kFrontAxle,
          .wheelbase = InMetres(6),
          .most_steer = Degrees(40),
          .boxes = {Body(7.5, 2, 2.5)}};
}

Trailer Semi() {
  return {.hitch_ahead = InMetres(0.4),
          .hitch_to_axle = InMetres(11),
          .most_fold = Degrees(80),
          .boxes = {Body(12, 3, 2.6)}};
}

TurningMachine TractorAndSemi() {
  TurningMachine machine = Truck();
  machine.trailers = {Semi()};
  return machine;
}

Driven Drives(const Manoeuvre& manoeuvre) {
  Outcome<Driven> driven = DriveAlong(manoeuvre);
  EXPECT_TRUE(driven) << (driven ? "" : driven.error().input + " " + driven.error().problem);
  return driven ? std::move(*driven) : Driven();
}

const Line kCorner = {{0, 0}, {60, 0}, {60, 60}};

TEST(DriveAlong, AStraightStaysStraight) {
  for (const Travel travel : {Travel::kForwards, Travel::kReversing}) {
    const Driven driven =
        Drives({.machine = TractorAndSemi(), .line = {{0, 0}, {50, 0}}, .travel = travel});
    ASSERT_FALSE(driven.shortfall);
    ASSERT_EQ(driven.units.size(), 2u);
    const double nose = travel == Travel::kForwards ? 1 : -1;
    for (const UnitMotion& unit : driven.units) {
      for (const AxleFrame& frame : unit.frames) {
        ASSERT_NEAR(frame.at.y_m, 0, 1e-12);
        ASSERT_NEAR(frame.along.x_m, nose, 1e-12);
      }
      EXPECT_LT(unit.error_m, 1e-6);
    }
    EXPECT_NEAR(driven.along_m.back(), 50, 1e-9);
    EXPECT_NEAR(driven.most_fold[0].degrees(), 0, 1e-9);
  }
}

// On the arc of a corner the closed form of a hitch that turns on a circle says how far the truck
// has turned in.
TEST(DriveAlong, ATruckOnAnArcFollowsTheClosedForm) {
  const TurningMachine truck = Truck();
  const double radius_m = 6 / std::sin(truck.most_steer.radians());
  const Driven driven = Drives({.machine = truck, .line = kCorner});
  ASSERT_FALSE(driven.shortfall);
  const double arc_starts_m = 60 - radius_m;
  int asked = 0;
  for (size_t i = 0; i < driven.along_m.size(); ++i) {
    const double on_arc_m = driven.along_m[i] - arc_starts_m;
    if (on_arc_m < 0 || on_arc_m > radius_m * std::numbers::pi / 2) continue;
    const auto fold = FoldOnCircle({.hitch_radius = InMetres(radius_m),
                                    .length = truck.wheelbase,
                                    .pulled = InMetres(on_arc_m)});
    const double heading = PoseOf(driven.units[0].frames[i]).heading_rad;
    ASSERT_NEAR(heading, on_arc_m / radius_m - (*fold)->radians(),
                driven.units[0].error_m / 6 + 1e-12);
    ++asked;
  }
  EXPECT_GT(asked, 250);
  EXPECT_LT(driven.units[0].error_m, 0.002);
}

TEST(DriveAlong, HalfTheStepQuartersTheError) {
  const auto end_at = [](double step_m) {
    const Driven driven =
        Drives({.machine = TractorAndSemi(), .line = kCorner, .step = InMetres(step_m)});
    return std::pair(driven.units[1].frames.back().at, driven.units[1].error_m);
  };
  const auto [coarse, coarse_error_m] = end_at(0.1);
  const auto [fine, fine_error_m] = end_at(0.05);
  const auto [finest, finest_error_m] = end_at(0.002);
  EXPECT_LT(LengthM(coarse - finest), coarse_error_m);
  EXPECT_LT(LengthM(fine - finest), fine_error_m);
  EXPECT_NEAR(coarse_error_m / fine_error_m, 4, 0.4);
  EXPECT_LT(fine_error_m, 0.005);
}

// A bar far shorter than a step: its unit swings within one, and what was once bounded over the
// whole way at its sharpest place is bounded here step by step.
TEST(DriveAlong, AReversingDrawbarTrailerIsKnownToMillimetres) {
  TurningMachine truck = Truck();
  truck.trailers = {
      {.hitch_ahead = InMetres(-1.5), .hitch_to_axle = InMetres(1.7), .most_fold = Degrees(90)},
      {.hitch_ahead = InMetres(0.005),
       .hitch_to_axle = InMetres(5.7),
       .most_fold = Degrees(90),
       .boxes = truck.boxes}};
  const auto ends_of_pieces = [&](double step_m) {
    Driven driven = Drives({.machine = truck,
                            .line = {{0, 0}, {60, 0}, {90, 40}},
                            .travel = Travel::kReversing,
                            .step = InMetres(step_m)});
    for (UnitMotion& unit : driven.units) {
      std::vector<AxleFrame> ends;
      for (size_t i = 1; i < unit.frames.size(); ++i) {
        if (i + 1 == unit.frames.size() || driven.piece[i] != driven.piece[i + 1])
          ends.push_back(unit.frames[i]);
      }
      unit.frames = std::move(ends);
    }
    return driven;
  };
  const Driven coarse = ends_of_pieces(0.1), fine = ends_of_pieces(0.001);
  ASSERT_FALSE(coarse.shortfall || fine.shortfall);
  for (size_t unit = 0; unit < coarse.units.size(); ++unit) {
    const UnitMotion &a = coarse.units[unit], &b = fine.units[unit];
    ASSERT_EQ(a.frames.size(), 3);
    ASSERT_EQ(b.frames.size(), 3);
    for (size_t i = 0; i < a.frames.size(); ++i)
      EXPECT_LE(LengthM(a.frames[i].at - b.frames[i].at), a.steps_error_m + b.steps_error_m);
    EXPECT_LT(a.error_m, 0.01) << "unit " << unit;
    EXPECT_LT(b.error_m, a.error_m / 50) << "unit " << unit;
  }
}

TEST(DriveAlong, RefusesABendThatIsTooTightAndSaysByHowMuch) {
  TurningMachine truck = Truck();
  truck.wheelbase = Feet(20);
  truck.most_steer = *SteeringOf({.wheelbase = Feet(20), .outer_wheel_radius = Feet(41)});
  const double leg = Feet(30).metres();  // room for a radius of 30 ft in a right angle
  const Driven driven = Drives({.machine = truck, .line = {{0, 0}, {leg, 0}, {leg, leg}}});
  ASSERT_TRUE(driven.shortfall);
  EXPECT_EQ(driven.shortfall->what, Shortfall::What::kBend);
  EXPECT_NEAR(driven.shortfall->least_radius.feet(), 41, 1e-9);
  EXPECT_NEAR(driven.shortfall->lane_radius.feet(), 30, 1e-9);
  EXPECT_EQ(Text(*driven.shortfall, UnitSystem::kUs),
            "needs 41 ft, lane bend at 30 ft gives 30 ft");
  EXPECT_TRUE(driven.units.empty());
}

TEST(DriveAlong, AUTurnOnTheLineHasNoRoom) {
  const Driven driven = Drives({.machine = Truck(), .line = {{0, 0}, {40, 0}, {0, 0}}});
  ASSERT_TRUE(driven.shortfall);
  EXPECT_EQ(driven.shortfall->what, Shortfall::What::kBend);
  EXPECT_LT(driven.shortfall->lane_radius, InMetres(1e-9));
}

TEST(DriveAlong, TracesOfCurvesStayCurves) {
  Line traced;  // a quarter of a circle of 30 m, a point each 3 degrees, as a hand traces it
  for (int i = 0; i <= 30; ++i) {
    const double at = i * 3 * std::numbers::pi / 180;
    const double off = i % 2 == 0 ? 0.01 : -0.01;
    traced.push_back((30 + off) * Unit(at));
  }
  const Driven driven = Drives({.machine = TractorAndSemi(), .line = traced});
  ASSERT_FALSE(driven.shortfall) << Text(*driven.shortfall, UnitSystem::kSi);
  // Its front axle stays near the circle, and the steering is about that of 30 m all the way.
  for (const Point at : driven.guide) EXPECT_NEAR(LengthM(at), 30, 0.15);
  EXPECT_NEAR(driven.most_steer.degrees(), std::asin(6.0 / 30) * 180 / std::numbers::pi, 3);
}

TEST(DriveAlong, SaysWhereAHingeFoldsTooFar) {
  TurningMachine machine = TractorAndSemi();
  machine.trailers[0].most_fold = Degrees(30);
  const Driven driven = Drives({.machine = machine, .line = kCorner});
  ASSERT_TRUE(driven.shortfall);
  EXPECT_EQ(driven.shortfall->what, Shortfall::What::kFold);
  EXPECT_EQ(driven.shortfall->hinge, 1u);
  EXPECT_GT(driven.shortfall->needed, Degrees(30));
  EXPECT_LT(driven.shortfall->needed, Degrees(31));
  EXPECT_EQ(driven.units[0].frames.size(), driven.along_m.size());
  EXPECT_NEAR(driven.along_m.back(), driven.shortfall->along.metres(), 1e-12);
}

TEST(DriveAlong, ReversingARigidTruckPutsTheRearAxleOnTheLine) {
  const Driven driven = Drives({.machine = Truck(), .line = kCorner, .travel = Travel::kReversing});
  ASSERT_FALSE(driven.shortfall) << Text(*driven.shortfall, UnitSystem::kSi);
  for (size_t i = 0; i < driven.guide.size(); ++i)
    ASSERT_EQ(driven.units[0].frames[i].at, driven.guide[i]);
  EXPECT_NEAR(driven.most_steer.degrees(), 40, 0.2);  // the arc is as tight as it can
  EXPECT_LE(driven.most_steer.degrees(), 40 + 1e-6);
}

// Reversing is a forward motion run backwards: the tractor's front axle is given the way that the
// reversing left, and every unit must come out where it was.
TEST(DriveAlong, ReversingASemitrailerIsAForwardMotionBackwards) {
  Line line = {{0, 0}, {60, 0}, {130, 70}};
  const Driven back =
      Drives({.machine = TractorAndSemi(), .line = line, .travel = Travel::kReversing});
  ASSERT_FALSE(back.shortfall) << Text(*back.shortfall, UnitSystem::kSi);
  EXPECT_LE(back.most_steer, Degrees(40));
  EXPECT_LE(back.most_fold[0], Degrees(80));
  EXPECT_GT(back.most_fold[0], Degrees(15));
  // Both units without slip, step by step: the axle moves along its unit to second order.
  for (const UnitMotion& unit : back.units) {
    for (size_t i = 0; i + 1 < unit.frames.size(); ++i) {
      const Point move = unit.frames[i + 1].at - unit.frames[i].at;
      const Point mean = unit.frames[i].along + unit.frames[i + 1].along;
      ASSERT_NEAR(Cross(mean, move) / 2, 0, 2e-4);
      ASSERT_LT(Dot(mean, move), 0);
    }
  }
  // The hitch is one point.
  for (size_t i = 0; i < back.guide.size(); ++i) {
    const Point on_tractor = Place(back.units[0].frames[i], {0.4, 0});
    const Point on_trailer = Place(back.units[1].frames[i], {11, 0});
    ASSERT_LT(LengthM(on_tractor - on_trailer), 1e-9);
  }
}

TEST(DriveAlong, ReversingRoundATightCornerNeedsMoreSteeringThanThereIs) {
  TurningMachine machine = TractorAndSemi();
  machine.most_steer = Degrees(12);
  const Driven driven = Drives(
      {.machine = machine, .line = {{0, 0}, {30, 0}, {30, 30}}, .travel = Travel::kReversing});
  ASSERT_TRUE(driven.shortfall);
}

TEST(DriveAlong, ADrawbarTrailerIsTwoUnits) {
  TurningMachine machine = Truck();
  machine.trailers = {
      {.hitch_ahead = InMetres(-2.5), .hitch_to_axle = InMetres(2.5), .most_fold = Degrees(70)},
      {.hitch_to_axle = InMetres(5), .most_fold = Degrees(70), .boxes = {Body(6, 1.5, 2.5)}}};
  for (const Travel travel : {Travel::kForwards, Travel::kReversing}) {
    const Driven driven =
        Drives({.machine = machine, .line = {{0, 0}, {100, 0}, {190, 60}}, .travel = travel});
    ASSERT_FALSE(driven.shortfall) << Text(*driven.shortfall, UnitSystem::kSi);
    ASSERT_EQ(driven.units.size(), 3u);
    for (size_t i = 0; i < driven.guide.size(); ++i) {
      ASSERT_LT(LengthM(Place(driven.units[0].frames[i], {-2.5, 0}) -
                        Place(driven.units[1].frames[i], {2.5, 0})),
                1e-9);
      ASSERT_LT(LengthM(driven.units[1].frames[i].at - Place(driven.units[2].frames[i], {5, 0})),
                1e-9);
    }
  }
}

// A loader whose hinge is in the middle runs in its own tracks: hitch and axles on three circles.
TEST(DriveAlong, AnArticulatedLoaderRunsInItsOwnTracks) {
  const TurningMachine loader{.steering = Steering::kHinge,
                              .wheelbase = InMetres(1.6),
                              .hinge_to_rear = InMetres(1.6),
                              .most_steer = Degrees(40),
                              .boxes = {Body(2.5, 1.2, 2.5)},
                              .rear_boxes = {Body(1.2, 2, 2.5)}};
  const double radius_m =
      (1.6 * std::cos(Degrees(40).radians()) + 1.6) / std::sin(Degrees(40).radians());
  const Line line = {{0, 0}, {30, 0}, {30, 2 * radius_m}, {0, 2 * radius_m}};
  for (const Travel travel : {Travel::kForwards, Travel::kReversing}) {
    const Driven driven = Drives({.machine = loader, .line = line, .travel = travel});
    ASSERT_FALSE(driven.shortfall) << Text(*driven.shortfall, UnitSystem::kSi);
    const size_t unit = travel == Travel::kForwards ? 1 : 0;
    const Point centre{30 - radius_m, radius_m};
    const double arc_ends_m = 30 - radius_m + std::numbers::pi * radius_m;
    size_t at = 0;
    while (driven.along_m[at] < arc_ends_m - 0.01) ++at;
    EXPECT_NEAR(LengthM(driven.units[unit].frames[at].at - centre), radius_m, 0.01);
    EXPECT_NEAR(driven.most_steer.degrees(), 40, 0.2);
  }
}

TEST(DriveAlong, TracksTurnOnTheSpotAndCrabsDoNotTurn) {
  const TurningMachine tracked{.steering = Steering::kMiddle, .boxes = {Body(2, 2, 3)}};
  const Driven spun = Drives({.machine = tracked, .line = {{0, 0}, {10, 0}, {10, 10}}});
  ASSERT_FALSE(spun.shortfall);
  EXPECT_NEAR(spun.units[0].frames.back().along.y_m, 1, 1e-12);
  const auto on_corner = std::count_if(spun.guide.begin(), spun.guide.end(), [](Point at) {
    return at == Point{10, 0};
  });
  EXPECT_GT(on_corner, 60);  // a corner of the body moves by a step at most
  const TurningMachine crab{
      .steering = Steering::kCrab, .most_steer = Degrees(45), .boxes = {Body(2, 2, 2)}};
  const Driven crabbed = Drives({.machine = crab, .line = {{0, 0}, {10, 0}, {15, 4}}});
  ASSERT_FALSE(crabbed.shortfall);
  for (const AxleFrame& frame : crabbed.units[0].frames) EXPECT_EQ(frame.along, (Point{1, 0}));
  EXPECT_NEAR(crabbed.most_steer.radians(), std::atan2(4, 5), 1e-12);
  const Driven square = Drives({.machine = crab, .line = {{0, 0}, {10, 0}, {10, 4}}});
  ASSERT_TRUE(square.shortfall);
  EXPECT_EQ(square.shortfall->what, Shortfall::What::kSteer);
  EXPECT_EQ(Text(*square.shortfall, UnitSystem::kSi),
            "needs 90.0 deg of steering at 10.00 m, has 45.0 deg");
}

// A forklift driving on is a truck reversing, turned round.
TEST(DriveAlong, RearSteerIsFrontSteerTurnedRound) {
  TurningMachine fork = Truck();
  fork.steering = Steering::kRearAxle;
  const Driven forward = Drives({.machine = fork, .line = kCorner});
  const Driven truck_back =
      Drives({.machine = Truck(), .line = kCorner, .travel = Travel::kReversing});
  ASSERT_EQ(forward.guide.size(), truck_back.guide.size());
  for (size_t i = 0; i < forward.guide.size(); ++i) {
    ASSERT_EQ(forward.units[0].frames[i].at, truck_back.units[0].frames[i].at);
    ASSERT_EQ(forward.units[0].frames[i].along, -1 * truck_back.units[0].frames[i].along);
  }
}

// --- refusals ---

struct BadRide {
  const char* input;
  std::function<void(Manoeuvre&)> spoil;
};
void PrintTo(const BadRide& row, std::ostream* out) { *out << row.input; }
class DriveRefuses : public testing::TestWithParam<BadRide> {};

TEST_P(DriveRefuses, AndNamesTheInput) {
  Manoeuvre manoeuvre{.machine = TractorAndSemi(), .line = kCorner};
  GetParam().spoil(manoeuvre);
  const Outcome<Driven> driven = DriveAlong(manoeuvre);
  ASSERT_FALSE(driven);
  EXPECT_EQ(driven.error().input, GetParam().input);
  EXPECT_FALSE(driven.error().problem.empty());
  EXPECT_FALSE(driven.error().right.empty());
}

void Hinge(Manoeuvre& m) {
  m.machine.steering = Steering::kHinge;
  m.machine.hinge_to_rear = InMetres(2);
  m.machine.rear_boxes = {Body(1, 2, 2)};
  m.machine.trailers.clear();
}
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
using M = Manoeuvre;
INSTANTIATE_TEST_SUITE_P(
    Inputs, DriveRefuses,
    testing::Values(
        BadRide{"wheelbase", [](M& m) { m.machine.wheelbase = Metres(); }},
        BadRide{"wheelbase", [](M& m) { m.machine.wheelbase = InMetres(-6); }},
        BadRide{"wheelbase", [](M& m) { m.machine.wheelbase = InMetres(6000); }},
        BadRide{"steering limit", [](M& m) { m.machine.most_steer = Angle(); }},
        BadRide{"steering limit", [](M& m) { m.machine.most_steer = Degrees(-1); }},
        BadRide{"steering limit", [](M& m) { m.machine.most_steer = Degrees(90); }},
        BadRide{"body", [](M& m) { m.machine.boxes.clear(); }},
        BadRide{"body", [](M& m) { m.machine.boxes = {Body(0, 0, 2)}; }},
        BadRide{"body", [](M& m) { m.machine.boxes = {Body(2, 2, 0)}; }},
        BadRide{"body", [](M& m) { m.machine.boxes = {Body(2, -3, 2)}; }},
        BadRide{"body", [](M& m) { m.machine.boxes = {Body(200, 2, 2)}; }},
        BadRide{"trailer 1 hitch to axle",
                [](M& m) { m.machine.trailers[0].hitch_to_axle = Metres(); }},
        BadRide{"trailer 1 hitch to axle",
                [](M& m) { m.machine.trailers[0].hitch_to_axle = InMetres(-11); }},
        BadRide{"trailer 1 hitch ahead of axle",
                [](M& m) { m.machine.trailers[0].hitch_ahead = InMetres(1e4); }},
        BadRide{"trailer 1 folding limit", [](M& m) { m.machine.trailers[0].most_fold = Angle(); }},
        BadRide{"trailer 1 folding limit",
                [](M& m) { m.machine.trailers[0].most_fold = Degrees(180); }},
        BadRide{"trailer 1 body", [](M& m) { m.machine.trailers[0].boxes = {Body(1, 1, -2)}; }},
        BadRide{"trailers", [](M& m) { m.machine.trailers.assign(11, Semi()); }},
        BadRide{"trailers", [](M& m) { m.machine.steering = Steering::kCrab; }},
        BadRide{"trailers", [](M& m) { m.machine.steering = Steering::kRearAxle; }},
        BadRide{"front axle to hinge", [](M& m) { Hinge(m), m.machine.wheelbase = Metres(); }},
        BadRide{"hinge to rear axle", [](M& m) { Hinge(m), m.machine.hinge_to_rear = Metres(); }},
        BadRide{"rear half", [](M& m) { Hinge(m), m.machine.rear_boxes.clear(); }},
        BadRide{"least turning radius",
                [](M& m) {
                  m.machine.steering = Steering::kMiddle;
                  m.machine.least_radius = InMetres(-1);
                }},
        BadRide{"tail radius", [](M& m) { m.machine.upper = SlewRing{}; }},
        BadRide{"tail clearance",
                [](M& m) {
                  m.machine.upper = SlewRing{.tail_radius = InMetres(2), .clearance = InMetres(-1)};
                }},
        BadRide{"step", [](M& m) { m.step = Metres(); }},
        BadRide{"step", [](M& m) { m.step = InMetres(5); }},
        BadRide{"trace tolerance", [](M& m) { m.trace_tolerance = InMetres(-0.1); }},
        BadRide{"line", [](M& m) { m.line = {}; }},
        BadRide{"line",
                [](M& m) {
                  m.line = {{1, 1}};
                }},
        BadRide{"line",
                [](M& m) {
                  m.line = {{1, 1}, {1, 1}};
                }},
        BadRide{"line",
                [](M& m) {
                  m.line = {{1, 1}, {kNan, 1}};
                }},
        BadRide{"line",
                [](M& m) {
                  m.line = {{1, 1}, {1e300, 1}};
                }},
        BadRide{"line", [](M& m) {
                  m.line = {{0, 0}, {50'000, 0}};
                }}));

}  // namespace
}  // namespace chockwise::fit
