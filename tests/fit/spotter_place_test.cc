#include "services/fit/spotter_place.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <algorithm>
#include <functional>
#include <limits>
#include <numbers>

namespace chockwise::fit {
namespace {

constexpr double kPi = std::numbers::pi;

Ring Box(Point low, Point high) { return {low, {high.x_m, low.y_m}, high, {low.x_m, high.y_m}}; }

/// Sees all round beyond some metres; a mask takes what a test wants to take.
BlindZone Zone(const std::vector<Mask>& masks, Point eye = {1.5, 0.4}) {
  const SideSill side = {InMetres(1), InMetres(1.6)};
  return BlindZoneOf({.seat = {.eye = eye,
                               .eye_height = InMetres(2.5),
                               .sills = SillsOfSides(
                                   eye, {.front = side, .left = side, .rear = side, .right = side}),
                               .masks = masks},
                      .object_height = InMetres(1.2),
                      .reach = InMetres(30),
                      .reading_error = Metres()})
      .value();
}

Region Of(const Ring& ring) { return Region::From({.outer = ring}).value(); }

/// Ten metres straight along x in steps of half a metre.
SpotterQuestion Usual() {
  SpotterQuestion question = {.poses = {},
                              .zone = Zone({}),
                              .swept = Of(Box({-1.5, -1.25}, {15, 1.25})),
                              .standoff = kGroundGuideStandoff,
                              .ground = Of(Box({-30, -20}, {40, 25})),
                              .room = InMetres(0.5)};
  for (int step = 0; step <= 20; ++step)
    question.poses.push_back({.at = {0.5 * step, 0}, .heading_rad = 0});
  return question;
}

SpotterPlaces Answer(const SpotterQuestion& question) { return PlacesForSpotter(question).value(); }

Point InMachineFrame(const Pose& pose, Point point) {
  const Point along = Unit(pose.heading_rad);
  return {Dot(along, point - pose.at), Cross(along, point - pose.at)};
}

bool Seen(const SpotterQuestion& question, size_t pose, Point point) {
  return !Hides(question.zone, InMachineFrame(question.poses[pose], point));
}

/// A stand is what it says, by the exact predicates: seen from all its poses with its whole
/// clearance around it, off the swept ground, and on the yard's.
void Check(const SpotterQuestion& question, const SpotterStand& stand) {
  ASSERT_GE(stand.clearance, question.room);
  for (int turn = 0; turn < 16; ++turn) {
    const Point around = stand.at + (stand.clearance.metres() * (1 - 1e-6)) * Unit(turn * kPi / 8);
    for (Point point : {stand.at, around}) {
      ASSERT_TRUE(question.ground.Contains(point));
      ASSERT_GE(*question.swept.DistanceTo(point), question.standoff);
      for (size_t pose = stand.from_pose; pose <= stand.to_pose; ++pose)
        ASSERT_TRUE(Seen(question, pose, point)) << pose;
    }
  }
}

TEST(SpotterPlace, OnePlaceSeesTheWholeStraightWay) {
  const SpotterQuestion question = Usual();
  const SpotterPlaces places = Answer(question);
  ASSERT_EQ(places.stands.size(), 1u);
  EXPECT_FALSE(places.unseen_pose);
  EXPECT_EQ(places.verdict, Verdict::kClear);
  EXPECT_EQ(places.stands[0].to_pose, 20u);
  EXPECT_NEAR(places.stands[0].error.metres(), 0.25, 1e-12);  // half of half a metre
  Check(question, places.stands[0]);
  EXPECT_EQ(DriversLine(places, UnitSystem::kUs).substr(0, 6), "STAND ");
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
  question.zone = Zone({{.from = Degrees(60), .to = Degrees(300)}});
  question.swept = Region::Around({{0, 0}}, InMetres(4)).value();
  question.ground = Of(Box({-30, -30}, {30, 30}));
  question.poses.clear();
  for (int step = 0; step <= 36; ++step)
    question.poses.push_back({.at = {}, .heading_rad = step * 5 * kPi / 180});
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
  EXPECT_GE(places.stands[0].to_pose, 22u);  // 110 of the 120 degrees that it could be
  for (const SpotterStand& stand : places.stands) Check(question, stand);
  EXPECT_EQ(DriversLine(places, UnitSystem::kUs), "2 PLACES: hold while the spotter walks");
}

TEST(SpotterPlace, NoPlaceWhereNothingIsSeenOrNoGroundIsLeft) {
  SpotterQuestion question = Usual();
  question.zone = Zone({{.from = Degrees(0), .to = Degrees(360)}});
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
  question.poses = {{.at = {}, .heading_rad = 0}, {.at = {}, .heading_rad = kPi}};
  const SpotterPlaces places = Answer(question);
  EXPECT_EQ(places.unseen_pose, 1u);
  EXPECT_EQ(DriversLine(places, UnitSystem::kUs), "NO PLACE: spotter unseen at step 2");
}

TEST(SpotterPlace, StepsThatAreTooLongAreUndecided) {
  SpotterQuestion question = Usual();
  question.ground = Of(Box({-30, 12}, {40, 13.4}));  // 0.7 m around the best stand
  EXPECT_EQ(Answer(question).verdict, Verdict::kClear);
  question.poses = {question.poses.front(), question.poses[4]};  // 2 m a step
  const SpotterPlaces places = Answer(question);
  EXPECT_EQ(places.verdict, Verdict::kUndecided);
  EXPECT_NE(DriversLine(places, UnitSystem::kUs).find("sight not sure"), std::string::npos);
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
      {"poses", [](auto& at) { at.poses.clear(); }},
      {"poses", [](auto& at) { at.poses.resize(10'001); }},
      {"poses", [=](auto& at) { at.poses[3].at.x_m = nan; }},
      {"poses", [=](auto& at) { at.poses[3].at.y_m = nan; }},
      {"poses", [=](auto& at) { at.poses[3].heading_rad = nan; }},
      {"poses", [](auto& at) { at.poses[3].at.y_m = 2e5; }},
      {"standoff", [](auto& at) { at.standoff = Metres(); }},
      {"standoff", [](auto& at) { at.standoff = Feet(-30); }},
      {"standoff", [](auto& at) { at.standoff = InMetres(201); }},
      {"room", [](auto& at) { at.room = Metres(); }},
      {"room", [](auto& at) { at.room = InMetres(-1); }},
      {"room", [](auto& at) { at.room = InMetres(11); }},
      {"zone", [](auto& at) { at.zone = BlindZone(); }},
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
  question.zone =
      Zone({{.from = begin - Degrees(360), .to = begin - Degrees(359 - 250 * Share(span))}});
  question.poses.clear();
  Pose pose = {.at = {}, .heading_rad = 6 * Share(where)};
  Line driven;
  for (int step = 0; step <= 12; ++step) {
    question.poses.push_back(pose);
    driven.push_back(pose.at);
    pose.heading_rad += 0.3 * (Share(turn) - 0.5);
    pose.at = pose.at + 0.6 * Unit(pose.heading_rad);
  }
  question.swept = Region::Around(driven, InMetres(3)).value();
  question.ground = Of(Box({-25, -25}, {25, 25}));
  return question;
}

// Whatever the sight and the path: what is answered holds, stands follow each other without a gap,
// and a larger standoff or less ground never gives a place to a way that had none.
RC_GTEST_PROP(SpotterPlace, WhatIsAnsweredHolds,
              (uint16_t from, uint16_t span, uint16_t turn, uint16_t where)) {
  const SpotterQuestion question = Random(from, span, turn, where);
  const SpotterPlaces places = Answer(question);
  size_t next = 0;
  for (const SpotterStand& stand : places.stands) {
    RC_ASSERT(stand.from_pose == next);
    next = stand.to_pose;
    Check(question, stand);
  }
  RC_ASSERT(!::testing::Test::HasFatalFailure());
  RC_ASSERT(places.unseen_pose || next == question.poses.size() - 1);
  SpotterQuestion harder = question;
  harder.standoff = question.standoff + InMetres(2);
  const SpotterPlaces fewer = Answer(harder);
  if (places.unseen_pose) RC_ASSERT(fewer.unseen_pose.has_value());
  if (!fewer.unseen_pose) RC_ASSERT(fewer.stands.size() >= places.stands.size());
}

// The way back passes the same poses: the same places do, in the other order.
RC_GTEST_PROP(SpotterPlace, TheWayBackKeepsTheAnswer,
              (uint16_t from, uint16_t span, uint16_t turn, uint16_t where)) {
  const SpotterQuestion there = Random(from, span, turn, where);
  SpotterQuestion back = there;
  std::ranges::reverse(back.poses);
  const SpotterPlaces a = Answer(there);
  const SpotterPlaces b = Answer(back);
  RC_ASSERT(a.unseen_pose.has_value() == b.unseen_pose.has_value());
  if (a.unseen_pose) return;
  RC_ASSERT(a.stands.size() == b.stands.size());
  RC_ASSERT(a.verdict == b.verdict);
  if (a.stands.size() == 1)
    RC_ASSERT(std::abs((a.stands[0].clearance - b.stands[0].clearance).metres()) < 0.011);
}

// Left for right: a yard seen in a mirror has the mirrored answer.
RC_GTEST_PROP(SpotterPlace, AMirrorChangesNothing,
              (uint16_t from, uint16_t span, uint16_t turn, uint16_t where)) {
  const SpotterQuestion question = Random(from, span, turn, where);
  const Angle begin = Degrees(360 * Share(from));
  SpotterQuestion mirrored = question;
  mirrored.zone =
      Zone({{.from = Degrees(359 - 250 * Share(span)) - begin, .to = Degrees(360) - begin}},
           {1.5, -0.4});
  Line driven;
  for (Pose& pose : mirrored.poses) {
    pose = {.at = {pose.at.x_m, -pose.at.y_m}, .heading_rad = -pose.heading_rad};
    driven.push_back(pose.at);
  }
  mirrored.swept = Region::Around(driven, InMetres(3)).value();
  const SpotterPlaces a = Answer(question);
  const SpotterPlaces b = Answer(mirrored);
  RC_ASSERT(a.unseen_pose == b.unseen_pose);
  RC_ASSERT(a.stands.size() == b.stands.size());
  for (size_t i = 0; i < a.stands.size(); ++i) {
    RC_ASSERT(a.stands[i].to_pose == b.stands[i].to_pose);
    RC_ASSERT(std::abs((a.stands[i].clearance - b.stands[i].clearance).metres()) < 0.05);
  }
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
  for (Pose& pose : there.poses) {
    pose.at = FromPose(moved, pose.at.x_m, pose.at.y_m);
    pose.heading_rad += moved.heading_rad;
  }
  there.swept = Region::Around({moved.at}, InMetres(4)).value();
  there.ground = Of(move(Box({-30, -30}, {30, 30})));
  const SpotterPlaces a = Answer(question);
  const SpotterPlaces b = Answer(there);
  RC_ASSERT(a.stands.size() == b.stands.size());
  for (size_t at = 0; at < a.stands.size(); ++at) {
    RC_ASSERT(std::abs((a.stands[at].clearance - b.stands[at].clearance).metres()) < 0.05);
    RC_ASSERT(a.stands[at].to_pose == b.stands[at].to_pose);
  }
}

}  // namespace
}  // namespace chockwise::fit
