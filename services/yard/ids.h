// Names of things in a yard. Each is a type of its own: a door's id does not go where a lane's is
// asked for.
#pragma once

#include <compare>
#include <string>
#include <utility>

namespace chockwise::yard {

/// An id as people write it: 1 to 40 characters of a–z, A–Z, 0–9 and '-'.
template <class Tag>
class Id {
 public:
  Id() = default;
  explicit Id(std::string value) : value_(std::move(value)) {}
  const std::string& value() const { return value_; }
  bool empty() const { return value_.empty(); }
  auto operator<=>(const Id&) const = default;

 private:
  std::string value_;
};

using PlaceId = Id<struct PlaceTag>;
using LaneId = Id<struct LaneTag>;
using DoorId = Id<struct DoorTag>;
using AreaId = Id<struct AreaTag>;
using HoldPointId = Id<struct HoldPointTag>;
using OverheadId = Id<struct OverheadTag>;
using ObstacleId = Id<struct ObstacleTag>;
using MachineId = Id<struct MachineTag>;
using PersonId = Id<struct PersonTag>;

}  // namespace chockwise::yard
