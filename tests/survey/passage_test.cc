// Over and under, nose first and rear first, against numbers worked out by hand: which end leads
// decides what lifts and what dips.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <stdexcept>
#include <utility>

#include "services/survey/reading_errors.h"
#include "services/yard/limits.h"
#include "tests/survey/demo_yard.h"
#include "tests/survey/straight_lane.h"

namespace chockwise::survey {
namespace {

using fit::Travel;
using ::testing::HasSubstr;
using ::testing::StartsWith;

const Trip& Out() {
  static const Trip out = TripOf("ST-101", "s1-bay-1", "s1-apron");
  return out;
}

/// Level out of the bay through the door, 3 m further, then down at 16 %.
void FallBehindTheDoor(yard::Yard& yard) {
  LayStraight(
      yard, "bay-1-way",
      {{.along_m = 0, .up_m = 12.2}, {.along_m = 15, .up_m = 12.2}, {.along_m = 40, .up_m = 8.2}});
  yard.doors.at(yard::DoorId("door-1")).along = fit::InMetres(12);
}

/// The truck with a long nose and a short tail, under a door that leaves it 9 in on the level.
yard::Yard LongNoseYard() {
  yard::Yard yard = DemoYard();
  ChangeReading(yard, "ST-101", "front-overhang", fit::Feet(7) + fit::Inches(10));
  ChangeReading(yard, "door-1", "clear-height", fit::Feet(10) + fit::Inches(10));
  ChangeReading(yard, "door-1", "sill-height", fit::Metres());
  FallBehindTheDoor(yard);
  return yard;
}

double MarginUnder(const yard::Yard& yard, Travel travel) {
  const auto ridden = RideOf(At(yard), Out(), travel);
  if (!ridden) throw std::runtime_error(ridden.error().Text());
  return ridden->ride.overheads.at(*ridden->ride.least_overhead).margin.inches();
}

// By hand: wheelbase L = 13 ft 6 in = 4.115 m, top h = 2.997 m, the crest 2.85 m behind the wall's
// far face. The end that trails reaches o over its axle. Its upper corner is under that face while
// the other axle is r = (o + L) cos p - h sin p - 2.85 m beyond the crest, so 16 % of that lower,
// and sin p = 0.16 r / L. The corner is up by o sin p - h (1 - cos p). Solved by hand for the tail
// of 3 ft 2 in (0.965 m): sin p = 0.077, 2.6 in. For the nose of 7 ft 10 in (2.388 m): sin p =
// 0.125, 10.9 in. On the level 9 in are left: 10 ft 10 in less 9 ft 10 in, less 3 in of bounce.
TEST(GoesUnder, ADoorAtTheVeryEndOfTheWayIsOnIt) {
  yard::Yard yard = DemoYard();
  LayStraight(yard, "bay-1-way", {{.along_m = 0, .up_m = 12.2}, {.along_m = 40, .up_m = 12.2}});
  for (const double along_m : {39.95, 0.05}) {
    yard::Door& door = yard.doors.at(yard::DoorId("door-1"));
    door.along = fit::InMetres(along_m);
    const yard::Lane& lane = yard.lanes.at(door.lane);
    door.position = along_m > 1 ? lane.line.back() : lane.line.front();
    const auto answer = GoesUnder(At(yard), Out(), Travel::kForwards);
    ASSERT_TRUE(answer) << answer.error().Text();
    EXPECT_THAT(answer->line, StartsWith("GO UNDER door-1"));
  }
}

TEST(GoesUnder, TheEndThatTrailsRisesBeforeACrest) {
  const yard::Yard yard = LongNoseYard();
  EXPECT_NEAR(MarginUnder(yard, Travel::kForwards), 9 - 2.6, 0.2);
  EXPECT_NEAR(MarginUnder(yard, Travel::kReversing), 9 - 10.9, 0.25);
}

TEST(GoesUnder, ATruckThatBacksOutIsNotJudgedNoseFirst) {
  const yard::Yard yard = LongNoseYard();
  const auto forwards = GoesUnder(At(yard), Out(), Travel::kForwards);
  ASSERT_TRUE(forwards) << forwards.error().Text();
  EXPECT_EQ(forwards->verdict, fit::Verdict::kClear) << forwards->line;
  EXPECT_THAT(forwards->line, StartsWith("GO UNDER door-1: "));
  const auto reversing = GoesUnder(At(yard), Out(), Travel::kReversing);
  ASSERT_TRUE(reversing) << reversing.error().Text();
  EXPECT_EQ(reversing->verdict, fit::Verdict::kConflict) << reversing->line;
  EXPECT_THAT(reversing->line, StartsWith("STOP door-1: "));
}

// Level, then 16 % up over 3 m, then level. The overhang that leads runs against the toe while both
// axles stand level: 16 % of it. The one that trails is over the toe while the far axle is up on
// the top already: 0.48 m over 4.115 m of it. With a nose of 3 ft 2 in and a tail of 7 ft 10 in:
// nose first the tail trails, 0.48 / 4.115 * 2.388 m = 11.0 in; rear first it leads, 0.16 * 2.388 m
// = 15.0 in. Belly 14 in, clearance asked for 1 in.
TEST(ClearsGround, TheLongEndThatLeadsMeetsTheToe) {
  yard::Yard yard = DemoYard();
  ChangeReading(yard, "ST-101", "belly-clearance", fit::Inches(14));
  ChangeReading(yard, "door-1", "sill-height", fit::Metres());
  LayStraight(yard, "bay-1-way",
              {{.along_m = 0, .up_m = 12.2},
               {.along_m = 15, .up_m = 12.2},
               {.along_m = 18, .up_m = 12.68},
               {.along_m = 40, .up_m = 12.68}});
  yard.doors.at(yard::DoorId("door-1")).along = fit::InMetres(12);
  const auto forwards = RideOf(At(yard), Out(), Travel::kForwards);
  const auto reversing = RideOf(At(yard), Out(), Travel::kReversing);
  ASSERT_TRUE(forwards && reversing);
  EXPECT_NEAR(forwards->ride.below.gap.inches(), 14 - 11.0, 0.4);
  EXPECT_NEAR(reversing->ride.below.gap.inches(), 14 - 15.0, 0.4);
  const auto out = ClearsGround(At(yard), Out(), Travel::kForwards);
  ASSERT_TRUE(out) << out.error().Text();
  EXPECT_EQ(out->verdict, fit::Verdict::kClear) << out->line;
  const auto backing = ClearsGround(At(yard), Out(), Travel::kReversing);
  ASSERT_TRUE(backing) << backing.error().Text();
  EXPECT_EQ(backing->verdict, fit::Verdict::kConflict) << backing->line;
  EXPECT_THAT(backing->line, StartsWith("WILL GROUND at "));
}

// On level ground without a sill. The ground may be 1/4 in off, and at the tail, 7 ft 10 in behind
// a wheelbase of 13 ft 6 in, the levers are 1.58 and 0.58: with the search's quarter more and the
// ground below, 1 + 1.25 * 2.16 = 3.7 times that, 0.93 in. Heights may be 1/4 in off: above there
// are two, below one.
TEST(RideOf, TheNumberIsWhatSurelyRemains) {
  yard::Yard yard = DemoYard();
  LayStraight(yard, "bay-1-way", {{.along_m = 0, .up_m = 12}, {.along_m = 40, .up_m = 12}});
  ChangeReading(yard, "door-1", "sill-height", fit::Metres());
  const fit::Metres height = fit::Feet(9) + fit::Inches(10) + fit::kBounceOnTyres;
  struct Row {
    double left_in;
    fit::Verdict verdict;
    const char* line;
  };
  for (const Row& row : {Row{9, fit::Verdict::kClear, "GO UNDER door-1: 7 in to spare"},
                         Row{2, fit::Verdict::kClear, "GO UNDER door-1: 0 in to spare"},
                         Row{1.3, fit::Verdict::kUndecided, "STOP door-1: 1 in short"},
                         Row{-3, fit::Verdict::kConflict, "STOP door-1: 5 in short"}}) {
    ChangeReading(yard, "door-1", "clear-height", height + fit::Inches(row.left_in));
    const auto answer = GoesUnder(At(yard), Out(), Travel::kForwards);
    ASSERT_TRUE(answer) << answer.error().Text();
    EXPECT_EQ(answer->line, row.line);
    EXPECT_EQ(answer->verdict, row.verdict) << answer->line;
  }
  for (const auto& [belly_in, line] :
       {std::pair(4.0, "to spare"), std::pair(2.0, "before its start: 1 in short, do not enter")}) {
    ChangeReading(yard, "ST-101", "belly-clearance", fit::Inches(belly_in));
    const auto answer = ClearsGround(At(yard), Out(), Travel::kForwards);
    ASSERT_TRUE(answer) << answer.error().Text();
    EXPECT_THAT(answer->line, HasSubstr(line));
  }
}

TEST(RideOf, AnAnswerListsTheErrorsThatItCounts) {
  const yard::Yard yard = DemoYard();
  for (const auto& answer :
       {GoesUnder(At(yard), Out(), Travel::kForwards),
        ClearsGround(At(yard), Out(), Travel::kForwards),
        WiresAreClear(At(yard), TripOf("WL-402", "wash-pad", "ready-line"), Travel::kForwards)}) {
    ASSERT_TRUE(answer) << answer.error().Text();
    for (const auto& [name, value] :
         {std::pair("a height may be off", "0.25 in"),
          std::pair("error of the ground between neighbouring points of the map", "0.25 in")}) {
      const auto input = std::ranges::find(answer->inputs, name, &fit::Input::name);
      ASSERT_NE(input, answer->inputs.end()) << answer->line << ": " << name;
      EXPECT_EQ(input->value, value);
    }
  }
}

TEST(RideOf, AnAnswerSaysWhichWayItWasAsked) {
  const yard::Yard yard = DemoYard();
  for (const auto& [travel, word] :
       {std::pair(Travel::kForwards, "forwards"), std::pair(Travel::kReversing, "reversing")}) {
    for (const auto& answer :
         {GoesUnder(At(yard), Out(), travel), ClearsGround(At(yard), Out(), travel)}) {
      ASSERT_TRUE(answer) << answer.error().Text();
      const auto input = std::ranges::find(answer->inputs, "travel", &fit::Input::name);
      ASSERT_NE(input, answer->inputs.end()) << answer->line;
      EXPECT_EQ(input->value, word);
    }
  }
}

double MiddleM(const fit::UnitPose& unit) {
  return (unit.top.front().x_m + unit.top.back().x_m) / 2;
}

/// A tractor that backs its trailer has it ahead, and stands on the ground that the trailer has
/// passed.
TEST(RideOf, ABackedTrailerGoesAheadOfItsTractor) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("CA-901", "street-gate", "s1-apron");
  for (const Travel travel : {Travel::kForwards, Travel::kReversing}) {
    const auto ridden = RideOf(At(yard), trip, travel);
    ASSERT_TRUE(ridden) << ridden.error().Text();
    const auto pose = fit::PoseAt(QuestionOf(*ridden), ridden->ride.below.lead_at);
    ASSERT_TRUE(pose) << pose.error().input;
    ASSERT_EQ(pose->units.size(), 2u);
    EXPECT_EQ(MiddleM(pose->units[1]) > MiddleM(pose->units[0]), travel == Travel::kReversing);
  }
}

/// The way there nose first takes a machine through the poses of the way back rear first.
TEST(RideOf, TheWayBackRearFirstIsTheWayThereNoseFirst) {
  const yard::Yard yard = LongNoseYard();
  const Trip back = TripOf("ST-101", "s1-apron", "s1-bay-1");
  const auto there = RideOf(At(yard), Out(), Travel::kForwards);
  const auto home = RideOf(At(yard), back, Travel::kReversing);
  ASSERT_TRUE(there && home);
  EXPECT_NEAR(there->ride.overheads[0].gap.metres(), home->ride.overheads[0].gap.metres(), 2e-3);
  EXPECT_NEAR(there->ride.below.gap.metres(), home->ride.below.gap.metres(), 2e-3);
}

/// The demo yard with one lane a step higher than its neighbours, all along.
yard::Yard Raised(const char* lane, double by_m) {
  yard::Yard yard = DemoYard();
  for (yard::Position& position : yard.lanes.at(yard::LaneId(lane)).line)
    *position.elevation_m += by_m;
  return yard;
}

TEST(GroundOfAWay, AStepWhereLanesMeetIsRefusedByNameBothWays) {
  const Trip there = TripOf("ST-101", "s1-bay-2", "yard-cross");
  const Trip back = TripOf("ST-101", "yard-cross", "s1-bay-2");
  for (const double by_m : {1.0, -1.0, 0.01}) {
    const yard::Yard yard = Raised("cross-way", by_m);
    for (const Trip& trip : {there, back}) {
      for (const auto verb : {ClearsGround, GoesUnder}) {
        const auto answer = verb(At(yard), trip, fit::Travel::kForwards);
        ASSERT_FALSE(answer) << answer->line;
        EXPECT_THAT(answer.error().Text(), HasSubstr("where they meet")) << by_m;
      }
    }
    EXPECT_THAT(ClearsGround(At(yard), there, fit::Travel::kForwards).error().input,
                HasSubstr("cross-way"));
    EXPECT_THAT(ClearsGround(At(yard), back, fit::Travel::kForwards).error().input,
                HasSubstr("bay-2-way"));
  }
}

TEST(GroundOfAWay, WhatALevelMayErrIsNoStep) {
  // What is let pass is within what the ride allows every point of the ground to be off.
  EXPECT_LE(yard::kOneHeightM, kProfileError.metres());
  const yard::Yard yard = Raised("cross-way", 0.005);
  EXPECT_TRUE(
      ClearsGround(At(yard), TripOf("ST-101", "s1-bay-2", "yard-cross"), fit::Travel::kForwards));
}

}  // namespace
}  // namespace chockwise::survey
