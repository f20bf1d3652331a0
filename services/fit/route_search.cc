#include "services/fit/route_search.h"

#include <fmt/format.h>

#include <algorithm>
#include <cstdint>
#include <functional>
#include <limits>
#include <queue>
#include <set>
#include <tuple>
#include <utility>

#include "services/fit/route_search_joins.h"
#include "services/fit/route_search_limits.h"

namespace chockwise::fit {
namespace {

constexpr int64_t kNever = std::numeric_limits<int64_t>::max();

/// Compared from the first member on.
struct Cost {
  int64_t shorts = 0;  // limits that do not hold
  int64_t reversals = 0;
  int64_t backed_mm = 0;  // in reverse
  int64_t length_mm = 0;
  int64_t lanes = 0;
  auto operator<=>(const Cost&) const = default;
};
constexpr Cost kUnreached = {.shorts = kNever};

Cost Sum(const Cost& a, const Cost& b) {
  if (a.shorts == kNever || b.shorts == kNever) return kUnreached;
  return {a.shorts + b.shorts, a.reversals + b.reversals, a.backed_mm + b.backed_mm,
          a.length_mm + b.length_mm, a.lanes + b.lanes};
}

/// Which limits that do not hold are let pass, at a cost of one each.
using Passes = std::function<bool(const LaneShort&)>;
bool NonePasses(const LaneShort&) { return false; }

enum class Facings { kNoseFirst, kBoth };

/// The legs at every place, kept in one row.
class LegsByPlace {
 public:
  template <class PlaceOf>
  LegsByPlace(size_t places, size_t legs, PlaceOf place_of) : first_(places + 1, 0), legs_(legs) {
    for (size_t leg = 0; leg < legs; ++leg) ++first_[place_of(leg) + 1];
    for (size_t place = 0; place < places; ++place) first_[place + 1] += first_[place];
    std::vector<size_t> next(first_.begin(), first_.end() - 1);
    for (size_t leg = 0; leg < legs; ++leg) legs_[next[place_of(leg)]++] = leg;
  }

  /// Calls `done(leg)` for those of a place; one for which it is true is not asked for again.
  class Waiting {
   public:
    explicit Waiting(const LegsByPlace& all) : all_(all), legs_(all.legs_) {
      for (size_t place = 0; place + 1 < all.first_.size(); ++place)
        last_.push_back(all.first_[place + 1]);
    }
    template <class Done>
    void At(size_t place, Done done) {
      for (size_t i = all_.first_[place]; i < last_[place];) {
        if (done(legs_[i])) {
          legs_[i] = legs_[--last_[place]];
        } else {
          ++i;
        }
      }
    }

   private:
    const LegsByPlace& all_;
    std::vector<size_t> legs_, last_;
  };
  template <class Each>
  void At(size_t place, Each each) const {
    for (size_t i = first_[place]; i < first_[place + 1]; ++i) each(legs_[i]);
  }

 private:
  std::vector<size_t> first_, legs_;
};

/// The graph: a node is a leg (a lane, a direction, a facing), and an edge leads from a leg to
/// another at the place where it ends. Edges are worked out where they are met: most never are.
class Map {
 public:
  explicit Map(const RouteQuestion& question)
      : question_(question),
        joins_(question),
        into_(question.places, legs(), [&](size_t leg) { return joins_.EndOf(leg); }),
        out_of_(question.places, legs(), [&](size_t leg) { return joins_.StartOf(leg); }) {}

  size_t legs() const { return 4 * question_.lanes.size(); }
  const Joins& joins() const { return joins_; }

  std::vector<Cost> LegCosts(const Passes& passes, Facings facings) const {
    std::vector<Cost> costs(legs(), kUnreached);
    for (size_t leg = 0; leg < legs(); ++leg) {
      const bool backed = (leg & 1) != 0;
      if (!joins_.IsOpen(leg) || (backed && facings == Facings::kNoseFirst)) continue;
      const auto& of_lane = joins_.OfLane(leg / 4);
      const auto& found = joins_.FoundOn(leg);
      if (!std::ranges::all_of(of_lane, passes) || !std::ranges::all_of(found, passes)) continue;
      const int64_t length_mm = CeilMillimetres(joins_.lane(leg).length);
      costs[leg] = {.shorts = static_cast<int64_t>(of_lane.size() + found.size()),
                    .backed_mm = backed ? length_mm : 0,
                    .length_mm = length_mm,
                    .lanes = 1};
    }
    return costs;
  }

