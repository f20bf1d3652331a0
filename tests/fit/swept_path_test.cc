#include "services/fit/swept_path.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <functional>
#include <limits>
#include <random>

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

TurningMachine TractorAndSemi() {
  TurningMachine machine = Truck();
  machine.trailers = {{.hitch_ahead = InMetres(0.4),
                       .hitch_to_axle = InMetres(11),
                       .most_fold = Degrees(80),
                       .boxes = {Body(12, 3, 2.6)}}};
  return machine;
}

SweptPath Sweeps(const SweptPathQuestion& question) {
  Outcome<SweptPath> swept = Sweep(question);
  EXPECT_TRUE(swept) << (swept ? "" : swept.error().input + " " + swept.error().problem);
  return swept ? std::move(*swept) : SweptPath();
}

SideObstacle Wall(std::string id, Line shape) {
  return {.id = std::move(id), .kind = SideObstacle::Kind::kLine, .shape = std::move(shape)};
}

SideObstacle Ground(std::string id, Ring shape) {
  return {.id = std::move(id), .kind = SideObstacle::Kind::kGround, .shape = std::move(shape)};
}

SweptPathQuestion StraightBy(SideObstacle obstacle, Metres needed = {}) {
  return {.manoeuvre = {.machine = Truck(), .line = {{0, 0}, {50, 0}}},
          .obstacles = {std::move(obstacle)},
          .needed_margin = needed};
}

TEST(Sweep, MeasuresAWallBesideAStraight) {
  const SweptPath swept = Sweeps(StraightBy(Wall("wall", {{0, 2}, {50, 2}})));
  ASSERT_EQ(swept.margins.size(), 1u);
  EXPECT_NEAR(swept.margins[0].margin.metres(), 0.75, 1e-9);
  EXPECT_LT(swept.margins[0].error.metres(), 2e-6);
  EXPECT_EQ(swept.verdict, Verdict::kClear);
  // Less its error, a thousandth of a millimetre, that is rounded down.
  EXPECT_EQ(DriversLine(swept, UnitSystem::kSi), "GO THROUGH: 0.74 m to spare at wall, left side");
  EXPECT_FALSE(swept.most_off);
}

TEST(Sweep, SaysHowDeepItStrikes) {
  const SweptPath swept = Sweeps(StraightBy(Wall("wall", {{20, 1}, {30, 1}})));
  EXPECT_NEAR(swept.margins[0].margin.metres(), -0.25, 1e-9);
  EXPECT_EQ(swept.verdict, Verdict::kConflict);
  EXPECT_EQ(DriversLine(swept, UnitSystem::kUs).substr(0, 26), "WILL STRIKE wall: 10 in sh");
  // A post between the two sides, as well.
  const SweptPath post = Sweeps(StraightBy(Wall("post", {{20, 0.5}})));
  EXPECT_NEAR(post.margins[0].margin.metres(), -0.75, 1e-9);
}

TEST(Sweep, ClearIsMoreThanNeeded) {
  const SideObstacle wall = Wall("wall", {{0, 2}, {50, 2}});
  EXPECT_EQ(Sweeps(StraightBy(wall, InMetres(0.7))).verdict, Verdict::kClear);
  EXPECT_EQ(Sweeps(StraightBy(wall, InMetres(0.75))).verdict, Verdict::kUndecided);
  EXPECT_EQ(Sweeps(StraightBy(wall, InMetres(0.8))).verdict, Verdict::kConflict);
  EXPECT_EQ(DriversLine(Sweeps(StraightBy(wall, InMetres(0.8))), UnitSystem::kSi).substr(0, 30),
            "TOO TIGHT at wall: 0.74 m to s");
  EXPECT_EQ(DriversLine(Sweeps(StraightBy(wall, InMetres(0.75))), UnitSystem::kSi).substr(0, 17),
            "TOO CLOSE TO CALL");
}

TEST(Sweep, FindsAPostBetweenTwoSteps) {
  SweptPathQuestion question = StraightBy(Wall("post", {{31.017, 1.26}}));
  question.manoeuvre.step = InMetres(0.5);
  EXPECT_NEAR(Sweeps(question).margins[0].margin.metres(), 0.01, 1e-9);
}

