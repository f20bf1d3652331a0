#include "services/moves/state.h"

#include <fmt/format.h>

#include <algorithm>

namespace chockwise::moves {

bool Move::StopStands() const {
  return std::any_of(stops.begin(), stops.end(),
                     [](const StopWord& stop) { return stop.lifted_by.empty(); });
}

const GateWords* Move::FindWords(std::string_view gate_id, v1::Phase phase) const {
  for (const GateWords& gate : words) {
    if (gate.phase == phase && gate.gate_id == gate_id) return &gate;
  }
  return nullptr;
}

int64_t MachineState::StandThere(const std::string& item) const {
  const auto counted = [&](const std::map<std::string, int64_t>& counts) {
    const auto count = counts.find(item);
    return count == counts.end() ? 0 : count->second;
  };
  return counted(put_down) + counted(left_over);
}

int64_t YardState::LeftOver(const Move& move, const std::string& item) const {
  int64_t left = 0;
  for (const MachineId& id : {move.machine, move.carrier}) {
    const auto machine = machines.find(id);
    if (machine == machines.end()) continue;
    const auto count = machine->second.left_over.find(item);
    if (count != machine->second.left_over.end()) left += count->second;
  }
  return left;
}

const Move* YardState::FindMove(MoveNumber number) const {
  if (const auto open = moves.find(number); open != moves.end()) return &open->second;
  for (const Move& move : ended) {
    if (move.number == number) return &move;
  }
  return nullptr;
}

const KindPlan* YardState::FindPlan(std::string_view kind) const {
  if (!plans) return nullptr;
  const auto plan = plans->find(kind);
  return plan == plans->end() ? nullptr : &plan->second;
}

const yard::Person* YardState::FindPerson(const PersonId& id) const {
  return yard ? yard->FindPerson(id.value()) : nullptr;
}

bool YardState::HasRole(const PersonId& id, yard::Role role) const {
  const yard::Person* person = FindPerson(id);
  return person != nullptr && person->roles.contains(role);
}

bool YardState::IsLead(const PersonId& id) const {
  return HasRole(id, yard::Role::kYardLead) || HasRole(id, yard::Role::kSafetyLead);
}

std::string YardState::WhatKeeps(const MachineId& id) const {
  const auto found = machines.find(id);
  if (found == machines.end()) return "";
  const MachineState& machine = found->second;
  for (const auto& [number, left] : left_standing) {
    if (left == id) return fmt::format("move {} left it standing", number);
  }
  if (machine.move != 0) return fmt::format("it is on move {}", machine.move);
  if (!machine.tags.empty()) return fmt::format("tag {} hangs on it", machine.tags.front().number);
  for (const auto* counts : {&machine.put_down, &machine.left_over}) {
    for (const auto& [item, count] : *counts) {
      if (count != 0) return fmt::format("{} {} are put down at it", count, item);
    }
  }
  return "";
}

const Token* YardState::FindToken(const std::string& secret_hash, Instant now) const {
  const auto number = token_by_hash.find(secret_hash);
  if (number == token_by_hash.end()) return nullptr;
  const auto token = tokens.find(number->second);
  if (token == tokens.end()) return nullptr;
  const bool good = token->second.revoked_by.empty() && now < token->second.expires;
  return good ? &token->second : nullptr;
}

v1::Phase PhaseNow(const Move& move) {
  switch (move.state) {
    case v1::MOVE_STATE_REQUESTED:
    case v1::MOVE_STATE_STOPPED:
      return v1::PHASE_START;
    case v1::MOVE_STATE_RELEASED:
      return move.release ? move.release->phase : v1::PHASE_START;
    case v1::MOVE_STATE_HELD:
      return v1::PHASE_HOLD_POINT;
    case v1::MOVE_STATE_PARKED:
      return v1::PHASE_CLOSE_OUT;
    case v1::MOVE_STATE_UNSPECIFIED:
    case v1::MOVE_STATE_UNDER_WAY:
    case v1::MOVE_STATE_CLOSED:
    case v1::MOVE_STATE_WITHDRAWN:
    case v1::MOVE_STATE_REFUSED:
    case v1::MOVE_STATE_LEFT_STANDING:
    case v1::MoveState_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::MoveState_INT_MAX_SENTINEL_DO_NOT_USE_:
      return v1::PHASE_UNSPECIFIED;
  }
  return v1::PHASE_UNSPECIFIED;
}

}  // namespace chockwise::moves
