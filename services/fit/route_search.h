// The way from place to place that a machine fits: fewest reversals first, then the shortest. When
// none fits, what would have to change, and by how much.
//
//   Outcome<FoundRoute> found = SearchRoute({.places = 40, .lanes = lanes, .from = 4, .to = 17,
//                                            .needs = {.height = Feet(13.5), ...}});
//   if (!found) return tl::unexpected(found.error());
//   if (found->route) Follow(found->route->legs);
//   else for (const LaneShort& change : found->changes) Say(Text(change, UnitSystem::kUs));
//
// Time: O(n log n) in the lanes; when none fits, three searches instead of one, and a walk over the
// lanes for every hazard and every holder of ground that may be the one. Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// A clear height or width where nothing stands over or beside the lane.
inline constexpr Metres kNothingThere = InMetres(1000);

/// Which way a machine goes over a lane.
enum class LaneFacing { kNoseFirst, kTailFirst };

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
  std::optional<Metres> clear_height = {};  // 0 or more
  std::optional<Metres> clear_width = {};   // 0 or more
  std::optional<Metres> bend_radius =
      {};                              // of its tightest bend, 0 or more; straight: kNothingThere
  std::optional<Grade> steepest = {};  // either way, 0 or more
  std::optional<Kilograms> rated_load = {};  // of the ground, 0 or more
  std::string open_hazard = {};              // its id; empty: none
  std::string taken_by = {};                 // a move or a machine; empty: free
};

/// What the machine with its load needs of every lane, all margins included.
struct RouteNeeds {
  Metres height = {};       // above 0
  Metres width = {};        // above 0
  Metres turn_radius = {};  // 0 or more; 0 turns on the spot
  Grade most_grade = {};    // above 0
  Kilograms load = {};      // above 0
};

struct RouteQuestion {
  size_t places = 0;  // their count, to 1,000,000
  std::vector<RouteLane> lanes = {};
  size_t from = 0;
  size_t to = 0;
  RouteNeeds needs = {};
  std::optional<LaneFacing> depart = {};  // how it must leave; nullopt: either
  std::optional<LaneFacing> arrive = {};  // how it must come in: docks are backed into
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
enum class LaneLimit { kTaken, kHazard, kHeight, kWidth, kTurn, kGrade, kGround };

/// One limit of one lane that does not hold. Of the last five, one of `length`, `grade` and `mass`
/// says how much is missing, and nothing does where nobody measured it.
struct LaneShort {
  size_t lane = 0;
  std::string lane_id;
  LaneLimit limit = LaneLimit::kTaken;
  std::optional<Metres> length;
  std::optional<Grade> grade;
  std::optional<Kilograms> mass;
  std::string who;  // the hazard, or who has the ground
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

/// Deterministic: of equally long ways the one with fewer lanes, then with the lower lane indices.
/// Lengths count in whole millimetres, rounded up. Going back over the same lane takes a reversal.
///
/// Unusable: "places", "from", "to", a need or a lane's number out of its domain, by name.
Outcome<FoundRoute> SearchRoute(const RouteQuestion& question);

/// "door-3-lane: 4 in short of height".
std::string Text(const LaneShort& change, UnitSystem system);
/// "GO: 320 ft, 1 reversal", "NO WAY: door-3-lane: 4 in short of height".
std::string DriversLine(const FoundRoute& found, UnitSystem system);

inline constexpr std::array<std::string_view, 1> kRouteSearchSources = {
    "least cost over lanes: fewest reversals, then length"};
inline constexpr std::array<std::string_view, 2> kRouteSearchAssumptions = {
    "a lane's worst spot counts for all of it",
    "a machine can change between driving and reversing at every place on the way"};

}  // namespace chockwise::fit
