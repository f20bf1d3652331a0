// Random maps with the way that we find over them, one JSON object a line: route_cases SEED COUNT.
// route_check.py looks for it again.
#include <fmt/format.h>

#include "services/fit/route_search.h"
#include "tests/second_opinion/cases.h"

namespace chockwise::fit {
namespace {

RouteLane RandomLane(const std::vector<Point>& places, Dice& dice) {
  const int most = static_cast<int>(places.size()) - 1;
  RouteLane lane;
  lane.from = static_cast<size_t>(dice.Whole(0, most));
  do {
    lane.to = static_cast<size_t>(dice.Whole(0, most));
  } while (lane.to == lane.from);
  const Point way = places[lane.to] - places[lane.from];
  const double length = LengthM(way);
  lane.length = InMetres(length);
  lane.ways = dice.OneIn(5) ? RouteLane::Ways::kOneWay : RouteLane::Ways::kBoth;
  lane.facings = dice.OneIn(12)   ? RouteLane::Facings::kNoseFirstOnly
                 : dice.OneIn(12) ? RouteLane::Facings::kTailFirstOnly
                                  : RouteLane::Facings::kEither;
  const auto reading = [&](double low, double high) -> std::optional<double> {
    if (dice.OneIn(60)) return std::nullopt;
    return dice.OneIn(8) ? dice.Between(low, high) : high;
  };
  if (const auto height = reading(2, 6)) lane.clear_height = InMetres(*height);
  if (const auto width = reading(2, 6)) lane.clear_width = InMetres(*width);
  if (const auto load = reading(5'000, 40'000)) lane.rated_load = InKilograms(*load);
  if (!dice.OneIn(60)) lane.steepest = RiseOverRun(dice.OneIn(8) ? dice.Between(0, 0.3) : 0.02);
  lane.bend_radius = kNothingThere;
  const Point along = (1 / length) * way;
  lane.at_from = LaneEnd{.at = places[lane.from], .leaves = along, .straight = InMetres(length)};
  lane.at_to = LaneEnd{.at = places[lane.to], .leaves = -1 * along, .straight = InMetres(length)};
  if (dice.OneIn(40)) lane.open_hazard = "spill";
  if (dice.OneIn(40)) lane.taken_by = "another";
  return lane;
}

RouteQuestion RandomMap(Dice& dice) {
  std::vector<Point> places(static_cast<size_t>(dice.Whole(4, 40)));
  for (Point& place : places) place = {dice.Between(0, 200), dice.Between(0, 200)};
  RouteQuestion question = {.places = places.size()};
  question.to = places.size() - 1;
  const int lanes = static_cast<int>(places.size()) * dice.Whole(1, 3);
  for (int lane = 0; lane < lanes; ++lane) {
    question.lanes.push_back(RandomLane(places, dice));
    question.lanes.back().id = fmt::format("lane-{}", lane);
  }
  // On the spot, or as wide as corners in a yard are.
  const double radius = dice.OneIn(3) ? 0 : dice.Between(1, 40);
  question.needs = {.height = InMetres(4),
                    .width = InMetres(3),
                    .turn_radius = InMetres(radius),
                    .turn_radius_reversing = InMetres(radius * dice.Between(1, 2)),
                    .length = InMetres(dice.Between(3, 60)),
                    .most_grade = RiseOverRun(0.12),
                    .load = InKilograms(18'000)};
  const auto facing = [&]() -> std::optional<LaneFacing> {
    if (dice.OneIn(2)) return std::nullopt;
    return dice.OneIn(2) ? LaneFacing::kNoseFirst : LaneFacing::kTailFirst;
  };
  question.depart = facing();
  question.arrive = facing();
  if (dice.OneIn(4)) question.reversals = RouteQuestion::Reversals::kNone;
  return question;
}

template <class Value>
Json Known(const std::optional<Value>& value, Value unit) {
  return value ? Json(*value / unit) : Json(nullptr);
}

Json Of(const RouteLane& lane) {
  return {
      {"from", lane.from},
      {"to", lane.to},
      {"length", lane.length.metres()},
      {"one_way", lane.ways == RouteLane::Ways::kOneWay},
      {"nose", lane.facings != RouteLane::Facings::kTailFirstOnly},
      {"tail", lane.facings != RouteLane::Facings::kNoseFirstOnly},
      {"height", Known(lane.clear_height, InMetres(1))},
      {"width", Known(lane.clear_width, InMetres(1))},
      {"load", Known(lane.rated_load, InKilograms(1))},
      {"grade", Known(lane.steepest, RiseOverRun(1))},
      {"closed", !lane.open_hazard.empty() || !lane.taken_by.empty()},
      {"at", {lane.at_from->at.x_m, lane.at_from->at.y_m, lane.at_to->at.x_m, lane.at_to->at.y_m}}};
}

Json Of(const std::optional<LaneFacing>& facing) {
  return facing ? Json(*facing == LaneFacing::kNoseFirst ? "nose" : "tail") : Json(nullptr);
}

void Case(Dice& dice) {
  const RouteQuestion question = RandomMap(dice);
  const FoundRoute found = SearchRoute(question).value();
  Json json = {{"places", question.places},
               {"radius", question.needs.turn_radius.metres()},
               {"radius_reversing", question.needs.turn_radius_reversing.metres()},
               {"stands_on", question.needs.length.metres()},
               {"height", question.needs.height.metres()},
               {"width", question.needs.width.metres()},
               {"grade", question.needs.most_grade.rise_over_run()},
               {"load", question.needs.load.kilograms()},
               {"depart", Of(question.depart)},
               {"arrive", Of(question.arrive)},
               {"may_reverse", question.reversals == RouteQuestion::Reversals::kMay},
               {"lanes", Json::array()},
               {"found", found.route.has_value()}};
  for (const RouteLane& lane : question.lanes) json["lanes"].push_back(Of(lane));
  if (found.route) {
    json["reversals"] = found.route->reversals;
    json["length"] = found.route->length.metres();
    json["legs"] = Json::array();
    for (const RouteLeg& leg : found.route->legs)
      json["legs"].push_back({leg.lane, leg.direction == RouteLeg::Direction::kAgainst,
                              leg.facing == LaneFacing::kTailFirst});
  }
  Print(json);
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  return chockwise::fit::DrawCases(argc, argv, chockwise::fit::Case);
}
