#include "services/fit/spotter_place.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <functional>
#include <limits>
#include <numbers>
#include <utility>
#include <vector>

#include "tests/fit/cab.h"

namespace chockwise::fit {
namespace {

constexpr double kPi = std::numbers::pi;

Ring Box(Point low, Point high) { return {low, {high.x_m, low.y_m}, high, {low.x_m, high.y_m}}; }

Region Of(const Ring& ring) { return Region::From({.outer = ring}).value(); }

/// Ten metres straight along x in steps of half a metre.
SpotterQuestion Usual() {
  SpotterQuestion question = {.sight = {.zones = {Zone({})}},
                              .swept = Of(Box({-1.5, -1.25}, {15, 1.25})),
                              .standoff = kGroundGuideStandoff,
                              .ground = Of(Box({-30, -20}, {40, 25})),
                              .room = InMetres(0.5)};
  for (int step = 0; step <= 20; ++step)
    question.sight.poses.push_back({.at = {0.5 * step, 0}, .heading_rad = 0});
  return question;
}

SpotterPlaces Answer(const SpotterQuestion& question) { return PlacesForSpotter(question).value(); }

Point InMachineFrame(const Pose& pose, Point point) {
  const Point along = Unit(pose.heading_rad);
  return {Dot(along, point - pose.at), Cross(along, point - pose.at)};
}

/// Whether a line passes an edge of a ring or lies within it; by signs of areas.
bool Crosses(const Ring& ring, Point a, Point b) {
  bool inside = false;
  for (size_t i = 0; i < ring.size(); ++i) {
    const Point c = ring[i], d = ring[(i + 1) % ring.size()];
    if (Cross(b - a, c - a) * Cross(b - a, d - a) <= 0 &&
        Cross(d - c, a - c) * Cross(d - c, b - c) <= 0)
      return true;
    if ((c.y_m > a.y_m) != (d.y_m > a.y_m) &&
        a.x_m < c.x_m + (a.y_m - c.y_m) / (d.y_m - c.y_m) * (d.x_m - c.x_m))
      inside = !inside;
  }
  return inside;
}

bool Seen(const SpotterQuestion& question, const Pose& pose, Point point) {
  for (const BlindZone& zone : question.sight.zones) {
    if (Hides(zone, InMachineFrame(pose, point))) return false;
    const Point eye = FromPose(pose, zone.eye.x_m, zone.eye.y_m);
    for (const Ring& ring : question.sight.opaque)
      if (Crosses(ring, eye, point)) return false;
  }
  return true;
}

Pose Between(const Pose& a, const Pose& b, double share) {
  return {.at = a.at + share * (b.at - a.at),
          .heading_rad = a.heading_rad + share * (b.heading_rad - a.heading_rad)};
}

/// A stand is what it says, by the exact predicates: seen from all its poses, and at four instants
/// from each to the next, with its whole room around it, off the swept ground, and on the yard's.
void Check(const SpotterQuestion& question, const SpotterStand& stand) {
  const std::vector<Pose>& poses = question.sight.poses;
  for (int turn = 0; turn < 16; ++turn) {
    const Point around = stand.at + (question.room.metres() * (1 - 1e-6)) * Unit(turn * kPi / 8);
    for (Point point : {stand.at, around}) {
      ASSERT_TRUE(question.ground.Contains(point));
      ASSERT_GE(*question.swept.DistanceTo(point), question.standoff);
      for (size_t pose = stand.from_pose; pose <= stand.to_pose; ++pose) {
        ASSERT_TRUE(Seen(question, poses[pose], point)) << pose;
        if (pose == stand.to_pose) continue;
        for (double share : {0.2, 0.4, 0.6, 0.8}) {
          ASSERT_TRUE(Seen(question, Between(poses[pose], poses[pose + 1], share), point))
              << "between " << pose << " and the next";
        }
      }
    }
  }
}

/// Of a question and the same with half a metre more of room, or harder: the first finds what the
/// second does, and as near to the path. What the search may miss needs that half metre.
void CheckNoWorse(const SpotterPlaces& places, const SpotterPlaces& harder) {
  if (harder.unseen_pose) return;
  ASSERT_FALSE(places.unseen_pose);
  ASSERT_LE(places.stands.size(), harder.stands.size());
  if (harder.stands.size() == 1) {
    ASSERT_LE(places.stands[0].off_path, harder.stands[0].off_path + InMetres(0.31));
  }
}

SpotterQuestion WithMoreRoom(SpotterQuestion question) {
  question.room += InMetres(0.5);
  return question;
}

TEST(SpotterPlace, OnePlaceSeesTheWholeStraightWay) {
  const SpotterQuestion question = Usual();
  const SpotterPlaces places = Answer(question);
  ASSERT_EQ(places.stands.size(), 1u);
  EXPECT_FALSE(places.unseen_pose);
  EXPECT_EQ(places.verdict, Verdict::kClear);
  EXPECT_EQ(places.stands[0].to_pose, 20u);
  Check(question, places.stands[0]);
  EXPECT_EQ(DriversLine(places, UnitSystem::kUs).substr(0, 6), "STAND ");
  EXPECT_EQ(DriversLine(places, UnitSystem::kUs, "12 ft past door-1"),
            "STAND 12 ft past door-1: seen all the way");
}

// Ten yards are asked for, and the person's room beyond them: it is no farther off than that and
// what the search and round corners give away, although the ground goes on for 20 m and more.
TEST(SpotterPlace, TheNearestToThePathIsTaken) {
  const SpotterQuestion question = Usual();
  const SpotterPlaces places = Answer(question);
  ASSERT_EQ(places.stands.size(), 1u);
  const SpotterStand& stand = places.stands[0];
  EXPECT_GE(stand.off_path, question.standoff + question.room);
  EXPECT_LE(stand.off_path, question.standoff * 1.0014 + question.room + InMetres(0.3));
  EXPECT_NEAR(stand.off_path.metres(), question.swept.DistanceTo(stand.at)->metres(), 1e-9);
  // From the eye at either end of the way.
  double farthest_m = 0;
  for (const Pose& pose : {question.sight.poses.front(), question.sight.poses.back()})
    farthest_m = std::max(farthest_m, LengthM(stand.at - FromPose(pose, 1.5, 0.4)));
  EXPECT_NEAR(stand.farthest.metres(), farthest_m, 1e-9);
}

// The ground to stand on lies wholly behind a wall; and where the wall ends a metre from its edge,
// there is a place, and no line to it passes the wall.
TEST(SpotterPlace, NobodyIsSeenThroughAWall) {
  SpotterQuestion question = Usual();
  question.ground = Of(Box({-2, 12}, {16, 15}));
  EXPECT_EQ(Answer(question).verdict, Verdict::kClear);
  question.sight.opaque = {Box({-30, 6}, {40, 6.3})};
  const SpotterPlaces none = Answer(question);
  EXPECT_EQ(none.verdict, Verdict::kConflict);
  EXPECT_EQ(none.unseen_pose, 0u);
  question.sight.opaque = {Box({10, 3}, {40, 3.3})};
  const SpotterPlaces beside = Answer(question);
  ASSERT_EQ(beside.verdict, Verdict::kClear) << "left of the wall's end is sight";
  Check(question, beside.stands[0]);
}

// A post 20 cm thick hides whoever stands behind it at some instant, also between two poses.
TEST(SpotterPlace, APostHidesOnlyWhoStandsBehindIt) {
  SpotterQuestion question = Usual();
  question.sight.opaque = {Box({5, 4}, {5.2, 4.2})};
  const SpotterPlaces places = Answer(question);
  ASSERT_EQ(places.verdict, Verdict::kClear);
  Check(question, places.stands[0]);
  // From x 1.5 to x 11.5 the eye draws the post's shadow over y 13 from x 12.7 to x -8.9.
  question.ground = Of(Box({-6, 11.5}, {10, 14}));
  EXPECT_EQ(Answer(question).verdict, Verdict::kConflict);
}

// The eye is a metre to either side of the middle, nobody knows where. A post hides from the middle
// what it hides from neither end.
TEST(SpotterPlace, APostBetweenTwoPossibleEyesHides) {
  SpotterQuestion question = Usual();
  question.sight.zones = {Zone({.eye = {0, -1}}), Zone({.eye = {0, 1}})};
  question.sight.poses = {{}, {}};
  question.swept = Of(Box({-1.5, -1.25}, {1.5, 1.25}));
  question.ground = Of(Box({19, -0.8}, {20.6, 0.8}));
  EXPECT_EQ(Answer(question).verdict, Verdict::kClear);
  const Ring post = Box({5, -0.05}, {5.1, 0.05});
  for (const Point eye : {Point{0, -1}, Point{0, 1}}) {
    for (const Point corner : Box({19, -0.8}, {20.6, 0.8}))
      ASSERT_FALSE(Crosses(post, eye, corner)) << "the test is about the eyes between";
  }
  question.sight.opaque = {post};
  EXPECT_EQ(Answer(question).verdict, Verdict::kConflict);
}

TEST(SpotterPlace, TheSameQuestionHasTheSameAnswer) {
  const SpotterPlaces once = Answer(Usual());
  const SpotterPlaces again = Answer(Usual());
  EXPECT_EQ(once.stands[0].at, again.stands[0].at);
}

// A skid turn on the spot by half a turn, with sight of 60 degrees to either side alone: no place
// is seen all the way, and two are the fewest.
SpotterQuestion HalfTurn() {
  SpotterQuestion question = Usual();
  question.sight.zones.front() = Zone({.masks = {{.from = Degrees(60), .to = Degrees(300)}}});
  question.swept = Region::Around({{0, 0}}, InMetres(4)).value();
  question.ground = Of(Box({-30, -30}, {30, 30}));
  question.sight.poses.clear();
  for (int step = 0; step <= 36; ++step)
    question.sight.poses.push_back({.at = {}, .heading_rad = step * 5 * kPi / 180});
  return question;
}

TEST(SpotterPlace, TheFewestPlacesWhereOneDoesNotDo) {
  const SpotterQuestion question = HalfTurn();
  const SpotterPlaces places = Answer(question);
  ASSERT_EQ(places.stands.size(), 2u);
  EXPECT_FALSE(places.unseen_pose);
  EXPECT_EQ(places.verdict, Verdict::kConflict);
  EXPECT_EQ(places.stands[0].from_pose, 0u);
  EXPECT_EQ(places.stands[1].from_pose, places.stands[0].to_pose) << "seen at both while walking";
  EXPECT_EQ(places.stands[1].to_pose, 36u);
  EXPECT_GE(places.stands[0].to_pose, 17u);  // 85 of 120 degrees, less the room and half steps
  for (const SpotterStand& stand : places.stands) Check(question, stand);
  EXPECT_EQ(DriversLine(places, UnitSystem::kUs), "2 PLACES: hold while the spotter walks");
}

TEST(SpotterPlace, NoPlaceWhereNothingIsSeenOrNoGroundIsLeft) {
  SpotterQuestion question = Usual();
  question.sight.zones.front() = Zone({.masks = {{.from = Degrees(0), .to = Degrees(360)}}});
  SpotterPlaces places = Answer(question);
  EXPECT_TRUE(places.stands.empty());
  EXPECT_EQ(places.unseen_pose, 0u);
  EXPECT_EQ(places.verdict, Verdict::kConflict);
  EXPECT_EQ(DriversLine(places, UnitSystem::kUs), "NO PLACE: spotter unseen at step 1");
  question = Usual();
  question.ground = Of(Box({-5, -8}, {20, 8}));  // all within the standoff
  EXPECT_EQ(Answer(question).unseen_pose, 0u);
  question = Usual();
  question.ground = Of(Box({-30, 12}, {40, 12.9}));  // a strip too narrow for a person's room
  EXPECT_EQ(Answer(question).unseen_pose, 0u);
}

TEST(SpotterPlace, LostAtOneStepIsSaidWithTheStep) {
  SpotterQuestion question = HalfTurn();
  // Little by little, and then about face at once: who is seen before is not seen after.
  question.sight.poses.clear();
  for (const double heading : {0.0, 0.01, 0.02, 0.03, 0.03 + kPi, 0.04 + kPi})
    question.sight.poses.push_back({.at = {}, .heading_rad = heading});
  const SpotterPlaces places = Answer(question);
  EXPECT_EQ(places.verdict, Verdict::kConflict);
  ASSERT_EQ(places.stands.size(), 1u);
  EXPECT_EQ(places.stands[0].to_pose, 2u) << "half of the about-face counts before it";
  EXPECT_EQ(places.unseen_pose, 3u);
  EXPECT_EQ(DriversLine(places, UnitSystem::kUs), "NO PLACE: spotter unseen at step 4");
  EXPECT_EQ(DriversLine(places, UnitSystem::kUs, "beside door-1"),
            "NO PLACE: spotter unseen beside door-1");
}

// Half of a step may hide whoever stands within half a metre of the border of what is seen.
TEST(SpotterPlace, WhatAStepMayHideCountsAsHidden) {
  SpotterQuestion question = Usual();
  question.sight.zones = {
      Zone({.eye = {0, 0}, .masks = {{.from = Degrees(90), .to = Degrees(360)}}})};
  question.sight.poses = {{.at = {}, .heading_rad = 0}, {.at = {}, .heading_rad = 0.02}};
  question.swept = Of(Box({-1.5, -1.25}, {1.5, 1.25}));
  // Twelve metres off, and 80 cm within the first quarter turn: room for half a metre.
  question.ground = Of(Box({0.3, 11.5}, {1.6, 12.8}));
  EXPECT_EQ(Answer(question).verdict, Verdict::kClear);
  question.sight.poses.back().heading_rad = -0.1;  // half of it: 60 cm at twelve metres
  EXPECT_EQ(Answer(question).verdict, Verdict::kConflict);
  question.sight.poses.back().heading_rad = 0.02;
  question.sight.error_per_m = 0.05;
  EXPECT_EQ(Answer(question).verdict, Verdict::kConflict) << "as much from the drive's own error";
}

TEST(SpotterPlace, TheCornerIsNamedAsTheDriverHasIt) {
  const std::pair<Ring, const char*> rows[] = {{Box({12, 11}, {16, 15}), "STAND left front, "},
                                               {Box({-16, 11}, {-12, 15}), "STAND left rear, "},
                                               {Box({12, -15}, {16, -11}), "STAND right front, "},
                                               {Box({-16, -15}, {-12, -11}), "STAND right rear, "}};
  for (const auto& [box, start] : rows) {
    SpotterQuestion question = Usual();
    question.ground = Of(box);
    EXPECT_TRUE(DriversLine(Answer(question), UnitSystem::kUs).starts_with(start)) << start;
  }
}

TEST(SpotterPlace, EveryInputOutOfItsDomainIsNamed) {
  const double nan = std::numeric_limits<double>::quiet_NaN();
  const std::pair<const char*, std::function<void(SpotterQuestion&)>> rows[] = {
      {"poses", [](auto& at) { at.sight.poses.clear(); }},
      {"poses", [](auto& at) { at.sight.poses.resize(10'001); }},
      {"poses", [=](auto& at) { at.sight.poses[3].at.x_m = nan; }},
      {"poses", [=](auto& at) { at.sight.poses[3].at.y_m = nan; }},
      {"poses", [=](auto& at) { at.sight.poses[3].heading_rad = nan; }},
      {"poses", [](auto& at) { at.sight.poses[3].at.y_m = 2e5; }},
      {"standoff", [](auto& at) { at.standoff = Metres(); }},
      {"standoff", [](auto& at) { at.standoff = Feet(-30); }},
      {"standoff", [](auto& at) { at.standoff = InMetres(201); }},
      {"room", [](auto& at) { at.room = Metres(); }},
      {"room", [](auto& at) { at.room = InMetres(-1); }},
      {"room", [](auto& at) { at.room = InMetres(11); }},
      {"zones", [](auto& at) { at.sight.zones.clear(); }},
      {"zones", [](auto& at) { at.sight.zones.resize(3, at.sight.zones.front()); }},
      {"zones", [](auto& at) { at.sight.zones = {BlindZone()}; }},
      {"opaque",
       [](auto& at) {
         at.sight.opaque = {{{0, 0}, {1, 1}}};
       }},
      {"opaque",
       [=](auto& at) {
         at.sight.opaque = {{{0, 0}, {1, nan}, {2, 0}}};
       }},
      {"opaque",
       [](auto& at) {
         at.sight.opaque.resize(1'001, Box({30, 30}, {31, 31}));
       }},
      {"place error", [](auto& at) { at.sight.place_error = InMetres(-1); }},
      {"place error", [=](auto& at) { at.sight.error_per_m = nan; }},
      {"swept", [](auto& at) { at.swept = Region(); }},
      {"ground", [](auto& at) { at.ground = Region(); }},
  };
  for (const auto& [input, set] : rows) {
    SpotterQuestion question = Usual();
    set(question);
    const auto result = PlacesForSpotter(question);
    ASSERT_FALSE(result) << input;
    EXPECT_EQ(result.error().input, input);
    EXPECT_FALSE(result.error().right.empty());
  }
}

double Share(uint16_t number) { return number / 65535.0; }

SpotterQuestion Random(uint16_t from, uint16_t span, uint16_t turn, uint16_t where) {
  SpotterQuestion question = Usual();
  const Angle begin = Degrees(360 * Share(from));
  question.sight.zones.front() = Zone(
      {.masks = {{.from = begin - Degrees(360), .to = begin - Degrees(359 - 250 * Share(span))}}});
  question.sight.poses.clear();
  Pose pose = {.at = {}, .heading_rad = 6 * Share(where)};
  Line driven;
  for (int step = 0; step <= 12; ++step) {
    question.sight.poses.push_back(pose);
    driven.push_back(pose.at);
    pose.heading_rad += 0.3 * (Share(turn) - 0.5);
    pose.at = pose.at + 0.6 * Unit(pose.heading_rad);
  }
  question.swept = Region::Around(driven, InMetres(3)).value();
  question.ground = Of(Box({-25, -25}, {25, 25}));
  return question;
}

// Whatever the sight, the path and what stands about: what is answered holds, stands follow each
// other without a gap, and a larger standoff never gives a place to a way that had none.
RC_GTEST_PROP(SpotterPlace, WhatIsAnsweredHolds,
              (uint16_t from, uint16_t span, uint16_t turn, uint16_t where,
               const std::vector<std::pair<uint16_t, uint16_t>>& posts)) {
  SpotterQuestion question = Random(from, span, turn, where);
  for (const auto& [x, y] : posts) {
    const Point low = {50 * Share(x) - 25, 50 * Share(y) - 25};
    const Ring post = Box(low, low + Point{0.2 + 3 * Share(y), 0.3});
    if (*question.swept.DistanceTo(Of(post)) > Metres()) question.sight.opaque.push_back(post);
  }
  const SpotterPlaces places = Answer(question);
  size_t next = 0;
  for (const SpotterStand& stand : places.stands) {
    RC_ASSERT(stand.from_pose == next);
    next = stand.to_pose;
    Check(question, stand);
  }
  RC_ASSERT(!::testing::Test::HasFatalFailure());
  RC_ASSERT(places.unseen_pose || next == question.sight.poses.size() - 1);
  SpotterQuestion harder = WithMoreRoom(question);
  harder.standoff = question.standoff + InMetres(2);
  CheckNoWorse(places, Answer(harder));
  RC_ASSERT(!::testing::Test::HasFatalFailure());
}

// The way back passes the same poses: where one place does there, one does back, as near.
RC_GTEST_PROP(SpotterPlace, TheWayBackKeepsTheAnswer,
              (uint16_t from, uint16_t span, uint16_t turn, uint16_t where)) {
  const SpotterQuestion there = Random(from, span, turn, where);
  SpotterQuestion back = there;
  std::ranges::reverse(back.sight.poses);
  CheckNoWorse(Answer(back), Answer(WithMoreRoom(there)));
  CheckNoWorse(Answer(there), Answer(WithMoreRoom(back)));
  RC_ASSERT(!::testing::Test::HasFatalFailure());
}

// Left for right: a yard seen in a mirror has the mirrored answer.
RC_GTEST_PROP(SpotterPlace, AMirrorChangesNothing,
              (uint16_t from, uint16_t span, uint16_t turn, uint16_t where)) {
  const SpotterQuestion question = Random(from, span, turn, where);
  const Angle begin = Degrees(360 * Share(from));
  SpotterQuestion mirrored = question;
  mirrored.sight.zones = {Zone(
      {.eye = {1.5, -0.4},
       .masks = {{.from = Degrees(359 - 250 * Share(span)) - begin, .to = Degrees(360) - begin}}})};
  Line driven;
  for (Pose& pose : mirrored.sight.poses) {
    pose = {.at = {pose.at.x_m, -pose.at.y_m}, .heading_rad = -pose.heading_rad};
    driven.push_back(pose.at);
  }
  mirrored.swept = Region::Around(driven, InMetres(3)).value();
  CheckNoWorse(Answer(mirrored), Answer(WithMoreRoom(question)));
  CheckNoWorse(Answer(question), Answer(WithMoreRoom(mirrored)));
  RC_ASSERT(!::testing::Test::HasFatalFailure());
}

// Turning and moving the whole yard turns and moves the answer, but for which of equal places.
RC_GTEST_PROP(SpotterPlace, MovingTheYardKeepsTheAnswer, (uint16_t turn, uint16_t away)) {
  const SpotterQuestion question = HalfTurn();
  const Pose moved = {.at = {1000 * Share(away), -500 * Share(turn)},
                      .heading_rad = 6.28 * Share(turn)};
  const auto move = [&](Ring ring) {
    for (Point& point : ring) point = FromPose(moved, point.x_m, point.y_m);
    return ring;
  };
  SpotterQuestion there = question;
  for (Pose& pose : there.sight.poses) {
    pose.at = FromPose(moved, pose.at.x_m, pose.at.y_m);
    pose.heading_rad += moved.heading_rad;
  }
  there.swept = Region::Around({moved.at}, InMetres(4)).value();
  there.ground = Of(move(Box({-30, -30}, {30, 30})));
  CheckNoWorse(Answer(there), Answer(WithMoreRoom(question)));
  CheckNoWorse(Answer(question), Answer(WithMoreRoom(there)));
  RC_ASSERT(!::testing::Test::HasFatalFailure());
}

}  // namespace
}  // namespace chockwise::fit
