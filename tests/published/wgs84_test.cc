// WGS 84: lengths of a degree, as tabled for example in Bowditch, The American Practical Navigator,
// Table 7 (length of a degree of latitude and longitude), from memory.
#include <gtest/gtest.h>

#include "services/yard/plane.h"

namespace chockwise::yard {
namespace {

struct Degree {
  double latitude_deg;
  double north_m;  // of a degree of latitude
  double east_m;   // of a degree of longitude
};

TEST(Wgs84, LengthsOfADegree) {
  for (const Degree& row :
       {Degree{0, 110'574, 111'320}, Degree{15, 110'649, 107'550}, Degree{30, 110'852, 96'486},
        Degree{45, 111'132, 78'847}, Degree{60, 111'412, 55'800}, Degree{75, 111'618, 28'902}}) {
    const Plane plane({.longitude_deg = 10, .latitude_deg = row.latitude_deg});
    const Point north = plane.At({.longitude_deg = 10, .latitude_deg = row.latitude_deg + 0.001});
    const Point east = plane.At({.longitude_deg = 10.001, .latitude_deg = row.latitude_deg});
    EXPECT_NEAR(north.north_m * 1'000, row.north_m, 2) << row.latitude_deg;
    EXPECT_NEAR(east.east_m * 1'000, row.east_m, 2) << row.latitude_deg;
    EXPECT_EQ(north.east_m, 0);
    EXPECT_EQ(east.north_m, 0);
  }
}

}  // namespace
}  // namespace chockwise::yard
