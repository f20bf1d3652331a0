#include "services/fit/route_search_joins.h"

#include <algorithm>
#include <cmath>

#include "services/fit/route_search_limits.h"

namespace chockwise::fit {
namespace {

constexpr double kOnePlaceM = 0.02;    // ends no farther apart meet: a map traced by hand
constexpr double kStraightRad = 1e-3;  // a turn of no more is none

bool Meet(const LaneEnd& a, const LaneEnd& b) { return LengthM(a.at - b.at) <= kOnePlaceM; }

bool IsOnMany(const LaneShort& change) {
  return change.limit == LaneLimit::kTaken || change.limit == LaneLimit::kHazard;
}

template <class Amount>
void Raise(std::optional<Amount>& to, const std::optional<Amount>& by) {
  if (by && (!to || *to < *by)) to = by;
}

}  // namespace

Metres RoomToTurn(const LaneEnd& comes_by, const LaneEnd& leaves_by) {
  if (!Meet(comes_by, leaves_by)) return kNothingThere;
  const Point in = -1 * comes_by.leaves;
  const double across = std::abs(Cross(in, leaves_by.leaves));
  const double along = Dot(in, leaves_by.leaves);
  if (along > 0 && across < kStraightRad) return kNothingThere;
  // tan(turn / 2) = sin / (1 + cos) = (1 - cos) / sin, each where it does not cancel; straight back
  // there is no arc.
  if (along < 0 && across <= 1e-6) return Metres();
  const double length = std::hypot(along, across);
  const double bend = along < 0 ? (length - along) / across : across / (length + along);
  return std::min({kNothingThere, comes_by.straight / (bend + comes_by.bend_behind),
                   leaves_by.straight / (bend + leaves_by.bend_behind)});
}

bool IsSameChange(const LaneShort& a, const LaneShort& b) {
  if (a.limit != b.limit) return false;
  if (IsOnMany(a)) return a.who == b.who;
  const auto ends = [](const LaneShort& one) {
    const size_t onto = one.onto.value_or(one.lane);
    return std::pair(std::min(one.lane, onto), std::max(one.lane, onto));
  };
  return ends(a) == ends(b) && a.at == b.at;
}

void AddChange(const LaneShort& one, std::vector<LaneShort>& to) {
  const auto same =
      std::ranges::find_if(to, [&](const LaneShort& other) { return IsSameChange(one, other); });
  if (same == to.end()) {
    to.push_back(one);
    return;
  }
  Raise(same->length, one.length);
  Raise(same->grade, one.grade);
  Raise(same->mass, one.mass);
}

Joins::Joins(const RouteQuestion& question) : question_(question) {
  of_lane_.reserve(question.lanes.size());
  for (size_t lane = 0; lane < question.lanes.size(); ++lane)
    of_lane_.push_back(ShortsOf(question, lane));
  for (size_t leg = 0; leg < 4 * question.lanes.size(); ++leg) {
    auto bend = BendShort(lane(leg), RadiusOf(leg));
    if (!bend) continue;
    bend->lane = leg / 4;
    on_leg_[leg].push_back(*std::move(bend));
  }
  for (const RouteFinding& finding : question.findings) {
    const auto is_of_lane = [&](size_t lane) {
      return std::ranges::any_of(
          of_lane_[lane], [&](const LaneShort& one) { return IsSameChange(one, finding.what); });
    };
    const size_t over = LegNumber(finding.over);
    if (is_of_lane(finding.what.lane)) {
      AddChange(finding.what, of_lane_[finding.what.lane]);
    } else if (finding.onto) {
      AddChange(finding.what, at_turn_[{over, LegNumber(*finding.onto)}]);
    } else {
      AddChange(finding.what, on_leg_[over]);
    }
  }
}

bool Joins::IsOpen(size_t leg) const {
  const RouteLeg as = LegOf(leg);
  const RouteLane& of = lane(leg);
  if (as.direction == RouteLeg::Direction::kAgainst && of.ways == RouteLane::Ways::kOneWay)
    return false;
  const auto barred = as.facing == LaneFacing::kNoseFirst ? RouteLane::Facings::kTailFirstOnly
                                                          : RouteLane::Facings::kNoseFirstOnly;
  return of.facings != barred;
}

Join Joins::ReversalBetween(size_t leg, size_t onto) const {
  const size_t place = EndOf(leg);
  // At its ends it leaves and comes in as asked: a reversal there would only be one in name.
  if (question_.reversals == RouteQuestion::Reversals::kNone || place == question_.from ||
      place == question_.to)
    return Join::kNone;
  const std::optional<LaneEnd>&last = LastOf(leg), &first = FirstOf(onto);
  if (!last || !first || !AtLeast(last->straight, question_.needs.length)) return Join::kNone;
  const bool same_end = leg / 4 == onto / 4 && ((leg ^ onto) & 2) != 0;
  const bool back = same_end || (Meet(*last, *first) && Dot(last->leaves, first->leaves) > 0 &&
                                 std::abs(Cross(last->leaves, first->leaves)) < kStraightRad);
  return back ? Join::kReversal : Join::kNone;
}

Join Joins::Between(size_t leg, size_t onto) const {
  if (((leg ^ onto) & 1) != 0) return ReversalBetween(leg, onto);
  if (leg / 4 == onto / 4 && leg != onto) return Join::kNone;  // about, on one lane
  const Metres needed = RadiusOf(leg);
  if (needed == Metres()) return Join::kOn;
  const std::optional<LaneEnd>&last = LastOf(leg), &first = FirstOf(onto);
  if (!last || !first) return Join::kTight;
  return AtLeast(RoomToTurn(*last, *first), needed) ? Join::kOn : Join::kTight;
}

std::vector<LaneShort> Joins::ShortsBetween(size_t leg, size_t onto) const {
  std::vector<LaneShort> shorts;
  if (Between(leg, onto) == Join::kTight) {
    LaneShort one;
    one.lane = leg / 4;
    one.lane_id = lane(leg).id;
    one.limit = LaneLimit::kTurn;
    one.onto = onto / 4;
    one.onto_id = lane(onto).id;
    const std::optional<LaneEnd>&last = LastOf(leg), &first = FirstOf(onto);
    if (last && first) one.length = RadiusOf(leg) - RoomToTurn(*last, *first);
    shorts.push_back(std::move(one));
  }
  for (const LaneShort& one : Found(at_turn_, {leg, onto})) AddChange(one, shorts);
  return shorts;
}

}  // namespace chockwise::fit