TEST(Sweep, AMachineThatStandsInsideAnAreaIsInConflict) {
  const SweptPath swept =
      Sweeps(StraightBy(Ground("yard", {{-100, -100}, {200, -100}, {200, 100}, {-100, 100}})));
  EXPECT_EQ(swept.verdict, Verdict::kConflict);
  const SweptPath beside = Sweeps(StraightBy(Ground("pad", {{10, 3}, {20, 3}, {20, 9}})));
  EXPECT_NEAR(beside.margins[0].margin.metres(), 1.75, 1e-9);
}

TEST(Sweep, TheTrailerCutsTheCorner) {
  const SweptPath swept = Sweeps(
      {.manoeuvre = {.machine = TractorAndSemi(), .line = {{0, 0}, {60, 0}, {60, 60}}},
       .obstacles = {Wall("inner corner", {{54, 6}}), Wall("outer wall", {{65, -9}, {65, 70}})}});
  ASSERT_FALSE(swept.driven.shortfall);
  EXPECT_EQ(swept.margins[0].verdict, Verdict::kConflict);
  EXPECT_EQ(swept.margins[0].unit, 1u);
  EXPECT_EQ(*swept.tightest, 0u);
  ASSERT_TRUE(swept.most_off);
  EXPECT_EQ(swept.most_off->unit, 1u);
  EXPECT_EQ(swept.most_off->side, Side::kLeft);
  EXPECT_GT(swept.most_off->off, InMetres(3));
  EXPECT_GT(swept.tail_swing, InMetres(0.1));
}

TEST(Sweep, ALaneThatBendsTooTightIsAConflict) {
  const SweptPath swept = Sweeps(
      {.manoeuvre = {.machine = Truck(), .line = {{0, 0}, {5, 0}, {5, 5}}}, .obstacles = {}});
  EXPECT_EQ(swept.verdict, Verdict::kConflict);
  EXPECT_EQ(DriversLine(swept, UnitSystem::kSi),
            "WILL NOT TURN: needs 9.34 m, lane bend at 5.00 m gives 5.00 m, do not enter");
}

TEST(Sweep, TheSlewRingCounts) {
  const TurningMachine excavator{.steering = Steering::kMiddle,
                                 .boxes = {Body(2, 2, 3)},
                                 .upper = SlewRing{.tail_radius = InMetres(3)}};
  const SweptPath swept = Sweeps({.manoeuvre = {.machine = excavator, .line = {{0, 0}, {20, 0}}},
                                  .obstacles = {Wall("wall", {{0, 4}, {20, 4}})}});
  EXPECT_NEAR(swept.margins[0].margin.metres(), 4 - 3 - Feet(2).metres(), 1e-9);
  EXPECT_EQ(swept.margins[0].part, "slew ring");
}

TEST(SweptGround, HoldsEveryBodyAndLittleMore) {
  const SweptPath swept =
      Sweeps({.manoeuvre = {.machine = TractorAndSemi(), .line = {{0, 0}, {60, 0}, {60, 60}}}});
  const Outcome<Region> fine = SweptGround(swept.driven, InMetres(0.01));
  const Outcome<Region> coarse = SweptGround(swept.driven, InMetres(0.05));
  ASSERT_TRUE(fine && coarse);
  EXPECT_EQ(coarse->Outlines().size(), 1u);
  EXPECT_LT(coarse->AreaM2(), fine->AreaM2() * 1.02);
  for (const UnitMotion& unit : swept.driven.units) {
    for (size_t i = 0; i < unit.frames.size(); i += 7) {
      for (const BodyBox& box : unit.boxes) {
        ASSERT_LT(coarse->DistanceTo(Place(unit.frames[i], {box.ahead.metres(), box.left.metres()}))
                      ->metres(),
                  1e-9);
        ASSERT_LT(
            coarse->DistanceTo(Place(unit.frames[i], {-box.behind.metres(), -box.right.metres()}))
                ->metres(),
            1e-9);
      }
    }
  }
  EXPECT_FALSE(SweptGround(swept.driven, Metres()));
  EXPECT_FALSE(SweptGround(swept.driven, InMetres(2)));
}

