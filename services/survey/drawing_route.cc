// The yard with the way that was found, or with what would have to change for one.
#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

#include "services/survey/drawing.h"
#include "services/survey/drawing_frame.h"
#include "services/survey/drawing_map.h"
#include "services/survey/route_proof.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

/// The corner of a ring and a lane's middle at which they come nearest to each other.
fit::Point NearestOfRing(const fit::Ring& ring, const fit::Line& lane) {
  fit::Point nearest = lane.front();
  double least_m = std::numeric_limits<double>::infinity();
  std::vector<yard::Point> middle;
  for (const fit::Point point : lane) middle.push_back({point.x_m, point.y_m});
  for (size_t i = 0; i < ring.size(); ++i) {
    // A long wall is passed between its corners.
    const fit::Point a = ring[i], b = ring[(i + 1) % ring.size()];
    const int pieces = std::clamp(static_cast<int>(fit::LengthM(b - a)), 1, 1'000);
    for (int piece = 0; piece < pieces; ++piece) {
      const fit::Point point = a + (static_cast<double>(piece) / pieces) * (b - a);
      const double off_m = yard::NearestOnLine({point.x_m, point.y_m}, middle).distance_m;
      if (off_m >= least_m) continue;
      least_m = off_m;
      nearest = point;
    }
  }
  return nearest;
}

/// The ring of an obstacle or of parked machines by that name; nothing for any other.
const std::vector<yard::Position>* RingNamed(const yard::Yard& yard, const std::string& name) {
  const auto outer = [](const auto& things, const auto& id) -> const std::vector<yard::Position>* {
    const auto found = things.find(id);
    return found == things.end() || found->second.rings.empty() ? nullptr
                                                                : &found->second.rings.front();
  };
  const auto* obstacle = outer(yard.obstacles, yard::ObstacleId(name));
  return obstacle != nullptr ? obstacle : outer(yard.areas, yard::AreaId(name));
}

/// Where two lanes meet; the first one's end where they meet at both.
yard::PlaceId MeetAt(const yard::Lane& a, const yard::Lane& b) {
  return a.to == b.from || a.to == b.to ? a.to : a.from;
}

/// At the door, the wire, the wall or the turn that it is about, else in the lane's middle.
fit::Point WhereToChange(const yard::Yard& yard, const fit::LaneShort& change) {
  const yard::Plane plane = PlaneOf(yard);
  const yard::Lane& lane = yard.lanes.at(yard::LaneId(change.lane_id));
  if (change.onto) {
    const yard::PlaceId meet = MeetAt(lane, yard.lanes.at(yard::LaneId(change.onto_id)));
    return OnPlane(plane, yard.places.at(meet).position);
  }
  constexpr std::string_view kSill = " sill";
  std::string at = change.at;
  if (at.ends_with(kSill)) at.resize(at.size() - kSill.size());
  if (const auto door = yard.doors.find(yard::DoorId(at)); door != yard.doors.end())
    return OnPlane(plane, door->second.position);
  if (const auto over = yard.overheads.find(yard::OverheadId(at)); over != yard.overheads.end())
    return PointOn(plane, yard.lanes.at(over->second.lane), over->second.along).at;
  if (const auto* ring = RingNamed(yard, at))
    return NearestOfRing(RingOf(plane, *ring), OnPlane(plane, lane.line));
  return PointOn(plane, lane, lane.length / 2).at;
}

/// Two at one door are one mark.
void AddChanges(const Asked& asked, const std::vector<fit::LaneShort>& changes, PlanDrawing& plan) {
  constexpr double kSameSpotM = 0.5;
  for (const fit::LaneShort& change : changes) {
    const NamedPoint here{.name = fit::Text(change, asked.units),
                          .at = WhereToChange(asked.yard, change)};
    const auto there = std::ranges::find_if(plan.changes, [&](const NamedPoint& other) {
      return fit::LengthM(other.at - here.at) < kSameSpotM;
    });
    if (there == plan.changes.end()) {
      plan.changes.push_back(here);
    } else {
      there->name += "; " + here.name;
    }
  }
}

/// By how much it turns from one lane on to the next, looked at half a metre before and behind.
double TurnRad(const Way& way, Metres along) {
  constexpr Metres kNear = fit::InMetres(0.5);
  const double before = PointOn(way, along - kNear).heading_rad;
  const double behind = PointOn(way, along + kNear).heading_rad;
  return std::abs(std::remainder(behind - before, 2 * std::numbers::pi));
}

void AddLanes(const Way& way, PlanDrawing& plan) {
  constexpr double kTurns = std::numbers::pi / 9;  // less is a bend of the road
  for (size_t i = 0; i < way.lanes.size(); ++i) {
    const LaneOnWay& lane = way.lanes[i];
    const bool named =
        std::ranges::find(plan.lane_names, lane.id, &NamedPoint::name) != plan.lane_names.end();
    if (!named)
      plan.lane_names.push_back(
          {.name = lane.id, .at = PointOn(way, 0.5 * (lane.from + lane.to)).at});
    if (i > 0 && TurnRad(way, lane.from) >= kTurns)
      plan.turns.push_back(PointOn(way, lane.from).at);
  }
}

/// The doors of a stretch as far as they were measured.
void AddDoors(const Asked& asked, const LaidOut& what, PlanDrawing& plan) {
  Readings readings(asked.yard, asked.when);
  const auto way = LayOut(readings, what);
  if (!way) return;
  for (const DoorOnWay& door : way->doors) {
    if (std::ranges::find(plan.doors, door.id, &DoorOnWay::id) == plan.doors.end())
      plan.doors.push_back(door);
  }
}

/// Gives the middle of all of it.
fit::Line AddWay(const Asked& asked, const std::vector<Stretch>& stretches, PlanDrawing& plan) {
  fit::Line whole;
  const bool both = std::ranges::any_of(
      stretches, [](const Stretch& one) { return one.travel == fit::Travel::kReversing; });
  for (const Stretch& stretch : stretches) {
    const auto route = asked.yard.RouteBy(stretch.trip.from, stretch.trip.by);
    if (!route) continue;
    const LaidOut what{.route = *route, .from = stretch.trip.from};
    const auto way = MiddleOf(asked.yard, what);
    if (!way) continue;
    const bool backs = both && stretch.travel == fit::Travel::kReversing;
    if (&stretch != &stretches.front()) {
      plan.reversals.push_back({.name = backs ? "in reverse from here" : "forwards from here",
                                .at = way->middle.front()});
    }
    (backs ? plan.backed : plan.route).push_back(way->middle);
    whole.insert(whole.end(), way->middle.begin(), way->middle.end());
    AddLanes(*way, plan);
    AddDoors(asked, what, plan);
  }
  return whole;
}

void KeepHoldsOf(const yard::Yard& yard, PlanDrawing& plan) {
  std::erase_if(plan.hold_points, [&](const NamedPoint& hold) {
    const yard::LaneId& lane = yard.hold_points.at(yard::HoldPointId(hold.name)).lane;
    return std::ranges::find(plan.lane_names, lane.value(), &NamedPoint::name) ==
           plan.lane_names.end();
  });
}

void AddEnds(const Asked& asked, const Trip& trip, PlanDrawing& plan) {
  const auto point = [&](const yard::PlaceId& place) {
    return OnPlane(PlaneOf(asked.yard), asked.yard.places.at(place).position);
  };
  plan.ends = {{.name = "from " + trip.from.value(), .at = point(trip.from)},
               {.name = "to " + trip.to.value(), .at = point(trip.to)}};
  std::erase_if(plan.places, [&](const NamedPoint& place) {
    return place.name == trip.from.value() || place.name == trip.to.value();
  });
}

/// The whole yard; only what is near where the way would be lost in it.
void SetAround(PlanDrawing& plan) {
  Bounds yard, way;
  for (const fit::Line& lane : plan.lanes) yard.Take(lane);
  for (const NamedPoint& end : plan.ends) way.Take(end.at);
  for (const auto* lines : {&plan.route, &plan.backed}) {
    for (const fit::Line& line : *lines) way.Take(line);
  }
  constexpr double kLost = 0.2;
  const bool lost =
      way.width_m() < kLost * yard.width_m() && way.height_m() < kLost * yard.height_m();
  if (!lost) {
    for (const fit::Line& lane : plan.lanes)
      plan.around.insert(plan.around.end(), lane.begin(), lane.end());
    for (const GroundOnWay& obstacle : plan.obstacles)
      plan.around.insert(plan.around.end(), obstacle.ring.begin(), obstacle.ring.end());
    return;
  }
  const double pad_m = std::max(way.width_m(), way.height_m()) / 2;
  plan.around = {way.least - fit::Point{pad_m, pad_m}, way.most + fit::Point{pad_m, pad_m}};
}

}  // namespace

PlanDrawing PlanOf(const Asked& asked, const Trip& trip, const SearchedRoute& searched) {
  const fit::FoundRoute& found = searched.found;
  PlanDrawing plan;
  plan.titles = TitlesOf(asked, trip, fit::DriversLine(found, asked.units));
  plan.units = asked.units;
  plan.route_is = found.route ? "way that it fits" : "way it opens";
  AddMap(asked.yard, plan);
  Way ground;
  if (const auto* legs = LegsOf(found))
    ground.middle = AddWay(asked, StretchesOf(asked, trip, searched.question, *legs), plan);
  yard::Route whole;
  whole.to = trip.to;
  AddGround(asked.yard, {.route = whole, .from = trip.from}, ground);
  plan.obstacles = std::move(ground.obstacles);
  plan.keep_clear = std::move(ground.keep_clear);
  KeepHoldsOf(asked.yard, plan);
  AddEnds(asked, trip, plan);
  AddChanges(asked, found.changes, plan);
  SetAround(plan);
  return plan;
}

}  // namespace chockwise::survey
