#include "services/fit/off_tracking.h"

#include <gtest/gtest.h>

#include <cmath>
#include <functional>

namespace chockwise::fit {
namespace {

SteadyTurn Turn(Metres radius, std::vector<Metres> lengths) {
  const auto turn = SteadyTurnOf({.front_axle_radius = radius, .lengths = std::move(lengths)});
  EXPECT_TRUE(turn) << (turn ? "" : turn.error().problem);
  return turn ? *turn : SteadyTurn();
}

// Check values computed from the rule by an independent script, feet.
TEST(SteadyTurn, RigidAndCombinations) {
  EXPECT_NEAR(Turn(Feet(45), {Feet(20)}).off_tracking.feet(), 4.69, 0.005);
  EXPECT_NEAR(Turn(Feet(40), {Feet(20)}).off_tracking.feet(), 5.36, 0.005);
  EXPECT_NEAR(Turn(Feet(60), {Feet(18), Feet(36)}).off_tracking.feet(), 15.50, 0.005);
  EXPECT_NEAR(Turn(Feet(75), {Feet(18), Feet(40)}).off_tracking.feet(), 14.16, 0.005);
  EXPECT_EQ(Turn(Feet(60), {Feet(18), Feet(36)}).state, SteadyState::kSteady);
}

TEST(SteadyTurn, ThatFoldsTooFarIsSaid) {
  const SteadyTurn turn = Turn(Feet(45), {Feet(20), Feet(40)});
  EXPECT_NEAR(turn.off_tracking.feet(), 40.0, 0.005);
  EXPECT_EQ(turn.state, SteadyState::kFoldsTooFar);
  EXPECT_NEAR(turn.largest_fold.degrees(), 82.87, 0.01);  // asin(40 / √(45² − 20²))
  EXPECT_EQ(DriversLine(turn, UnitSystem::kUs), "FOLDS TOO FAR: 82.9 deg, do not hold this turn");
}

TEST(SteadyTurn, ThatIsNoneIsAnAnswerAndNoNumber) {
  const SteadyTurn turn = Turn(Feet(44), {Feet(20), Feet(40)});
  EXPECT_EQ(turn.state, SteadyState::kNone);
  EXPECT_EQ(turn.off_tracking, Feet(44));
  EXPECT_EQ(DriversLine(turn, UnitSystem::kUs),
            "NO STEADY TURN: it folds up, keep the turn short or wider");
  EXPECT_EQ(Turn(Feet(19), {Feet(20)}).state, SteadyState::kNone);
}

TEST(SteadyTurn, LargeCirclesDoNotCancel) {
  // b² / (r + √(r² − b²)) of b = 6 m, r = 10 km, in long double.
  const long double r = 10'000, b = 6;
  const double exact = static_cast<double>(b * b / (r + std::sqrt((r - b) * (r + b))));
  EXPECT_NEAR(Turn(InMetres(10'000), {InMetres(6)}).off_tracking.metres(), exact, 1e-17);
}

TEST(SteadyTurn, AHitchBehindTheAxleHelps) {
  const auto turn = SteadyTurnOf({.front_axle_radius = InMetres(12),
                                  .lengths = {InMetres(4), InMetres(5)},
                                  .hitch_off = {InMetres(-2)}});
  ASSERT_TRUE(turn);
  EXPECT_NEAR(turn->rear_axle_radius.metres(), std::sqrt(144.0 - 16 + 4 - 25), 1e-12);
}

TEST(CornerSwing, ClosedForms) {
  const auto swing = CornerSwingOf({.rear_axle_radius = Feet(30),
                                    .width = Feet(8),
                                    .front_overhang = Feet(24),
                                    .rear_overhang = Feet(6)});
  ASSERT_TRUE(swing);
  EXPECT_DOUBLE_EQ(swing->inner_radius.feet(), 26);
  EXPECT_NEAR(swing->outer_front_radius.feet(), std::hypot(34, 24), 1e-12);
  EXPECT_NEAR(swing->tail_swing.feet(), std::hypot(34, 6) - 34, 1e-12);
}

struct BadTurn {
  const char* input;
  std::function<std::string()> refused;  // the input that was named; empty: none was
};
void PrintTo(const BadTurn& row, std::ostream* out) { *out << row.input; }
class OffTrackingRefuses : public testing::TestWithParam<BadTurn> {};
TEST_P(OffTrackingRefuses, AndNamesTheInput) { EXPECT_EQ(GetParam().refused(), GetParam().input); }

template <class T>
std::string Named(const Outcome<T>& outcome) {
  return outcome ? "" : outcome.error().input;
}
auto Circle(Metres radius, std::vector<Metres> lengths, std::vector<Metres> off, Angle fold) {
  return [=] {
    return Named(SteadyTurnOf(
        {.front_axle_radius = radius, .lengths = lengths, .hitch_off = off, .most_fold = fold}));
  };
}
auto J695(double tr, double wb, double ht, double ko, double ka) {
  return [=] {
    return Named(MaximumOffTrack({.outer_wheel_radius = Feet(tr),
                                  .tractor_wheelbase = Feet(wb),
                                  .half_front_track = Feet(ht),
                                  .kingpin_offset = Feet(ko),
                                  .trailer_wheelbase = Feet(ka)}));
  };
}
auto Corner(double radius, double width, double front, double rear) {
  return [=] {
    return Named(CornerSwingOf({.rear_axle_radius = Feet(radius),
                                .width = Feet(width),
                                .front_overhang = Feet(front),
                                .rear_overhang = Feet(rear)}));
  };
}
auto Pull(double degrees, double length, double pulled) {
  return [=] {
    return Named(
        FoldAfter({.fold = Degrees(degrees), .length = Feet(length), .pulled = Feet(pulled)}));
  };
}
auto OnCircle(double radius, double length, double pulled) {
  return [=] {
    return Named(FoldOnCircle(
        {.hitch_radius = Feet(radius), .length = Feet(length), .pulled = Feet(pulled)}));
  };
}
auto Way(double length, double aside) {
  return [=] { return Named(TractrixWay({.length = Feet(length), .aside = Feet(aside)})); };
}

const std::vector<Metres> kTwo = {Feet(18), Feet(36)};
const Angle k80 = Degrees(80);
INSTANTIATE_TEST_SUITE_P(
    Inputs, OffTrackingRefuses,
    testing::Values(
        BadTurn{"turning radius", Circle(Feet(0), kTwo, {}, k80)},
        BadTurn{"turning radius", Circle(Feet(-60), kTwo, {}, k80)},
        BadTurn{"turning radius", Circle(Feet(1e9), kTwo, {}, k80)},
        BadTurn{"wheelbase", Circle(Feet(60), {}, {}, k80)},
        BadTurn{"wheelbase", Circle(Feet(60), {Feet(0), Feet(36)}, {}, k80)},
        BadTurn{"wheelbase", Circle(Feet(60), {Feet(-18)}, {}, k80)},
        BadTurn{"trailer 1 hitch to axle", Circle(Feet(60), {Feet(18), Feet(0)}, {}, k80)},
        BadTurn{"trailer 1 hitch to axle", Circle(Feet(60), {Feet(18), Feet(1e6)}, {}, k80)},
        BadTurn{"hitch offset", Circle(Feet(60), kTwo, {Feet(1), Feet(1)}, k80)},
        BadTurn{"hitch offset", Circle(Feet(60), kTwo, {Feet(1e4)}, k80)},
        BadTurn{"folding limit", Circle(Feet(60), kTwo, {}, Angle())},
        BadTurn{"folding limit", Circle(Feet(60), kTwo, {}, Degrees(100))},
        BadTurn{"turning radius", J695(0, 8.75, 3.21, 1, 21)},
        BadTurn{"tractor wheelbase", J695(50, 0, 3.21, 1, 21)},
        BadTurn{"half front track", J695(50, 8.75, -1, 1, 21)},
        BadTurn{"kingpin offset", J695(50, 8.75, 3.21, -1, 21)},
        BadTurn{"trailer wheelbase", J695(50, 8.75, 3.21, 1, -21)},
        BadTurn{"rear axle radius", Corner(-1, 8, 24, 6)}, BadTurn{"width", Corner(30, 0, 24, 6)},
        BadTurn{"front overhang", Corner(30, 8, -1, 6)},
        BadTurn{"rear overhang", Corner(30, 8, 24, 1e5)}, BadTurn{"fold", Pull(180, 40, 1)},
        BadTurn{"fold", Pull(-1, 40, 1)}, BadTurn{"hitch to axle", Pull(90, 0, 1)},
        BadTurn{"pulled", Pull(90, 40, -1)}, BadTurn{"hitch radius", OnCircle(0, 40, 1)},
        BadTurn{"hitch to axle", OnCircle(50, -40, 1)}, BadTurn{"pulled", OnCircle(50, 40, -1)},
        BadTurn{"aside", Way(40, 0)}, BadTurn{"aside", Way(40, 41)},
        BadTurn{"hitch to axle", Way(0, 0)}));

}  // namespace
}  // namespace chockwise::fit
