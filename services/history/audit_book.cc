#include "services/history/audit_book.h"

#include <fmt/format.h>

#include <algorithm>

namespace chockwise::history {

bool HasRole(const Book& book, std::string_view person, yard::Role role) {
  if (!book.in_force.yard || person.empty()) return false;
  const yard::Person* found = book.in_force.yard->FindPerson(person);
  return found != nullptr && found->roles.contains(role);
}

bool IsLead(const Book& book, std::string_view person) {
  return HasRole(book, person, yard::Role::kYardLead) ||
         HasRole(book, person, yard::Role::kSafetyLead);
}

bool IsOutsideLead(const Book& book, const AuditedMove& move, std::string_view person) {
  return IsLead(book, person) && person != move.driver && person != move.spotter;
}

bool Holds(const Book& book, const AuditedMove& move, v1::Party party, std::string_view person) {
  switch (party) {
    case v1::PARTY_DRIVER:
      return !person.empty() && person == move.driver;
    case v1::PARTY_SPOTTER:
      return !person.empty() && person == move.spotter && move.spotter_accepted;
    case v1::PARTY_YARD_LEAD:
      return IsOutsideLead(book, move, person);
    case v1::PARTY_TECH:
      return HasRole(book, person, yard::Role::kTech) && person != move.driver &&
             person != move.spotter;
    case v1::PARTY_UNSPECIFIED:
    case v1::Party_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Party_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return false;
}

v1::Phase AskedIn(const AuditedMove& move, const v1::GateRule& gate, v1::Phase phase) {
  auto in = [&gate](v1::Phase one) {
    return std::ranges::find(gate.phases(), static_cast<int>(one)) != gate.phases().end();
  };
  if (in(phase)) return phase;
  const bool line = phase == v1::PHASE_START && move.at_line && in(v1::PHASE_HOLD_POINT);
  return line ? v1::PHASE_HOLD_POINT : v1::PHASE_UNSPECIFIED;
}

std::vector<AuditedAcceptance> AcceptancesOf(const AuditedMove& move, const v1::GateRule& gate,
                                             v1::Phase phase) {
  std::vector<AuditedAcceptance> found;
  for (const auto& [where, acceptance] : move.acceptances) {
    if (where.first != gate.id()) continue;
    if (gate.has_computed() || where.second == AskedIn(move, gate, phase))
      found.push_back(acceptance);
  }
  return found;
}

std::vector<const v1::GateRule*> GatesAsked(const Book& book, const AuditedMove& move,
                                            v1::Phase phase) {
  std::vector<const v1::GateRule*> asked;
  auto kind = book.in_force.gates_of_kind.find(move.asked.kind());
  if (kind == book.in_force.gates_of_kind.end()) return asked;
  for (const v1::GateRule* gate : kind->second) {
    const v1::Phase in = AskedIn(move, *gate, phase);
    if (in == v1::PHASE_UNSPECIFIED) continue;
    // The laws' own gates have one id in two phases: asked in both, the word is given at the line.
    const auto same = std::ranges::find_if(
        asked, [gate](const v1::GateRule* other) { return other->id() == gate->id(); });
    if (same == asked.end()) {
      asked.push_back(gate);
    } else if (gate->has_looked_at() && in == v1::PHASE_HOLD_POINT) {
      *same = gate;
    }
  }
  return asked;
}

int64_t LiesThere(const Book& book, const AuditedMove& move, const v1::LookedAt& gate) {
  const Lying* lying = &move.put_down;
  if (gate.item_stays_with_machine()) {
    auto machine = book.put_down.find(move.asked.machine());
    if (machine == book.put_down.end()) return 0;
    lying = &machine->second;
  }
  auto item = lying->find(gate.item());
  return item == lying->end() ? 0 : item->second;
}

int64_t LeftBehind(const Book& book, const AuditedMove& move, std::string_view item) {
  int64_t left = 0;
  for (const std::string& machine : {move.asked.machine(), move.asked.carrier()}) {
    auto items = book.left_behind.find(machine);
    if (machine.empty() || items == book.left_behind.end()) continue;
    auto count = items->second.find(item);
    if (count != items->second.end()) left += count->second;
  }
  return left;
}

bool CountsOut(const v1::GateRule& gate) {
  return gate.looked_at().evidence() == v1::EVIDENCE_COUNT_PUT_DOWN &&
         !gate.looked_at().item_stays_with_machine() && gate.gate_class() != v1::GATE_CLASS_RECORD;
}

std::vector<std::string> DoorsOnTheWay(const AuditedMove& move) {
  constexpr std::string_view kDoor = "door/";
  std::vector<std::string> doors;
  for (const std::string& ground : move.asked.ground()) {
    if (ground.starts_with(kDoor)) doors.push_back(ground.substr(kDoor.size()));
  }
  return doors;
}

std::vector<std::string> DoorsAhead(const AuditedMove& move) {
  std::vector<std::string> ahead = DoorsOnTheWay(move);
  for (int i = 0; i + 1 < move.stops_passed && i < move.asked.stops_size(); ++i)
    std::erase(ahead, move.asked.stops(i));
  return ahead;
}

std::string TrainChange(const Book& book, const AuditedMove& move) {
  const auto named = [](const std::vector<yard::MachineId>& units) {
    std::string names;
    for (const yard::MachineId& unit : units) names += (names.empty() ? "" : ", ") + unit.value();
    return names.empty() ? std::string("nothing") : names;
  };
  const std::string& id = move.asked.machine();
  const yard::Machine* machine = book.in_force.yard ? book.in_force.yard->FindMachine(id) : nullptr;
  if (machine == nullptr) return "";  // nobody is authorised for it: found there
  if (!machine->towed_by.empty())
    return fmt::format("{} hangs behind {}", id, machine->towed_by.value());
  if (machine->tows == move.towed) return "";
  return fmt::format("{} towed {} when the move was asked for and tows {} now", id,
                     named(move.towed), named(machine->tows));
}

bool Ended(v1::MoveState state) {
  switch (state) {
    case v1::MOVE_STATE_CLOSED:
    case v1::MOVE_STATE_WITHDRAWN:
    case v1::MOVE_STATE_REFUSED:
    case v1::MOVE_STATE_LEFT_STANDING:
      return true;
    case v1::MOVE_STATE_UNSPECIFIED:
    case v1::MOVE_STATE_REQUESTED:
    case v1::MOVE_STATE_RELEASED:
    case v1::MOVE_STATE_UNDER_WAY:
    case v1::MOVE_STATE_HELD:
    case v1::MOVE_STATE_STOPPED:
    case v1::MOVE_STATE_PARKED:
    case v1::MoveState_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::MoveState_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return false;
}

std::string SpanWords(int64_t span_us) {
  const int64_t seconds = span_us / 1'000'000;
  if (seconds < 60) return fmt::format("{} s", seconds);
  if (seconds < 3600) return fmt::format("{} min {} s", seconds / 60, seconds % 60);
  if (seconds < 86'400) return fmt::format("{} h {} min", seconds / 3600, seconds % 3600 / 60);
  return fmt::format("{} days {} h", seconds / 86'400, seconds % 86'400 / 3600);
}

}  // namespace chockwise::history
