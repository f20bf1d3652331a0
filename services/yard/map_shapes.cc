#include "services/yard/map_shapes.h"

#include <fmt/format.h>

#include <cmath>

#include "services/yard/limits.h"

namespace chockwise::yard {
namespace {

using nlohmann::json;

const std::map<std::string, Duty, std::less<>> kDuties = {
    {"keep-clear", Duty::kKeepClear}, {"exit", Duty::kExit},
    {"fire-way", Duty::kFireWay},     {"refuge", Duty::kRefuge},
    {"lamp-group", Duty::kLampGroup}, {"parking", Duty::kParking},
};

const std::map<std::string, OverheadSort, std::less<>> kOverheadSorts = {
    {"canopy", OverheadSort::kCanopy},
    {"beam", OverheadSort::kBeam},
    {"pipe", OverheadSort::kPipe},
    {"wire", OverheadSort::kWire},
};

std::string Metric(double metres) { return fmt::format("{:.1f} m", metres); }

/// A reference to another feature by its id.
template <class IdType>
IdType ReadReference(Properties& properties, std::string_view name) {
  return IdType(properties.Text(name, Need::kRequired).value_or(""));
}

}  // namespace

void MapShapes::Complain(std::string where, std::string field, std::string problem,
                         std::string right) {
  notes_.Add({.where = std::move(where),
              .field = std::move(field),
              .problem = std::move(problem),
              .right = std::move(right)});
}

void MapShapes::Read(const std::string& id, Properties& properties, const json& geometry,
                     Draft& draft) {
  using Reader = void (MapShapes::*)(const std::string&, Properties&, const json&, Draft&);
  static const std::map<std::string, Reader, std::less<>> kReaders = {
      {"place", &MapShapes::ReadPlace},       {"lane", &MapShapes::ReadLane},
      {"door", &MapShapes::ReadDoor},         {"hold-point", &MapShapes::ReadHoldPoint},
      {"area", &MapShapes::ReadArea},         {"overhead", &MapShapes::ReadOverhead},
      {"obstacle", &MapShapes::ReadObstacle},
  };
  const std::string type =
      properties.Text("type", Need::kRequired, "one of " + Listed(Names(kReaders))).value_or("");
  if (!id.empty()) draft.features[id] = type.empty() ? "feature" : type;
  const auto reader = kReaders.find(type);
  if (reader == kReaders.end()) {
    if (!type.empty()) {
      properties.Complain("type", Quoted(type) + " is not a type of feature",
                          KnownNames(type, Names(kReaders)));
    }
    draft.MapIsIncomplete();
    return;
  }
  (this->*reader->second)(id, properties, geometry, draft);
  properties.RefuseUnknown();
}

std::string MapShapes::ReadPostCode(Properties& properties) {
  const auto code = properties.Text("post-code", Need::kOptional);
  if (!code) return "";
  if (!IsId(*code) || code->size() > kPostCodeCharacters) {
    properties.Complain(
        "post-code", Quoted(*code) + " cannot be typed from a post",
        fmt::format("1 to {} characters of a-z, A-Z, 0-9 and '-'", kPostCodeCharacters));
    return "";
  }
  const auto [other, fresh] = post_codes_.emplace(*code, properties.where());
  if (!fresh) {
    properties.Complain("post-code",
                        fmt::format("{} is painted at {} too", Quoted(*code), other->second),
                        "a code must say where somebody stands: give each its own");
  }
  return *code;
}

void MapShapes::ReadPlace(const std::string& id, Properties& properties, const json& geometry,
                          Draft& draft) {
  Place place{.id = PlaceId(id)};
  place.name = properties.Text("name", Need::kRequired).value_or("");
  place.capacity = properties.Whole("capacity", {.least = 1, .most = kCapacity, .not_given = 1});
  place.post_code = ReadPostCode(properties);
  place.under_roof = properties.Flag("under-roof");
  const auto position = ReadPoint(geometry, properties);
  if (id.empty()) return;
  draft.places.ids.insert(id);
  if (!position) return;
  place.position = *position;
  seen_.emplace_back(id, *position);
  draft.yard.places.emplace(place.id, std::move(place));
}

void MapShapes::ReadLane(const std::string& id, Properties& properties, const json& geometry,
                         Draft& draft) {
  Lane lane{.id = LaneId(id)};
  lane.name = properties.Text("name", Need::kOptional).value_or(id);
  lane.from = ReadReference<PlaceId>(properties, "from");
  lane.to = ReadReference<PlaceId>(properties, "to");
  lane.one_way = properties.Flag("one-way").value_or(false);
  auto line = ReadLine(geometry, properties);
  if (id.empty()) return;
  draft.lanes.ids.insert(id);
  if (!line) return;
  lane.line = std::move(*line);
  for (const Position& position : lane.line) seen_.emplace_back(id, position);
  draft.yard.lanes.emplace(lane.id, std::move(lane));
}

void MapShapes::ReadDoor(const std::string& id, Properties& properties, const json& geometry,
                         Draft& draft) {
  Door door{.id = DoorId(id)};
  door.name = properties.Text("name", Need::kOptional).value_or(id);
  door.lane = ReadReference<LaneId>(properties, "lane");
  door.post_code = ReadPostCode(properties);
  for (const std::string quantity : {"clear-height", "clear-width"}) {
    const auto text = properties.Text(quantity, Need::kOptional);
    if (!text) continue;
    const auto value = ReadMeasuredValue(*text);
    if (!value || !std::holds_alternative<fit::Metres>(*value)) {
      properties.Complain(quantity, value ? Quoted(*text) + " is not a length" : value.error(),
                          value ? "give a length: 13 ft 6 in, 4.11 m" : "");
      continue;
    }
    if (!id.empty()) draft.nominal[id][quantity] = std::get<fit::Metres>(*value);
  }
  const auto position = ReadPoint(geometry, properties);
  if (id.empty()) return;
  draft.doors.ids.insert(id);
  if (!position) return;
  door.position = *position;
  spots_[id] = *position;
  seen_.emplace_back(id, *position);
  draft.yard.doors.emplace(door.id, std::move(door));
}

void MapShapes::ReadHoldPoint(const std::string& id, Properties& properties, const json& geometry,
                              Draft& draft) {
  HoldPoint point{.id = HoldPointId(id)};
  point.name = properties.Text("name", Need::kOptional).value_or(id);
  point.lane = ReadReference<LaneId>(properties, "lane");
  point.post_code = ReadPostCode(properties);
  const auto position = ReadPoint(geometry, properties);
  if (id.empty() || !position) return;
  spots_[id] = *position;
  seen_.emplace_back(id, *position);
  draft.yard.hold_points.emplace(point.id, std::move(point));
}

void MapShapes::ReadArea(const std::string& id, Properties& properties, const json& geometry,
                         Draft& draft) {
  Area area{.id = AreaId(id)};
  area.name = properties.Text("name", Need::kOptional).value_or(id);
  if (const auto duty =
          properties.Text("duty", Need::kRequired, "one of " + Listed(Names(kDuties)))) {
    if (const auto known = kDuties.find(*duty); known != kDuties.end()) {
      area.duty = known->second;
    } else {
      properties.Complain("duty", Quoted(*duty) + " is not a duty",
                          KnownNames(*duty, Names(kDuties)));
    }
  }
  auto rings = ReadPolygon(geometry, properties);
  if (id.empty()) return;
  draft.areas.ids.insert(id);
  if (!rings) return;
  area.rings = std::move(*rings);
  for (const auto& ring : area.rings) {
    for (const Position& position : ring) seen_.emplace_back(id, position);
  }
  draft.yard.areas.emplace(area.id, std::move(area));
}

void MapShapes::ReadOverhead(const std::string& id, Properties& properties, const json& geometry,
                             Draft& draft) {
  Overhead overhead{.id = OverheadId(id)};
  overhead.name = properties.Text("name", Need::kOptional).value_or(id);
  overhead.lane = ReadReference<LaneId>(properties, "lane");
  const std::string sorts = "one of " + Listed(Names(kOverheadSorts));
  if (const auto sort = properties.Text("sort", Need::kRequired, sorts)) {
    if (const auto known = kOverheadSorts.find(*sort); known != kOverheadSorts.end()) {
      overhead.sort = known->second;
    } else {
      properties.Complain("sort", Quoted(*sort) + " is not a sort of overhead",
                          KnownNames(*sort, Names(kOverheadSorts)));
    }
  }
  if (const auto text = properties.Text("length", Need::kOptional)) {
    const auto value = ReadMeasuredValue(*text);
    if (value && std::holds_alternative<fit::Metres>(*value) &&
        std::get<fit::Metres>(*value) >= fit::Metres()) {
      overhead.length = std::get<fit::Metres>(*value);
    } else {
      properties.Complain("length", Quoted(*text) + " is not a length along the lane",
                          "0 or more, with its unit: 20 ft");
    }
  }
  const auto position = ReadPoint(geometry, properties);
  if (id.empty()) return;
  draft.overheads.ids.insert(id);
  if (!position) return;
  spots_[id] = *position;
  seen_.emplace_back(id, *position);
  draft.yard.overheads.emplace(overhead.id, std::move(overhead));
}

void MapShapes::ReadObstacle(const std::string& id, Properties& properties, const json& geometry,
                             Draft& draft) {
  Obstacle obstacle{.id = ObstacleId(id)};
  obstacle.name = properties.Text("name", Need::kOptional).value_or(id);
  auto rings = ReadPolygon(geometry, properties);
  if (id.empty() || !rings) return;
  obstacle.rings = std::move(*rings);
  for (const auto& ring : obstacle.rings) {
    for (const Position& position : ring) seen_.emplace_back(id, position);
  }
  draft.yard.obstacles.emplace(obstacle.id, std::move(obstacle));
}

void MapShapes::Connect(Draft& draft) {
  if (seen_.empty()) return;
  const Plane plane(seen_.front().second);
  std::string far_feature;
  for (const auto& [id, position] : seen_) {
    const double away_m = DistanceM(plane.At(position), {});
    if (away_m <= kReachM || id == far_feature) continue;
    far_feature = id;
    Complain(
        id, "coordinates",
        fmt::format("lies {:.0f} km from {}", away_m / 1'000, seen_.front().first),
        fmt::format("a yard reaches {:.0f} km; longitude comes before latitude", kReachM / 1'000));
  }
  if (!far_feature.empty()) return;  // one far position makes nonsense of every distance
  for (auto& [id, lane] : draft.yard.lanes) ConnectLane(lane, plane, draft);
  CompareHeights(plane, draft);
  for (auto& [id, door] : draft.yard.doors) ConnectSpot(door, plane, draft);
  for (auto& [id, point] : draft.yard.hold_points) ConnectSpot(point, plane, draft);
  for (auto& [id, overhead] : draft.yard.overheads) ConnectSpot(overhead, plane, draft);
  for (auto& [id, area] : draft.yard.areas) ConnectArea(area, plane, draft);
  for (auto& [id, obstacle] : draft.yard.obstacles) {
    Rings rings;
    for (const auto& ring : obstacle.rings) rings.push_back(plane.At(ring));
    AreRingsSound(id.value(), rings);
  }
}

void MapShapes::ConnectLane(Lane& lane, const Plane& plane, const Draft& draft) {
  const std::string& id = lane.id.value();
  const std::vector<double> lengths_m = LengthsAlongM(lane.line);
  lane.length = fit::InMetres(lengths_m.back());
  if (!lane.from.empty() && lane.from == lane.to) {
    Complain(id, "to", fmt::format("{} is where the lane comes from", Quoted(lane.to.value())),
             "a lane joins two places");
  }
  const auto end = [&](const PlaceId& place, const Position& position, std::string field) {
    if (place.empty()) return;
    if (draft.places.Dangles(place.value())) {
      Complain(id, field, Quoted(place.value()) + " is not a place",
               KnownNames(place.value(), Names(draft.places.ids)));
    }
    const auto found = draft.yard.places.find(place);
    if (found == draft.yard.places.end()) return;
    const double away_m = DistanceM(plane.At(position), plane.At(found->second.position));
    if (away_m <= kLaneEndM) return;
    Complain(
        id, field, fmt::format("the line's end lies {} from {}", Metric(away_m), place.value()),
        fmt::format("draw it to within {}, or name the place where it ends", Metric(kLaneEndM)));
  };
  end(lane.from, lane.line.front(), "from");
  end(lane.to, lane.line.back(), "to");

  for (size_t i = 1; i < lane.line.size(); ++i) {
    const double rise_m = std::abs(*lane.line[i].elevation_m - *lane.line[i - 1].elevation_m);
    const double run_m = DistanceM(plane.At(lane.line[i]), plane.At(lane.line[i - 1]));
    if (rise_m <= kSteepest * run_m) continue;
    Complain(
        id, fmt::format("coordinates[{}]", i),
        fmt::format("rises or falls {} over {}", Metric(rise_m), Metric(run_m)),
        fmt::format("at most {:.0f} % is read as a lane; look at the elevations", kSteepest * 100));
    break;
  }
}

/// Ground has one height where lanes meet. Ends that are drawn apart may differ by what a lane may
/// rise between them.
void MapShapes::CompareHeights(const Plane& plane, const Draft& draft) {
  struct End {
    std::string of;  // the feature that says so
    Position at;
  };
  std::map<PlaceId, End> first;
  for (const auto& [id, place] : draft.yard.places) {
    if (place.position.elevation_m) first.emplace(id, End{id.value(), place.position});
  }
  const auto compare = [&](const Lane& lane, const PlaceId& place, size_t point) {
    const Position& at = lane.line[point];
    const auto [other, is_first] = first.emplace(place, End{lane.id.value(), at});
    if (is_first) return;
    const double off_m = *at.elevation_m - *other->second.at.elevation_m;
    const double apart_m = DistanceM(plane.At(at), plane.At(other->second.at));
    if (std::abs(off_m) <= kOneHeightM + kSteepest * apart_m) return;
    Complain(lane.id.value(), fmt::format("coordinates[{}]", point),
             fmt::format("lies {:.3f} m {} {} at {}", std::abs(off_m),
                         off_m > 0 ? "above" : "below", other->second.of, place.value()),
             fmt::format("ground has one height there, to {:.0f} mm: level both again",
                         1'000 * kOneHeightM));
  };
  for (const auto& [id, lane] : draft.yard.lanes) {
    compare(lane, lane.from, 0);
    compare(lane, lane.to, lane.line.size() - 1);
  }
}

template <class Spot>
void MapShapes::ConnectSpot(Spot& spot, const Plane& plane, const Draft& draft) {
  const std::string& id = spot.id.value();
  if (spot.lane.empty()) return;
  if (draft.lanes.Dangles(spot.lane.value())) {
    Complain(id, "lane", Quoted(spot.lane.value()) + " is not a lane",
             KnownNames(spot.lane.value(), Names(draft.lanes.ids)));
  }
  const auto lane = draft.yard.lanes.find(spot.lane);
  if (lane == draft.yard.lanes.end()) return;
  const Foot foot = NearestOnLine(plane.At(spots_.at(id)), plane.At(lane->second.line));
  if (foot.distance_m > kOnLaneM) {
    Complain(id, "coordinates",
             fmt::format("lies {} from lane {}", Metric(foot.distance_m), spot.lane.value()),
             fmt::format("draw it on the lane, to within {}", Metric(kOnLaneM)));
  }
  const std::vector<double> lengths_m = LengthsAlongM(lane->second.line);
  const double segment_m = lengths_m[foot.segment + 1] - lengths_m[foot.segment];
  spot.along = fit::InMetres(lengths_m[foot.segment] + foot.fraction * segment_m);
}

bool MapShapes::AreRingsSound(const std::string& id, const Rings& rings) {
  constexpr double kLeastAreaM2 = 0.01;
  bool sound = true;
  const auto refuse = [&](size_t i, std::string problem, std::string right) {
    sound = false;
    Complain(id, fmt::format("coordinates[{}]", i), std::move(problem), std::move(right));
  };
  for (size_t i = 0; i < rings.size(); ++i) {
    if (CrossesItself(rings[i])) {
      refuse(i, "crosses itself", "draw its corners in order around the ground");
    } else if (AreaM2(rings[i]) < kLeastAreaM2) {
      refuse(i, "encloses no ground", "draw at least three corners that are not in line");
    } else if (i > 0 && !IsInside(rings[i].front(), rings.front())) {
      refuse(i, "is a hole outside the outer ring",
             "the first ring is the outer one (RFC 7946 3.1.6)");
    }
  }
  return sound;
}

void MapShapes::ConnectArea(Area& area, const Plane& plane, const Draft& draft) {
  Rings rings;
  for (const auto& ring : area.rings) rings.push_back(plane.At(ring));
  if (!AreRingsSound(area.id.value(), rings)) return;
  for (const auto& [id, lane] : draft.yard.lanes) {
    if (Touches(plane.At(lane.line), rings, kTouchM)) area.lanes.insert(id);
  }
  for (const auto& [id, place] : draft.yard.places) {
    if (Touches({plane.At(place.position)}, rings, kTouchM)) area.places.insert(id);
  }
}

}  // namespace chockwise::yard
