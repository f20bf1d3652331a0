// What must stay free, by one rule for the gate on a move's end and for the desk.
#include "services/survey/left_free.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>

#include "services/survey/path.h"
#include "services/survey/way.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::StartsWith;

/// The yard with its marked ground brought beside a place: a square of 2 m, so far north of it.
yard::Yard Beside(yard::Yard yard, const char* area, const char* place, double north_m) {
  constexpr double kNorthMPerDeg = 110'704, kEastMPerDeg = 104'647;  // at 20 degrees north, WGS 84
  const yard::Position at = yard.places.at(yard::PlaceId(place)).position;
  const double e = 1 / kEastMPerDeg, n = 1 / kNorthMPerDeg;
  const double x = at.longitude_deg, y = at.latitude_deg + north_m / kNorthMPerDeg;
  yard.areas.at(yard::AreaId(area)).rings = {
      {{x - e, y - n}, {x + e, y - n}, {x + e, y + n}, {x - e, y + n}, {x - e, y - n}}};
  return yard;
}

yard::Yard Marked(const char* area, const char* was, const char* width) {
  return With(fmt::format("{} marked-width,{}", area, was),
              fmt::format("{} marked-width,{}", area, width));
}

/// A post of 1 m at a place: 3 m south of the square's edge.
Outcome<std::vector<LeftFree>> LeftByPost(const yard::Yard& yard, const char* place) {
  Readings readings(yard, At(yard).when);
  const fit::Point at = OnPlane(PlaneOf(yard), yard.places.at(yard::PlaceId(place)).position);
  return LeftFreeBy(readings, *fit::Region::Around({at}, fit::InMetres(0.5)));
}

fit::LeftClear Of(const std::vector<LeftFree>& all, const char* area) {
  for (const LeftFree& one : all) {
    if (one.left.item == area) return one.left;
  }
  throw std::runtime_error(std::string("not near: ") + area);
}

TEST(LeftFree, AnInchAndWhatTheAreaLacksOfItsRule) {
  const auto needed = [](const yard::Yard& yard, const char* area, double north_m) {
    const auto left = LeftByPost(Beside(yard, area, "carrier-pad-2", north_m), "carrier-pad-2");
    EXPECT_TRUE(left);
    return Of(*left, area).need.least.inches();
  };
  // 0.6 m (2 ft) off it, an exit of 28 in needs nothing of the ground before it; one of 20 in, 8
  // in.
  EXPECT_NEAR(needed(Marked("shop-2-exit", "12 ft 6 in", "28 in"), "shop-2-exit", 2.1), 1, 1e-9);
  EXPECT_NEAR(needed(Marked("shop-2-exit", "12 ft 6 in", "20 in"), "shop-2-exit", 2.1), 9, 1e-9);
  // A fire way of 14 ft lacks 6; a panel's front of 30 in at 277 V lacks 18 in of 4 ft.
  EXPECT_NEAR(needed(Marked("fire-way", "20 ft 2 in", "14 ft"), "fire-way", 4), 73, 1e-9);
  EXPECT_NEAR(needed(Marked("shop-1-panel", "6 ft 6 in", "30 in"), "shop-1-panel", 2.1), 19, 1e-9);
}

TEST(LeftFree, NearMarkedGroundItsWidthMustBeKnown) {
  const auto lost = [](double north_m) {
    yard::Yard yard = DemoYard([](std::string& text) {
      text = std::regex_replace(text, std::regex("\nshop-2-exit marked-width,[^\n]*"), "");
    });
    return LeftByPost(Beside(std::move(yard), "shop-2-exit", "carrier-pad-2", north_m),
                      "carrier-pad-2");
  };
  const auto near = lost(2.1);
  ASSERT_FALSE(near);
  EXPECT_EQ(near.error().input, "marked-width of shop-2-exit");
  EXPECT_EQ(near.error().sort, NoAnswer::Sort::kUnknown);
  EXPECT_TRUE(lost(2.5)) << "1 m off it, farther than its 28 in and an inch";
}

/// The gate on a move's end keeps that rule: it was content with a millimetre.
TEST(LeavesFreeByTheRule, ANarrowExitNeedsTheGroundBeforeIt) {
  const Trip trip = TripOf("DZ-701", "ready-line", "carrier-pad-2");
  const auto clear = [&](const char* width, double north_m) {
    const auto answer = LeavesFree(At(Beside(Marked("shop-2-exit", "12 ft 6 in", width),
                                             "shop-2-exit", "carrier-pad-2", north_m)),
                                   trip, {});
    EXPECT_TRUE(answer) << answer.error().Text();
    return answer && answer->verdict == fit::Verdict::kClear;
  };
  int wide = 0, narrow = 0;
  for (double north_m = 1; north_m < 6; north_m += 0.05) {
    const bool of_28 = clear("28 in", north_m), of_8 = clear("8 in", north_m);
    EXPECT_TRUE(of_28 || !of_8) << north_m;
    wide += of_28 ? 1 : 0;
    narrow += of_8 ? 1 : 0;
  }
  // 20 in are ten steps of 5 cm.
  EXPECT_GT(narrow, 0);
  EXPECT_NEAR(wide - narrow, 10, 1);
}

TEST(LeavesFreeByTheRule, AWidthThatNobodyTapedIsNoAnswer) {
  yard::Yard yard = DemoYard([](std::string& text) {
    text = std::regex_replace(text, std::regex("\nshop-2-exit marked-width,[^\n]*"), "");
  });
  const Trip trip = TripOf("DZ-701", "ready-line", "carrier-pad-2");
  const auto answer =
      LeavesFree(At(Beside(std::move(yard), "shop-2-exit", "carrier-pad-2", 0)), trip, {});
  ASSERT_FALSE(answer) << answer->line;
  EXPECT_EQ(answer.error().input, "marked-width of shop-2-exit");
}

TEST(LeavesFreeByTheRule, ItIsToldHowMuchSoonerToStop) {
  const Trip trip = TripOf("DZ-701", "ready-line", "carrier-pad-2");
  const auto stop = LeavesFree(
      At(Beside(Marked("shop-2-exit", "12 ft 6 in", "8 in"), "shop-2-exit", "carrier-pad-2", 0)),
      trip, {});
  ASSERT_TRUE(stop) << stop.error().Text();
  EXPECT_EQ(stop->verdict, fit::Verdict::kConflict);
  EXPECT_THAT(stop->line, StartsWith("STOP SHORT of shop-2-exit by "));
}

}  // namespace
}  // namespace chockwise::survey
