// The way from place to place that a machine fits: fewest reversals first, then the shortest. When
// none fits, what would have to change, and by how much.
//
//   Outcome<FoundRoute> found = SearchRoute({.places = 40, .lanes = lanes, .from = 4, .to = 17,
//                                            .needs = {.height = Feet(13.5), ...}});
//   if (!found) return tl::unexpected(found.error());
//   if (found->route) Follow(found->route->legs);
//   else for (const LaneShort& change : found->changes) Say(Text(change, UnitSystem::kUs));
//
// Time: O(n log n) in the lanes, and for each place at most the pairs of lanes there that a machine
// does not turn between; when none fits, three searches instead of one, and a walk over the lanes
// for every hazard and every holder of ground that may be the one. Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/geometry.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// A clear height or width where nothing stands over or beside the lane.
inline constexpr Metres kNothingThere = InMetres(1000);

/// Which way a machine goes over a lane.
enum class LaneFacing { kNoseFirst, kTailFirst };

/// How a lane comes to a place.
struct LaneEnd {
  Point at = {};
  Point leaves = {};       // from there into the lane, of length 1
  Metres straight = {};    // how far it goes straight on from there, above 0
  double bend_behind = 0;  // tan(turn / 2) of the bend at the end of that; 0: none
};

/// A lane with the worst of what is on it. nullopt is not known, and keeps the machine off. Law 2.
struct RouteLane {
  enum class Ways { kBoth, kOneWay };                              // kOneWay: from `from` to `to`
  enum class Facings { kEither, kNoseFirstOnly, kTailFirstOnly };  // by the yard's rules
  std::string id = {};
  size_t from = 0;  // a place, by number
  size_t to = 0;
  Metres length = {};  // 0 to 100 km
  Ways ways = Ways::kBoth;
  Facings facings = Facings::kEither;
  std::optional<Metres> clear_height = {};            // 0 or more
  std::string height_at = {};                         // under what; empty: the lane itself
  std::optional<Metres> wire_height = kNothingThere;  // most under its wires, all they ask for off
  std::string wire_at = {};
  std::optional<Metres> clear_width = {};  // 0 or more
  std::string width_at = {};               // between what; empty: the lane itself
  std::optional<Metres> bend_radius =
      {};                              // of its tightest bend, 0 or more; straight: kNothingThere
  std::optional<Grade> steepest = {};  // either way, 0 or more
  std::string steepest_by = {};        // who says so; empty: the reading
  std::optional<Kilograms> rated_load = {};  // of the ground, 0 or more
  std::optional<LaneEnd> at_from = {}, at_to = {};
  std::string open_hazard = {};  // its id; empty: none
  std::string taken_by = {};     // a move or a machine; empty: free
};

/// What the machine with its load needs of every lane, all margins included.
struct RouteNeeds {
  Metres height = {};                 // above 0
  Metres width = {};                  // above 0
  Metres turn_radius = {};            // 0 or more; 0 turns on the spot
  Metres turn_radius_reversing = {};  // the same tail first
  Metres length = {};                 // it stands on, where it changes direction; 0 or more
  Grade most_grade = {};              // above 0
  Kilograms load = {};                // above 0
};

struct RouteLeg {
  enum class Direction { kAlong, kAgainst };
  size_t lane = 0;  // index
  Direction direction = Direction::kAlong;
  LaneFacing facing = LaneFacing::kNoseFirst;
  bool operator==(const RouteLeg&) const = default;
};

struct FittingRoute {
  std::vector<RouteLeg> legs;
  int reversals = 0;  // changes between driving and reversing, each at a place
  Metres length;
};

/// What can keep a machine off a lane.
enum class LaneLimit {
  kTaken,
  kHazard,
  kHeight,
  kWire,    // height, and what keeps off the wire
  kWidth,   // between jambs, or of the lane
  kBeside,  // something that stands beside the lane
  kTurn,
  kSteer,  // or fold: what reversing asks for
  kGrade,
  kBelow,   // under the belly
  kGround,  // what it is rated for
};

