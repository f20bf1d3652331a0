// Whether there is room to turn from one lane into another, within a few roundings of the limit and
// up to a millionth beside it, against a long double: a hundred thousand cases.
#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>

#include "services/fit/route_search_joins.h"
#include "tests/fit/long_point.h"
#include "tests/fit/near_limit.h"

namespace chockwise::fit {
namespace {

/// The radius of the arc that begins and ends within what is straight: R tan(turn / 2) on either
/// side, and as much of the bend behind it.
long double LongRoom(const LaneEnd& comes_by, const LaneEnd& leaves_by) {
  const LongPoint in = {-static_cast<long double>(comes_by.leaves.x_m),
                        -static_cast<long double>(comes_by.leaves.y_m)};
  const LongPoint out = Long(leaves_by.leaves);
  const long double turn = std::atan2(std::abs(Cross(in, out)), Dot(in, out));
  const long double bend = std::tan(turn / 2);
  return std::min(comes_by.straight.metres() / (bend + comes_by.bend_behind),
                  leaves_by.straight.metres() / (bend + leaves_by.bend_behind));
}

TEST(NearLimit, RoomToTurn) {
  Dice dice;
  NearLimitTally tally;
  double worst = 0;
  for (int at = 0; at < kNearLimitCases; ++at) {
    const double heading = dice.Between(-3.2, 3.2);
    // Up to a hair from straight back.
    const double turn =
        at % 4 == 0 ? 3.14159 - std::pow(10, dice.Between(-5, -1)) : dice.Between(0.002, 3.1);
    const auto bend = [&] { return dice.Below(3) == 0 ? 0 : std::pow(10, dice.Between(-2, 1)); };
    const LaneEnd comes_by = {.at = {0.005, 0},
                              .leaves = -1 * Unit(heading),
                              .straight = InMetres(std::pow(10, dice.Between(-1, 3))),
                              .bend_behind = bend()};
    const double side = dice.Below(2) == 0 ? 1 : -1;
    const LaneEnd leaves_by = {.at = {},
                               .leaves = Unit(heading + side * turn),
                               .straight = InMetres(std::pow(10, dice.Between(-1, 3))),
                               .bend_behind = bend()};
    const long double room = LongRoom(comes_by, leaves_by);
    if (room >= kNothingThere.metres()) continue;
    const double needed = static_cast<double>(room) * dice.NearOrBeside(400);
    const Metres ours = RoomToTurn(comes_by, leaves_by);
    tally.Add(AtLeast(ours, InMetres(needed)) ? Verdict::kClear : Verdict::kConflict, room - needed,
              1.01e-9L);
    worst = std::max(worst, static_cast<double>(std::abs(ours.metres() - room) / room));
  }
  std::printf("room to turn: %d there, %d not; worst relative difference %.1e\n", tally.clear,
              tally.conflict, worst);
  tally.ExpectBoth();
  EXPECT_LT(worst, 1e-10);
}

}  // namespace
}  // namespace chockwise::fit
