#include <fmt/format.h>

#include <algorithm>
#include <array>
#include <cmath>

#include "services/fit/chord.h"
#include "services/fit/swept_path.h"

namespace chockwise::fit {
namespace {

std::array<Point, 4> CornersOf(const AxleFrame& frame, const BodyBox& box) {
  return {Place(frame, {box.ahead.metres(), box.left.metres()}),
          Place(frame, {-box.behind.metres(), box.left.metres()}),
          Place(frame, {-box.behind.metres(), -box.right.metres()}),
          Place(frame, {box.ahead.metres(), -box.right.metres()})};
}

class GroundOfBox {
 public:
  GroundOfBox(const UnitMotion& unit, const BodyBox& box, double coarseness_m)
      : unit_(unit),
        box_(box),
        longest_m_(std::max((box.ahead + box.behind).metres(), (box.left + box.right).metres())),
        coarseness_m_(coarseness_m) {}

  void AddTo(std::vector<Region>& pieces) const { Halve(0, unit_.frames.size() - 1, pieces); }

 private:
  /// The hull of a run of steps holds all of them; it is too large in the pocket between a corner's
  /// way and its chord, and in the one beside a side that turns about a point of its own: parts a
  /// and b of the side leave a triangle of height turn * a * b / (a + b), at most turn * side / 4.
  void Halve(size_t from, size_t to, std::vector<Region>& pieces) const {
    if (to > from + 1 && PocketM(from, to) > coarseness_m_) {
      const size_t middle = (from + to) / 2;
      Halve(from, middle, pieces);
      Halve(middle, to, pieces);
      return;
    }
    std::vector<Point> corners;
    for (size_t i = from; i <= to; ++i) {
      for (const Point corner : CornersOf(unit_.frames[i], box_)) corners.push_back(corner);
    }
    if (const Outcome<Region> hull = Region::Hull(corners)) pieces.push_back(*hull);
  }

  double PocketM(size_t from, size_t to) const {
    const auto first = CornersOf(unit_.frames[from], box_);
    const auto last = CornersOf(unit_.frames[to], box_);
    double pocket_m = 0;
    for (size_t i = from + 1; i <= to; ++i) {
      const double turn = std::abs(Cross(unit_.frames[from].along, unit_.frames[i].along));
      pocket_m = std::max(pocket_m, turn * longest_m_ / 4);
      const auto corners = CornersOf(unit_.frames[i], box_);
      for (size_t k = 0; k < corners.size(); ++k)
        pocket_m = std::max(pocket_m, FromChordM(corners[k], first[k], last[k]));
    }
    return pocket_m;
  }

  const UnitMotion& unit_;
  const BodyBox& box_;
  double longest_m_;
  double coarseness_m_;
};

}  // namespace

Outcome<Region> SweptGround(const Driven& driven, Metres coarseness) {
  if (coarseness <= Metres() || coarseness > InMetres(1))
    return tl::unexpected(
        Unusable{"coarseness", fmt::format("is {} m", coarseness.metres()), "above 0, to 1 m"});
  std::vector<Region> pieces;
  for (const UnitMotion& unit : driven.units) {
    if (unit.frames.empty()) continue;
    for (const BodyBox& box : unit.boxes) GroundOfBox(unit, box, coarseness.metres()).AddTo(pieces);
  }
  return Region::UnionOf(pieces);
}

}  // namespace chockwise::fit
