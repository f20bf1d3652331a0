#include "services/fit/route_search.h"

#include <fmt/format.h>

#include <algorithm>
#include <boost/graph/compressed_sparse_row_graph.hpp>
#include <boost/graph/dijkstra_shortest_paths_no_color_map.hpp>
#include <boost/property_map/function_property_map.hpp>
#include <cstdint>
#include <limits>
#include <set>
#include <tuple>
#include <utility>

#include "services/fit/route_search_limits.h"

namespace chockwise::fit {
namespace {

constexpr int64_t kNever = std::numeric_limits<int64_t>::max();

/// Compared from the first member on.
struct Cost {
  int64_t shorts = 0;  // limits that do not hold
  int64_t reversals = 0;
  int64_t length_mm = 0;
  int64_t lanes = 0;
  bool operator<(const Cost& other) const {
    return std::tie(shorts, reversals, length_mm, lanes) <
           std::tie(other.shorts, other.reversals, other.length_mm, other.lanes);
  }
  bool operator==(const Cost&) const = default;
};
constexpr Cost kUnreached = {.shorts = kNever};

Cost Sum(const Cost& a, const Cost& b) {
  if (a.shorts == kNever || b.shorts == kNever) return kUnreached;
  return {a.shorts + b.shorts, a.reversals + b.reversals, a.length_mm + b.length_mm,
          a.lanes + b.lanes};
}

/// A state is a place and a facing. Going straight back over a lane without a reversal needs no
/// rule of its own: it comes to a state that was left before, so that no least way does it.
size_t StateOf(size_t place, LaneFacing facing) {
  return 2 * place + (facing == LaneFacing::kTailFirst ? 1 : 0);
}

constexpr size_t kTurn = std::numeric_limits<size_t>::max();  // the lane of a reversal
constexpr size_t kArrive = kTurn - 1;                         // of the end in a facing that will do

struct Step {
  size_t from = 0, to = 0;  // states
  RouteLeg leg = {};        // of the lane; a reversal has lane kTurn
};

using Graph = boost::compressed_sparse_row_graph<boost::directedS, boost::no_property, Step>;

/// All steps, and the graph of them backwards: its distances lead to the goal.
class Map {
 public:
  explicit Map(const RouteQuestion& question) : question_(question) {
    for (size_t lane = 0; lane < question.lanes.size(); ++lane) AddLane(lane);
    // At its ends it leaves and comes in as asked: a reversal there would only be one in name.
    for (size_t place = 0; place < question.places; ++place) {
      if (place == question.from || place == question.to) continue;
      const size_t nose = StateOf(place, LaneFacing::kNoseFirst);
      const size_t tail = StateOf(place, LaneFacing::kTailFirst);
      steps_.push_back({nose, tail, {.lane = kTurn}});
      steps_.push_back({tail, nose, {.lane = kTurn}});
    }
    for (const LaneFacing facing : {LaneFacing::kNoseFirst, LaneFacing::kTailFirst}) {
      if (!question.arrive || *question.arrive == facing)
        steps_.push_back({StateOf(question.to, facing), Goal(), {.lane = kArrive}});
    }
    std::vector<std::pair<size_t, size_t>> backwards;
    backwards.reserve(steps_.size());
    for (const Step& step : steps_) backwards.emplace_back(step.to, step.from);
    graph_ = Graph(boost::edges_are_unsorted_multi_pass, backwards.begin(), backwards.end(),
                   steps_.begin(), Goal() + 1);
    leaving_.resize(Goal() + 1);
    for (size_t i = 0; i < steps_.size(); ++i) leaving_[steps_[i].from].push_back(i);
  }

  /// From every state to the goal, with the costs of lanes given.
  std::vector<Cost> CostsToGoal(const std::vector<Cost>& lane_costs) const {
    std::vector<Cost> costs(Goal() + 1);
    const auto weight = boost::make_function_property_map<Graph::edge_descriptor>(
        [&](const Graph::edge_descriptor& edge) { return CostOf(graph_[edge], lane_costs); });
    boost::dijkstra_shortest_paths_no_color_map(
        graph_, Goal(),
        boost::weight_map(weight)
            .distance_map(boost::make_iterator_property_map(
                costs.begin(), boost::get(boost::vertex_index, graph_)))
            .distance_compare(std::less<Cost>())
            .distance_combine([](const Cost& a, const Cost& b) { return Sum(a, b); })
            .distance_inf(kUnreached)
            .distance_zero(Cost()));
    return costs;
  }

