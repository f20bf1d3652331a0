#include "services/survey/spotters_ground.h"

#include <algorithm>
#include <cmath>
#include <optional>
#include <utility>

namespace chockwise::survey {
namespace {

using fit::Metres;
using fit::Point;
using fit::Region;

/// How deep a wall is, and how far off a door's line a wall may be drawn and still be the same.
/// Common practice.
constexpr double kWallDepthM = 0.3;
constexpr Metres kSameWall = fit::Feet(1);
/// A wall shorter than this is a slip of the map.
constexpr double kLeastWallM = 0.01;

struct LaneGround {
  fit::Line line;
  Metres half_width;
};

/// All that is drawn on the map, as far as it says where ground of the yard is.
Outcome<Region> DrawnGround(const yard::Yard& yard, const yard::Plane& plane) {
  std::vector<Point> drawn;
  const auto add = [&](const auto& rings) {
    if (rings.empty()) return;
    for (const Point point : RingOf(plane, rings.front())) drawn.push_back(point);
  };
  for (const auto& [id, lane] : yard.lanes) {
    for (const Point point : OnPlane(plane, lane.line)) drawn.push_back(point);
  }
  for (const auto& [id, place] : yard.places) drawn.push_back(OnPlane(plane, place.position));
  for (const auto& [id, area] : yard.areas) add(area.rings);
  for (const auto& [id, obstacle] : yard.obstacles) add(obstacle.rings);
  const auto hull = Region::Hull(drawn);
  if (!hull) {
    return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kUnknown,
                                   .input = "ground of the yard",
                                   .problem = "is unknown: all that is drawn lies in one line",
                                   .right = "draw the areas, obstacles and lanes of the yard"});
  }
  return *hull;
}

/// The ground of machines and what must stay free; and the lanes whose widths are known.
class TakenGround {
 public:
  TakenGround(Readings& readings, const yard::Plane& plane, const Region& around)
      : readings_(readings), plane_(plane), around_(around) {}

  Outcome<void> AddLanes(std::vector<LaneGround>& lanes) {
    for (const auto& [id, lane] : readings_.yard().lanes) {
      LaneGround ground{.line = OnPlane(plane_, lane.line), .half_width = kUntapedLane / 2};
      if (around_.Touches(*Region::Around(ground.line, kUntapedLane / 2))) {
        const auto width = readings_.IfThere<Metres>(id.value(), "width");
        if (!width) return tl::unexpected(width.error());
        if (*width) ground.half_width = **width / 2;
        default_lanes_ = default_lanes_ || !*width;
        taken_.push_back(*Region::Around(ground.line, ground.half_width));
      }
      lanes.push_back(std::move(ground));
    }
    return {};
  }

  void AddPlaces() {
    for (const auto& [id, place] : readings_.yard().places) {
      if (HasRow(id)) continue;
      const Metres row = place.capacity * kBesideEachOther / 2;
      taken_.push_back(
          *Region::Around({OnPlane(plane_, place.position)}, std::max(kAroundPlace, row)));
    }
  }

  void AddAreas() {
    for (const auto& [id, area] : readings_.yard().areas) {
      if (yard::MustStayFree(area.duty) || area.duty == yard::Duty::kParking) AddRing(area.rings);
    }
    for (const auto& [id, obstacle] : readings_.yard().obstacles) AddRing(obstacle.rings);
  }

  Region all() const { return Region::UnionOf(taken_); }
  bool default_lanes() const { return default_lanes_; }

 private:
  bool HasRow(const yard::PlaceId& place) const {
    return std::ranges::any_of(readings_.yard().areas, [&](const auto& entry) {
      return entry.second.duty == yard::Duty::kParking && entry.second.places.contains(place);
    });
  }

  void AddRing(const std::vector<std::vector<yard::Position>>& rings) {
    if (rings.empty()) return;
    // The readers of the map hold every ring to one that encloses ground.
    if (const auto ground = Region::From({.outer = RingOf(plane_, rings.front())}))
      taken_.push_back(*ground);
  }

  Readings& readings_;
  const yard::Plane& plane_;
  const Region& around_;
  std::vector<Region> taken_;
  bool default_lanes_ = false;
};

/// A wall from a point on, in the frame of its own line: x along it, y across.
class WallLine {
 public:
  WallLine(Point from, Point along) : from_(from), along_(along) {}

  /// Where a ring first comes within so much of the line, from the start on.
  std::optional<double> MeetsM(const fit::Ring& ring, double beside_m) const {
    std::optional<double> first_m;
    for (size_t i = 0; i < ring.size(); ++i) {
      const auto at_m = MeetsPieceM(ring[i], ring[(i + 1) % ring.size()], beside_m);
      if (at_m && (!first_m || *at_m < *first_m)) first_m = at_m;
    }
    return first_m;
  }

