// What bears and holds at a dock, within a few roundings of its limit and up to a millionth beside
// it, against a long double: a hundred thousand cases of each.
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "services/fit/loading_dock.h"
#include "services/fit/loading_ramp.h"
#include "services/fit/securement_forces.h"
#include "services/fit/standing.h"
#include "services/fit/standing_clear.h"
#include "tests/fit/near_limit.h"

namespace chockwise::fit {
namespace {

constexpr int kCases = kNearLimitCases;
constexpr long double kNoiseOfRule = 1.01e-9L;  // AtLeast
constexpr long double kLongGravity = 9.80665L;

TEST(NearLimit, ChockByItsShape) {
  Dice dice;
  NearLimitTally tally;
  int proved = 0;
  for (int at = 0; at < kCases; ++at) {
    const double diameter = dice.Between(0.5, 3), friction = dice.Between(0.1, 1.2);
    const double share = dice.Between(0.3, 1), rise = dice.Between(0, 0.6);
    // The contact at which it wedges is h = R (1 - cos 2 atan mu) = 2 R mu^2 / (1 + mu^2).
    const double wedges = diameter * friction * friction / (1 + friction * friction);
    const double height = std::min(0.49 * diameter, wedges * dice.Between(0.3, 0.999));
    const long double radius = static_cast<long double>(diameter) / 2, h = height, f = friction;
    const long double phi = std::atan2(std::sqrt(h * (2 * radius - h)), radius - h);
    const long double holds =
        (std::sin(phi) + f * (1 - std::cos(phi))) / (std::cos(phi) + f * std::sin(phi) + 1) / 1.5L;
    // holds = grade / (share - rise * grade), solved for the grade.
    const double grade =
        static_cast<double>(holds * share / (1 + holds * rise)) * dice.NearOrBeside(400);
    if (grade > 1) continue;
    const auto chock = JudgeChock({.diameter = InMetres(diameter),
                                   .contact_height = InMetres(height),
                                   .chock_friction = friction,
                                   .grade = RiseOverRun(grade),
                                   .chocked = {.share = share, .height_over_wheelbase = rise}});
    const long double demand =
        grade / (share - static_cast<long double>(rise) * static_cast<long double>(grade));
    ASSERT_TRUE(chock);
    // What its shape does not prove is undecided, and a conflict only where the wheel climbs it.
    ASSERT_NE(chock->verdict, Verdict::kConflict);
    proved += chock->verdict == Verdict::kClear;
    tally.Add(chock->verdict, holds - demand);
  }
  EXPECT_GT(proved, kCases / 10);
  EXPECT_GT(tally.undecided, kCases / 10);
}

TEST(NearLimit, ChockThatTheWheelClimbs) {
  Dice dice;
  NearLimitTally tally;
  for (int at = 0; at < kCases; ++at) {
    const double diameter = dice.Between(0.5, 3), height = diameter * dice.Between(1e-4, 0.1);
    const long double radius = static_cast<long double>(diameter) / 2, h = height;
    const long double climbs = std::sqrt(h * (2 * radius - h)) / (radius - h);
    const double grade = static_cast<double>(climbs) * dice.NearOrBeside(400);
    if (grade > 1) continue;
    // It was tried on a steeper grade: only that it is climbed keeps it from being clear.
    const auto chock = JudgeChock({.diameter = InMetres(diameter),
                                   .contact_height = InMetres(height),
                                   .chock_friction = 1,
                                   .grade = RiseOverRun(grade),
                                   .tried_on = RiseOverRun(std::min(1.0, grade * 1.5))});
    ASSERT_TRUE(chock);
    tally.Add(chock->verdict, climbs - grade);
  }
  tally.ExpectAllKinds();
}

TEST(NearLimit, ChockByATrial) {
  Dice dice;
  int clear = 0, undecided = 0;
  for (int at = 0; at < kCases; ++at) {
    const double tried = dice.Between(0.01, 0.9), grade = tried * dice.NearOrBeside(400);
    const auto chock = JudgeChock({.diameter = InMetres(1.2),
                                   .contact_height = InMetres(0.55),
                                   .chock_friction = 0.3,
                                   .grade = RiseOverRun(-grade),
                                   .tried_on = RiseOverRun(tried)});
    ASSERT_TRUE(chock);
    if (chock->verdict == Verdict::kClear) {
      ASSERT_GT(tried, grade);
    }
    (chock->verdict == Verdict::kClear ? clear : undecided) += 1;
  }
  EXPECT_GT(clear, kCases / 5);
  EXPECT_GT(undecided, kCases / 5);
}

TEST(NearLimit, NoseOfATrailer) {
  Dice dice;
  NearLimitTally tally;
  for (int at = 0; at < kCases; ++at) {
    const double tare = dice.Between(3'000, 9'000), behind = dice.Between(1, 6);
    const double ahead = dice.Between(0.5, 3);
    const double lift = tare * behind / ahead / 1.5 * dice.NearOrBeside(400);
    const auto nose = JudgeNose({.trailer_tare = InKilograms(tare),
                                 .centre_behind_legs = InMetres(behind),
                                 .forklift = InKilograms(lift),
                                 .ahead_of_legs = InMetres(ahead),
                                 .cargo = CargoAtNose::kCounted});
    ASSERT_TRUE(nose);
    tally.Add(nose->verdict, static_cast<long double>(tare) * behind / 1.5L -
                                 static_cast<long double>(lift) * ahead);
  }
  tally.ExpectAllKinds();
}

TEST(NearLimit, DockBoard) {
  Dice dice;
  NearLimitTally tally;
  for (int at = 0; at < kCases; ++at) {
    const double rated = dice.Between(1'000, 30'000);
    const double gross = rated / 1.25 * dice.NearOrBeside(400);
    const auto board = JudgeBoard({.gross = InKilograms(gross), .rated = InKilograms(rated)});
    ASSERT_TRUE(board);
    tally.Add(board->verdict, static_cast<long double>(rated) / 1.25L - gross,
              kNoiseOfRule + 4e-16L * rated);
  }
  tally.ExpectBoth();
}

TEST(NearLimit, FloorUnderAWheelAndUnderTheWhole) {
  Dice dice;
  NearLimitTally wheel, area;
  for (int at = 0; at < kCases; ++at) {
    const double truck = dice.Between(1'000, 20'000), load = dice.Between(0, 10'000);
    const double share = dice.Between(0.1, 1), length = dice.Between(1, 10);
    const double width = dice.Between(0.5, 3);
    const long double gross = static_cast<long double>(truck) + load;
    FloorLoad floor = {.truck = InKilograms(truck),
                       .load = InKilograms(load),
                       .wheel_share = share,
                       .length = InMetres(length),
                       .width = InMetres(width)};
    const double rated_kg = static_cast<double>(gross * share) * dice.NearOrBeside(400);
    floor.rated_wheel = InKilograms(rated_kg);
    wheel.Add(JudgeFloor(floor)->verdict, rated_kg - gross * share, kNoiseOfRule + 6e-16L * gross);
    floor.rated_wheel.reset();
    const long double pressure = gross * kLongGravity / (static_cast<long double>(length) * width);
    const double rated_pa = static_cast<double>(pressure) * dice.NearOrBeside(400);
    floor.rated_area = InPascals(rated_pa);
    area.Add(JudgeFloor(floor)->verdict, rated_pa - pressure, 2.2e-14L * pressure);
  }
  wheel.ExpectBoth();
  area.ExpectBoth();
}

TEST(NearLimit, StandAndItsPad) {
  Dice dice;
  NearLimitTally rating, ground;
  for (int at = 0; at < kCases; ++at) {
    const double share = dice.Between(500, 20'000);
    const double length = dice.Between(0.1, 1), width = dice.Between(0.1, 1);
    const long double load = 1.5L * share;
    const long double pressure = load * kLongGravity / (static_cast<long double>(length) * width);
    StandLoad stand = {.share = InKilograms(share),
                       .rated = InKilograms(2 * static_cast<double>(load)),
                       .pad_length = InMetres(length),
                       .pad_width = InMetres(width),
                       .ground = InPascals(2 * static_cast<double>(pressure))};
    StandLoad weak = stand, soft = stand;
    const double rated_kg = static_cast<double>(load) * dice.NearOrBeside(400);
    weak.rated = InKilograms(rated_kg);
    rating.Add(JudgeStand(weak)->verdict, rated_kg - load, kNoiseOfRule + 4e-16L * load);
    const double bears_pa = static_cast<double>(pressure) * dice.NearOrBeside(400);
    soft.ground = InPascals(bears_pa);
    ground.Add(JudgeStand(soft)->verdict, bears_pa - pressure, 2.2e-14L * pressure);
  }
  rating.ExpectBoth();
  ground.ExpectBoth();
}

TEST(NearLimit, CarrierHold) {
  Dice dice;
  NearLimitTally tally;
  for (int at = 0; at < kCases; ++at) {
    const double friction = dice.Between(0.1, 1), weight = dice.Between(5'000, 40'000);
    const double braked = weight * dice.Between(0.3, 1), grade = dice.Between(-0.3, 0.3);
    const long double slope = std::sqrt(1 + static_cast<long double>(grade) * grade);
    const auto margin = [&](long double push) {
      return kLongGravity * braked * friction - push * slope - kLongGravity * weight * grade;
    };
    const double push = static_cast<double>(margin(0) / slope) * dice.NearOrBeside(400);
    if (push < 0) continue;
    const auto held = JudgeCarrierHold({.friction = friction,
                                        .braked_weight = InKilograms(braked),
                                        .weight = InKilograms(weight),
                                        .push = InNewtons(push),
                                        .grade = RiseOverRun(grade)});
    ASSERT_TRUE(held);
    tally.Add(held->verdict, margin(push));
  }
  EXPECT_GT(tally.clear, kCases / 100);
  EXPECT_GT(tally.conflict, kCases / 100);
  EXPECT_GT(tally.undecided, kCases / 100);
  EXPECT_GT(tally.clear + tally.conflict + tally.undecided, kCases / 2);
}

/// What the ties hold against each push beyond what friction on the weight does, and what each push
/// asks of the weight less that.
struct LongPush {
  long double held = 0;
  long double share = 0;
};

std::array<LongPush, 5> LongPushes(const ForcesOnLoad& load) {
  const long double quarter = std::acos(-1.0L) / 2;
  const long double toward[] = {0, 2 * quarter, quarter, -quarter};
  const long double share[] = {0.435L, 0.5L, 0.25L, 0.25L};
  std::array<LongPush, 5> pushes;
  for (size_t push = 0; push < 4; ++push) {
    pushes[push].share = share[push] - load.friction;
    for (const AngledTie& tie : load.ties) {
      const long double limit = static_cast<long double>(tie.limit.kilograms()) * tie.count;
      const long double below = tie.below_level.radians();
      const long double against = -std::cos(tie.heading.radians() - toward[push]);
      if (against > 1e-12L)
        pushes[push].held += limit * (std::cos(below) * against + load.friction * std::sin(below));
    }
  }
  pushes[4].share = 0.2L;
  for (const AngledTie& tie : load.ties) {
    const long double below = tie.below_level.radians();
    pushes[4].held += static_cast<long double>(tie.limit.kilograms()) * tie.count * std::sin(below);
  }
  return pushes;
}

TEST(NearLimit, ForcesOfTies) {
  Dice dice;
  NearLimitTally tally;
  for (int at = 0; at < kCases; ++at) {
    ForcesOnLoad load = {.weight = InKilograms(1), .friction = dice.Between(0, 0.5)};
    for (size_t tie = 4 + dice.Below(5); tie > 0; --tie) {
      load.ties.push_back({.limit = InKilograms(dice.Between(500, 5'000)),
                           .heading = Degrees(dice.Between(-360, 360)),
                           .below_level = Degrees(dice.Between(5, 80)),
                           .count = static_cast<int>(1 + dice.Below(3))});
    }
    const auto pushes = LongPushes(load);
    long double most = 1e30L;
    for (const LongPush& push : pushes)
      if (push.share > 0) most = std::min(most, push.held / push.share);
    const double weight = static_cast<double>(most) * dice.NearOrBeside(400);
    if (weight < 1 || weight > 200'000) {
      --at;
      continue;
    }
    load.weight = InKilograms(weight);
    long double margin = 1e30L;
    for (const LongPush& push : pushes) margin = std::min(margin, push.held - push.share * weight);
    tally.Add(JudgeForces(load)->verdict, margin);
  }
  tally.ExpectAllKinds();
}

TEST(NearLimit, WhatAParkedMachineLeavesFree) {
  Dice dice;
  NearLimitTally tally;
  const std::pair<ClearanceNeed, long double> needs[] = {
      {ExitWidth(UnitSystem::kUs), 28 * 0.0254L},
      {ExitWidth(UnitSystem::kSi), 0.711L},
      {ExtinguisherFront(), 36 * 0.0254L},
      {FireWayWidth(), 20 * 0.3048L},
      {FromTrackCentre(UnitSystem::kUs), 8 * 0.3048L},
      {FromTrackCentre(UnitSystem::kSi), 2.44L},
      {*PanelDepth({.to_ground = InVolts(480), .opposite = PanelOpposite::kLive}), 4 * 0.3048L}};
  for (int at = 0; at < kCases; ++at) {
    std::vector<LeftClear> items;
    long double margin = 1e30L;
    for (size_t item = 1 + dice.Below(3); item > 0; --item) {
      const auto& [need, least] = needs[dice.Below(std::size(needs))];
      const double left = static_cast<double>(least) * dice.NearOrBeside(400);
      items.push_back({.item = "item", .left = InMetres(left), .need = need});
      margin = std::min(margin, left - least);
    }
    const auto kept = JudgeKeptClear(items);
    ASSERT_TRUE(kept);
    tally.Add(kept->verdict, margin, kNoiseOfRule);
    ASSERT_NEAR(kept->items.front().margin.metres(), static_cast<double>(margin), 1e-14);
  }
  tally.ExpectBoth();
}

}  // namespace
}  // namespace chockwise::fit
