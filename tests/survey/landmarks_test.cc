#include "services/survey/landmarks.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <cstdio>
#include <numbers>
#include <regex>

#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using fit::Feet;
using fit::UnitSystem;

/// Straight east from a bay through a door, and on to a gate.
std::vector<Landmark> Straight() {
  std::vector<Landmark> landmarks;
  const std::pair<const char*, double> spots[] = {{"bay-7", 0}, {"door-7", 40}, {"gate", 120}};
  for (const auto& [id, feet] : spots)
    landmarks.push_back({.id = id,
                         .lane = "way-7",
                         .along = Feet(feet),
                         .pose = {.at = {Feet(feet).metres(), 0}, .heading_rad = 0}});
  return landmarks;
}

std::string Where(double east_ft, double north_ft, UnitSystem units = UnitSystem::kUs) {
  return WhereOnFoot(Straight(), {Feet(east_ft).metres(), Feet(north_ft).metres()}, units);
}

TEST(WhereOnFoot, ByTheNearestLandmarkPastOrBeforeAndToWhichSide) {
  EXPECT_EQ(Where(52, -35), "12 ft past door-7, 35 ft right of way-7");
  EXPECT_EQ(Where(31.6, 35.4), "8 ft before door-7, 35 ft left of way-7");
  EXPECT_EQ(Where(40.2, 36), "beside door-7, 36 ft left of way-7");
  EXPECT_EQ(Where(160, 0.3), "40 ft past gate, in line with way-7");
  EXPECT_EQ(Where(-21, 30), "21 ft before bay-7, 30 ft left of way-7");
  // 15.85 m and 10.67 m.
  EXPECT_EQ(Where(52, -35, UnitSystem::kSi), "3.50 m past door-7, 10.50 m right of way-7");
}

TEST(WhereAlong, ByTheNearestLandmarkOfTheWay) {
  EXPECT_EQ(WhereAlong(Straight(), Feet(48), UnitSystem::kUs), "8 ft past door-7");
  EXPECT_EQ(WhereAlong(Straight(), Feet(118), UnitSystem::kUs), "2 ft before gate");
  EXPECT_EQ(WhereAlong(Straight(), Feet(0), UnitSystem::kUs), "beside bay-7");
}

// What is told is found: from the landmark, straight on along its lane and then to the side, comes
// within 0.36 m of the spot, whatever lane and side.
TEST(WhereOnFoot, IsFoundOnFoot) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("ST-101", "s1-bay-1", "yard-cross");
  Readings readings(yard, At(yard).when);
  const auto route = yard.FindRoute(trip.from, trip.to);
  ASSERT_TRUE(route);
  const auto way = LayOut(readings, {.route = *route, .from = trip.from});
  ASSERT_TRUE(way) << way.error().Text();
  const auto landmarks = LandmarksOf(yard, trip, *way);
  const std::regex told(
      "(beside|(\\d+) ft (past|before)) ([a-z0-9-]+), (in line with|(\\d+) ft "
      "(left|right) of) ([a-z0-9-]+)");
  for (int n = 0; n < 200; ++n) {
    const fit::Point at = way->middle.front() + fit::Point{0.7 * n - 40, 31 - 0.43 * n};
    const std::string text = WhereOnFoot(landmarks, at, UnitSystem::kUs);
    std::smatch words;
    ASSERT_TRUE(std::regex_match(text, words, told)) << text;
    double past_ft = words[2].matched ? std::stod(words[2]) : 0;
    if (words[3] == "before") past_ft = -past_ft;
    double left_ft = words[6].matched ? std::stod(words[6]) : 0;
    if (words[7] == "right") left_ft = -left_ft;
    const auto landmark = std::ranges::find_if(landmarks, [&](const Landmark& one) {
      return one.id == words[4].str() && one.lane == words[8].str();
    });
    ASSERT_NE(landmark, landmarks.end()) << text;
    const fit::Point found =
        fit::FromPose(landmark->pose, Feet(past_ft).metres(), Feet(left_ft).metres());
    EXPECT_LE(LengthM(found - at), 0.36) << text;
  }
}

TEST(LandmarksOf, PlacesDoorsAndHoldPointsInTheOrderOfTravel) {
  const yard::Yard yard = DemoYard();
  const auto ids = [&](const char* from, const char* to) {
    const Trip trip = TripOf("ST-101", from, to);
    Readings readings(yard, At(yard).when);
    const auto route = yard.FindRoute(trip.from, trip.to);
    const auto way = LayOut(readings, {.route = *route, .from = trip.from});
    std::string text;
    double along_m = 0;
    for (const Landmark& landmark : LandmarksOf(yard, trip, *way)) {
      text += (text.empty() ? "" : " ") + landmark.id;
      EXPECT_GE(landmark.along.metres(), along_m);
      along_m = landmark.along.metres();
      // It lies where the way is so far along.
      if (landmark.id == to) {
        EXPECT_NEAR(LengthM(landmark.pose.at - way->middle.back()), 0, 1e-9);
      }
    }
    return text;
  };
  EXPECT_EQ(ids("s1-bay-1", "yard-cross"), "s1-bay-1 door-1 s1-apron s1-apron walkway yard-cross");
  EXPECT_EQ(ids("yard-cross", "s1-bay-1"), "yard-cross walkway s1-apron s1-apron door-1 s1-bay-1");
}

// The door's mark lies between its jambs, and its heading is square to them, both ways.
TEST(LandmarksOf, ADoorsHeadingIsThatOfTravel) {
  const yard::Yard yard = DemoYard();
  for (const auto& [from, to] : {std::pair("s1-bay-1", "s1-apron"), {"s1-apron", "s1-bay-1"}}) {
    const Trip trip = TripOf("ST-101", from, to);
    Readings readings(yard, At(yard).when);
    const auto route = yard.FindRoute(trip.from, trip.to);
    const auto way = LayOut(readings, {.route = *route, .from = trip.from});
    const auto landmarks = LandmarksOf(yard, trip, *way);
    const auto door = std::ranges::find(landmarks, "door-1", &Landmark::id);
    ASSERT_NE(door, landmarks.end());
    const fit::Point middle = 0.5 * (way->doors[0].left + way->doors[0].right);
    EXPECT_LT(LengthM(door->pose.at - middle), 1e-6);
    const fit::Point left = way->doors[0].left - middle;
    EXPECT_GT(Cross(fit::Unit(door->pose.heading_rad), left), 1.8) << "half of 12 ft to the left";
  }
}

}  // namespace
}  // namespace chockwise::survey
