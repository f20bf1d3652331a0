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

const Measurement* Yard::Latest(std::string_view subject, std::string_view quantity,
                                std::string_view attachment) const {
  const Measurement* latest = nullptr;
  for (const Measurement& reading : measurements) {
    if (reading.subject != subject || reading.quantity != quantity ||
        reading.attachment != attachment)
      continue;
    if (latest == nullptr || reading.when >= latest->when) latest = &reading;
  }
  return latest;
}

}  // namespace chockwise::yard
