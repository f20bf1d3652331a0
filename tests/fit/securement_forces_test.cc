#include "services/fit/securement_forces.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

/// Four ties in an X: from each corner out and down at 45 degrees to the side.
ForcesOnLoad Crossed(double pounds, double limit_lb) {
  ForcesOnLoad load = {.weight = Pounds(pounds), .friction = 0.3};
  for (double heading : {45.0, -45.0, 135.0, -135.0})
    load.ties.push_back(
        {.limit = Pounds(limit_lb), .heading = Degrees(heading), .below_level = Degrees(30)});
  return load;
}

// By hand: two ties of 6,600 lb oppose each push, each with cos 30°·cos 45° = 0.61237 along it and
// sin 30° = 0.5 down: 2·6,600·(0.61237 + 0.3·0.5) + 0.3·20,000 = 16,063 lb.
TEST(SecurementForces, FourCrossedChains) {
  const auto held = JudgeForces(Crossed(20'000, 6'600));
  EXPECT_EQ(held->verdict, Verdict::kClear);
  for (size_t at = 0; at < 4; ++at)
    EXPECT_NEAR(held->pushes[at].held.pounds(), 16'063.3, 0.1) << at;
  EXPECT_NEAR(held->pushes[0].needed.pounds(), 8'700, 1e-6);
  EXPECT_NEAR(held->pushes[1].needed.pounds(), 10'000, 1e-6);
  EXPECT_NEAR(held->pushes[2].needed.pounds(), 5'000, 1e-6);
  EXPECT_NEAR(held->pushes[4].held.pounds(), 13'200, 1e-6);
  EXPECT_EQ(DriversLine(*held, UnitSystem::kUs), "HOLDS: 6,063 lb to spare");
}

TEST(SecurementForces, WithoutTiesBehindItShiftsForward) {
  ForcesOnLoad load = Crossed(20'000, 6'600);
  load.friction = 0;
  load.ties.resize(2);  // both pull forward: they hold against rearward alone
  const auto held = JudgeForces(load);
  EXPECT_EQ(held->worst.push, Push::kForward);
  EXPECT_EQ(held->worst.held, Kilograms());
  EXPECT_EQ(held->verdict, Verdict::kConflict);
  EXPECT_EQ(DriversLine(*held, UnitSystem::kUs), "WILL SHIFT forward: SHORT 8,700 lb");
}

TEST(SecurementForces, AnInputOutOfItsDomainIsNamed) {
  const auto with = [](auto spoil) {
    ForcesOnLoad load = Crossed(20'000, 6'600);
    spoil(load);
    return UnusableOf(JudgeForces(load));
  };
  using L = ForcesOnLoad;
  ExpectNamed({
      {"no weight", with([](L& l) { l.weight = {}; }), "weight of the load"},
      {"absurd weight", with([](L& l) { l.weight = Pounds(1e6); }), "weight of the load"},
      {"negative friction", with([](L& l) { l.friction = -0.1; }), "friction of the deck"},
      {"absurd friction", with([](L& l) { l.friction = 0.6; }), "friction of the deck"},
      {"no ties", with([](L& l) { l.ties.clear(); }), "tie-downs"},
      {"zero limit", with([](L& l) { l.ties[3].limit = {}; }), "working load limit"},
      {"turned twice", with([](L& l) { l.ties[3].heading = Degrees(720); }),
       "heading of a tie-down"},
      {"upward", with([](L& l) { l.ties[3].below_level = Degrees(-5); }), "angle below level"},
      {"none of it", with([](L& l) { l.ties[3].count = 0; }), "number of tie-downs"},
  });
}

RC_GTEST_PROP(SecurementForcesProperty, MirroredTiesHoldTheMirroredPushes, ()) {
  ForcesOnLoad load = {.weight = Pounds(*rc::gen::inRange(1'000, 90'000)), .friction = 0.2};
  const int ties = *rc::gen::inRange(1, 9);
  for (int tie = 0; tie < ties; ++tie)
    load.ties.push_back({.limit = Pounds(*rc::gen::inRange(500, 12'000)),
                         .heading = Degrees(*rc::gen::inRange(-180, 180)),
                         .below_level = Degrees(*rc::gen::inRange(0, 91))});
  ForcesOnLoad mirrored = load;
  for (AngledTie& tie : mirrored.ties) tie.heading = -tie.heading;
  const auto one = JudgeForces(load), other = JudgeForces(mirrored);
  const auto near = [](const HeldForce& a, const HeldForce& b) {
    return std::abs((a.held - b.held).kilograms()) < 1e-6;
  };
  RC_ASSERT(near(one->pushes[0], other->pushes[0]));
  RC_ASSERT(near(one->pushes[2], other->pushes[3]));
  RC_ASSERT(near(one->pushes[3], other->pushes[2]));
}

}  // namespace
}  // namespace chockwise::fit