  /// Of going on from one leg to the next; the lanes themselves are not in it.
  Cost CostBetween(size_t leg, size_t onto, const Passes& passes) const {
    const Join join = joins_.Between(leg, onto);
    if (join == Join::kNone) return kUnreached;
    Cost cost{.reversals = join == Join::kReversal ? 1 : 0};
    if (joins_.IsFree(leg, onto, join)) return cost;
    const auto shorts = joins_.ShortsBetween(leg, onto);
    if (!std::ranges::all_of(shorts, passes)) return kUnreached;
    cost.shorts = static_cast<int64_t>(shorts.size());
    return cost;
  }

  /// From the start of every leg over it and on to the goal, where a lane costs what is given.
  /// Dijkstra, from the goal: the first leg that another goes on to at no cost of its own is the
  /// best for it, so that one is not asked again. Where a leg departs from the start, those that
  /// cost more than the least of these are left as they were come to.
  std::vector<Cost> CostsToGoal(const std::vector<Cost>& leg_costs, const Passes& passes) const {
    std::vector<Cost> costs(legs(), kUnreached);
    using Reached = std::pair<Cost, size_t>;
    std::priority_queue<Reached, std::vector<Reached>, std::greater<>> open;
    const auto reach = [&](size_t leg, const Cost& cost) {
      if (!(cost < costs[leg])) return;
      costs[leg] = cost;
      open.emplace(cost, leg);
    };
    into_.At(question_.to, [&](size_t leg) {
      if (Arrives(leg)) reach(leg, leg_costs[leg]);
    });
    LegsByPlace::Waiting waiting(into_);
    while (!open.empty()) {
      const auto [cost, onto] = open.top();
      open.pop();
      if (costs[onto] < cost) continue;
      // Every lane costs something, so all that lies on a least way was reached before.
      if (Departs(onto)) return costs;
      waiting.At(joins_.StartOf(onto), [&, cost = cost, onto = onto](size_t leg) {
        if (leg_costs[leg] == kUnreached) return true;
        const Cost between = CostBetween(leg, onto, passes);
        reach(leg, Sum(leg_costs[leg], Sum(between, cost)));
        return between == Cost{};
      });
    }
    return costs;
  }

  /// The least way by costs to the goal: at every place the first leg, by lane, that lies on one.
  std::optional<FittingRoute> WayBy(const std::vector<Cost>& costs,
                                    const std::vector<Cost>& leg_costs,
                                    const Passes& passes) const {
    std::optional<size_t> at;
    out_of_.At(question_.from, [&](size_t leg) {
      if (!Departs(leg) || costs[leg] == kUnreached) return;
      if (!at || costs[leg] < costs[*at]) at = leg;
    });
    if (!at) return std::nullopt;
    FittingRoute route;
    for (;;) {
      route.legs.push_back(LegOf(*at));
      route.length += joins_.lane(*at).length;
      if (Arrives(*at) && costs[*at] == leg_costs[*at]) return route;
      std::optional<size_t> next;
      out_of_.At(joins_.EndOf(*at), [&](size_t onto) {
        const Cost on = Sum(CostBetween(*at, onto, passes), costs[onto]);
        if (!next && on < kUnreached && Sum(leg_costs[*at], on) == costs[*at]) next = onto;
      });
      route.reversals += joins_.Between(*at, *next) == Join::kReversal ? 1 : 0;
      at = next;
    }
  }

