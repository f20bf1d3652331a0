// What stands in the way of a driver's sight, from the readings of the yard to the drawing.
#include "services/survey/seeing.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cmath>
#include <regex>
#include <string>

#include "services/survey/drawing.h"
#include "services/yard/quantities.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

DriverSight SightOf(const yard::Yard& yard, const char* machine) {
  Readings readings(yard, At(yard).when);
  auto sight = Sight(readings, *yard.FindMachine(machine), {});
  if (!sight) throw std::runtime_error(sight.error().Text());
  return std::move(*sight);
}

/// TH-201's boom: 48 degrees to the right of ahead, 36 degrees wide, and 2 more to each side.
TEST(Sight, ABoomHidesTheWedgeBehindIt) {
  const DriverSight sight = SightOf(DemoYard(), "TH-201");
  const auto hidden = [&](double to_the_right_deg) {
    return !fit::BorderAlong(sight.zones.front(), fit::Degrees(-to_the_right_deg));
  };
  for (const double inside : {28.1, 48.0, 67.9}) EXPECT_TRUE(hidden(inside)) << inside;
  for (const double beside : {0.0, 27.9, 68.1, 90.0, -48.0, 180.0})
    EXPECT_FALSE(hidden(beside)) << beside;
  EXPECT_NEAR(sight.zones.front().never_seen.degrees(), 40, 1e-9);
}

/// Every pair that the yard can read hides as far as it says, also across straight ahead.
TEST(Sight, WhateverStandsInTheWayHides) {
  int pairs = 0;
  for (const std::string& quantity : yard::QuantityNames()) {
    if (!quantity.ends_with("-bearing") || quantity == "ground-bearing") continue;
    const std::string name = quantity.substr(0, quantity.size() - std::string("-bearing").size());
    for (const int bearing_deg : {0, 90, 180, 270, 359, 360}) {
      const yard::Yard yard = DemoYard([&](std::string& text) {
        text = std::regex_replace(text, std::regex("\nTH-201 boom-[^\n]*"), "");
        text += fmt::format("TH-201 {}-bearing,{} deg,,forks,dov,2026-11-01T08:00:00Z\n", name,
                            bearing_deg);
        text += fmt::format("TH-201 {}-width,10 deg,,forks,dov,2026-11-01T08:00:00Z\n", name);
      });
      const DriverSight sight = SightOf(yard, "TH-201");
      EXPECT_NEAR(sight.zones.front().never_seen.degrees(), 14, 1e-9) << name << " " << bearing_deg;
      EXPECT_FALSE(fit::BorderAlong(sight.zones.front(), fit::Degrees(-bearing_deg))) << name;
    }
    ++pairs;
  }
  EXPECT_EQ(pairs, 7);
}

/// The drawing shades what the boom hides: the middle of its wedge, 10 m out.
TEST(Sight, TheDrawingShowsTheWedge) {
  const Trip trip = TripOf("TH-201", "s2-bay-1", "yard-cross");
  const auto shaded = [&](const yard::Yard& yard) {
    const auto seen = SeeOf(At(yard), trip, {});
    if (!seen) throw std::runtime_error(seen.error().Text());
    const fit::Pose& start = seen->poses.front();
    const double right_rad = -fit::Degrees(48).radians();
    const fit::Point out = seen->sight.zones.front().eye +
                           fit::Point{10 * std::cos(right_rad), 10 * std::sin(right_rad)};
    const auto blind = fit::Region::From(PlanOf(At(yard), trip, *seen).blind.front());
    const auto spot = fit::Region::Around(
        {FromPose(start, out.x_m, out.y_m), FromPose(start, out.x_m + 0.1, out.y_m)},
        fit::InMetres(0.1));
    return blind && spot && blind->Touches(*spot);
  };
  EXPECT_TRUE(shaded(DemoYard()));
  EXPECT_FALSE(shaded(DemoYard([](std::string& text) {
    text = std::regex_replace(text, std::regex("\nTH-201 boom-[^\n]*"), "");
  })));
}

}  // namespace
}  // namespace chockwise::survey