  /// The least way by costs to the goal: at every state the first step, by lane, that lies on one.
  std::optional<FittingRoute> WayBy(const std::vector<Cost>& costs,
                                    const std::vector<Cost>& lane_costs) const {
    std::optional<size_t> state;
    for (const LaneFacing facing : {LaneFacing::kNoseFirst, LaneFacing::kTailFirst}) {
      if (question_.depart && *question_.depart != facing) continue;
      const size_t start = StateOf(question_.from, facing);
      if (costs[start] == kUnreached) continue;
      if (!state || costs[start] < costs[*state]) state = start;
    }
    if (!state) return std::nullopt;
    FittingRoute route;
    while (*state != Goal()) {
      const Step* next = nullptr;
      for (const size_t i : leaving_[*state]) {
        const Step& step = steps_[i];
        if (!(Sum(CostOf(step, lane_costs), costs[step.to]) == costs[*state])) continue;
        if (next == nullptr || step.leg.lane < next->leg.lane) next = &step;
      }
      if (next->leg.lane == kTurn) {
        ++route.reversals;
      } else if (next->leg.lane != kArrive) {
        route.legs.push_back(next->leg);
        route.length += question_.lanes[next->leg.lane].length;
      }
      state = next->to;
    }
    return route;
  }

  /// Which states can be come to from the start over lanes that are open.
  std::vector<char> ReachedFromStart(const std::vector<Cost>& lane_costs) const {
    std::vector<char> reached(leaving_.size(), 0);
    std::vector<size_t> open;
    const auto reach = [&](size_t state) {
      if (reached[state] != 0) return;
      reached[state] = 1;
      open.push_back(state);
    };
    for (const LaneFacing facing : {LaneFacing::kNoseFirst, LaneFacing::kTailFirst}) {
      if (!question_.depart || *question_.depart == facing) reach(StateOf(question_.from, facing));
    }
    while (!open.empty()) {
      const size_t state = open.back();
      open.pop_back();
      for (const size_t i : leaving_[state]) {
        if (!(CostOf(steps_[i], lane_costs) == kUnreached)) reach(steps_[i].to);
      }
    }
    return reached;
  }

  bool ReachesGoal(const std::vector<char>& reached) const { return reached[Goal()] != 0; }
  const std::vector<Step>& steps() const { return steps_; }

 private:
  void AddLane(size_t index) {
    const RouteLane& lane = question_.lanes[index];
    for (const LaneFacing facing : {LaneFacing::kNoseFirst, LaneFacing::kTailFirst}) {
      const auto barred = facing == LaneFacing::kNoseFirst ? RouteLane::Facings::kTailFirstOnly
                                                           : RouteLane::Facings::kNoseFirstOnly;
      if (lane.facings == barred) continue;
      const size_t from = StateOf(lane.from, facing);
      const size_t to = StateOf(lane.to, facing);
      steps_.push_back({from, to, {index, RouteLeg::Direction::kAlong, facing}});
      if (lane.ways == RouteLane::Ways::kBoth)
        steps_.push_back({to, from, {index, RouteLeg::Direction::kAgainst, facing}});
    }
  }

  size_t Goal() const { return 2 * question_.places; }  // the state after the last

  static Cost CostOf(const Step& step, const std::vector<Cost>& lane_costs) {
    if (step.leg.lane == kTurn) return {.reversals = 1};
    if (step.leg.lane == kArrive) return {};
    return lane_costs[step.leg.lane];
  }

