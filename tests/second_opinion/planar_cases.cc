// Random ground with holes, other ground, lines and points beside it, and what we say of them, one
// JSON object a line: planar_cases SEED COUNT. planar_check.py does them again.
#include <numbers>

#include "services/fit/planar.h"
#include "tests/second_opinion/cases.h"

namespace chockwise::fit {
namespace {

/// A ring of any shape about a point, between two distances from it.
Ring About(Point middle, double least_m, double most_m, Dice& dice) {
  const int corners = dice.Whole(3, 14);
  const double turned = dice.Between(0, 6);
  Ring ring;
  for (int corner = 0; corner < corners; ++corner)
    ring.push_back(middle + dice.Between(least_m, most_m) *
                                Unit(turned + (corner + dice.Between(-0.4, 0.4)) * 2 *
                                                  std::numbers::pi / corners));
  return ring;
}

Outline RandomGround(Point middle, Dice& dice) {
  Outline outline = {.outer = About(middle, 6, 20, dice)};
  // A ring of three corners may come nearer to its middle than any of them.
  if (outline.outer.size() > 5 && dice.Whole(0, 1) == 1)
    outline.holes = {About(middle, 0.5, 2, dice)};
  return outline;
}

Json Of(Point point) { return Json::array({point.x_m, point.y_m}); }
Json Of(const Line& line) {
  Json points = Json::array();
  for (const Point point : line) points.push_back(Of(point));
  return points;
}
Json Of(const Outline& outline) {
  Json holes = Json::array();
  for (const Ring& hole : outline.holes) holes.push_back(Of(hole));
  return {{"outer", Of(outline.outer)}, {"holes", holes}};
}

/// False where the outline crosses itself: another is drawn.
bool Case(Dice& dice) {
  const double far = std::pow(10.0, dice.Between(0, 4));
  const Point middle = {dice.Between(-far, far), dice.Between(-far, far)};
  const Outline here = RandomGround(middle, dice);
  const Outline there =
      RandomGround(middle + dice.Between(0, 45) * Unit(dice.Between(0, 6.3)), dice);
  const auto ground = Region::From(here), other = Region::From(there);
  if (!ground || !other) return false;
  const PreparedRegion prepared(*ground);
  Json points = Json::array();
  for (int at = 0; at < 10; ++at) {
    const Point point = middle + dice.Between(0, 30) * Unit(dice.Between(0, 6.3));
    points.push_back({point.x_m, point.y_m, ground->Contains(point) && prepared.Contains(point),
                      ground->DistanceTo(point)->metres()});
  }
  const Point from = middle + dice.Between(0, 40) * Unit(dice.Between(0, 6.3));
  const Line line = {from, from + dice.Between(0.1, 20) * Unit(dice.Between(0, 6.3)),
                     from + dice.Between(0.1, 20) * Unit(dice.Between(0, 6.3))};
  const double by = dice.Between(0.1, 2);
  const Region grown = *ground->Grown(InMetres(by)), inset = *ground->Inset(InMetres(by));
  Json inside = Json::array();
  for (const Outline& outline : inset.Outlines()) inside.push_back(Of(outline));
  const Json json = {{"ground", Of(here)},
                     {"other", Of(there)},
                     {"line", Of(line)},
                     {"points", points},
                     {"area", ground->AreaM2()},
                     {"common", ground->CommonWith(*other).AreaM2()},
                     {"alone", ground->Without(*other).AreaM2()},
                     {"both", Region::UnionOf({*ground, *other}).AreaM2()},
                     {"apart", ground->DistanceTo(*other)->metres()},
                     {"touches", ground->Touches(*other)},
                     {"line_apart", ground->DistanceTo(line)->metres()},
                     {"line_touches", ground->Touches(line)},
                     {"by", by},
                     {"grown", Of(grown.Outlines().front())},
                     {"grown_pieces", grown.Outlines().size()},
                     {"inset", inside}};
  Print(json);
  return true;
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  using namespace chockwise::fit;
  return DrawCases(argc, argv, [](Dice& dice) {
    while (!Case(dice)) {
    }
  });
}