/// One limit of one lane that does not hold, or of a turn from one lane on to another. For what is
/// measured, one of `length`, `grade` and `mass` says how much is missing, and nothing does where
/// nobody measured it.
struct LaneShort {
  size_t lane = 0;
  std::string lane_id;
  LaneLimit limit = LaneLimit::kTaken;
  std::optional<size_t> onto;  // kTurn, kSteer: the lane that it turns on to
  std::string onto_id;
  std::string at;  // the door, wire, wall or sill; kGrade: who says so; empty: the lane itself
  std::optional<Metres> length;
  std::optional<Grade> grade;
  std::optional<Kilograms> mass;
  std::string who;    // the hazard, or who has the ground
  std::string needs;  // kSteer: what it needs and what there is, in words
};

/// What a closer look at a way found: at one lane as it is gone over, or where it goes on to the
/// next. It keeps the machine off there and nowhere else.
struct RouteFinding {
  RouteLeg over = {};
  std::optional<RouteLeg> onto = {};  // at the turn between the two
  LaneShort what = {};
};

struct RouteQuestion {
  enum class Reversals { kMay, kNone };
  size_t places = 0;  // their count, to 1,000,000
  std::vector<RouteLane> lanes = {};
  size_t from = 0;
  size_t to = 0;
  RouteNeeds needs = {};
  std::optional<LaneFacing> depart = {};  // how it must leave; nullopt: either
  std::optional<LaneFacing> arrive = {};  // how it must come in: docks are backed into
  Reversals reversals = Reversals::kMay;
  std::vector<RouteFinding> findings = {};
};

struct FoundRoute {
  std::optional<FittingRoute> route;  // nullopt: none fits
  /// Where none fits: the one limit whose change opens a way. Of several, ground that is taken
  /// first, then a hazard to be cleared, then a reading to be taken, then what is short by the
  /// least part of the need. A hazard or holder that is on several lanes counts as one. Where no
  /// single one opens a way: all limits on the way with the fewest.
  std::vector<LaneShort> changes;
  std::optional<FittingRoute> if_changed;  // the way that it opens; nullopt: no way at all
};

/// From the end of one lane straight into another: the largest radius of an arc that fits in the
/// corner between them, each side shared with the bend behind it. kNothingThere: straight on, or
/// ends more than 2 cm apart, between which the map shows no way that could be measured.
///
/// Source: an arc of radius r uses r·tan(turn / 2) of both its sides.
Metres RoomToTurn(const LaneEnd& comes_by, const LaneEnd& leaves_by);

/// Of ways with as few reversals the one of which least is driven in reverse, then the shortest.
/// Deterministic: of equally long ways the one with fewer lanes, then with the lower lane indices.
/// Lengths count in whole millimetres, rounded up.
///
/// The radius of a turn from lane to lane is a limit of the two together. A machine changes between
/// driving and reversing where the next lane leads straight back: over the lane that it came by, or
/// one that leaves the place the same way. It stands straight then, so the lane must be straight
/// for its length; turns between other lanes take driving on past the place, which no map shows.
///
/// Unusable: "places", "from", "to", a need or a lane's number out of its domain, by name.
Outcome<FoundRoute> SearchRoute(const RouteQuestion& question);

/// Whether the two are one thing to change: whatever may be on several lanes by its name, a turn in
/// either direction, everything else by lane, limit and what it is at.
bool IsSameChange(const LaneShort& a, const LaneShort& b);
/// Adds one, or where the same change is among them, the more of it.
void AddChange(const LaneShort& one, std::vector<LaneShort>& to);

/// "door-3-lane: door-3 is 4 in short of height".
std::string Text(const LaneShort& change, UnitSystem system);
/// "GO: 320 ft, 1 reversal", "NO WAY: door-3-lane: door-3 is 4 in short of height".
std::string DriversLine(const FoundRoute& found, UnitSystem system);

inline constexpr std::array<std::string_view, 1> kRouteSearchSources = {
    "least cost over lanes: fewest reversals, then least of it in reverse, then length"};
inline constexpr std::array<std::string_view, 2> kRouteSearchAssumptions = {
    "a lane's worst spot counts for all of it",
    "a machine changes between driving and reversing where it stands straight on a lane's end"};

}  // namespace chockwise::fit
