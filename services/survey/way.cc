#include "services/survey/way.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <numbers>

#include "services/fit/planar.h"
#include "services/survey/left_free.h"
#include "services/survey/spotters_ground.h"
#include "services/yard/limits.h"

namespace chockwise::survey {
namespace {

/// How far a door's header and sill reach along the lane: a wall's depth. Common practice.
constexpr fit::Metres kWallDepth = fit::InMetres(0.3);
/// Off straight by more than this, a lane bends.
constexpr double kStraightRad = 5 * std::numbers::pi / 180;

/// A lane as it is driven, with the length along it as the map counts (slopes included) and on the
/// flat.
struct Driven {
  const yard::Lane* lane = nullptr;
  bool backwards = false;
  std::vector<fit::Point> points;        // in travel order
  std::vector<double> elevations_m;      // in travel order
  std::vector<double> sloped_m, flat_m;  // from the lane's own start, in the lane's order
};

Driven Drive(const yard::Plane& plane, const yard::Lane& lane, const yard::PlaceId& at) {
  Driven driven;
  driven.lane = &lane;
  driven.backwards = lane.from != at;
  driven.sloped_m = yard::LengthsAlongM(lane.line);
  double flat_m = 0;
  for (size_t i = 0; i < lane.line.size(); ++i) {
    const fit::Point point = OnPlane(plane, lane.line[i]);
    if (i > 0) flat_m += fit::LengthM(point - driven.points.back());
    driven.points.push_back(point);
    driven.elevations_m.push_back(lane.line[i].elevation_m.value_or(0));
    driven.flat_m.push_back(flat_m);
  }
  if (driven.backwards) {
    std::ranges::reverse(driven.points);
    std::ranges::reverse(driven.elevations_m);
  }
  return driven;
}

std::vector<Driven> DriveAll(const yard::Yard& yard, const yard::Plane& plane,
                             const LaidOut& what) {
  std::vector<Driven> all;
  yard::PlaceId at = what.from;
  for (const yard::LaneId& id : what.route.lanes) {
    const yard::Lane& lane = yard.lanes.at(id);
    all.push_back(Drive(plane, lane, at));
    at = all.back().backwards ? lane.from : lane.to;
  }
  return all;
}

/// A piece of a line, by the number of its end, and how far into it something lies: 0 to 1.
struct Piece {
  size_t end = 1;
  double share = 0;
};

/// Of a line of so many points, two at least; `length_m` says how far along it each lies.
template <class LengthTo>
Piece PieceAt(size_t points, LengthTo length_m, double along_m) {
  size_t i = 1;
  while (i + 1 < points && length_m(i) < along_m) ++i;
  const double run_m = length_m(i) - length_m(i - 1);
  return {.end = i,
          .share = run_m > 0 ? std::clamp((along_m - length_m(i - 1)) / run_m, 0.0, 1.0) : 0};
}

/// It runs as the piece does; where that is no longer than a point, as the next that is.
PointAlong OnPiece(const fit::Line& line, const Piece& piece) {
  const auto step = [&](size_t end) { return line[end] - line[end - 1]; };
  size_t runs = piece.end;
  while (runs + 1 < line.size() && fit::LengthM(step(runs)) < kOnePointM) ++runs;
  while (runs > 1 && fit::LengthM(step(runs)) < kOnePointM) --runs;
  return {.at = line[piece.end - 1] + piece.share * step(piece.end),
          .heading_rad = std::atan2(step(runs).y_m, step(runs).x_m)};
}

/// Where something that lies `along` a lane comes on the way, on the flat, from where the lane is
/// entered.
double FlatFromEntry(const Driven& driven, fit::Metres along) {
  const auto [i, share] = PieceAt(
      driven.sloped_m.size(), [&](size_t point) { return driven.sloped_m[point]; }, along.metres());
  const double flat_m = driven.flat_m[i - 1] + share * (driven.flat_m[i] - driven.flat_m[i - 1]);
  return driven.backwards ? driven.flat_m.back() - flat_m : flat_m;
}

NoAnswer LaneMisses(const yard::Door& door, fit::Metres off, fit::Metres width) {
  const auto text = [](fit::Metres length) {
    return Text(length, fit::UnitSystem::kSi, fit::Rounding::kDown);
  };
  return {.sort = NoAnswer::Sort::kUnusable,
          .input = "opening of " + door.id.value(),
          .problem = fmt::format("is {} wide, and lane {} passes {} from its middle", text(width),
                                 door.lane.value(), text(off)),
          .right = "draw the door where it is, and the lane through it, in map.geojson"};
}

NoAnswer StepAt(const Driven& driven, fit::Metres off) {
  return {.sort = NoAnswer::Sort::kUnusable,
          .input = "ground of " + driven.lane->id.value(),
          .problem = fmt::format("lies {:.3f} m {} the lane before it where they meet",
                                 std::abs(off.metres()), off > fit::Metres() ? "above" : "below"),
          .right = fmt::format("level both ends again: they may differ by {:.0f} mm",
                               1'000 * yard::kOneHeightM)};
}

/// The map draws no wall, so a door stands square to its lane: which must then run straight
/// through.
Outcome<void> RunsStraight(const yard::Yard& yard, const yard::Door& door, fit::Metres width) {
  const yard::Plane plane = PlaneOf(yard);
  const yard::Lane& lane = yard.lanes.at(door.lane);
  const double heading = PointOn(plane, lane, door.along).heading_rad;
  for (const double ahead : {-0.5, 0.5}) {
    const double there = PointOn(plane, lane, door.along + ahead * width).heading_rad;
    if (std::abs(std::remainder(there - heading, 2 * std::numbers::pi)) <= kStraightRad) continue;
    return tl::unexpected(NoAnswer{
        .sort = NoAnswer::Sort::kUnusable,
        .input = "lane " + lane.id.value(),
        .problem = fmt::format("bends within half the width of {}, so nobody knows how its wall "
                               "runs",
                               door.id.value()),
        .right = "draw the lane straight through the door, square to its wall, in map.geojson"});
  }
  return {};
}

/// One spot with two heights is a step that no profile would show.
Outcome<void> AddMiddle(const Driven& driven, Way& way) {
  for (size_t i = 0; i < driven.points.size(); ++i) {
    const fit::Metres elevation = fit::InMetres(driven.elevations_m[i]);
    double along_m = 0;
    if (!way.middle.empty()) {
      const double step_m = fit::LengthM(driven.points[i] - way.middle.back());
      if (step_m < kOnePointM) {
        const fit::Metres off = elevation - way.profile.ground.back().elevation;
        if (std::abs(off.metres()) > yard::kOneHeightM) return tl::unexpected(StepAt(driven, off));
        continue;
      }
      along_m = way.along.back().metres() + step_m;
    }
    way.middle.push_back(driven.points[i]);
    way.along.push_back(fit::InMetres(along_m));
    way.profile.ground.push_back({.along = fit::InMetres(along_m), .elevation = elevation});
  }
  return {};
}

Outcome<void> AddDoor(Readings& readings, const yard::Door& door, fit::Metres along, Way& way) {
  const std::string& id = door.id.value();
  const auto height = readings.Of<fit::Metres>(id, "clear-height");
  if (!height) return tl::unexpected(height.error());
  const auto width = readings.Of<fit::Metres>(id, "clear-width");
  if (!width) return tl::unexpected(width.error());
  const auto sill = readings.Of<fit::Metres>(id, "sill-height");
  if (!sill) return tl::unexpected(sill.error());
  const fit::Metres from = along - kWallDepth / 2, to = along + kWallDepth / 2;
  way.profile.overheads.push_back({.id = id, .from = from, .to = to, .clear_height = *height});
  if (*sill > fit::Metres())
    way.profile.sills.push_back({.id = id + " sill", .from = from, .to = to, .height = *sill});
  const double half_m = width->metres() / 2;
  if (const fit::Metres off = OffDoor(door, readings.yard().lanes.at(door.lane));
      off.metres() >= half_m)
    return tl::unexpected(LaneMisses(door, off, *width));
  if (auto straight = RunsStraight(readings.yard(), door, *width); !straight) return straight;
  // The map draws the opening's middle, and not how its wall runs: square to the lane.
  const fit::Pose pose{.at = OnPlane(PlaneOf(readings.yard()), door.position),
                       .heading_rad = PointOn(way, along).heading_rad};
  way.doors.push_back({.id = id,
                       .along = along,
                       .left = fit::FromPose(pose, 0, half_m),
                       .right = fit::FromPose(pose, 0, -half_m)});
  return {};
}

void AddWires(const yard::Yard& yard, const yard::Plane& plane, Way& way) {
  std::vector<yard::Point> middle;
  for (const fit::Point point : way.middle) middle.push_back({point.x_m, point.y_m});
  for (const auto& [id, overhead] : yard.overheads) {
    if (overhead.sort != yard::OverheadSort::kWire) continue;
    const yard::Lane& lane = yard.lanes.at(overhead.lane);
    const fit::Point place = PointOn(plane, lane, overhead.along).at;
    const yard::Foot foot = yard::NearestOnLine({place.x_m, place.y_m}, middle);
    const fit::Metres from = way.along[foot.segment], to = way.along[foot.segment + 1];
    const bool over =
        std::ranges::find(way.lanes, lane.id.value(), &LaneOnWay::id) != way.lanes.end();
    way.wires.push_back({.wire = &overhead,
                         .along = from + foot.fraction * (to - from),
                         .off_middle = over ? fit::Metres() : fit::InMetres(foot.distance_m)});
  }
}

Outcome<void> AddOverhead(Readings& readings, const yard::Overhead& overhead, fit::Metres along,
                          Way& way) {
  const std::string& id = overhead.id.value();
  const auto headroom = readings.Of<fit::Metres>(id, "headroom");
  if (!headroom) return tl::unexpected(headroom.error());
  way.profile.overheads.push_back({.id = id,
                                   .from = along - overhead.length / 2,
                                   .to = along + overhead.length / 2,
                                   .clear_height = *headroom});
  return {};
}

Outcome<void> AddThingsOf(Readings& readings, const Driven& driven, fit::Metres entry, Way& way) {
  const auto on_way = [&](fit::Metres along) {
    return entry + fit::InMetres(FlatFromEntry(driven, along));
  };
  for (const auto& [id, door] : readings.yard().doors) {
    if (door.lane != driven.lane->id) continue;
    if (auto added = AddDoor(readings, door, on_way(door.along), way); !added) return added;
  }
  for (const auto& [id, overhead] : readings.yard().overheads) {
    // A wire is no beam: what it asks for, WiresAreClear says.
    if (overhead.lane != driven.lane->id || overhead.sort == yard::OverheadSort::kWire) continue;
    if (auto added = AddOverhead(readings, overhead, on_way(overhead.along), way); !added)
      return added;
  }
  return {};
}

Outcome<Way> MiddleOver(const yard::Yard& yard, const std::vector<Driven>& lanes) {
  if (lanes.empty()) {
    return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kUnusable,
                                   .input = "route",
                                   .problem = "has no lane: it starts where it ends",
                                   .right = "name another place to go to"});
  }
  Way way;
  for (const Driven& driven : lanes) {
    const fit::Metres entry = way.along.empty() ? fit::Metres() : way.along.back();
    if (auto added = AddMiddle(driven, way); !added) return tl::unexpected(added.error());
    way.lanes.push_back({.id = driven.lane->id.value(), .from = entry, .to = way.along.back()});
  }
  AddWires(yard, PlaneOf(yard), way);
  return way;
}

/// A wall's depth, or a canopy, may reach over an end of the way; the profile does not.
void KeepOnWay(Way& way) {
  const auto cut = [&](auto& things) {
    for (auto& thing : things) {
      thing.from = std::clamp(thing.from, fit::Metres(), way.along.back());
      thing.to = std::clamp(thing.to, fit::Metres(), way.along.back());
    }
  };
  cut(way.profile.overheads);
  cut(way.profile.sills);
}

/// One machine's bay, straight on along the lane at a place: as wide as neighbours stand apart.
fit::Outcome<fit::Region> BayAt(fit::Point place, fit::Point along) {
  constexpr double kThroughTheRowM = 1'000;  // no row is that deep
  const fit::Pose pose{.at = place, .heading_rad = std::atan2(along.y_m, along.x_m)};
  const double half_m = kBesideEachOther.metres() / 2;
  std::vector<fit::Point> corners;
  for (const double ahead_m : {-kThroughTheRowM, kThroughTheRowM}) {
    for (const double left_m : {-half_m, half_m})
      corners.push_back(fit::FromPose(pose, ahead_m, left_m));
  }
  return fit::Region::Hull(corners);
}

/// A row counts as full but for the machine's own bay, where the way leaves it or goes to it; all
/// of it is full where there is no way.
void AddRow(const yard::Area& area, const GroundOnWay& row, const LaidOut& what, Way& way) {
  auto full = fit::Region::From({.outer = row.ring});
  const size_t points = way.middle.size(), last = points - 1;
  if (full && points > 1 && area.places.contains(what.from)) {
    if (const auto bay = BayAt(way.middle.front(), way.middle[1] - way.middle[0]))
      full = full->Without(*bay);
  }
  if (full && points > 1 && area.places.contains(what.route.to)) {
    if (const auto bay = BayAt(way.middle[last], way.middle[last] - way.middle[last - 1]))
      full = full->Without(*bay);
  }
  if (!full) {  // the readers of the map hold every ring to one that encloses ground
    way.obstacles.push_back(row);
    return;
  }
  for (const fit::Outline& piece : full->Outlines())
    way.obstacles.push_back({.id = row.id, .ring = piece.outer});
}

}  // namespace

yard::Plane PlaneOf(const yard::Yard& yard) {
  return yard::Plane(yard.places.empty() ? yard::Position() : yard.places.begin()->second.position);
}

fit::Point OnPlane(const yard::Plane& plane, const yard::Position& position) {
  const yard::Point point = plane.At(position);
  return {point.east_m, point.north_m};
}

fit::Line OnPlane(const yard::Plane& plane, const std::vector<yard::Position>& positions) {
  fit::Line line;
  for (const yard::Position& position : positions) line.push_back(OnPlane(plane, position));
  return line;
}

fit::Ring RingOf(const yard::Plane& plane, const std::vector<yard::Position>& positions) {
  fit::Ring ring = OnPlane(plane, positions);
  // GeoJSON repeats the first position at the end; a ring here does not.
  if (!ring.empty()) ring.pop_back();
  return ring;
}

PointAlong PointOn(const Way& way, fit::Metres along) {
  const auto length_m = [&](size_t point) { return way.along[point].metres(); };
  return OnPiece(way.middle, PieceAt(way.along.size(), length_m, along.metres()));
}

PointAlong PointOn(const yard::Plane& plane, const yard::Lane& lane, fit::Metres along) {
  const std::vector<double> sloped_m = yard::LengthsAlongM(lane.line);
  const auto length_m = [&](size_t point) { return sloped_m[point]; };
  return OnPiece(OnPlane(plane, lane.line), PieceAt(sloped_m.size(), length_m, along.metres()));
}

Outcome<Way> MiddleOf(const yard::Yard& yard, const LaidOut& what) {
  return MiddleOver(yard, DriveAll(yard, PlaneOf(yard), what));
}

void AddGround(const yard::Yard& yard, const LaidOut& what, Way& way) {
  const yard::Plane plane = PlaneOf(yard);
  for (const auto& [id, obstacle] : yard.obstacles) {
    if (!obstacle.rings.empty())
      way.obstacles.push_back({.id = id.value(), .ring = RingOf(plane, obstacle.rings.front())});
  }
  for (const auto& [id, area] : yard.areas) {
    if (area.rings.empty()) continue;
    const GroundOnWay ground{.id = id.value(), .ring = RingOf(plane, area.rings.front())};
    if (NothingStandsOn(area.duty)) way.keep_clear.push_back(ground);
    if (area.duty == yard::Duty::kKeepClear || area.duty == yard::Duty::kRefuge)
      way.no_way.push_back(ground);
    if (area.duty == yard::Duty::kParking) AddRow(area, ground, what, way);
  }
}

Outcome<Way> LayOut(Readings& readings, const LaidOut& what) {
  if (const auto map = readings.Map(); !map) return tl::unexpected(map.error());
  const yard::Yard& yard = readings.yard();
  const std::vector<Driven> driven = DriveAll(yard, PlaneOf(yard), what);
  Outcome<Way> way = MiddleOver(yard, driven);
  if (!way) return way;
  // Jambs lie square to the finished middle, so they come after it.
  for (size_t i = 0; i < driven.size(); ++i) {
    if (auto added = AddThingsOf(readings, driven[i], way->lanes[i].from, *way); !added)
      return tl::unexpected(added.error());
  }
  KeepOnWay(*way);
  AddGround(yard, what, *way);
  return way;
}

fit::Grade SteepestOnMap(const fit::Line& middle, const yard::Lane& lane) {
  double steepest = 0;
  for (size_t i = 1; i < middle.size(); ++i) {
    const double run_m = fit::LengthM(middle[i] - middle[i - 1]);
    const double rise_m =
        lane.line[i].elevation_m.value_or(0) - lane.line[i - 1].elevation_m.value_or(0);
    if (run_m > kOnePointM) steepest = std::max(steepest, std::abs(rise_m) / run_m);
  }
  return fit::RiseOverRun(steepest);
}

}  // namespace chockwise::survey
