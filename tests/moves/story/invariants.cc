#include "tests/moves/story/invariants.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/moves/gates.h"

namespace chockwise::moves {
namespace {

using Broken = std::vector<std::string>;

bool MayMove(const Move& move) {
  return move.state == v1::MOVE_STATE_RELEASED || move.state == v1::MOVE_STATE_UNDER_WAY;
}

void CheckFacts(const YardState& state, const Move& move, Broken& broken) {
  const auto say = [&](const char* what) {
    broken.push_back(fmt::format("move {}: {}", move.number, what));
  };
  if (move.release.has_value() != MayMove(move))
    say("law 1: a release without motion, or motion without a release");
  if (!MayMove(move)) return;
  if (!state.live.contains(move.number)) say("law 6: may move and holds no ground");
  if (state.hold) say("law 5: may move while the yard is held");
  if (!state.shift) say("law 1: may move while no shift runs");
  if (move.StopStands()) say("law 5: may move while a stop stands");
  for (const std::string& door : move.way->doors) {
    if (state.doors_out.contains(DoorId(door)))
      say("law 1: may move through a door out of service");
  }
  for (const MachineId& id : {move.machine, move.carrier}) {
    const auto machine = state.machines.find(id);
    if (machine != state.machines.end() && !machine->second.tags.empty())
      say("law 1: may move with a tag on it");
  }
  if (move.state != v1::MOVE_STATE_RELEASED || move.release->time != state.last_time) return;
  for (const GateStatus& gate :
       EvaluatePhase(state, move, move.release->phase, move.release->time)) {
    if (gate.Blocks())
      broken.push_back(fmt::format("law 1: move {} was released with {} not clear: {}", move.number,
                                   gate.rule->id(), gate.reason));
  }
}

void CheckPeople(const YardState& state, Broken& broken) {
  std::map<PersonId, MoveNumber> busy;
  for (const auto& [number, move] : state.moves) {
    if (!move.spotter.empty() && move.spotter == move.driver) {
      broken.push_back(
          fmt::format("law 4: {} drives and spots move {}", move.driver.value(), number));
    }
    const auto spotting = state.spotting.find(move.spotter);
    const bool bound = spotting != state.spotting.end() && spotting->second == number;
    if (bound != move.spotter_accepted)
      broken.push_back(fmt::format("law 4: move {}: who spots it is lost", number));
    if (!MayMove(move)) continue;
    if (!move.spotter_accepted)
      broken.push_back(fmt::format("law 4: move {} may move without a spotter", number));
    for (const PersonId& person : {move.driver, move.spotter}) {
      if (const auto [other, first] = busy.emplace(person, number); !first) {
        broken.push_back(fmt::format("law 4: {} is on moves {} and {}, which both may move",
                                     person.value(), other->second, number));
      }
    }
  }
  for (const auto& [person, number] : state.spotting) {
    const auto move = state.moves.find(number);
    if (move == state.moves.end() || move->second.spotter != person) {
      broken.push_back(fmt::format("law 4: {} is kept by move {}, which they do not spot",
                                   person.value(), number));
    }
  }
}

void CheckGround(const YardState& state, Broken& broken) {
  for (const MoveNumber number : state.live) {
    const auto move = state.moves.find(number);
    if (move == state.moves.end()) {
      broken.push_back(fmt::format("law 6: move {} has ended and still lives", number));
      continue;
    }
    for (const std::string& ground : move->second.way->ground) {
      const auto taken = state.taken.find(ground);
      if (taken == state.taken.end() || taken->second != number) {
        broken.push_back(fmt::format("law 6: move {} does not hold {}", number, ground));
      }
    }
  }
  for (const auto& [ground, number] : state.taken) {
    if (!state.live.contains(number) && !state.left_standing.contains(number)) {
      broken.push_back(
          fmt::format("law 6: {} is held by move {}, which is over or waits", ground, number));
    }
  }
  for (const Move& move : state.ended) {
    if (move.state == v1::MOVE_STATE_LEFT_STANDING) continue;
    for (const auto& [ground, number] : state.taken) {
      if (number == move.number)
        broken.push_back(fmt::format("law 6: ended move {} holds {}", number, ground));
    }
  }
}

void CheckMachines(const YardState& state, Broken& broken) {
  std::map<MachineId, MoveNumber> on;
  for (const auto& [number, move] : state.moves) {
    std::vector<MachineId> units = move.towed;
    units.insert(units.end(), {move.machine, move.carrier});
    for (const MachineId& id : units) {
      if (id.empty()) continue;
      if (!on.emplace(id, number).second)
        broken.push_back(fmt::format("{} is on two moves", id.value()));
    }
  }
  for (const auto& [id, machine] : state.machines) {
    const auto move = on.find(id);
    if ((move == on.end() ? 0 : move->second) != machine.move) {
      broken.push_back(fmt::format("{} believes that it is on move {}", id.value(), machine.move));
    }
    for (const auto& [item, count] : machine.put_down) {
      if (count < 0) broken.push_back(fmt::format("law 9: {} {} at {}", count, item, id.value()));
    }
  }
}

/// Whether the entry undid every looked-at gate of that move. Laws 5 and 7, and a release that
/// lapsed.
bool UndidAll(const v1::Entry& entry, int64_t move) {
  if (entry.has_restarted() || entry.has_clock_stepped()) return true;
  return entry.move() == move && (entry.has_move_stopped() || entry.has_release_voided());
}

/// The last word that a party of the move gave on a gate; null where none is left.
const v1::Entry* LastWord(const Entries& entries, int64_t move, const v1::GateBasis& gate,
                          v1::Phase phase, v1::Party party) {
  const v1::Entry* word = nullptr;
  for (const v1::Entry& entry : entries) {
    if (UndidAll(entry, move)) word = nullptr;
    const v1::GateConfirmed& confirmed = entry.gate_confirmed();
    const bool of_gate = entry.has_gate_confirmed() && entry.move() == move &&
                         confirmed.gate_id() == gate.gate_id() && confirmed.phase() == phase;
    if (of_gate && std::find(confirmed.parties().begin(), confirmed.parties().end(), party) !=
                       confirmed.parties().end()) {
      word = &entry;
    }
  }
  return word;
}

std::string WrongWith(const v1::Entry* word, const v1::LookedAt& looked_at, int64_t now_us) {
  if (word == nullptr) return "no word since it was undone";
  if (!word->gate_confirmed().finding().empty()) return "a finding stands";
  const int64_t age_us = now_us - word->time_us();
  const int64_t fresh_us =
      looked_at.fresh_for().seconds() * 1'000'000 + looked_at.fresh_for().nanos() / 1'000;
  if (looked_at.has_fresh_for() && age_us > fresh_us) return "too old";
  return "";
}

}  // namespace

std::vector<std::string> BrokenLaws(const YardState& state) {
  Broken broken;
  for (const auto& [number, move] : state.moves) CheckFacts(state, move, broken);
  CheckPeople(state, broken);
  CheckGround(state, broken);
  CheckMachines(state, broken);
  return broken;
}

std::vector<std::string> BrokenRelease(const YardState& state, const Entries& entries) {
  Broken broken;
  const v1::Entry& released = entries.back();
  for (const v1::GateBasis& gate : released.released().gates()) {
    const v1::GateRule* rule = state.yard->FindGate(gate.gate_id());
    if (rule == nullptr || !rule->has_looked_at() || rule->gate_class() == v1::GATE_CLASS_RECORD)
      continue;
    if (!gate.accepted_by().empty()) continue;
    // A restart at a hold point asks the gates of the line too.
    const v1::Phase phase = AsksIn(*rule, released.released().phase()) ? released.released().phase()
                                                                       : v1::PHASE_HOLD_POINT;
    int given = 0;
    std::string wrong;
    for (const int number : rule->looked_at().parties()) {
      const auto party = static_cast<v1::Party>(number);
      const v1::Entry* word = LastWord(entries, released.move(), gate, phase, party);
      const std::string why = WrongWith(word, rule->looked_at(), released.time_us());
      if (why.empty()) ++given;
      if (!why.empty())
        wrong = fmt::format("{} of {}: {}", gate.gate_id(), v1::Party_Name(party), why);
    }
    const bool enough = rule->looked_at().any_party() ? given > 0 : wrong.empty();
    if (!enough)
      broken.push_back(fmt::format("law 1: move {} released: {}", released.move(), wrong));
  }
  return broken;
}

}  // namespace chockwise::moves
