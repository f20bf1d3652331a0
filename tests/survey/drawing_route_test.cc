// The drawing of the way that was found, and of what would have to change for one.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "services/survey/drawing.h"
#include "tests/survey/demo_yard.h"
#include "tests/survey/well_formed.h"

namespace chockwise::survey {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

struct Drawn {
  SearchedRoute searched;
  PlanDrawing plan;
  std::string svg;
};

Drawn Draw(const yard::Yard& yard, const Trip& trip, const RouteAsked& limits = {}) {
  auto searched = SearchOf(At(yard), trip, limits);
  if (!searched) throw std::runtime_error(searched.error().Text());
  PlanDrawing plan = PlanOf(At(yard), trip, *searched);
  std::string svg = PlanSvg(plan);
  EXPECT_TRUE(IsWellFormed(svg));
  EXPECT_THAT(svg, Not(HasSubstr("nan")));
  EXPECT_THAT(svg, Not(HasSubstr("inf,")));
  return {.searched = std::move(*searched), .plan = std::move(plan), .svg = std::move(svg)};
}

double LengthOf(const std::vector<fit::Line>& lines) {
  double length_m = 0;
  for (const fit::Line& line : lines) {
    for (size_t i = 1; i < line.size(); ++i) length_m += fit::LengthM(line[i] - line[i - 1]);
  }
  return length_m;
}

fit::Point PlaceOnPlane(const yard::Yard& yard, const char* place) {
  return OnPlane(PlaneOf(yard), yard.places.at(yard::PlaceId(place)).position);
}
fit::Point DoorOnPlane(const yard::Yard& yard, const char* id) {
  return OnPlane(PlaneOf(yard), yard.doors.at(yard::DoorId(id)).position);
}

void ExpectNear(fit::Point a, fit::Point b, double off_m) {
  EXPECT_LE(fit::LengthM(a - b), off_m)
      << a.x_m << ", " << a.y_m << " and " << b.x_m << ", " << b.y_m;
}

TEST(RouteSvg, ShowsTheWayWithItsTurnsAndHoldPoints) {
  const yard::Yard yard = DemoYard();
  const Drawn drawn = Draw(yard, TripOf("ST-101", "s1-bay-1", "wash-pad"));
  ASSERT_TRUE(drawn.searched.found.route) << drawn.plan.titles.line;
  EXPECT_TRUE(drawn.plan.backed.empty());
  EXPECT_TRUE(drawn.plan.changes.empty());
  // Slopes make the map's length the longer one, by little.
  EXPECT_NEAR(LengthOf(drawn.plan.route), drawn.searched.found.route->length.metres(), 0.5);
  ExpectNear(drawn.plan.route.front().front(), PlaceOnPlane(yard, "s1-bay-1"), 0.5);
  ExpectNear(drawn.plan.route.back().back(), PlaceOnPlane(yard, "wash-pad"), 0.5);
  for (const char* word :
       {"ST-101 from s1-bay-1 to wash-pad", "GO: ", ">from s1-bay-1<", ">to wash-pad<",
        "2026-11-24", "way that it fits", "A drawing, not a release."})
    EXPECT_THAT(drawn.svg, HasSubstr(word));
  EXPECT_THAT(drawn.svg, Not(HasSubstr("what would have to change")));
  EXPECT_THAT(drawn.svg, Not(HasSubstr("in reverse")));
  EXPECT_FALSE(drawn.plan.turns.empty());
  for (const fit::Point turn : drawn.plan.turns) {
    EXPECT_TRUE(std::ranges::any_of(yard.places, [&](const auto& place) {
      return fit::LengthM(OnPlane(PlaneOf(yard), place.second.position) - turn) < 0.5;
    })) << "lanes meet at places";
  }
  EXPECT_THAT(drawn.svg, HasSubstr("turns on to another lane"));
}

TEST(RouteSvg, HoldPointsAreThoseOfTheWayAlone) {
  const yard::Yard yard = DemoYard();
  const Drawn drawn = Draw(yard, TripOf("ST-101", "s1-bay-1", "wash-pad"));
  ASSERT_TRUE(drawn.searched.found.route) << drawn.plan.titles.line;
  std::vector<std::string> expected, shown;
  for (const yard::LaneId& lane : LanesOf(drawn.searched, *drawn.searched.found.route)) {
    for (const auto& [id, hold] : yard.hold_points)
      if (hold.lane == lane) expected.push_back(id.value());
  }
  for (const NamedPoint& hold : drawn.plan.hold_points) shown.push_back(hold.name);
  EXPECT_FALSE(expected.empty());
  EXPECT_THAT(shown, ::testing::UnorderedElementsAreArray(expected));
  EXPECT_THAT(drawn.svg, HasSubstr(">hold point<"));
}

TEST(RouteSvg, WhatIsDrivenInReverseIsDashedAndTheReversalMarked) {
  const yard::Yard yard = DemoYard();
  const Drawn drawn = Draw(yard, TripOf("ST-104", "s1-bay-2", "s1-bay-3"));
  ASSERT_TRUE(drawn.searched.found.route) << drawn.plan.titles.line;
  const fit::FittingRoute& route = *drawn.searched.found.route;
  ASSERT_GE(route.reversals, 1);
  EXPECT_EQ(drawn.plan.reversals.size(), static_cast<size_t>(route.reversals));
  ASSERT_FALSE(drawn.plan.backed.empty());
  double backed_m = 0;
  for (const fit::RouteLeg& leg : route.legs) {
    if (leg.facing == fit::LaneFacing::kTailFirst)
      backed_m += drawn.searched.question.lanes[leg.lane].length.metres();
  }
  EXPECT_NEAR(LengthOf(drawn.plan.backed), backed_m, 0.5);
  // It changes direction where one of the lines ends and the next begins.
  for (const NamedPoint& reversal : drawn.plan.reversals) {
    const auto ends_here = [&](const fit::Line& line) {
      return fit::LengthM(line.back() - reversal.at) < 0.01;
    };
    EXPECT_TRUE(std::ranges::any_of(drawn.plan.route, ends_here) ||
                std::ranges::any_of(drawn.plan.backed, ends_here));
    EXPECT_THAT(drawn.svg, HasSubstr(reversal.name));
  }
  EXPECT_THAT(drawn.svg, HasSubstr("stroke-dasharray=\"9,5\""));
  EXPECT_THAT(drawn.svg, HasSubstr("way that it fits, in reverse"));
  EXPECT_THAT(drawn.svg, HasSubstr("changes to reversing or back"));
}

/// What there and back share is drawn beside itself, so that neither hides the other.
TEST(RouteSvg, ThereAndBackOverOneLaneAreTwoLines) {
  PlanDrawing plan;
  plan.route = {{{0, 0}, {20, 0}}};
  plan.backed = {{{20, 0}, {0, 0}}};
  const std::string svg = PlanSvg(plan);
  const auto height_at = [&](size_t from) {
    const size_t comma = svg.find(',', svg.find("d=\"M", from));
    return std::stod(svg.substr(comma + 1));
  };
  const size_t full = svg.find("stroke-width=\"2.5\"");
  ASSERT_NE(full, std::string::npos);
  const size_t dashed = svg.find("stroke-dasharray=\"9,5\"");
  ASSERT_NE(dashed, std::string::npos);
  EXPECT_GT(std::abs(height_at(svg.rfind("<path", full)) - height_at(svg.rfind("<path", dashed))),
            5);
}

TEST(RouteSvg, NoWayMarksTheOneThingThatWouldHaveToChangeWithItsNumber) {
  yard::Yard yard = DemoYard();
  ChangeReading(yard, "door-1", "clear-height", fit::Feet(10) + fit::Inches(10));
  const Drawn drawn = Draw(yard, TripOf("ST-102", "s1-bay-1", "s1-apron"));
  ASSERT_FALSE(drawn.searched.found.route);
  ASSERT_EQ(drawn.plan.changes.size(), 1u);
  const NamedPoint& change = drawn.plan.changes.front();
  EXPECT_EQ(change.name, Text(drawn.searched.found.changes.front(), fit::UnitSystem::kUs));
  EXPECT_THAT(change.name, HasSubstr("in short of height"));
  ExpectNear(change.at, DoorOnPlane(yard, "door-1"), 0.01);
  EXPECT_FALSE(drawn.plan.route.empty()) << "the way that it opens";
  for (const std::string& word : {change.name, std::string("NO WAY: "), std::string("way it opens"),
                                  std::string("what would have to change")})
    EXPECT_THAT(drawn.svg, HasSubstr(word));
}

/// By 4 in.
fit::LaneShort ShortAt(std::string lane, fit::LaneLimit limit, std::string at) {
  fit::LaneShort change;
  change.lane_id = std::move(lane);
  change.limit = limit;
  change.at = std::move(at);
  change.length = fit::Inches(4);
  return change;
}

/// Each where it is on the map: a wall beside the lane, a turn where two lanes meet, a wire where
/// it hangs, ground in the middle of its lane.
TEST(RouteSvg, EachSortOfObstacleIsMarkedWhereItIs) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("WL-402", "wash-pad", "ready-line");
  auto searched = SearchOf(At(yard), trip, {});
  ASSERT_TRUE(searched) << searched.error().Text();
  const auto marked = [&](const fit::LaneShort& change) {
    SearchedRoute refused = *searched;
    refused.found.route.reset();
    refused.found.changes = {change};
    const PlanDrawing plan = PlanOf(At(yard), trip, refused);
    EXPECT_EQ(plan.changes.size(), 1u);
    return plan.changes.front().at;
  };
  const yard::Overhead& wire = yard.overheads.at(yard::OverheadId("ring-wire"));
  ExpectNear(marked(ShortAt(wire.lane.value(), fit::LaneLimit::kWire, "ring-wire")),
             PointOn(PlaneOf(yard), yard.lanes.at(wire.lane), wire.along).at, 0.01);
  const auto& [wall_id, wall] = *yard.obstacles.begin();
  const fit::Ring ring = RingOf(PlaneOf(yard), wall.rings.front());
  const fit::Point beside = marked(ShortAt("ring-way", fit::LaneLimit::kBeside, wall_id.value()));
  double off_m = 1e9;
  for (size_t i = 0; i < ring.size(); ++i) {
    const fit::Point a = ring[i], step = ring[(i + 1) % ring.size()] - a;
    const double share = std::clamp(Dot(beside - a, step) / Dot(step, step), 0.0, 1.0);
    off_m = std::min(off_m, fit::LengthM(beside - (a + share * step)));
  }
  EXPECT_LT(off_m, 0.01);
  fit::LaneShort turn = ShortAt("wash-way", fit::LaneLimit::kTurn, "");
  turn.onto = 0;
  turn.onto_id = "ready-way";
  ExpectNear(marked(turn), PlaceOnPlane(yard, "yard-cross"), 0.01);
  const yard::Lane& ready = yard.lanes.at(yard::LaneId("ready-way"));
  ExpectNear(marked(ShortAt("ready-way", fit::LaneLimit::kGrade, "the map's elevations")),
             PointOn(PlaneOf(yard), ready, ready.length / 2).at, 0.01);
  ExpectNear(marked(ShortAt("bay-1-way", fit::LaneLimit::kBelow, "door-1 sill")),
             DoorOnPlane(yard, "door-1"), 0.01);
}