  const RouteQuestion& question_;
  std::vector<Step> steps_;
  Graph graph_;
  std::vector<std::vector<size_t>> leaving_;
};

using Shorts = std::vector<std::vector<LaneShort>>;  // a lane

/// Of every lane, where `counts` of its limits are let pass at a cost of one each.
template <class Passable>
std::vector<Cost> LaneCosts(const RouteQuestion& question, const Shorts& shorts,
                            Passable passable) {
  std::vector<Cost> costs;
  costs.reserve(shorts.size());
  for (size_t lane = 0; lane < shorts.size(); ++lane) {
    const bool open = std::all_of(shorts[lane].begin(), shorts[lane].end(), passable);
    Cost cost = kUnreached;
    if (open) {
      cost = {.shorts = static_cast<int64_t>(shorts[lane].size()),
              .length_mm = CeilMillimetres(question.lanes[lane].length),
              .lanes = 1};
    }
    costs.push_back(cost);
  }
  return costs;
}

bool IsOnMany(const LaneShort& change) {
  return change.limit == LaneLimit::kTaken || change.limit == LaneLimit::kHazard;
}

bool IsSame(const LaneShort& a, const LaneShort& b) {
  if (a.limit != b.limit) return false;
  return IsOnMany(a) ? a.who == b.who : a.lane == b.lane;
}

/// Every limit that alone opens a way. One that is on a single lane does where the start comes to
/// one end of the lane and its other end to the goal. Where the goal is only come to over the lane
/// another way round, for it may be passed twice, and for what may be on many lanes, it is tried.
std::vector<LaneShort> SingleChanges(const Map& map, const RouteQuestion& question,
                                     const Shorts& shorts, const std::vector<Cost>& fitting,
                                     const std::vector<Cost>& to_goal) {
  const std::vector<char> reached = map.ReachedFromStart(fitting);
  struct Ends {
    bool entered = false, left = false, passed = false;
  };
  std::vector<Ends> ends(shorts.size());
  for (const Step& step : map.steps()) {
    if (step.leg.lane >= kArrive) continue;
    const bool entered = reached[step.from] != 0;
    const bool left = !(to_goal[step.to] == kUnreached);
    Ends& lane = ends[step.leg.lane];
    lane.entered = lane.entered || entered;
    lane.left = lane.left || left;
    lane.passed = lane.passed || (entered && left);
  }
  const auto opens = [&](const LaneShort& only) {
    const auto costs =
        LaneCosts(question, shorts, [&](const LaneShort& one) { return IsSame(one, only); });
    return map.ReachesGoal(map.ReachedFromStart(costs));
  };
  std::vector<LaneShort> singles;
  std::set<std::pair<LaneLimit, std::string>> tried;
  for (size_t lane = 0; lane < shorts.size(); ++lane) {
    if (shorts[lane].size() != 1) continue;
    const LaneShort& only = shorts[lane].front();
    if (IsOnMany(only)) {
      if (tried.emplace(only.limit, only.who).second && opens(only)) singles.push_back(only);
    } else if (ends[lane].passed || (ends[lane].entered && ends[lane].left && opens(only))) {
      singles.push_back(only);
    }
  }
  return singles;
}

void FindChanges(const Map& map, const RouteQuestion& question, const Shorts& shorts,
                 const std::vector<Cost>& fitting, const std::vector<Cost>& to_goal,
                 FoundRoute& found) {
  const auto singles = SingleChanges(map, question, shorts, fitting, to_goal);
  const auto rank = [&](const LaneShort& one) {
    return std::tuple(ChangeOf(one, question.needs), one.lane, one.limit);
  };
  const auto least =
      std::min_element(singles.begin(), singles.end(),
                       [&](const LaneShort& a, const LaneShort& b) { return rank(a) < rank(b); });
  const bool one_does = least != singles.end();
  const auto costs = LaneCosts(
      question, shorts, [&](const LaneShort& one) { return !one_does || IsSame(one, *least); });
  found.if_changed = map.WayBy(map.CostsToGoal(costs), costs);
  if (one_does) {
    found.changes.push_back(*least);
  } else if (found.if_changed) {
    for (const RouteLeg& leg : found.if_changed->legs)
      found.changes.insert(found.changes.end(), shorts[leg.lane].begin(), shorts[leg.lane].end());
  }
}

}  // namespace

Outcome<FoundRoute> SearchRoute(const RouteQuestion& question) {
  if (const auto fault = FaultOf(question)) return tl::unexpected(*fault);
  FoundRoute found;
  if (question.from == question.to) {
    found.route = FittingRoute();
    return found;
  }
  Shorts shorts;
  shorts.reserve(question.lanes.size());
  for (size_t lane = 0; lane < question.lanes.size(); ++lane)
    shorts.push_back(ShortsOf(question, lane));
  const Map map(question);
  const auto fitting = LaneCosts(question, shorts, [](const LaneShort&) { return false; });
  const auto to_goal = map.CostsToGoal(fitting);
  found.route = map.WayBy(to_goal, fitting);
  if (!found.route) FindChanges(map, question, shorts, fitting, to_goal, found);
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
