// The lanes of a yard as the search for a way sees them: each with the worst of what stands over,
// beside and on it, how it bends, and how it comes to its places. Private to the search.
//
// Threads: one search, one thread.
#pragma once

#include <map>
#include <utility>
#include <vector>

#include "services/fit/route_search.h"
#include "services/survey/readings.h"
#include "services/yard/plane.h"

namespace chockwise::survey {

/// The machine as it passes under things.
struct Upright {
  enum class Top { kFlat, kOutlined };  // kOutlined: not as high from end to end
  fit::Metres carried, bounce;
  Top top = Top::kFlat;
  fit::UnitSystem units = fit::UnitSystem::kUs;
};

class LanesOfYard {
 public:
  LanesOfYard(Readings& readings, const Upright& machine);

  size_t places() const { return places_.size(); }
  std::optional<size_t> Number(const yard::PlaceId& place) const;

  fit::RouteLane LaneOf(const yard::Lane& lane);

  /// Why a limit that is short has no number.
  std::optional<NoAnswer> WhyUnknown(const fit::LaneShort& change) const;

 private:
  struct Limit {
    std::optional<fit::Metres> value;
    std::string at;
  };
  template <class Thing>
  using ByLane = std::map<yard::LaneId, std::vector<const Thing*>>;
  template <class Thing>
  static const std::vector<const Thing*>& On(const ByLane<Thing>& things, const yard::Lane& lane) {
    static const std::vector<const Thing*> none;
    const auto found = things.find(lane.id);
    return found == things.end() ? none : found->second;
  }
  /// Unknown where it is missing, too old or still to come. Law 2.
  template <class Quantity>
  std::optional<Quantity> Known(const fit::RouteLane& lane, fit::LaneLimit limit,
                                const Outcome<Quantity>& value) {
    if (value) return *value;
    unknown_.emplace(std::pair(lane.id, limit), value.error());
    return std::nullopt;
  }
  void AddDoor(const yard::Door& door, fit::RouteLane& lane);
  void AddOverhead(const yard::Overhead& overhead, fit::RouteLane& lane);
  void AddGround(const yard::Lane& lane, fit::RouteLane& out);

  Readings& readings_;
  const Upright machine_;
  yard::Plane plane_;
  std::map<yard::PlaceId, size_t> places_;
  ByLane<yard::Door> doors_;
  ByLane<yard::Overhead> overheads_;
  std::map<std::pair<std::string, fit::LaneLimit>, NoAnswer> unknown_;
};

}  // namespace chockwise::survey