  /// Which legs can be come to from the start.
  std::vector<char> ReachedFromStart(const std::vector<Cost>& leg_costs,
                                     const Passes& passes) const {
    std::vector<char> reached(legs(), 0);
    std::vector<size_t> open;
    const auto reach = [&](size_t leg) {
      if (reached[leg] != 0) return;
      reached[leg] = 1;
      open.push_back(leg);
    };
    out_of_.At(question_.from, [&](size_t leg) {
      if (Departs(leg) && leg_costs[leg] < kUnreached) reach(leg);
    });
    LegsByPlace::Waiting waiting(out_of_);
    while (!open.empty()) {
      const size_t leg = open.back();
      open.pop_back();
      waiting.At(joins_.EndOf(leg), [&](size_t onto) {
        if (leg_costs[onto] == kUnreached || reached[onto] != 0) return true;
        if (CostBetween(leg, onto, passes) == kUnreached) return false;
        reach(onto);
        return true;
      });
    }
    return reached;
  }

  bool ReachesGoal(const std::vector<char>& reached) const {
    bool reaches = false;
    into_.At(question_.to,
             [&](size_t leg) { reaches = reaches || (Arrives(leg) && reached[leg] != 0); });
    return reaches;
  }

  template <class Each>
  void EachBefore(size_t leg, Each each) const {
    into_.At(joins_.StartOf(leg), each);
  }
  template <class Each>
  void EachAfter(size_t leg, Each each) const {
    out_of_.At(joins_.EndOf(leg), each);
  }
  bool Departs(size_t leg) const {
    return joins_.StartOf(leg) == question_.from &&
           (!question_.depart || *question_.depart == LegOf(leg).facing);
  }
  bool Arrives(size_t leg) const {
    return joins_.EndOf(leg) == question_.to &&
           (!question_.arrive || *question_.arrive == LegOf(leg).facing);
  }

 private:
  const RouteQuestion& question_;
  Joins joins_;
  LegsByPlace into_, out_of_;
};

/// What a search over the map found, with only what fits open.
struct Fitting {
  std::vector<Cost> leg_costs, to_goal;
};

/// Every limit that alone opens a way.
class SingleChanges {
 public:
  SingleChanges(const Map& map, const RouteQuestion& question, const Fitting& fitting)
      : map_(map),
        question_(question),
        fitting_(fitting),
        reached_(map.ReachedFromStart(fitting.leg_costs, NonePasses)) {}

  std::vector<LaneShort> Find() {
    for (size_t lane = 0; lane < question_.lanes.size(); ++lane) LookAtLane(lane);
    for (size_t leg = 0; leg < map_.legs(); ++leg) {
      if (reached_[leg] != 0) LookAtTurns(leg);
    }
    return std::move(singles_);
  }

 private:
  bool IsEntered(size_t leg) const {
    if (map_.Departs(leg)) return true;
    bool entered = false;
    map_.EachBefore(leg, [&](size_t before) {
      entered = entered ||
                (reached_[before] != 0 && map_.CostBetween(before, leg, NonePasses) < kUnreached);
    });
    return entered;
  }
  bool IsLeft(size_t leg) const {
    if (map_.Arrives(leg)) return true;
    bool left = false;
    map_.EachAfter(leg, [&](size_t after) {
      left = left || (fitting_.to_goal[after] < kUnreached &&
                      map_.CostBetween(leg, after, NonePasses) < kUnreached);
    });
    return left;
  }

  bool Opens(const LaneShort& only) const {
    const Passes passes = [&](const LaneShort& one) { return IsSameChange(one, only); };
    return map_.ReachesGoal(map_.ReachedFromStart(map_.LegCosts(passes, Facings::kBoth), passes));
  }

  /// One that is on a single lane opens a way where the start comes to the lane and it leads to the
  /// goal. Where that takes two of its legs, for it may be passed twice, and for what may be on
  /// many lanes, it is tried.
  void LookAtLane(size_t lane) {
    bool entered = false, left = false;
    std::vector<LaneShort> last;
    for (size_t leg = 4 * lane; leg < 4 * lane + 4; ++leg) {
      if (!map_.joins().IsOpen(leg)) continue;
      std::vector<LaneShort> shorts = map_.joins().OfLane(lane);
      for (const LaneShort& one : map_.joins().FoundOn(leg)) AddChange(one, shorts);
      if (shorts.size() != 1) continue;
      last = std::move(shorts);
      const LaneShort& only = last.front();
      if (only.limit == LaneLimit::kTaken || only.limit == LaneLimit::kHazard) {
        if (tried_.emplace(only.limit, only.who).second && Opens(only)) singles_.push_back(only);
        return;
      }
      const bool enters = IsEntered(leg), leaves = IsLeft(leg);
      if (enters && leaves) return singles_.push_back(only);
      entered = entered || enters;
      left = left || leaves;
    }
    if (entered && left && Opens(last.front())) singles_.push_back(last.front());
  }