  /// Where a lane first crosses the line, from the start on.
  std::optional<double> CrossedM(const fit::Line& line) const {
    std::optional<double> first_m;
    for (size_t i = 1; i < line.size(); ++i) {
      const Point a = InFrame(line[i - 1]), b = InFrame(line[i]);
      if ((a.y_m > 0) == (b.y_m > 0)) continue;
      const double at_m = a.x_m + (b.x_m - a.x_m) * a.y_m / (a.y_m - b.y_m);
      if (at_m > kWallDepthM && (!first_m || at_m < *first_m)) first_m = at_m;
    }
    return first_m;
  }

  fit::Ring Built(double length_m) const {
    const Point half = kWallDepthM / 2 * Point{-along_.y_m, along_.x_m};
    const Point to = from_ + length_m * along_;
    return {from_ - half, to - half, to + half, from_ + half};
  }

 private:
  Point InFrame(Point point) const {
    return {Dot(along_, point - from_), Cross(along_, point - from_)};
  }

  std::optional<double> MeetsPieceM(Point from, Point to, double beside_m) const {
    Point a = InFrame(from), b = InFrame(to);
    if (a.y_m > b.y_m) std::swap(a, b);
    if (a.y_m > beside_m || b.y_m < -beside_m) return std::nullopt;
    const auto at = [&](double y_m) {
      const double share = b.y_m > a.y_m ? (y_m - a.y_m) / (b.y_m - a.y_m) : 0;
      return a.x_m + std::clamp(share, 0.0, 1.0) * (b.x_m - a.x_m);
    };
    const double one = at(-beside_m), other = at(beside_m);
    if (std::max(one, other) < -beside_m) return std::nullopt;  // it lies behind
    return std::max(0.0, std::min(one, other));
  }

  Point from_, along_;
};

/// The two lines of a door's wall, each from where nobody passes any more.
std::vector<WallLine> WallsOf(const yard::Door& door, const yard::Yard& yard, const Way& way) {
  const auto on_way =
      std::ranges::find(way.doors, door.id.value(), [](const DoorOnWay& one) { return one.id; });
  if (on_way != way.doors.end()) {
    const Point across = on_way->left - on_way->right;
    const Point left = (1 / LengthM(across)) * across;
    return {{on_way->left, left}, {on_way->right, -1 * left}};
  }
  const PointAlong middle = PointOn(PlaneOf(yard), yard.lanes.at(door.lane), door.along);
  const Point left = {-std::sin(middle.heading_rad), std::cos(middle.heading_rad)};
  return {{middle.at, left}, {middle.at, -1 * left}};
}

double WallLengthM(const WallLine& wall, const std::vector<LaneGround>& lanes,
                   const std::vector<fit::Ring>& drawn, Metres reach) {
  double length_m = reach.metres();
  for (const fit::Ring& ring : drawn)
    length_m = std::min(length_m, wall.MeetsM(ring, kSameWall.metres()).value_or(length_m));
  for (const LaneGround& lane : lanes) {
    if (const auto crossed_m = wall.CrossedM(lane.line))
      length_m = std::min(length_m, std::max(0.0, *crossed_m - lane.half_width.metres()));
  }
  return length_m;
}

}  // namespace

Outcome<SpottersGround> SpottersGroundOf(Readings& readings, const Trip& trip, const Way& way,
                                         Metres reach) {
  const yard::Yard& yard = readings.yard();
  const yard::Plane plane = PlaneOf(yard);
  const auto around = Region::Around(way.middle, reach);
  if (!around) return tl::unexpected(NoAnswerOf(around.error(), "way of " + trip.machine.value()));
  const auto drawn = DrawnGround(yard, plane);
  if (!drawn) return tl::unexpected(drawn.error());
  TakenGround taken(readings, plane, *around);
  std::vector<LaneGround> lanes;
  if (auto added = taken.AddLanes(lanes); !added) return tl::unexpected(added.error());
  taken.AddPlaces();
  taken.AddAreas();

  SpottersGround ground;
  ground.standing = drawn->CommonWith(*around).Without(taken.all());
  ground.default_lanes = taken.default_lanes();
  for (const GroundOnWay& obstacle : way.obstacles) ground.opaque.push_back(obstacle.ring);
  const std::vector<fit::Ring> things = ground.opaque;
  for (const auto& [id, door] : yard.doors) {
    for (const WallLine& wall : WallsOf(door, yard, way)) {
      const double length_m = WallLengthM(wall, lanes, things, reach);
      if (length_m > kLeastWallM) ground.assumed_walls.push_back(wall.Built(length_m));
    }
  }
  ground.opaque.insert(ground.opaque.end(), ground.assumed_walls.begin(),
                       ground.assumed_walls.end());
  return ground;
}

}  // namespace chockwise::survey
