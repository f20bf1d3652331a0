// Sight from the seat: similar triangles for an eye of 9 ft and a sill of 6.5 ft at 4 ft, computed
// from the rule by an independent script. Heights of the diagrams: NIOSH construction equipment
// visibility (0, 900, 1500 mm). Guides on the ground: Army ground-guide practice (Guiding Right,
// U.S. Army Combat Readiness Center): at least 10 yards from the vehicle, never in its path.
#include <gtest/gtest.h>

#include "services/fit/blind_zone.h"
#include "services/fit/spotter_place.h"

namespace chockwise::fit {
namespace {

TEST(Sight, HiddenToBySimilarTriangles) {
  const auto feet = [](double object_ft) {
    return SeenFrom({.eye_height = Feet(9),
                     .sill_height = Feet(6.5),
                     .sill_distance = Feet(4),
                     .object_height = Feet(object_ft)})
        ->feet();
  };
  EXPECT_NEAR(feet(0), 14.4, 1e-9);
  EXPECT_NEAR(feet(3), 9.6, 1e-9);
  EXPECT_NEAR(feet(4.92), 6.5, 0.05);
}

TEST(Sight, HeightsOfNioshDiagrams) {
  EXPECT_EQ(kDiagramHeights[0], Metres());
  EXPECT_EQ(kDiagramHeights[1], Millimetres(900));
  EXPECT_EQ(kDiagramHeights[2], Millimetres(1500));
}

// 9.0 m is less than 10 yd (9.144 m): refused as a standoff of ground guides.
TEST(GroundGuides, TenYards) {
  EXPECT_EQ(kGroundGuideStandoff.metres(), 9.144);
  EXPECT_FALSE(AtLeast(InMetres(9.0), kGroundGuideStandoff));
  EXPECT_TRUE(AtLeast(InMetres(9.144), kGroundGuideStandoff));
}

}  // namespace
}  // namespace chockwise::fit
