// How one lane goes on to another, and what is short on a lane or between two. Used by
// route_search.h alone.
//
// Threads: const members only; the question must outlive it.
#pragma once

#include <map>
#include <utility>
#include <vector>

#include "services/fit/route_search.h"

namespace chockwise::fit {

/// A lane in one direction and facing, by number.
inline size_t LegNumber(const RouteLeg& leg) {
  return 4 * leg.lane + (leg.direction == RouteLeg::Direction::kAgainst ? 2 : 0) +
         (leg.facing == LaneFacing::kTailFirst ? 1 : 0);
}
inline RouteLeg LegOf(size_t number) {
  return {
      .lane = number / 4,
      .direction = (number & 2) != 0 ? RouteLeg::Direction::kAgainst : RouteLeg::Direction::kAlong,
      .facing = (number & 1) != 0 ? LaneFacing::kTailFirst : LaneFacing::kNoseFirst};
}

enum class Join {
  kNone,      // no machine goes on so
  kOn,        // it goes on
  kReversal,  // it changes direction
  kTight,     // it goes on, and what it turns on has no room, or nobody knows
};

class Joins {
 public:
  explicit Joins(const RouteQuestion& question);

  const RouteLane& lane(size_t leg) const { return question_.lanes[leg / 4]; }
  size_t StartOf(size_t leg) const { return (leg & 2) != 0 ? lane(leg).to : lane(leg).from; }
  size_t EndOf(size_t leg) const { return (leg & 2) != 0 ? lane(leg).from : lane(leg).to; }
  /// By the lane's own rules.
  bool IsOpen(size_t leg) const;

  Join Between(size_t leg, size_t onto) const;

  const std::vector<LaneShort>& OfLane(size_t lane) const { return of_lane_[lane]; }
  /// What a closer look found on this leg alone.
  const std::vector<LaneShort>& FoundOn(size_t leg) const { return Found(on_leg_, leg); }
  /// What is short between two that have a join.
  std::vector<LaneShort> ShortsBetween(size_t leg, size_t onto) const;
  bool IsFree(size_t leg, size_t onto, Join join) const {
    return join != Join::kTight && (at_turn_.empty() || !at_turn_.contains({leg, onto}));
  }

 private:
  template <class Key>
  using Findings = std::map<Key, std::vector<LaneShort>>;
  template <class Key>
  static const std::vector<LaneShort>& Found(const Findings<Key>& findings, const Key& key) {
    static const std::vector<LaneShort> kNone;
    if (findings.empty()) return kNone;
    const auto found = findings.find(key);
    return found == findings.end() ? kNone : found->second;
  }
  const std::optional<LaneEnd>& LastOf(size_t leg) const {
    return (leg & 2) != 0 ? lane(leg).at_from : lane(leg).at_to;
  }
  const std::optional<LaneEnd>& FirstOf(size_t leg) const {
    return (leg & 2) != 0 ? lane(leg).at_to : lane(leg).at_from;
  }
  Metres RadiusOf(size_t leg) const {
    return (leg & 1) != 0 ? question_.needs.turn_radius_reversing : question_.needs.turn_radius;
  }
  Join ReversalBetween(size_t leg, size_t onto) const;

  const RouteQuestion& question_;
  std::vector<std::vector<LaneShort>> of_lane_;
  Findings<size_t> on_leg_;
  Findings<std::pair<size_t, size_t>> at_turn_;
};

}  // namespace chockwise::fit