TEST(RouteSvg, TwoChangesAtOneSpotAreOneMark) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("ST-102", "s1-bay-1", "s1-apron");
  auto searched = SearchOf(At(yard), trip, {});
  ASSERT_TRUE(searched) << searched.error().Text();
  searched->found.route.reset();
  for (const fit::LaneLimit limit : {fit::LaneLimit::kHeight, fit::LaneLimit::kWidth}) {
    searched->found.changes.push_back(ShortAt("bay-1-way", limit, "door-1"));
  }
  const PlanDrawing plan = PlanOf(At(yard), trip, *searched);
  ASSERT_EQ(plan.changes.size(), 1u);
  EXPECT_EQ(plan.changes.front().name,
            "bay-1-way: door-1 is 4 in short of height; bay-1-way: door-1 is 4 in short of width");
}

TEST(RouteSvg, WithoutAnyWayTheYardIsDrawnAllTheSame) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("ST-102", "s1-bay-1", "s1-apron");
  auto searched = SearchOf(At(yard), trip, {});
  ASSERT_TRUE(searched) << searched.error().Text();
  searched->found = {};
  const PlanDrawing plan = PlanOf(At(yard), trip, *searched);
  EXPECT_TRUE(plan.route.empty());
  const std::string svg = PlanSvg(plan);
  EXPECT_TRUE(IsWellFormed(svg));
  EXPECT_THAT(svg, HasSubstr("NO WAY: no lanes lead there as asked"));
  EXPECT_THAT(svg, HasSubstr("other lanes"));
  EXPECT_THAT(svg, Not(HasSubstr("nan")));
}

}  // namespace
}  // namespace chockwise::survey