struct BadQuestion {
  const char* input;
  std::function<void(SweptPathQuestion&)> spoil;
};
void PrintTo(const BadQuestion& row, std::ostream* out) { *out << row.input; }
class SweepRefuses : public testing::TestWithParam<BadQuestion> {};

TEST_P(SweepRefuses, AndNamesTheInput) {
  SweptPathQuestion question = StraightBy(Wall("jamb", {{1, 5}}));
  GetParam().spoil(question);
  const Outcome<SweptPath> swept = Sweep(question);
  ASSERT_FALSE(swept);
  EXPECT_EQ(swept.error().input, GetParam().input);
}

using Q = SweptPathQuestion;
constexpr double kNan = std::numeric_limits<double>::quiet_NaN();
INSTANTIATE_TEST_SUITE_P(
    Inputs, SweepRefuses,
    testing::Values(BadQuestion{"needed margin", [](Q& q) { q.needed_margin = InMetres(-1); }},
                    BadQuestion{"needed margin", [](Q& q) { q.needed_margin = InMetres(1e6); }},
                    BadQuestion{"obstacle jamb", [](Q& q) { q.obstacles[0].shape = {}; }},
                    BadQuestion{"obstacle jamb",
                                [](Q& q) {
                                  q.obstacles[0].shape = {{kNan, 0}};
                                }},
                    BadQuestion{"obstacle jamb",
                                [](Q& q) {
                                  q.obstacles[0].kind = SideObstacle::Kind::kGround;
                                  q.obstacles[0].shape = {{0, 0}, {1, 0}};
                                }},
                    BadQuestion{"wheelbase",
                                [](Q& q) { q.manoeuvre.machine.wheelbase = Metres(); }}));

SweptPathQuestion LongWay() {
  return {.manoeuvre = {.machine = TractorAndSemi(),
                        .line = {{0, 0}, {100, 0}, {100, 60}, {200, 60}, {200, 100}}}};
}

/// Triangles of a few metres, as machines stand about; those nearer to the line than `least_m` are
/// left out.
void StandAbout(int count, double least_m, SweptPathQuestion& question) {
  const auto lane = Region::Around(question.manoeuvre.line, InMetres(std::max(least_m, 0.01)));
  std::mt19937_64 random(3);
  std::uniform_real_distribution<double> x(-20, 220), y(-20, 120), size(0.2, 6);
  while (count > 0) {
    const Point at{x(random), y(random)};
    const Ring ring = {at, at + Point{size(random), 0}, at + Point{size(random), size(random)}};
    if (least_m > 0 && Region::From({.outer = ring})->Touches(*lane)) continue;
    question.obstacles.push_back(Ground("thing", ring));
    --count;
  }
}

// 300 m of tractor and semitrailer; tests/bench measures how long it takes.
TEST(Sweep, AllThatStandsAboutALongWayHasItsMargin) {
  SweptPathQuestion clear = LongWay();
  StandAbout(60, 9, clear);
  clear.obstacles.push_back(Wall("long wall", {{0, 8}, {80, 8}}));
  clear.obstacles.push_back(Wall("door jamb", {{95, 30}, {90, 30}}));
  SweptPathQuestion crowded = LongWay();
  StandAbout(60, 0, crowded);
  const auto in_conflict = [](const SweptPathQuestion& question) {
    const SweptPath swept = Sweeps(question);
    EXPECT_FALSE(swept.driven.shortfall);
    EXPECT_EQ(swept.margins.size(), question.obstacles.size());
    return std::ranges::count(swept.margins, Verdict::kConflict, &SideMargin::verdict);
  };
  EXPECT_EQ(in_conflict(clear), 0);
  EXPECT_GT(in_conflict(crowded), 3) << "they stand on the way itself";
}

}  // namespace
}  // namespace chockwise::fit
