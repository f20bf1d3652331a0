// A hundred thousand cases of each kind within a few roundings of their limit, against a long
// double: never clear where the reference says conflict, so the stated error bounds hold.
#include <gtest/gtest.h>

#include <cmath>

#include "services/fit/loading_dock.h"
#include "services/fit/loading_ramp.h"
#include "services/fit/standing.h"
#include "services/fit/stopping.h"
#include "tests/fit/near_limit.h"

namespace chockwise::fit {
namespace {

constexpr int kCases = kNearLimitCases;

TEST(NearLimit, Stopping) {
  Dice dice;
  NearLimitTally tally;
  for (int at = 0; at < kCases; ++at) {
    BrakedMotion motion = {
        .speed = InMetresPerSecond(dice.Between(0.1, 30)),
        .friction = dice.Between(0.2, 1),
        .wheels = {.share = dice.Between(0.6, 1), .height_over_wheelbase = dice.Between(0, 1)},
        .grade = RiseOverRun(dice.Between(-0.02, 0.3)),
        .response = Duration::FromMicros(static_cast<int64_t>(dice.Between(0, 5e6)))};
    const Metres seen = StoppingDistance(motion)->distance * dice.Near(40);
    const long double v = motion.speed.metres_per_second(), g = motion.grade.rise_over_run();
    const long double t = static_cast<long double>(motion.response.micros()) / 1e6L;
    const long double friction = motion.friction, share = motion.wheels.share;
    const long double grip =
        friction * share / (1 + friction * motion.wheels.height_over_wheelbase);
    const long double a = static_cast<long double>(kGravity) * (grip + g) / std::sqrt(1 + g * g);
    tally.Add(JudgeStop(motion, {.clear_ahead = seen})->verdict,
              seen.metres() - (v * t + v * v / (2 * a)));
  }
  tally.ExpectAllKinds();
}

TEST(NearLimit, HoldOnGrade) {
  Dice dice;
  NearLimitTally tally;
  for (int at = 0; at < kCases; ++at) {
    const double friction = dice.Between(0.1, 1), share = dice.Between(0.1, 1);
    const double height = dice.Between(0, 1);
    const long double f = friction, grip = f * share / (1 + f * height) / 1.5L;
    const double grade = static_cast<double>(grip) * dice.Near(400);
    const auto hold = JudgeHold({.grade = RiseOverRun(grade),
                                 .friction = friction,
                                 .wheels = {.share = share, .height_over_wheelbase = height},
                                 .weight = InKilograms(1'000)});
    tally.Add(hold->verdict, grip - grade);
  }
  tally.ExpectAllKinds();
}

TEST(NearLimit, SideTip) {
  Dice dice;
  NearLimitTally tally;
  for (int at = 0; at < kCases; ++at) {
    const double height = dice.Between(0.5, 3), slope = dice.Between(0, 0.4);
    const double lateral = dice.Between(0, 0.4);
    const double lean = (slope + lateral) / (1 - slope * lateral);
    const double track = std::min(9.0, 2 * height * kSideReserve * lean * dice.Near(400));
    if (track < 0.01) continue;
    const auto tip = JudgeSideTip({.track = InMetres(track),
                                   .centre_height = InMetres(height),
                                   .cross_slope = RiseOverRun(slope),
                                   .lateral_g = lateral});
    const long double s = slope, l = lateral;
    tally.Add(tip->verdict,
              static_cast<long double>(track) / (2.0L * height) / 1.5L - (s + l) / (1 - s * l));
  }
  tally.ExpectAllKinds();
}

TEST(NearLimit, RampGrip) {
  Dice dice;
  NearLimitTally tally;
  for (int at = 0; at < kCases; ++at) {
    const double length = dice.Between(2, 15), rise = dice.Between(0.05, 0.35);
    const double height = length * rise,
                 friction = kGripReserve * rise / std::sqrt(1 - rise * rise) * dice.Near(400);
    const auto climb = JudgeRamp({.deck_height = InMetres(height),
                                  .ramp_length = InMetres(length),
                                  .friction = friction,
                                  .wheelbase = InMetres(2),
                                  .belly_clearance = InMetres(2),
                                  .nose_overhang = {},
                                  .tail_overhang = {}});
    const long double h = height, l = length;
    tally.Add(climb->verdict,
              static_cast<long double>(friction) / 1.5L - h / std::sqrt(l * l - h * h));
  }
  tally.ExpectAllKinds();
}

TEST(NearLimit, TailOfATrailer) {
  Dice dice;
  NearLimitTally tally;
  for (int at = 0; at < kCases; ++at) {
    const double pin = dice.Between(1'000, 6'000), load = dice.Between(2'000, 20'000);
    const double length = dice.Between(6, 13);
    const double behind = 0.75 * pin * length / load * dice.Near(400);
    const auto tail = JudgeTail({.pin_tare = InKilograms(pin),
                                 .load = InKilograms(load),
                                 .behind_axles = InMetres(behind),
                                 .pin_to_axles = InMetres(length)});
    tally.Add(tail->verdict, 0.75L * pin - static_cast<long double>(load) * behind / length);
  }
  tally.ExpectAllKinds();
}

}  // namespace
}  // namespace chockwise::fit
