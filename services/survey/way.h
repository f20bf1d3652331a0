// A route as ground: the lanes' middle on the yard's plane, how it rises and falls, and what stands
// at the doors, over the lanes and beside them. All distances run along the route from its start.
//
//   Outcome<Way> way = LayOut(readings, route, from);
//   fit::RideOver({.machine = ..., .profile = way->profile, ...});
//
// Threads: values.
#pragma once

#include <string>
#include <vector>

#include "services/fit/geometry.h"
#include "services/fit/lane_profile.h"
#include "services/survey/readings.h"
#include "services/yard/plane.h"

namespace chockwise::survey {

/// Points of a lane nearer to each other are one: a map editor's double click.
inline constexpr double kOnePointM = 1e-3;

/// A door across the route: its two jambs as points of the plane.
struct DoorOnWay {
  std::string id;
  fit::Metres along;
  fit::Point left, right;  // as seen in travel
};

/// A closed ring of ground that must not be touched.
struct GroundOnWay {
  std::string id;
  fit::Ring ring;
};

/// One lane of the route as it is driven.
struct LaneOnWay {
  std::string id;
  fit::Metres from, to;
};

/// An electric wire of the map, with where the way comes nearest to the place where it hangs.
struct WireOnWay {
  const yard::Overhead* wire;  // of the yard
  fit::Metres along;
  fit::Metres off_middle;  // level; 0 over a lane of the way
};

struct Way {
  fit::Line middle;                // of the lanes, in travel order; no two points alike in a row
  std::vector<fit::Metres> along;  // of each point of `middle`, on the flat
  fit::LaneProfile profile;
  std::vector<LaneOnWay> lanes;
  std::vector<DoorOnWay> doors;
  std::vector<WireOnWay> wires;         // of the whole yard; they are in no profile
  std::vector<GroundOnWay> obstacles;   // of the whole yard, and rows of parked machines
  std::vector<GroundOnWay> no_way;      // keep-clear areas and refuges: no machine goes over them
  std::vector<GroundOnWay> keep_clear;  // areas that a standing machine must leave free, those too
  fit::Metres length() const { return along.back(); }
};

/// The plane of a yard touches the ground at its first place in the order of ids, so it is the same
/// for every route.
yard::Plane PlaneOf(const yard::Yard& yard);
fit::Point OnPlane(const yard::Plane& plane, const yard::Position& position);
fit::Line OnPlane(const yard::Plane& plane, const std::vector<yard::Position>& positions);
/// A ring of the map, whose first position stands at its end again.
fit::Ring RingOf(const yard::Plane& plane, const std::vector<yard::Position>& positions);

/// A point of a line of the map, and which way the line runs there.
struct PointAlong {
  fit::Point at;
  double heading_rad = 0;
};
/// `along` on the flat, as everything of a way is told.
PointAlong PointOn(const Way& way, fit::Metres along);
/// `along` from the lane's own start as the map counts it, slopes included: doors, hold points and
/// what hangs over it.
PointAlong PointOn(const yard::Plane& plane, const yard::Lane& lane, fit::Metres along);

struct LaidOut {
  const yard::Route& route;
  const yard::PlaceId& from;
};

/// What the map alone says of a route: its lanes' middle, how it rises and falls, and the wires. A
/// route without lanes (from a place to itself) is refused: there is no way to look at.
Outcome<Way> MiddleOf(const yard::Yard& yard, const LaidOut& what);

/// The obstacles of the whole yard, what no machine stands on or goes over, and the rows of parked
/// machines but for the bays at the ends of `way`, of which the middle alone is asked.
void AddGround(const yard::Yard& yard, const LaidOut& what, Way& way);

/// The whole way. Openings, sills and headrooms come from the measurements; what is missing
/// refuses.
Outcome<Way> LayOut(Readings& readings, const LaidOut& what);

/// The steepest stretch between two points of a lane by the map's elevations; `middle` is its line
/// on the plane.
fit::Grade SteepestOnMap(const fit::Line& middle, const yard::Lane& lane);

}  // namespace chockwise::survey
