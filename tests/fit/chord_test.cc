#include "services/fit/chord.h"

#include <gtest/gtest.h>

namespace chockwise::fit {
namespace {

// A triangle of 3, 4 and 5 beside and beyond a piece from (0, 0) to (10, 0).
TEST(FromChordM, BesideBehindAndBeyond) {
  EXPECT_DOUBLE_EQ(FromChordM({4, 3}, {0, 0}, {10, 0}), 3);
  EXPECT_DOUBLE_EQ(FromChordM({-3, 4}, {0, 0}, {10, 0}), 5);
  EXPECT_DOUBLE_EQ(FromChordM({13, -4}, {0, 0}, {10, 0}), 5);
  EXPECT_DOUBLE_EQ(FromChordM({13, -4}, {10, 0}, {10, 0}), 5) << "a piece of one point";
}

TEST(FromRayM, GoesOnWithoutEnd) {
  EXPECT_DOUBLE_EQ(FromRayM({1e6, 3}, {0, 0}, {1, 0}), 3);
  EXPECT_DOUBLE_EQ(FromRayM({-3, 4}, {0, 0}, {1, 0}), 5);
}

}  // namespace
}  // namespace chockwise::fit
