// The static margins in a door, near touching, against long double, and what must hold of them.
#include "services/fit/door_margin.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <random>

#include "services/fit/answer.h"

namespace chockwise::fit {
namespace {

constexpr int kCases = 100'000;
constexpr double kErrorM = 1e-14;  // what the header promises for yard sizes

TEST(DoorMargin, NeverClearWhereTheReferenceSaysConflict) {
  std::mt19937_64 random(17);
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(random);
  };
  int conflicts = 0;
  double worst_m = 0;
  for (int i = 0; i < kCases; ++i) {
    const double hair_m = std::pow(10.0, between(-16, -3)) * (i % 2 == 0 ? 1 : -1);
    DoorAndMachine at{.clear_height = Metres(),
                      .clear_width = Metres(),
                      .carried_height = InMetres(between(0.5, 8)),
                      .carried_width = InMetres(between(0.5, 8)),
                      .bounce = InMetres(between(0.01, 0.3))};
    at.clear_height = at.carried_height + at.bounce + InMetres(hair_m);
    at.clear_width = at.carried_width + InMetres(hair_m);
    const DoorMargin margin = MarginInDoor(at);
    const long double height = static_cast<long double>(at.clear_height.metres()) -
                               at.carried_height.metres() - at.bounce.metres();
    const long double width =
        static_cast<long double>(at.clear_width.metres()) - at.carried_width.metres();
    for (const auto& [ours, reference] :
         {std::pair(margin.height.metres(), height), std::pair(margin.width.metres(), width)}) {
      const Verdict verdict = Judge(ours, kErrorM);
      if (reference < 0) {
        ++conflicts;
        ASSERT_NE(verdict, Verdict::kClear) << i;
      }
      if (reference > 0) {
        ASSERT_NE(verdict, Verdict::kConflict) << i;
      }
      worst_m = std::max(worst_m, std::abs(ours - static_cast<double>(reference)));
    }
  }
  std::printf("door margins: %d near touching, %d in conflict, worst %.1e m\n", 2 * kCases,
              conflicts, worst_m);
  EXPECT_GT(conflicts, kCases / 5);
  EXPECT_LT(worst_m, kErrorM);
}

Metres Drawn(int low_mm, int high_mm) { return Millimetres(*rc::gen::inRange(low_mm, high_mm)); }

DoorAndMachine AnyDoor() {
  return {.clear_height = Drawn(2'000, 8'000),
          .clear_width = Drawn(2'000, 8'000),
          .carried_height = Drawn(1'000, 8'000),
          .carried_width = Drawn(1'000, 8'000),
          .bounce = Drawn(1, 300)};
}

RC_GTEST_PROP(DoorMargin, ALargerMachineOrASmallerDoorNeverHasMore, ()) {
  const DoorAndMachine at = AnyDoor();
  DoorAndMachine worse = at;
  worse.clear_height -= Drawn(0, 1'000);
  worse.clear_width -= Drawn(0, 1'000);
  worse.carried_height += Drawn(0, 1'000);
  worse.carried_width += Drawn(0, 1'000);
  worse.bounce += Drawn(0, 1'000);
  RC_ASSERT(MarginInDoor(worse).height <= MarginInDoor(at).height);
  RC_ASSERT(MarginInDoor(worse).width <= MarginInDoor(at).width);
}

// In inches or in millimetres, the same tape gives the same whole millimetres of margin.
RC_GTEST_PROP(DoorMargin, TheUnitOfTheTapeChangesNothing, ()) {
  const int height_in = *rc::gen::inRange(80, 300), carried_in = *rc::gen::inRange(40, 300);
  const int bounce_in = *rc::gen::inRange(1, 12);
  const auto margin = [&](auto length) {
    return FloorMillimetres(MarginInDoor({.clear_height = length(height_in),
                                          .clear_width = length(height_in),
                                          .carried_height = length(carried_in),
                                          .carried_width = length(carried_in),
                                          .bounce = length(bounce_in)})
                                .height);
  };
  const int64_t in_inches = margin([](int n) { return Inches(n); });
  RC_ASSERT(in_inches == margin([](int n) { return Millimetres(n * 25.4); }));
  RC_ASSERT(in_inches == margin([](int n) { return Feet(n / 12.0); }));
}

}  // namespace
}  // namespace chockwise::fit
