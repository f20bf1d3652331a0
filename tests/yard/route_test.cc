#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <tuple>

#include "tests/yard/sample_yard.h"

namespace chockwise::yard {
namespace {

using ::testing::ElementsAre;
using ::testing::IsEmpty;

std::vector<std::string> StopIds(const Route& route) {
  std::vector<std::string> ids;
  for (const RouteStop& stop : route.stops) ids.push_back(stop.id);
  return ids;
}

TEST(Route, GoesForwardsThroughDoorsAndHoldPointsInTravelOrder) {
  const auto yard = ReadSample(SampleFiles());
  ASSERT_TRUE(yard) << ComplaintsText(yard);
  const auto route = yard->FindRoute(PlaceId("bay-1"), PlaceId("wash-pad"));
  ASSERT_TRUE(route);
  EXPECT_THAT(route->lanes, ElementsAre(LaneId("lane-1"), LaneId("lane-2")));
  EXPECT_THAT(StopIds(*route), ElementsAre("door-1", "corner"));
  EXPECT_TRUE(route->stops[0].is_door);
  EXPECT_FALSE(route->stops[1].is_door);
  EXPECT_EQ(route->stops[1].post_code, "H1");
  EXPECT_THAT(route->doors, ElementsAre(DoorId("door-1")));
  EXPECT_THAT(route->areas, ElementsAre(AreaId("exit-1")));
  EXPECT_EQ(route->length,
            yard->lanes.at(LaneId("lane-1")).length + yard->lanes.at(LaneId("lane-2")).length);
}

TEST(Route, TravelsALaneBackwardsAndMeetsItsStopsTheOtherWayRound) {
  const auto yard = ReadSample(SampleFiles());
  const auto route = yard->FindRoute(PlaceId("apron"), PlaceId("bay-1"));
  ASSERT_TRUE(route);
  EXPECT_THAT(StopIds(*route), ElementsAre("corner", "door-1"));
}

TEST(Route, DoesNotTravelAOneWayLaneBackwards) {
  const auto yard = ReadSample(SampleFiles());
  EXPECT_FALSE(yard->FindRoute(PlaceId("wash-pad"), PlaceId("apron")));
}

TEST(RouteBy, IsTheSameOverTheSameLanes) {
  const auto yard = ReadSample(SampleFiles());
  const auto found = yard->FindRoute(PlaceId("bay-1"), PlaceId("wash-pad"));
  const auto by = yard->RouteBy(PlaceId("bay-1"), {LaneId("lane-1"), LaneId("lane-2")});
  ASSERT_TRUE(found && by);
  EXPECT_EQ(by->to, PlaceId("wash-pad"));
  EXPECT_EQ(StopIds(*by), StopIds(*found));
  EXPECT_EQ(by->areas, found->areas);
  EXPECT_EQ(by->length, found->length);
}

TEST(RouteBy, IsUnsetWhereTheLanesAreNoWay) {
  const auto yard = ReadSample(SampleFiles());
  const LaneId first("lane-1"), one_way("lane-2");
  EXPECT_FALSE(yard->RouteBy(PlaceId("bay-1"), {one_way})) << "does not begin there";
  EXPECT_FALSE(yard->RouteBy(PlaceId("bay-1"), {first, LaneId("lane-9")})) << "not on the map";
  EXPECT_FALSE(yard->RouteBy(PlaceId("wash-pad"), {one_way})) << "against a one-way lane";
  EXPECT_FALSE(yard->RouteBy(PlaceId("nowhere"), {first}));
}

TEST(Route, IsUnsetForAPlaceThatIsNotThere) {
  const auto yard = ReadSample(SampleFiles());
  EXPECT_FALSE(yard->FindRoute(PlaceId("bay-1"), PlaceId("bay-2")));
  EXPECT_FALSE(yard->FindRoute(PlaceId("bay-2"), PlaceId("bay-2")));
}

TEST(Route, FromAPlaceToItselfHasNoLanesAndItsAreas) {
  auto files = SampleFiles();
  files.map_geojson = Replaced(files.map_geojson,
                               "[[[-96.0001, 41.0002], [-95.9999, 41.0002], [-95.9999, 41.0003], "
                               "[-96.0001, 41.0003], [-96.0001, 41.0002]]]",
                               "[[[-96.0001, 40.9999], [-95.9999, 40.9999], [-95.9999, 41.0001], "
                               "[-96.0001, 41.0001], [-96.0001, 40.9999]]]");
  const auto yard = ReadSample(files);
  ASSERT_TRUE(yard) << ComplaintsText(yard);
  const auto route = yard->FindRoute(PlaceId("bay-1"), PlaceId("bay-1"));
  ASSERT_TRUE(route);
  EXPECT_THAT(route->lanes, IsEmpty());
  EXPECT_THAT(route->areas, ElementsAre(AreaId("exit-1")));
}

/// A small yard of random lanes with few different lengths, so that ties are common.
Yard RandomYard(std::mt19937_64& random) {
  Yard yard;
  const int places = 2 + static_cast<int>(random() % 5);
  for (int i = 0; i < places; ++i) {
    const PlaceId id(fmt::format("p{}", i));
    yard.places[id] = {.id = id};
  }
  const int lanes = static_cast<int>(random() % 9);
  for (int i = 0; i < lanes; ++i) {
    const LaneId id(fmt::format("l{}", i));
    const PlaceId from(fmt::format("p{}", random() % static_cast<uint64_t>(places)));
    const PlaceId to(fmt::format("p{}", random() % static_cast<uint64_t>(places)));
    if (from == to) continue;
    yard.lanes[id] = {.id = id,
                      .from = from,
                      .to = to,
                      .length = fit::InMetres(static_cast<double>(1 + random() % 3) * 10),
                      .one_way = random() % 3 == 0};
  }
  return yard;
}

using Judged = std::tuple<double, size_t, std::vector<LaneId>>;

/// Every way that uses no place twice, and the best of them: slow, and plain to see right.
void TryAllWays(const Yard& yard, const PlaceId& at, const PlaceId& to, std::set<PlaceId>& been,
                std::vector<LaneId>& lanes, double length_m, std::optional<Judged>& best) {
  if (at == to) {
    const Judged way(length_m, lanes.size(), lanes);
    if (!best || way < *best) best = way;
    return;
  }
  been.insert(at);
  for (const auto& [id, lane] : yard.lanes) {
    for (const bool backwards : {false, true}) {
      if ((backwards ? lane.to : lane.from) != at || (backwards && lane.one_way)) continue;
      const PlaceId& next = backwards ? lane.from : lane.to;
      if (been.contains(next)) continue;
      lanes.push_back(id);
      TryAllWays(yard, next, to, been, lanes, length_m + lane.length.metres(), best);
      lanes.pop_back();
    }
  }
  been.erase(at);
}

TEST(RouteProperty, IsTheBestOfAllWays) {
  std::mt19937_64 random(20261124);
  int routes = 0;
  for (int round = 0; round < 3'000; ++round) {
    const Yard yard = RandomYard(random);
    for (const auto& [from, unused] : yard.places) {
      for (const auto& [to, unused_too] : yard.places) {
        std::set<PlaceId> been;
        std::vector<LaneId> lanes;
        std::optional<Judged> best;
        TryAllWays(yard, from, to, been, lanes, 0, best);
        const auto route = yard.FindRoute(from, to);
        ASSERT_EQ(route.has_value(), best.has_value());
        if (!route) continue;
        ++routes;
        ASSERT_EQ(route->lanes, std::get<2>(*best)) << "round " << round;
      }
    }
  }
  EXPECT_GT(routes, 20'000);
}

}  // namespace
}  // namespace chockwise::yard