  void LookAtTurns(size_t leg) {
    map_.EachAfter(leg, [&](size_t onto) {
      if (fitting_.to_goal[onto] == kUnreached) return;
      const Join join = map_.joins().Between(leg, onto);
      if (join == Join::kNone || map_.joins().IsFree(leg, onto, join)) return;
      const auto shorts = map_.joins().ShortsBetween(leg, onto);
      if (shorts.size() == 1) singles_.push_back(shorts.front());
    });
  }

  const Map& map_;
  const RouteQuestion& question_;
  const Fitting& fitting_;
  const std::vector<char> reached_;
  std::vector<LaneShort> singles_;
  std::set<std::pair<LaneLimit, std::string>> tried_;
};

std::vector<LaneShort> ShortsOn(const Joins& joins, const FittingRoute& way) {
  std::vector<LaneShort> shorts;
  const auto add = [&](const std::vector<LaneShort>& some) {
    for (const LaneShort& one : some) AddChange(one, shorts);
  };
  for (size_t i = 0; i < way.legs.size(); ++i) {
    const size_t leg = LegNumber(way.legs[i]);
    add(joins.OfLane(way.legs[i].lane));
    add(joins.FoundOn(leg));
    if (i + 1 < way.legs.size()) add(joins.ShortsBetween(leg, LegNumber(way.legs[i + 1])));
  }
  return shorts;
}

void FindChanges(const Map& map, const RouteQuestion& question, const Fitting& fitting,
                 FoundRoute& found) {
  const auto singles = SingleChanges(map, question, fitting).Find();
  const auto rank = [&](const LaneShort& one) {
    return std::tuple(ChangeOf(one, question.needs), one.lane, one.limit);
  };
  const auto least =
      std::min_element(singles.begin(), singles.end(),
                       [&](const LaneShort& a, const LaneShort& b) { return rank(a) < rank(b); });
  const bool one_does = least != singles.end();
  const Passes passes = [&](const LaneShort& one) {
    return !one_does || IsSameChange(one, *least);
  };
  const auto costs = map.LegCosts(passes, Facings::kBoth);
  found.if_changed = map.WayBy(map.CostsToGoal(costs, passes), costs, passes);
  if (found.if_changed) found.changes = ShortsOn(map.joins(), *found.if_changed);
}

}  // namespace

Outcome<FoundRoute> SearchRoute(const RouteQuestion& question) {
  if (const auto fault = FaultOf(question)) return tl::unexpected(*fault);
  FoundRoute found;
  if (question.from == question.to) {
    found.route = FittingRoute();
    return found;
  }
  const Map map(question);
  Fitting fitting;
  // Nothing is better than nose first all the way, so the rest of the map is looked at afterwards.
  for (const Facings facings : {Facings::kNoseFirst, Facings::kBoth}) {
    fitting.leg_costs = map.LegCosts(NonePasses, facings);
    fitting.to_goal = map.CostsToGoal(fitting.leg_costs, NonePasses);
    found.route = map.WayBy(fitting.to_goal, fitting.leg_costs, NonePasses);
    if (found.route) return found;
  }
  FindChanges(map, question, fitting, found);
  return found;
}

std::string DriversLine(const FoundRoute& found, UnitSystem system) {
  if (found.route) {
    const int reversals = found.route->reversals;
    return fmt::format("GO: {}, {} reversal{}", Text(found.route->length, system, Rounding::kUp),
                       reversals == 0 ? "no" : std::to_string(reversals),
                       reversals == 1 ? "" : "s");
  }
  if (found.changes.empty()) return "NO WAY: no lanes lead there as asked";
  std::string line = "NO WAY: " + Text(found.changes.front(), system);
  if (found.changes.size() > 1) line += fmt::format(", and {} more", found.changes.size() - 1);
  return line;
}

}  // namespace chockwise::fit
