#include "services/fit/spotter_search.h"

#include <gtest/gtest.h>

namespace chockwise::fit {
namespace {

Region Box(Point low, Point high) {
  return Region::From({.outer = {low, {high.x_m, low.y_m}, high, {low.x_m, high.y_m}}}).value();
}

/// A way of ten metres, and a wall that hides whoever stands at (0, 12) from its second half.
SightLines HalfHidden() {
  const SideSill side = {InMetres(1), InMetres(1.6)};
  SightAlong along;
  along.zones = {
      BlindZoneOf({.seat = {.eye = {},
                            .eye_height = InMetres(2.5),
                            .sills = SillsOfSides(
                                {}, {.front = side, .left = side, .rear = side, .right = side}),
                            .masks = {}},
                   .object_height = InMetres(1.2),
                   .reach = InMetres(60),
                   .reading_error = Metres()})
          .value()};
  for (int step = 0; step <= 40; ++step) along.poses.push_back({.at = {0.25 * step, 0}});
  along.opaque = {{{4, 3}, {30, 3}, {30, 3.2}, {4, 3.2}}};
  return SightLines(along);
}

TEST(SpotterSearch, TheSpotThatIsSeenLongestAndOfThoseTheNearest) {
  const SightLines lines = HalfHidden();
  const Region swept = Box({-2, -1}, {12, 1});
  // Far to the left behind lies ground that is seen all the way, and nearer such that is not.
  const Region ground =
      Region::UnionOf({Box({0, 9}, {4, 12}), Box({-40, 4}, {-30, 6}), Box({-50, 4}, {-45, 6})});
  const SpotterSearch search(lines, {.inside = ground, .swept = swept, .room_m = 0.5});
  const auto longest = search.LongestFrom(0, 40);
  ASSERT_TRUE(longest);
  EXPECT_EQ(longest->seen, 41u);
  EXPECT_NEAR(longest->at.x_m, -30, 0.4) << "of the two that do the one nearer to the path";
  EXPECT_NEAR(longest->off_path_m, swept.DistanceTo(longest->at)->metres(), 1e-9);
  // No more than the first ten poses are asked for: the nearer ground does.
  const auto shorter = search.LongestFrom(0, 9);
  ASSERT_TRUE(shorter);
  EXPECT_EQ(shorter->seen, 10u);
  EXPECT_LE(shorter->off_path_m, 8 + kSearchStep.metres());
}

TEST(SpotterSearch, NothingWhereNobodyIsSeen) {
  const SightLines lines = HalfHidden();
  const SpotterSearch search(
      lines, {.inside = Box({10, 8}, {20, 12}), .swept = Box({-2, -1}, {12, 1}), .room_m = 0.5});
  EXPECT_FALSE(search.LongestFrom(30, 40));
}

}  // namespace
}  // namespace chockwise::fit
