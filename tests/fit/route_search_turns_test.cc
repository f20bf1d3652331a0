// Turns from lane to lane, changes of direction, and what a closer look at a way found.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cmath>
#include <numbers>
#include <random>

#include "services/fit/kinematics.h"
#include "services/fit/route_search.h"

namespace chockwise::fit {
namespace {

using ::testing::ElementsAre;

/// A straight lane from one point to another.
RouteLane Straight(std::string id, std::pair<size_t, Point> from, std::pair<size_t, Point> to) {
  const Point side = to.second - from.second;
  const double length_m = LengthM(side);
  return {
      .id = std::move(id),
      .from = from.first,
      .to = to.first,
      .length = InMetres(length_m),
      .clear_height = kNothingThere,
      .clear_width = kNothingThere,
      .bend_radius = kNothingThere,
      .steepest = Percent(1),
      .rated_load = Tonnes(100),
      .at_from = LaneEnd{from.second, 1 / length_m * side, InMetres(length_m)},
      .at_to = LaneEnd{to.second, -1 / length_m * side, InMetres(length_m)},
  };
}

RouteNeeds Turning(double radius_m) {
  return {.height = InMetres(4),
          .width = InMetres(3),
          .turn_radius = InMetres(radius_m),
          .turn_radius_reversing = InMetres(radius_m),
          .length = InMetres(9),
          .most_grade = Percent(10),
          .load = Tonnes(20)};
}

FoundRoute Search(const RouteQuestion& question) {
  const Outcome<FoundRoute> found = SearchRoute(question);
  EXPECT_TRUE(found) << (found ? "" : found.error().input);
  return found ? *found : FoundRoute();
}

std::vector<std::string> WayOf(const RouteQuestion& question,
                               const std::optional<FittingRoute>& route) {
  std::vector<std::string> way;
  if (!route) return way;
  for (const RouteLeg& leg : route->legs) {
    way.push_back(question.lanes[leg.lane].id +
                  (leg.direction == RouteLeg::Direction::kAlong ? "+" : "-") +
                  (leg.facing == LaneFacing::kTailFirst ? " in reverse" : ""));
  }
  return way;
}

LaneEnd Leaving(double heading_deg, double straight_m, double bend_behind_deg = 0) {
  return {.leaves = Unit(heading_deg * std::numbers::pi / 180),
          .straight = InMetres(straight_m),
          .bend_behind = std::tan(bend_behind_deg * std::numbers::pi / 360)};
}

// An arc of radius r uses r tan(turn / 2) of both its sides: at a right angle r of each, at 60 deg
// r / sqrt(3), and it shares a side with the bend behind it.
TEST(RoomToTurn, IsWhatTheSidesHave) {
  EXPECT_NEAR(RoomToTurn(Leaving(180, 20), Leaving(90, 12)).metres(), 12, 1e-9);
  EXPECT_NEAR(RoomToTurn(Leaving(180, 5), Leaving(-90, 12)).metres(), 5, 1e-9);
  EXPECT_NEAR(RoomToTurn(Leaving(180, 20), Leaving(60, 12)).metres(), 12 * std::sqrt(3), 1e-9);
  EXPECT_NEAR(RoomToTurn(Leaving(180, 20, 90), Leaving(90, 12)).metres(), 10, 1e-9);
  EXPECT_EQ(RoomToTurn(Leaving(180, 20), Leaving(0, 12)), kNothingThere);
  EXPECT_EQ(RoomToTurn(Leaving(0, 20), Leaving(0, 12)), Metres()) << "straight back";
  LaneEnd apart = Leaving(90, 12);
  apart.at = {0.5, 0};
  EXPECT_EQ(RoomToTurn(Leaving(180, 20), apart), kNothingThere);
}

/// The drive along both lanes finds the same bend too tight.
TEST(RoomToTurn, AgreesWithTheDrive) {
  const TurningMachine truck{.steering = Steering::kFrontAxle,
                             .wheelbase = InMetres(4),
                             .most_steer = Degrees(30),
                             .boxes = {{.ahead = InMetres(5),
                                        .behind = InMetres(2),
                                        .left = InMetres(1.2),
                                        .right = InMetres(1.2)}}};
  int bends = 0, turns = 0;
  for (const Travel travel : {Travel::kForwards, Travel::kReversing}) {
    const Metres needed = LeastRadius(truck, travel);
    for (int degrees = -170; degrees <= 170; degrees += 10) {
      for (const double side_m : {3.0, 6.0, 9.0, 20.0}) {
        const Point end = 30 * Unit(degrees * std::numbers::pi / 180);
        const Line line = {{-side_m, 0}, {0, 0}, end};
        const auto driven = DriveAlong({.machine = truck, .line = line, .travel = travel});
        ASSERT_TRUE(driven);
        const Metres room = RoomToTurn(Leaving(180, side_m), Leaving(degrees, 30));
        const bool tight = driven->shortfall && driven->shortfall->what == Shortfall::What::kBend;
        EXPECT_EQ(tight, room < needed) << degrees << " deg, " << side_m << " m";
        ++(tight ? bends : turns);
      }
    }
  }
  EXPECT_GT(bends, 50);
  EXPECT_GT(turns, 50);
}

// Two bays side by side open on to one lane at right angles; a third leads on straight.
const std::pair<size_t, Point> kBay1{0, {0, 30}}, kBay2{1, {20, 30}}, kApron1{2, {0, 0}},
    kApron2{3, {20, 0}}, kGate{4, {-40, 0}}, kYard{5, {60, 0}};

RouteQuestion Bays(double radius_m) {
  RouteQuestion question{
      .places = 6,
      .lanes = {Straight("bay-1", kBay1, kApron1), Straight("bay-2", kBay2, kApron2),
                Straight("apron", kApron1, kApron2), Straight("gate", kApron1, kGate),
                Straight("yard", kApron2, kYard)},
      .from = 0,
      .to = 1,
      .needs = Turning(radius_m)};
  return question;
}

TEST(SearchRoute, TurnsOnlyWhereThereIsRoom) {
  // Both right angles share the 20 m between the aprons. Two lanes alone know of 20 m each: the
  // drive finds what is left.
  RouteQuestion question = Bays(19);
  EXPECT_THAT(WayOf(question, Search(question).route), ElementsAre("bay-1+", "apron+", "bay-2-"));
  question = Bays(21);
  // It may drive out to the gate, back to the yard and drive into the second bay.
  EXPECT_EQ(Search(question).route->reversals, 2);
  question.reversals = RouteQuestion::Reversals::kNone;
  const FoundRoute wide = Search(question);
  ASSERT_FALSE(wide.route) << DriversLine(wide, UnitSystem::kSi);
  EXPECT_EQ(wide.changes.front().limit, LaneLimit::kTurn);
  EXPECT_NEAR(wide.changes.front().length->metres(), 1, 1e-9);
}

TEST(SearchRoute, BacksInWhereTheTurnForwardsIsTooTight) {
  // From the yard into the second bay on a slant: forwards it would turn by 150 deg, in reverse,
  // from the apron side, by 30.
  RouteQuestion question = Bays(12);
  question.lanes[1] =
      Straight("bay-2", {1, kApron2.second + 30 * Unit(std::numbers::pi / 6)}, kApron2);
  question.from = 5;
  const FoundRoute found = Search(question);
  ASSERT_TRUE(found.route) << DriversLine(found, UnitSystem::kSi);
  EXPECT_THAT(WayOf(question, found.route),
              ElementsAre("yard-", "apron-", "apron+ in reverse", "bay-2- in reverse"));
  EXPECT_EQ(found.route->reversals, 1);
  // It must stand straight on the apron's lane to do so, or in the bay behind it.
  question.needs.length = InMetres(25);
  const FoundRoute longer = Search(question);
  ASSERT_TRUE(longer.route) << DriversLine(longer, UnitSystem::kSi);
  EXPECT_THAT(WayOf(question, longer.route),
              ElementsAre("yard-", "apron-", "bay-1-", "bay-1+ in reverse", "apron+ in reverse",
                          "bay-2- in reverse"));
  question.needs.length = InMetres(45);
  EXPECT_FALSE(Search(question).route);
}

TEST(SearchRoute, WhatTurnsOnTheSpotTurnsAnywhere) {
  const RouteQuestion question = Bays(0);
  EXPECT_THAT(WayOf(question, Search(question).route), ElementsAre("bay-1+", "apron+", "bay-2-"));
}

// Law 2.
TEST(SearchRoute, AnEndThatNobodyKnowsIsNotTurnedAt) {
  RouteQuestion question = Bays(12);
  question.lanes[2].at_from.reset();
  const FoundRoute found = Search(question);
  ASSERT_FALSE(found.route);
  EXPECT_EQ(Text(found.changes.front(), UnitSystem::kUs),
            "bay-1 to apron: turning radius is not known");
}

LaneShort Short(const RouteQuestion& question, size_t lane, LaneLimit limit, const char* at) {
  LaneShort one;
  one.lane = lane;
  one.lane_id = question.lanes[lane].id;
  one.limit = limit;
  one.at = at;
  one.length = InMetres(0.3);
  return one;
}

TEST(SearchRoute, WhatACloserLookFoundHoldsForThatLegAlone) {
  RouteQuestion question = Bays(12);
  const RouteLeg bay{.lane = 1, .direction = RouteLeg::Direction::kAgainst};
  question.findings = {{.over = bay, .what = Short(question, 1, LaneLimit::kBeside, "wall-1")}};
  const FoundRoute found = Search(question);
  ASSERT_TRUE(found.route) << DriversLine(found, UnitSystem::kSi);
  for (const RouteLeg& leg : found.route->legs) EXPECT_FALSE(leg == bay);
  EXPECT_EQ(found.route->legs.back().facing, LaneFacing::kTailFirst);
  // Where it may not change direction, the wall is what would have to go.
  question.depart = LaneFacing::kNoseFirst;
  question.reversals = RouteQuestion::Reversals::kNone;
  const FoundRoute none = Search(question);
  ASSERT_FALSE(none.route);
  EXPECT_EQ(DriversLine(none, UnitSystem::kSi), "NO WAY: bay-2: 0.30 m short beside wall-1");
}

TEST(SearchRoute, WhatWasFoundAtATurnHoldsForThatTurnAlone) {
  RouteQuestion question = Bays(12);
  question.reversals = RouteQuestion::Reversals::kNone;
  const RouteLeg apron{.lane = 2}, bay{.lane = 1, .direction = RouteLeg::Direction::kAgainst};
  question.findings = {
      {.over = apron, .onto = bay, .what = Short(question, 1, LaneLimit::kBeside, "post-1")}};
  const FoundRoute found = Search(question);
  ASSERT_TRUE(found.route);
  EXPECT_EQ(found.route->legs.front().facing, LaneFacing::kTailFirst);
  question.from = 5;
  EXPECT_THAT(WayOf(question, Search(question).route), ElementsAre("yard-", "bay-2-"));
}

TEST(SearchRoute, WhatIsFoundTwiceIsOneChangeAndTheMoreOfIt) {
  RouteQuestion question = Bays(12);
  question.reversals = RouteQuestion::Reversals::kNone;
  question.depart = LaneFacing::kNoseFirst;
  question.lanes[1].clear_height = InMetres(3.9);
  question.lanes[1].height_at = "door-2";
  const RouteLeg bay{.lane = 1, .direction = RouteLeg::Direction::kAgainst};
  question.findings = {{.over = bay, .what = Short(question, 1, LaneLimit::kHeight, "door-2")}};
  const FoundRoute found = Search(question);
  ASSERT_EQ(found.changes.size(), 1u);
  EXPECT_EQ(DriversLine(found, UnitSystem::kSi), "NO WAY: bay-2: door-2 is 0.30 m short of height");
}

/// A place with very many lanes is no trap: the reference of the other tests, over a star of lanes
/// in all directions, goes by its least turns.
TEST(SearchRoute, AStarOfLanesIsTurnedAtItsGentlest) {
  constexpr size_t kRays = 400;
  RouteQuestion question{.places = kRays + 1, .from = 1, .needs = Turning(15)};
  question.reversals = RouteQuestion::Reversals::kNone;
  for (size_t i = 0; i < kRays; ++i) {
    const double at_rad = 2 * std::numbers::pi * static_cast<double>(i) / kRays;
    question.lanes.push_back(
        Straight("ray-" + std::to_string(i), {0, {}}, {i + 1, 30 * Unit(at_rad)}));
  }
  // 30 m of side give 15 m of radius up to tan(turn / 2) = 2: a turn of 126.87 deg, which is 53.13
  // deg from the ray that it came by, or 59.03 of the rays.
  for (size_t to = 2; to <= kRays; ++to) {
    question.to = to;
    const size_t off = std::min(to - 1, kRays + 1 - to);
    EXPECT_EQ(Search(question).route.has_value(), off >= 60) << to;
  }
}

}  // namespace
}  // namespace chockwise::fit
