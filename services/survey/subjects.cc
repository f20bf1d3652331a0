// What a question is about, looked up in the yard's files.
#include <fmt/format.h>

#include "services/survey/answers.h"
#include "services/survey/train.h"
#include "services/yard/text.h"

namespace chockwise::survey {
namespace {

template <class Things, class Id>
Outcome<const typename Things::mapped_type*> Find(const Things& things, const Id& id,
                                                  const char* sort, const char* where) {
  const auto found = things.find(id);
  if (found != things.end()) return &found->second;
  std::vector<std::string> names;
  for (const auto& [name, thing] : things) names.push_back(name.value());
  return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kNoSuch,
                                 .input = fmt::format("{} {}", sort, id.value()),
                                 .problem = fmt::format("is not in {}", where),
                                 .right = yard::KnownNames(id.value(), names)});
}

}  // namespace

Outcome<const yard::Machine*> MachineOf(const yard::Yard& yard, const yard::MachineId& id) {
  return Find(yard.machines, id, "machine", "machines.csv");
}

Outcome<const yard::Place*> PlaceOf(const yard::Yard& yard, const yard::PlaceId& id) {
  return Find(yard.places, id, "place", "map.geojson");
}

Outcome<const yard::Lane*> LaneOf(const yard::Yard& yard, const yard::LaneId& id) {
  return Find(yard.lanes, id, "lane", "map.geojson");
}

Outcome<yard::Route> WayOf(const Asked& asked, const Trip& trip) {
  for (const yard::PlaceId& id : {trip.from, trip.to}) {
    const auto place = PlaceOf(asked.yard, id);
    if (!place) return tl::unexpected(place.error());
  }
  auto route = trip.by.empty() ? asked.yard.FindRoute(trip.from, trip.to)
                               : asked.yard.RouteBy(trip.from, trip.by);
  if (route && route->to == trip.to) return std::move(*route);
  return tl::unexpected(NoAnswer{
      .sort = NoAnswer::Sort::kUnusable,
      .input = "route",
      .problem = fmt::format("from {} to {}: there is none", trip.from.value(), trip.to.value()) +
                 (trip.by.empty() ? "" : " by the lanes named"),
      .right = "name two places that lanes join"});
}

Outcome<Laid> RouteOf(const Asked& asked, const Trip& trip) {
  const auto machine = MachineOf(asked.yard, trip.machine);
  if (!machine) return tl::unexpected(machine.error());
  if (const auto alone = HangsBehindNone(**machine); !alone) return tl::unexpected(alone.error());
  auto route = WayOf(asked, trip);
  if (!route) return tl::unexpected(route.error());
  return Laid{.machine = *machine, .route = std::move(*route)};
}

}  // namespace chockwise::survey
