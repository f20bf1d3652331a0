#include "services/yard/yard.h"

#include <algorithm>

namespace chockwise::yard {
namespace {

template <class List>
auto FindById(const List& list, std::string_view id) -> decltype(&*list.begin()) {
  const auto found =
      std::find_if(list.begin(), list.end(), [id](const auto& entry) { return entry.id() == id; });
  return found == list.end() ? nullptr : &*found;
}

template <class Map>
auto FindInMap(const Map& map, std::string_view id) -> const typename Map::mapped_type* {
  const auto found = map.find(typename Map::key_type(std::string(id)));
  return found == map.end() ? nullptr : &found->second;
}

}  // namespace

bool MustStayFree(Duty duty) {
  switch (duty) {
    case Duty::kKeepClear:
    case Duty::kExit:
    case Duty::kFireWay:
      return true;
    case Duty::kRefuge:     // people stand there; that no machine does, the survey says
    case Duty::kLampGroup:  // light falls on many lanes at once
    case Duty::kParking:    // machines stand there: it is beside the ways, not on them
      return false;
  }
  return true;
}

bool MayTow(Steering steering) {
  switch (steering) {
    case Steering::kFrontAxle:
    case Steering::kAllWheel:
    case Steering::kArticulated:
      return true;
    case Steering::kRearAxle:  // its tail swings out where the drawbar hangs
    case Steering::kCrab:
    case Steering::kSkid:    // it turns on the spot, into its drawbar
    case Steering::kTracks:  // likewise, and how it rides with a drawbar is not computed
      return false;
  }
  return false;
}

const Person* Yard::FindPerson(std::string_view person_id) const {
  return FindInMap(people, person_id);
}
const Machine* Yard::FindMachine(std::string_view machine_id) const {
  return FindInMap(machines, machine_id);
}
const v1::KindRule* Yard::FindKind(std::string_view kind_id) const {
  return FindById(rules.kinds(), kind_id);
}
const v1::GateRule* Yard::FindGate(std::string_view gate_id) const {
  return FindById(rules.gates(), gate_id);
}

}  // namespace chockwise::yard
