#include "services/fit/route_search.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <array>
#include <functional>
#include <map>
#include <random>
#include <tuple>

namespace chockwise::fit {
namespace {

/// Ends that lie apart from all others: no turn there is limited.
LaneEnd Apart() {
  static double far_m = 0;
  return {.at = {far_m += 100, 0}, .leaves = {1, 0}, .straight = InMetres(1)};
}

RouteLane Lane(size_t from, size_t to, double length_m) {
  return {.id = "lane-" + std::to_string(from) + "-" + std::to_string(to),
          .from = from,
          .to = to,
          .length = InMetres(length_m),
          .clear_height = Feet(14),
          .clear_width = Feet(12),
          .bend_radius = Feet(60),
          .steepest = Percent(5),
          .rated_load = Pounds(80'000),
          .at_from = Apart(),
          .at_to = Apart()};
}

RouteNeeds Needs() {
  return {.height = Feet(13.5),
          .width = Feet(9),
          .turn_radius = Feet(41),
          .turn_radius_reversing = Feet(38),
          .most_grade = Percent(10),
          .load = Pounds(60'000)};
}

FoundRoute Search(const RouteQuestion& question) {
  const Outcome<FoundRoute> found = SearchRoute(question);
  EXPECT_TRUE(found) << (found ? "" : found.error().input);
  return found ? *found : FoundRoute();
}

std::vector<size_t> LanesOf(const FittingRoute& route) {
  std::vector<size_t> lanes;
  for (const RouteLeg& leg : route.legs) lanes.push_back(leg.lane);
  return lanes;
}

/// 0 - 1 - 3 (20 m) and 0 - 2 - 3 (30 m).
RouteQuestion Diamond() {
  return {.places = 4,
          .lanes = {Lane(0, 1, 10), Lane(1, 3, 10), Lane(0, 2, 15), Lane(3, 2, 15)},
          .from = 0,
          .to = 3,
          .needs = Needs()};
}

TEST(SearchRoute, TakesTheShortestThatFits) {
  RouteQuestion question = Diamond();
  FoundRoute found = Search(question);
  ASSERT_TRUE(found.route);
  EXPECT_EQ(LanesOf(*found.route), (std::vector<size_t>{0, 1}));
  EXPECT_EQ(found.route->reversals, 0);
  EXPECT_EQ(DriversLine(found, UnitSystem::kSi), "GO: 20.00 m, no reversals");
  question.lanes[1].clear_height = Feet(13);
  found = Search(question);
  ASSERT_TRUE(found.route);
  EXPECT_EQ(LanesOf(*found.route), (std::vector<size_t>{2, 3}));
  EXPECT_EQ(found.route->legs[1].direction, RouteLeg::Direction::kAgainst);
  EXPECT_TRUE(found.changes.empty());
}

TEST(SearchRoute, OfEqualWaysTheFewerLanesThenTheLowerOnes) {
  RouteQuestion question = Diamond();
  question.lanes[2].length = question.lanes[3].length = InMetres(10);
  EXPECT_EQ(LanesOf(*Search(question).route), (std::vector<size_t>{0, 1}));
  std::swap(question.lanes[0], question.lanes[2]);
  EXPECT_EQ(LanesOf(*Search(question).route), (std::vector<size_t>{0, 3}));
  question.lanes.push_back(Lane(3, 0, 20));
  EXPECT_EQ(LanesOf(*Search(question).route), (std::vector<size_t>{4}));
}

TEST(SearchRoute, FewerReversalsBeforeShorter) {
  // The second lane of the short way is nose first only, and it must leave tail first: it would
  // back into a stub beside the first crossing and drive out of it.
  RouteQuestion question = Diamond();
  question.places = 5;
  question.lanes.push_back(Lane(1, 4, 5));
  question.depart = LaneFacing::kTailFirst;
  question.lanes[1].facings = RouteLane::Facings::kNoseFirstOnly;
  FoundRoute found = Search(question);
  EXPECT_EQ(LanesOf(*found.route), (std::vector<size_t>{2, 3}));
  EXPECT_EQ(found.route->reversals, 0);
  question.lanes[2].taken_by = "move-7";
  found = Search(question);
  ASSERT_TRUE(found.route) << DriversLine(found, UnitSystem::kUs);
  EXPECT_EQ(LanesOf(*found.route), (std::vector<size_t>{0, 4, 4, 1}));
  EXPECT_EQ(found.route->reversals, 1);
  EXPECT_EQ(found.route->legs[1].facing, LaneFacing::kTailFirst);
  EXPECT_EQ(found.route->legs[2].facing, LaneFacing::kNoseFirst);
  EXPECT_EQ(DriversLine(found, UnitSystem::kUs), "GO: 98 ft 6 in, 1 reversal");
  question.reversals = RouteQuestion::Reversals::kNone;
  EXPECT_FALSE(Search(question).route);
}

// Reversing kills more people than driving, so that the shorter way in reverse is not the better.
// Common practice.
TEST(SearchRoute, LessOfItInReverseBeforeShorter) {
  RouteQuestion question = Diamond();
  question.lanes[1].facings = RouteLane::Facings::kTailFirstOnly;
  const FoundRoute found = Search(question);
  EXPECT_EQ(LanesOf(*found.route), (std::vector<size_t>{2, 3}));
  question.lanes[2].taken_by = "move-7";
  const FoundRoute backed = Search(question);
  EXPECT_EQ(LanesOf(*backed.route), (std::vector<size_t>{0, 1}));
  EXPECT_EQ(backed.route->legs[0].facing, LaneFacing::kTailFirst);
}

// Turning about at an end would be leaving or coming in as asked in name only.
TEST(SearchRoute, TheEndsAreNoPlaceToReverse) {
  const RouteQuestion question{.places = 2,
                               .lanes = {Lane(0, 1, 10)},
                               .from = 0,
                               .to = 1,
                               .needs = Needs(),
                               .depart = LaneFacing::kNoseFirst,
                               .arrive = LaneFacing::kTailFirst};
  const FoundRoute found = Search(question);
  EXPECT_FALSE(found.route);
  EXPECT_FALSE(found.if_changed);
}

TEST(SearchRoute, ADockIsBackedInto) {
  RouteQuestion question{.places = 4,
                         .lanes = {Lane(0, 1, 10), Lane(1, 2, 10)},
                         .from = 0,
                         .to = 2,
                         .needs = Needs(),
                         .depart = LaneFacing::kNoseFirst,
                         .arrive = LaneFacing::kTailFirst};
  EXPECT_FALSE(Search(question).route) << "there is nowhere to change direction on";
  question.lanes.push_back(Lane(1, 3, 5));
  const FoundRoute found = Search(question);
  ASSERT_TRUE(found.route) << DriversLine(found, UnitSystem::kUs);
  EXPECT_EQ(LanesOf(*found.route), (std::vector<size_t>{0, 2, 2, 1}));
  EXPECT_EQ(found.route->reversals, 1);
}

TEST(SearchRoute, OneWayIsOneWay) {
  RouteQuestion question = Diamond();
  for (RouteLane& lane : question.lanes) lane.ways = RouteLane::Ways::kOneWay;
  EXPECT_EQ(LanesOf(*Search(question).route), (std::vector<size_t>{0, 1}));
  std::swap(question.from, question.to);
  const FoundRoute back = Search(question);
  EXPECT_FALSE(back.route);
  EXPECT_TRUE(back.changes.empty());
  EXPECT_EQ(DriversLine(back, UnitSystem::kUs), "NO WAY: no lanes lead there as asked");
}

TEST(SearchRoute, StandingThereAlreadyIsARoute) {
  RouteQuestion question = Diamond();
  question.to = question.from;
  EXPECT_TRUE(Search(question).route->legs.empty());
}

struct Blocked {
  const char* text;  // of the change that is asked for
  std::function<void(RouteLane&)> spoil;
};
void PrintTo(const Blocked& row, std::ostream* out) { *out << row.text; }
class SearchRouteNames : public testing::TestWithParam<Blocked> {};

TEST_P(SearchRouteNames, TheOneThatMustChange) {
  RouteQuestion question{
      .places = 3, .lanes = {Lane(0, 1, 10), Lane(1, 2, 10)}, .from = 0, .to = 2, .needs = Needs()};
  ASSERT_TRUE(Search(question).route);
  GetParam().spoil(question.lanes[1]);
  const FoundRoute found = Search(question);
  ASSERT_FALSE(found.route);
  ASSERT_EQ(found.changes.size(), 1u);
  EXPECT_EQ(Text(found.changes[0], UnitSystem::kUs), GetParam().text);
  ASSERT_TRUE(found.if_changed);
  EXPECT_EQ(LanesOf(*found.if_changed), (std::vector<size_t>{0, 1}));
  EXPECT_EQ(DriversLine(found, UnitSystem::kUs), std::string("NO WAY: ") + GetParam().text);
}

INSTANTIATE_TEST_SUITE_P(
    Limits, SearchRouteNames,
    testing::Values(
        Blocked{"lane-1-2: 4 in short of height",
                [](RouteLane& l) { l.clear_height = Feet(13.5) - Inches(4); }},
        Blocked{"lane-1-2: door-3 is 4 in short of height",
                [](RouteLane& l) {
                  l.clear_height = Feet(13.5) - Inches(4);
                  l.height_at = "door-3";
                }},
        Blocked{"lane-1-2: wire-1 is 2 ft short of the height that keeps off it",
                [](RouteLane& l) {
                  l.wire_height = Feet(11.5);
                  l.wire_at = "wire-1";
                }},
        Blocked{"lane-1-2: height is not known", [](RouteLane& l) { l.clear_height.reset(); }},
        Blocked{"lane-1-2: 1 ft short of width", [](RouteLane& l) { l.clear_width = Feet(8); }},
        Blocked{"lane-1-2: width is not known", [](RouteLane& l) { l.clear_width.reset(); }},
        Blocked{"lane-1-2: 11 ft short of turning radius",
                [](RouteLane& l) { l.bend_radius = Feet(30); }},
        Blocked{"lane-1-2: turning radius is not known",
                [](RouteLane& l) { l.bend_radius.reset(); }},
        Blocked{"lane-1-2: 2.0 % too steep", [](RouteLane& l) { l.steepest = Percent(12); }},
        Blocked{"lane-1-2: 2.0 % too steep by the map's elevations",
                [](RouteLane& l) {
                  l.steepest = Percent(12);
                  l.steepest_by = "the map's elevations";
                }},
        Blocked{"lane-1-2: grade is not known", [](RouteLane& l) { l.steepest.reset(); }},
        Blocked{"lane-1-2: ground 10,000 lb short",
                [](RouteLane& l) { l.rated_load = Pounds(50'000); }},
        Blocked{"lane-1-2: rated mass of the ground is not known",
                [](RouteLane& l) { l.rated_load.reset(); }},
        Blocked{"lane-1-2: closed by spill-3", [](RouteLane& l) { l.open_hazard = "spill-3"; }},
        Blocked{"lane-1-2: taken by move-9", [](RouteLane& l) { l.taken_by = "move-9"; }}));

TEST(SearchRoute, JustEnoughIsEnough) {
  RouteQuestion question = Diamond();
  for (RouteLane& lane : question.lanes) lane.clear_height = Feet(13) + Inches(6);
  EXPECT_TRUE(Search(question).route);
}

TEST(SearchRoute, AsksForTheLeastChange) {
  RouteQuestion question = Diamond();
  question.lanes[1].clear_height = Feet(12);  // 11 % of the need
  question.lanes[3].clear_width = Feet(8.5);  // 6 %
  EXPECT_EQ(Search(question).changes[0].limit, LaneLimit::kWidth);
  question.lanes[0].open_hazard = "spill-3";  // now lane 1 alone does not open it
  EXPECT_EQ(Search(question).changes[0].limit, LaneLimit::kWidth);
  question.lanes[1].clear_height = Feet(14);  // clearing the spill does, and is asked first
  EXPECT_EQ(Search(question).changes[0].limit, LaneLimit::kHazard);
}

TEST(SearchRoute, OneHazardOnTwoLanesIsOneChange) {
  RouteQuestion question = Diamond();
  question.lanes[0].open_hazard = question.lanes[1].open_hazard = "spill-3";
  question.lanes[2].taken_by = "move-1";
  question.lanes[3].taken_by = "move-2";
  const FoundRoute found = Search(question);
  ASSERT_EQ(found.changes.size(), 1u);
  EXPECT_EQ(found.changes[0].who, "spill-3");
  EXPECT_EQ(LanesOf(*found.if_changed), (std::vector<size_t>{0, 1}));
}

TEST(SearchRoute, WhereNoSingleOneDoesItNamesTheFewest) {
  RouteQuestion question = Diamond();
  question.lanes[0].clear_height = question.lanes[1].clear_height = Feet(13);
  question.lanes[2].clear_height = question.lanes[3].clear_height = Feet(13);
  question.lanes[3].clear_width = Feet(8);
  const FoundRoute found = Search(question);
  ASSERT_EQ(found.changes.size(), 2u);
  EXPECT_EQ(found.changes[0].lane, 0u);
  EXPECT_EQ(found.changes[1].lane, 1u);
  EXPECT_EQ(DriversLine(found, UnitSystem::kUs),
            "NO WAY: lane-0-1: 6 in short of height, and 1 more");
}

// --- against an obvious reference ---

using Least = std::tuple<int, int64_t, int64_t>;  // reversals, millimetres in reverse and in all

/// Relaxes every leg until nothing changes. Ends lie apart, so no turn is limited, and direction is
/// changed on one lane alone.
std::optional<Least> Reference(const RouteQuestion& question) {
  using Leg = std::tuple<size_t, int, int>;  // lane, whether against it, whether tail first
  std::map<Leg, Least> best;
  const auto fits = [&](const RouteLane& lane, int facing) {
    const RouteNeeds& needs = question.needs;
    const Metres turn = facing == 0 ? needs.turn_radius : needs.turn_radius_reversing;
    return lane.taken_by.empty() && lane.open_hazard.empty() && lane.clear_height >= needs.height &&
           lane.clear_width >= needs.width && lane.bend_radius >= turn && lane.steepest &&
           *lane.steepest <= needs.most_grade && lane.rated_load >= needs.load &&
           lane.facings != (facing == 0 ? RouteLane::Facings::kTailFirstOnly
                                        : RouteLane::Facings::kNoseFirstOnly);
  };
  const auto end_of = [&](const Leg& leg) {
    const RouteLane& lane = question.lanes[std::get<0>(leg)];
    return std::get<1>(leg) == 0 ? lane.to : lane.from;
  };
  bool changed = true;
  const auto enter = [&](size_t place, int facing, Least so_far, size_t not_over) {
    const auto [reversals, backed, length] = so_far;
    for (size_t i = 0; i < question.lanes.size(); ++i) {
      const RouteLane& lane = question.lanes[i];
      for (const int against : {0, 1}) {
        if ((against == 0 ? lane.from : lane.to) != place || i == not_over) continue;
        if (against == 1 && lane.ways == RouteLane::Ways::kOneWay) continue;
        if (!fits(lane, facing)) continue;
        const int64_t mm = CeilMillimetres(lane.length);
        const Least cost{reversals, backed + (facing == 1 ? mm : 0), length + mm};
        const auto [at, fresh] = best.try_emplace({i, against, facing}, cost);
        if (!fresh && !(cost < at->second)) continue;
        at->second = cost;
        changed = true;
      }
    }
  };
  for (const int facing : {0, 1}) {
    if (!question.depart || static_cast<int>(*question.depart) == facing)
      enter(question.from, facing, {0, 0, 0}, question.lanes.size());
  }
  while (changed) {
    changed = false;
    const auto now = best;
    for (const auto& [leg, cost] : now) {
      const auto [lane, against, facing] = leg;
      const size_t place = end_of(leg);
      enter(place, facing, cost, lane);
      const RouteLane& back = question.lanes[lane];
      // A lane from a place to itself is a loop, and its two ends are two.
      if (back.from == back.to) enter(place, facing, cost, question.lanes.size());
      if (place == question.from || place == question.to) continue;
      if (against == 0 && back.ways == RouteLane::Ways::kOneWay) continue;
      if (!fits(back, 1 - facing)) continue;
      const auto [reversals, backed, length] = cost;
      const int64_t mm = CeilMillimetres(back.length);
      const Least turned{reversals + 1, backed + (facing == 0 ? mm : 0), length + mm};
      const auto [at, fresh] = best.try_emplace({lane, 1 - against, 1 - facing}, turned);
      if (!fresh && !(turned < at->second)) continue;
      at->second = turned;
      changed = true;
    }
  }
  std::optional<Least> least;
  for (const auto& [leg, cost] : best) {
    if (end_of(leg) != question.to) continue;
    if (question.arrive && static_cast<int>(*question.arrive) != std::get<2>(leg)) continue;
    if (!least || cost < *least) least = cost;
  }
  return least;
}

RouteQuestion RandomQuestion(std::mt19937_64& random) {
  const auto below = [&](size_t n) { return static_cast<size_t>(random() % n); };
  RouteQuestion question{.places = 2 + below(6), .needs = Needs()};
  question.to = 1;
  for (size_t i = 0; i < 1 + below(10); ++i) {
    RouteLane lane =
        Lane(below(question.places), below(question.places), 1 + static_cast<double>(below(9)));
    lane.id += "-" + std::to_string(i);
    if (below(4) == 0) lane.ways = RouteLane::Ways::kOneWay;
    if (below(5) == 0) lane.facings = RouteLane::Facings::kNoseFirstOnly;
    if (below(5) == 0) lane.facings = RouteLane::Facings::kTailFirstOnly;
    if (below(5) == 0) lane.clear_height = Feet(10 + static_cast<double>(below(4)));
    if (below(9) == 0) lane.clear_width.reset();
    if (below(9) == 0) lane.open_hazard = "hazard-" + std::to_string(below(2));
    if (below(9) == 0) lane.taken_by = "move-" + std::to_string(below(2));
    if (below(9) == 0) lane.bend_radius = Feet(36 + static_cast<double>(below(7)));
    if (below(9) == 0) lane.rated_load = Pounds(1000 * static_cast<double>(below(90)));
    question.lanes.push_back(lane);
  }
  if (below(2) == 0)
    question.depart = below(2) == 0 ? LaneFacing::kNoseFirst : LaneFacing::kTailFirst;
  if (below(2) == 0)
    question.arrive = below(2) == 0 ? LaneFacing::kNoseFirst : LaneFacing::kTailFirst;
  return question;
}

void Lift(const LaneShort& change, const RouteNeeds& needs, std::vector<RouteLane>& lanes) {
  for (RouteLane& lane : lanes) {
    if (change.limit == LaneLimit::kTaken && lane.taken_by == change.who) lane.taken_by = "";
    if (change.limit == LaneLimit::kHazard && lane.open_hazard == change.who) lane.open_hazard = "";
  }
  RouteLane& lane = lanes[change.lane];
  if (change.limit == LaneLimit::kHeight) lane.clear_height = needs.height;
  if (change.limit == LaneLimit::kWidth) lane.clear_width = needs.width;
  if (change.limit == LaneLimit::kTurn) lane.bend_radius = needs.turn_radius;
  if (change.limit == LaneLimit::kGround) lane.rated_load = needs.load;
}

TEST(SearchRoute, AgreesWithTheReferenceOnSmallMaps) {
  std::mt19937_64 random(11);
  int found_count = 0, changed_count = 0, none_count = 0;
  for (int round = 0; round < 20'000; ++round) {
    RouteQuestion question = RandomQuestion(random);
    const FoundRoute found = Search(question);
    const auto reference = Reference(question);
    ASSERT_EQ(found.route.has_value(), reference.has_value()) << round;
    if (reference) {
      ++found_count;
      int64_t backed_mm = 0;
      for (const RouteLeg& leg : found.route->legs) {
        if (leg.facing == LaneFacing::kTailFirst)
          backed_mm += CeilMillimetres(question.lanes[leg.lane].length);
      }
      ASSERT_EQ((Least{found.route->reversals, backed_mm, CeilMillimetres(found.route->length)}),
                *reference)
          << round;
      continue;
    }
    // What is asked for opens a way, and nothing single does where more is asked for.
    RouteQuestion lifted = question;
    for (const LaneShort& change : found.changes) Lift(change, question.needs, lifted.lanes);
    const auto opened = Reference(lifted);
    ASSERT_EQ(found.if_changed.has_value(), opened.has_value()) << round;
    if (!opened) {
      ++none_count;
      continue;
    }
    ++changed_count;
    if (found.changes.size() == 1) {
      ASSERT_EQ(std::get<0>(*opened), found.if_changed->reversals) << round;
      continue;
    }
    for (const LaneShort& change : found.changes) {
      RouteQuestion single = question;
      Lift(change, question.needs, single.lanes);
      ASSERT_FALSE(Reference(single)) << round;
    }
  }
  EXPECT_GT(found_count, 3500);
  EXPECT_GT(changed_count, 2000);
  EXPECT_GT(none_count, 500);
}

struct BadQuestion {
  const char* input;
  std::function<void(RouteQuestion&)> spoil;
};
void PrintTo(const BadQuestion& row, std::ostream* out) { *out << row.input; }
class SearchRouteRefuses : public testing::TestWithParam<BadQuestion> {};
TEST_P(SearchRouteRefuses, AndNamesTheInput) {
  RouteQuestion question = Diamond();
  GetParam().spoil(question);
  const Outcome<FoundRoute> found = SearchRoute(question);
  ASSERT_FALSE(found);
  EXPECT_EQ(found.error().input, GetParam().input);
}

using Q = RouteQuestion;
INSTANTIATE_TEST_SUITE_P(
    Inputs, SearchRouteRefuses,
    testing::Values(
        BadQuestion{"places", [](Q& q) { q.places = 0; }},
        BadQuestion{"places", [](Q& q) { q.places = 2'000'000; }},
        BadQuestion{"from", [](Q& q) { q.from = 4; }}, BadQuestion{"to", [](Q& q) { q.to = 9; }},
        BadQuestion{"height", [](Q& q) { q.needs.height = Metres(); }},
        BadQuestion{"height", [](Q& q) { q.needs.height = Feet(-13); }},
        BadQuestion{"height", [](Q& q) { q.needs.height = Feet(1300); }},
        BadQuestion{"width", [](Q& q) { q.needs.width = Metres(); }},
        BadQuestion{"turning radius", [](Q& q) { q.needs.turn_radius = Feet(-1); }},
        BadQuestion{"turning radius in reverse",
                    [](Q& q) { q.needs.turn_radius_reversing = Feet(-1); }},
        BadQuestion{"length", [](Q& q) { q.needs.length = Feet(-1); }},
        BadQuestion{"ends of lane-0-1",
                    [](Q& q) {
                      q.lanes[0].at_to->leaves = {2, 0};
                    }},
        BadQuestion{"ends of lane-0-1", [](Q& q) { q.lanes[0].at_to->straight = Metres(); }},
        BadQuestion{"wire height of lane-0-1", [](Q& q) { q.lanes[0].wire_height = Feet(-1); }},
        BadQuestion{"findings", [](Q& q) { q.findings.push_back({.over = {.lane = 9}}); }},
        BadQuestion{"steepest grade", [](Q& q) { q.needs.most_grade = Grade(); }},
        BadQuestion{"load", [](Q& q) { q.needs.load = Kilograms(); }},
        BadQuestion{"ends of lane-0-1", [](Q& q) { q.lanes[0].to = 7; }},
        BadQuestion{"length of lane-0-1", [](Q& q) { q.lanes[0].length = Feet(-1); }},
        BadQuestion{"clear height of lane-0-1", [](Q& q) { q.lanes[0].clear_height = Feet(-1); }},
        BadQuestion{"clear width of lane-0-1", [](Q& q) { q.lanes[0].clear_width = Feet(-1); }},
        BadQuestion{"bend radius of lane-0-1", [](Q& q) { q.lanes[0].bend_radius = Feet(-1); }},
        BadQuestion{"steepest grade of lane-0-1", [](Q& q) { q.lanes[0].steepest = Percent(-1); }},
        BadQuestion{"rated load of lane-0-1", [](Q& q) { q.lanes[0].rated_load = Pounds(-1); }}));

}  // namespace
}  // namespace chockwise::fit
