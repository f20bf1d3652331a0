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
    case Duty::kRefuge:     // people stand there, machines do not
    case Duty::kLampGroup:  // light falls on many lanes at once
    case Duty::kParking:    // machines stand there: it is beside the ways, not on them
      return false;
  }
  return true;
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

const Measurement* Yard::Latest(std::string_view subject, std::string_view quantity,
                                std::string_view attachment) const {
  const Measurement* latest = nullptr;
  for (const Measurement& reading : measurements) {
    if (reading.subject != subject || reading.quantity != quantity ||
        reading.attachment != attachment || reading.at)
      continue;
    if (latest == nullptr || reading.when >= latest->when) latest = &reading;
  }
  return latest;
}

std::vector<const Measurement*> Yard::LatestAlong(std::string_view subject,
                                                  std::string_view quantity,
                                                  std::string_view attachment) const {
  std::map<fit::Metres, const Measurement*> by_spot;
  for (const Measurement& reading : measurements) {
    if (reading.subject != subject || reading.quantity != quantity ||
        reading.attachment != attachment || !reading.at)
      continue;
    const Measurement*& latest = by_spot[*reading.at];
    if (latest == nullptr || reading.when >= latest->when) latest = &reading;
  }
  std::vector<const Measurement*> in_order;
  for (const auto& [spot, reading] : by_spot) in_order.push_back(reading);
  return in_order;
}

double InSi(const MeasuredValue& value) {
  struct Reader {
    double operator()(fit::Metres v) const { return v.metres(); }
    double operator()(fit::Kilograms v) const { return v.kilograms(); }
    double operator()(fit::Grade v) const { return v.rise_over_run(); }
    double operator()(fit::Decibels v) const { return v.decibels(); }
    double operator()(fit::MetresPerSecond v) const { return v.metres_per_second(); }
    double operator()(fit::Angle v) const { return v.radians(); }
    double operator()(fit::Volts v) const { return v.kilovolts() * 1000; }
    double operator()(fit::Lux v) const { return v.lux(); }
    double operator()(fit::Pascals v) const { return v.pascals(); }
  };
  return std::visit(Reader(), value);
}

}  // namespace chockwise::yard
