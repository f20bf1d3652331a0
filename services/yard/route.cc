#include <algorithm>
#include <queue>
#include <tuple>

#include "services/yard/yard.h"

namespace chockwise::yard {
namespace {

/// A way to a place so far. Its order is the order in which ways are preferred: shortest, fewest
/// lanes, lane ids. Lengths are whole millimetres, so that two sums of the same lanes never differ.
struct Way {
  int64_t length_mm = 0;
  std::vector<LaneId> lanes = {};
  PlaceId at = {};

  std::tuple<int64_t, size_t, const std::vector<LaneId>&> Preference() const {
    return {length_mm, lanes.size(), lanes};
  }
  bool operator>(const Way& other) const { return other.Preference() < Preference(); }
};

struct Step {
  const Lane* lane;
  PlaceId to;
};

std::multimap<PlaceId, Step> StepsByPlace(const std::map<LaneId, Lane>& lanes) {
  std::multimap<PlaceId, Step> steps;
  for (const auto& [id, lane] : lanes) {
    steps.emplace(lane.from, Step{&lane, lane.to});
    if (!lane.one_way) steps.emplace(lane.to, Step{&lane, lane.from});
  }
  return steps;
}

/// Dijkstra: ways leave the queue in order of preference, so the first one that reaches a place is
/// its best.
std::optional<Way> BestWay(const std::map<LaneId, Lane>& lanes, const PlaceId& from,
                           const PlaceId& to) {
  const auto steps = StepsByPlace(lanes);
  std::priority_queue<Way, std::vector<Way>, std::greater<>> open;
  std::set<PlaceId> reached;
  open.push({.length_mm = 0, .at = from});
  while (!open.empty()) {
    const Way way = open.top();
    open.pop();
    if (way.at == to) return way;
    if (!reached.insert(way.at).second) continue;
    const auto [first, last] = steps.equal_range(way.at);
    for (auto step = first; step != last; ++step) {
      Way longer = way;
      longer.length_mm += fit::CeilMillimetres(step->second.lane->length);
      longer.lanes.push_back(step->second.lane->id);
      longer.at = step->second.to;
      open.push(std::move(longer));
    }
  }
  return std::nullopt;
}

struct StopOnLane {
  fit::Metres along;
  RouteStop stop;
};

/// Doors and hold points of a lane from its start to its end; at one spot by id.
std::vector<StopOnLane> StopsOf(const Yard& yard, const LaneId& lane) {
  std::vector<StopOnLane> stops;
  for (const auto& [id, door] : yard.doors) {
    if (door.lane == lane)
      stops.push_back(
          {door.along, {.id = id.value(), .is_door = true, .post_code = door.post_code}});
  }
  for (const auto& [id, point] : yard.hold_points) {
    if (point.lane == lane)
      stops.push_back(
          {point.along, {.id = id.value(), .is_door = false, .post_code = point.post_code}});
  }
  std::ranges::sort(stops, [](const StopOnLane& a, const StopOnLane& b) {
    return std::tie(a.along, a.stop.id) < std::tie(b.along, b.stop.id);
  });
  return stops;
}

}  // namespace

std::optional<Route> Yard::FindRoute(const PlaceId& from, const PlaceId& to) const {
  if (!places.contains(from) || !places.contains(to)) return std::nullopt;
  const auto way = BestWay(lanes, from, to);
  return way ? RouteBy(from, way->lanes) : std::nullopt;
}

std::optional<Route> Yard::RouteBy(const PlaceId& from, const std::vector<LaneId>& by) const {
  if (!places.contains(from)) return std::nullopt;
  Route route{.to = from, .lanes = by};
  for (const LaneId& lane_id : by) {
    const auto known = lanes.find(lane_id);
    if (known == lanes.end()) return std::nullopt;
    const Lane& lane = known->second;
    const bool backwards = lane.from != route.to;
    if (backwards && (lane.one_way || lane.to != route.to)) return std::nullopt;
    auto stops = StopsOf(*this, lane_id);
    if (backwards) std::ranges::reverse(stops);
    for (StopOnLane& stop : stops) {
      if (stop.stop.is_door) route.doors.emplace_back(stop.stop.id);
      route.stops.push_back(std::move(stop.stop));
    }
    route.length += lane.length;
    route.to = backwards ? lane.from : lane.to;
  }
  const std::set<LaneId> driven(by.begin(), by.end());
  for (const auto& [area_id, area] : areas) {
    const bool crossed =
        std::ranges::any_of(area.lanes, [&](const LaneId& lane) { return driven.contains(lane); });
    if (crossed || area.places.contains(route.to)) route.areas.insert(area_id);
  }
  return route;
}

}  // namespace chockwise::yard
