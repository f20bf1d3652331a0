#include "services/fit/loading_forklift.h"

#include <gtest/gtest.h>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

TEST(Forklift, AShortLoadGetsNoMoreThanThePlate) {
  EXPECT_EQ(*ForkliftAllows({Pounds(3'000), Inches(24), Inches(12)}), Pounds(3'000));
}

TEST(Forklift, AnInputOutOfItsDomainIsNamed) {
  ExpectNamed({
      {"no rating", UnusableOf(ForkliftAllows({{}, Inches(24), Inches(30)})),
       "rating of the forklift"},
      {"no rated centre", UnusableOf(ForkliftAllows({Pounds(1), {}, Inches(30)})),
       "rated load centre"},
      {"negative centre", UnusableOf(ForkliftAllows({Pounds(1), Inches(24), Inches(-30)})),
       "load centre"},
      {"absurd centre", UnusableOf(ForkliftAllows({Pounds(1), Inches(24), Feet(21)})),
       "load centre"},
      {"negative distance", UnusableOf(IsUnattended({.distance = Feet(-1)})),
       "distance of the operator"},
      {"no truck", UnusableOf(GapToTruckAhead({})), "length of the truck"},
      {"absurd truck", UnusableOf(GapToTruckAhead(Feet(61))), "length of the truck"},
  });
}

}  // namespace
}  // namespace chockwise::fit
