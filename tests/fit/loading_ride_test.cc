// The ride up a ramp against the closed forms of JudgeRamp and against numbers worked out by hand.
#include "services/fit/loading_ride.h"

#include <gtest/gtest.h>

#include <cmath>

#include "services/fit/loading_ramp.h"
#include "tests/fit/ride_scenes.h"

namespace chockwise::fit {
namespace {

/// A machine as the closed forms see it: as low everywhere between its axles, ahead of them and
/// behind them.
struct Plain {
  double nose_m = 0, base_m = 3, tail_m = 0;
  double nose_clearance_m = 0.5, belly_m = 0.4, tail_clearance_m = 0.5;
  double radius_m = 0;
  bool on_tracks = false;
  double length_m() const { return nose_m + base_m + tail_m; }
};

RidingMachine MachineOf(const Plain& plain) {
  RidingUnit unit = {.id = "plain"};
  const Metres front = InMetres(plain.nose_m), rear = InMetres(plain.nose_m + plain.base_m);
  const Metres end = InMetres(plain.length_m());
  if (plain.on_tracks) {
    unit.tracks = Tracks{.front_end = front,
                         .rear_end = rear,
                         .centre_of_mass = 0.5 * (front + rear),
                         .centre_of_mass_high = InMetres(plain.base_m / 4)};
  } else {
    unit.groups = {{.behind_front = front, .wheel_radius = InMetres(plain.radius_m)},
                   {.behind_front = rear, .wheel_radius = InMetres(plain.radius_m)}};
  }
  unit.top = {{Metres(), InMetres(4)}, {end, InMetres(4)}};
  if (plain.nose_m > 0)
    unit.bottom = {{Metres(), InMetres(plain.nose_clearance_m)},
                   {front, InMetres(plain.nose_clearance_m)}};
  unit.bottom.push_back({front, InMetres(plain.belly_m)});
  unit.bottom.push_back({rear, InMetres(plain.belly_m)});
  if (plain.tail_m > 0) {
    unit.bottom.push_back({rear, InMetres(plain.tail_clearance_m)});
    unit.bottom.push_back({end, InMetres(plain.tail_clearance_m)});
  }
  return {.units = {unit}};
}

struct Slope {
  double deck_m = 0.6, ramp_m = 4;
  double angle_rad() const { return std::asin(deck_m / ramp_m); }
};

/// What the closed forms leave under it, before the reserve is taken off.
double ByClosedFormsM(const Plain& plain, const Slope& slope) {
  const auto climb = JudgeRamp({.deck_height = InMetres(slope.deck_m),
                                .ramp_length = InMetres(slope.ramp_m),
                                .friction = 0.5,
                                .wheelbase = InMetres(plain.base_m),
                                .belly_clearance = InMetres(plain.belly_m),
                                .nose_overhang = InMetres(plain.nose_m),
                                .nose_clearance = InMetres(plain.nose_clearance_m),
                                .tail_overhang = InMetres(plain.tail_m),
                                .tail_clearance = InMetres(plain.tail_clearance_m)});
  return (std::min(climb->top_margin, climb->toe_margin.value_or(climb->top_margin)) +
          kBellyReserve)
      .metres();
}

RampRidden Ridden(const Plain& plain, const Slope& slope, Metres error = {}) {
  const RidingMachine machine = MachineOf(plain);
  const auto ridden = RideRamp({.machine = machine,
                                .deck_height = InMetres(slope.deck_m),
                                .ramp_length = InMetres(slope.ramp_m),
                                .reading_error = error});
  if (!ridden) throw std::runtime_error(ridden.error().input + " " + ridden.error().problem);
  return *ridden;
}

Plain RandomPlain(SceneDice& dice) {
  Plain plain{.base_m = dice.Between(0.8, 7),
              .nose_clearance_m = dice.Between(0.1, 1.2),
              .belly_m = dice.Between(0.05, 1),
              .tail_clearance_m = dice.Between(0.1, 1.2),
              .radius_m = dice.Chance(0.3) ? 0 : dice.Between(0.1, 0.8),
              .on_tracks = dice.Chance(0.3)};
  if (dice.Chance(0.8)) plain.nose_m = dice.Between(0.05, 3);
  if (dice.Chance(0.8)) plain.tail_m = dice.Between(0.05, 3);
  return plain;
}

Slope RandomSlope(SceneDice& dice) {
  const double ramp_m = dice.Between(0.8, 12);
  return {.deck_m = ramp_m * std::sin(std::atan(dice.Between(0.02, 0.49))), .ramp_m = ramp_m};
}

/// Whatever its shape, on wheels or tracks, on a ramp shorter or longer than itself.
TEST(RideRamp, APlainMachineIsNeverJudgedLessCarefullyThanByTheClosedForms) {
  SceneDice dice(20261128);
  int by_ride = 0;
  for (int i = 0; i < 3'000; ++i) {
    const Plain plain = RandomPlain(dice);
    const Slope slope = RandomSlope(dice);
    const RampRidden ridden = Ridden(plain, slope, InMetres(dice.Chance(0.5) ? 0 : 0.006));
    const double forms_m = ByClosedFormsM(plain, slope);
    ASSERT_TRUE(ridden.by_forms);
    EXPECT_NEAR(ridden.by_forms->metres(), forms_m, 1e-9) << i;
    EXPECT_LE((ridden.clearance + ridden.error).metres(), forms_m + 1e-9) << i;
    EXPECT_LE(ridden.clearance + ridden.error, ridden.by_ride) << i;
    EXPECT_GE(ridden.error, Metres());
    if (ridden.by_ride < *ridden.by_forms) ++by_ride;
  }
  EXPECT_GT(by_ride, 30) << "the ride finds what the closed forms do not";
}

/// So much and no more do the closed forms round: the ride is exact.
TEST(RideRamp, TheRideFindsNoMoreThanTheStatedBoundAboveTheClosedForms) {
  SceneDice dice(20261129);
  double most_share = 0;
  int clears = 0;
  for (int i = 0; i < 2'000; ++i) {
    Plain plain = RandomPlain(dice);
    plain.on_tracks = false;
    Slope slope = RandomSlope(dice);
    const double sine = slope.deck_m / slope.ramp_m;
    slope.ramp_m = std::min(30.0, plain.length_m() + dice.Between(0.5, 3));
    slope.deck_m = sine * slope.ramp_m;
    if (slope.deck_m > 6) continue;
    const RampRidden ridden = Ridden(plain, slope);
    const double angle = slope.angle_rad(), change = std::tan(angle);
    const double bound_m =
        change * plain.base_m / 32 + change * plain.radius_m * std::tan(angle / 2);
    if (ridden.by_ride < Metres()) continue;
    ++clears;
    const double above_m = ridden.by_ride.metres() * std::cos(angle) - ridden.by_forms->metres();
    EXPECT_LE(above_m, bound_m + 1e-4)
        << i << ": ride " << ridden.by_ride.metres() << ", forms " << ridden.by_forms->metres()
        << ", ramp " << slope.deck_m << " over " << slope.ramp_m << ", machine " << plain.nose_m
        << " + " << plain.base_m << " + " << plain.tail_m << ", " << plain.nose_clearance_m << ", "
        << plain.belly_m << ", " << plain.tail_clearance_m << ", wheel " << plain.radius_m;
    most_share = std::max(most_share, above_m / bound_m);
  }
  EXPECT_GT(most_share, 0.1) << "the bound is not idle";
  EXPECT_GT(clears, 500);
}

// 0.6 m over 4 m along the slope: 3.9547 m of run, 15.17 %.
TEST(RideRamp, ALowPointNearAnAxleIsNotTakenToBeInTheMiddle) {
  RidingMachine machine = MachineOf({.base_m = 4, .belly_m = 0.4, .radius_m = 0.4});
  RidingUnit& unit = machine.units.front();
  unit.bottom = {{Metres(), InMetres(0.4)},
                 {InMetres(0.4), InMetres(0.15)},
                 {InMetres(0.8), InMetres(0.4)},
                 {InMetres(4), InMetres(0.4)}};
  const auto ridden =
      RideRamp({.machine = machine, .deck_height = InMetres(0.6), .ramp_length = InMetres(4)});
  ASSERT_TRUE(ridden) << ridden.error().problem;
  // At 0.4 m the crest comes up by 0.1517 x 0.4 x 3.6 / 4 = 0.0546 m: 0.0954 m are left there, and
  // a little less just behind it, where the outline rises more slowly than the crest.
  EXPECT_LT(ridden->by_forms->metres(), 0.0955);
  EXPECT_GT(ridden->by_forms->metres(), 0.090);
  EXPECT_EQ(ridden->at, RampEnd::kTop);
  // As low everywhere it would ground: 0.15 - 0.1517 x 4 / 4.
  EXPECT_NEAR(ByClosedFormsM({.base_m = 4, .belly_m = 0.15}, {}), -0.0017, 1e-4);
}

TEST(RideRamp, SaysWhichEndIsTheTighterOne) {
  EXPECT_EQ(Ridden({.nose_m = 2.5, .nose_clearance_m = 0.3, .belly_m = 0.5}, {}).at, RampEnd::kToe);
  EXPECT_EQ(Ridden({.tail_m = 2.5, .belly_m = 0.5, .tail_clearance_m = 0.3}, {}).at, RampEnd::kToe);
  EXPECT_EQ(Ridden({.base_m = 6, .belly_m = 0.3}, {}).at, RampEnd::kTop);
}

/// A nose rises to the ramp by A·overhang where the front wheels are still on the ground.
TEST(RideRamp, TheNoseAtTheToeAgainstTheTape) {
  const RampRidden ridden =
      Ridden({.nose_m = 2, .nose_clearance_m = 0.5, .belly_m = 0.6}, {.deck_m = 0.6, .ramp_m = 8});
  EXPECT_NEAR(ridden.by_ride.metres(), 0.5 - 2 * std::tan(std::asin(0.6 / 8)), 1e-3);
}

TEST(RideRamp, ReadingsThatMayBeOffAreTakenOff) {
  const Plain plain{.belly_m = 0.3};
  const RampRidden exact = Ridden(plain, {}), off = Ridden(plain, {}, Inches(0.25));
  EXPECT_GT(off.error, Inches(0.25));
  EXPECT_LT(off.clearance, exact.clearance - Inches(0.25));
  EXPECT_EQ(off.clearance, std::min(off.by_ride, *off.by_forms) - off.error);
}

TEST(RideRamp, AnInputOutOfItsDomainIsNamed) {
  const RidingMachine machine = MachineOf({});
  const auto input = [&](Metres deck, Metres ramp) {
    const auto ridden = RideRamp({.machine = machine, .deck_height = deck, .ramp_length = ramp});
    return ridden ? "none" : ridden.error().input;
  };
  EXPECT_EQ(input(Metres(), Feet(8)), "deck height");
  EXPECT_EQ(input(Feet(3), Metres()), "ramp length");
  EXPECT_EQ(input(Feet(8), Feet(8)), "ramp length");
  EXPECT_EQ(input(Feet(3), Feet(5)), "grade before profile point 3") << "75 %";
  RidingMachine flat = machine;
  flat.units.front().bottom.front().height = Metres();
  EXPECT_FALSE(RideRamp({.machine = flat, .deck_height = Feet(2), .ramp_length = Feet(8)}));
}

}  // namespace
}  // namespace chockwise::fit
