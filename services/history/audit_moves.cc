// What the entries of one move do to the audit's book.
#include <fmt/format.h>

#include <algorithm>

#include "services/history/audit_gates.h"
#include "services/history/audit_replay.h"
#include "services/history/words.h"

namespace chockwise::history {
namespace {

/// 25 ft. Source: 29 CFR 1910.178(m)(5)(ii).
constexpr int64_t kUnattendedFromMm = 7620;

}  // namespace

void Replay::OnMoveRequested(const v1::Entry& entry) {
  ++counts_.moves;
  const v1::MoveRequested& asked = entry.move_requested();
  if (entry.move() != book_.last_move + 1 || entry.move_state() != v1::MOVE_STATE_REQUESTED) {
    Find("states", fmt::format("a new move after move {} is number {} and {}", book_.last_move,
                               entry.move(), StateWords(entry.move_state())));
  }
  book_.last_move = std::max(book_.last_move, entry.move());
  if (entry.person().empty()) {
    Find("law 3", "a move asked for by the system");
  } else if (entry.person() != asked.driver() && !IsLead(book_, entry.person())) {
    Find("right people", fmt::format("{} asked for a move that {} is to drive and is no lead",
                                     entry.person(), asked.driver()));
  }
  for (const auto& [number, other] : book_.moves) {
    if (Ended(other.state) || other.asked.machine() != asked.machine()) continue;
    Find("states", fmt::format("{} is on move {} already", asked.machine(), number));
  }
  AuditedMove& move = book_.moves[entry.move()];
  move = AuditedMove();
  move.number = entry.move();
  move.asked = asked;
  move.requester = entry.person();
  move.driver = asked.driver();
  move.spotter = asked.spotter();
  const yard::Machine* machine =
      book_.in_force.yard ? book_.in_force.yard->FindMachine(asked.machine()) : nullptr;
  if (machine != nullptr) move.towed = machine->tows;
  CheckRequest(move);
  CheckRoute(move);
}

/// Law 2: a kind, a machine or a carrier that the yard does not know is not guessed.
void Replay::CheckRequest(const AuditedMove& move) {
  if (!book_.in_force.yard) {
    Find("law 2", "a move asked for without a yard in force");
    return;
  }
  const v1::KindRule* kind = book_.in_force.yard->FindKind(move.asked.kind());
  if (kind == nullptr) {
    Find("law 2", fmt::format("the rules have no kind {}", move.asked.kind()));
    return;
  }
  auto is_of = [this](std::string_view unit, const auto& classes) {
    const yard::Machine* machine = book_.in_force.yard->FindMachine(unit);
    return machine != nullptr &&
           std::ranges::find(classes, machine->machine_class) != classes.end();
  };
  if (!is_of(move.asked.machine(), kind->machine_classes())) {
    Find("law 2",
         fmt::format("{} is not a machine that moves as {}", move.asked.machine(), kind->id()));
  }
  if (kind->needs_carrier() && !is_of(move.asked.carrier(), kind->carrier_classes())) {
    Find("law 2", fmt::format("\"{}\" is not a carrier for {}", move.asked.carrier(), kind->id()));
  }
}

/// Law 6: all lanes of the way, and every door and hold point on them, are named and taken.
void Replay::CheckRoute(const AuditedMove& move) {
  if (!book_.in_force.yard) return;
  const yard::Yard& yard = *book_.in_force.yard;
  std::string missing;
  auto need = [&missing](const auto& list, const std::string& name) {
    if (std::ranges::find(list, name) == list.end())
      missing += (missing.empty() ? "" : ", ") + name;
  };
  // Law 10: held at the doors where the kind says so, at the hold points in any case.
  const v1::KindRule* kind = yard.FindKind(move.asked.kind());
  const bool held_at_doors = kind == nullptr || kind->hold_at_doors();
  if (move.asked.lanes().empty()) missing = "any lane";
  for (const std::string& lane : move.asked.lanes()) {
    if (!yard.lanes.contains(yard::LaneId(lane)))
      missing += (missing.empty() ? "" : ", ") + lane + " on the map";
    need(move.asked.ground(), "lane/" + lane);
    for (const auto& [id, door] : yard.doors) {
      if (door.lane.value() != lane) continue;
      need(move.asked.ground(), "door/" + id.value());
      if (held_at_doors) need(move.asked.stops(), id.value());
    }
    for (const auto& [id, hold_point] : yard.hold_points) {
      if (hold_point.lane.value() == lane) need(move.asked.stops(), id.value());
    }
  }
  if (!missing.empty()) Find("law 6", "the way or the ground it takes lacks " + missing);
}

void Replay::OnSpotter(std::string_view spotter, AuditedMove& move) {
  if (spotter == move.spotter) return;
  if (!move.spotter.empty()) {
    UndoBy(move, move.spotter, Because("law 1", "its giver spots no more"));
    UndoFor(move, v1::HAPPENING_SPOTTER_SWAP);
  }
  move.spotter = spotter;
  move.spotter_accepted = false;
}

void Replay::OnSpottingLeft(AuditedMove& move) {
  UndoBy(move, move.spotter, Because("law 1", "its giver spots no more"));
  UndoFor(move, v1::HAPPENING_SPOTTER_SWAP);
  move.spotter.clear();
  move.spotter_accepted = false;
  if (move.state == v1::MOVE_STATE_UNDER_WAY) move.owed_stop = Because("law 5", "the spotter left");
}

void Replay::OnDriverSwapped(const v1::DriverSwapped& what, AuditedMove& move) {
  UndoBy(move, move.driver, Because("law 1", "its giver drives no more"));
  UndoFor(move, v1::HAPPENING_DRIVER_SWAP);
  move.driver = what.driver();
}

void Replay::OnGateConfirmed(const v1::Entry& entry, AuditedMove& move) {
  ++counts_.words;
  const v1::GateConfirmed& what = entry.gate_confirmed();
  AuditedWord word{.entry = number_,
                   .time_us = entry.time_us(),
                   .person = entry.person(),
                   .finding = what.finding(),
                   .count = {},
                   .note = what.note(),
                   .at_the_spot = what.at_the_spot(),
                   .undone = {}};
  if (what.has_count()) word.count = what.count();
  for (int number : what.parties()) {
    const auto party = static_cast<v1::Party>(number);
    move.words[{.gate_id = what.gate_id(), .phase = what.phase(), .party = party}] = word;
  }
  if (!book_.in_force.yard) return;
  const v1::GateRule* gate = book_.in_force.yard->FindGate(what.gate_id());
  if (gate == nullptr || gate->looked_at().evidence() != v1::EVIDENCE_COUNT_PUT_DOWN) return;
  const Moment moment{
      .book = book_, .move = move, .now_us = entry.time_us(), .phase = what.phase()};
  if (auto count = AgreedCount(moment, *gate)) {
    const v1::LookedAt& looked_at = gate->looked_at();
    Lying& lying =
        looked_at.item_stays_with_machine() ? book_.put_down[move.asked.machine()] : move.put_down;
    lying[looked_at.item()] = *count;
  }
}

void Replay::OnGateAccepted(const v1::Entry& entry, AuditedMove& move) {
  const v1::GateAccepted& what = entry.gate_accepted();
  move.acceptances[{what.gate_id(), what.phase()}] = {.entry = number_, .person = entry.person()};
  const v1::GateRule* gate =
      book_.in_force.yard ? book_.in_force.yard->FindGate(what.gate_id()) : nullptr;
  if (gate == nullptr || gate->gate_class() != v1::GATE_CLASS_LEAD_MAY_ACCEPT) {
    Find("law 1", what.gate_id(), "accepted as it stood, which nobody may");
    return;
  }
  const bool named = std::ranges::find(gate->controls(), what.control()) != gate->controls().end();
  if (!named || what.reason().empty()) {
    Find("law 1", what.gate_id(), "accepted without one of its controls, or without a reason");
  }
}

void Replay::OnReleased(const v1::Entry& entry, AuditedMove& move) {
  ++counts_.releases;
  std::set<std::string> faulted;
  JudgeRelease(entry, move, faulted);
  const v1::Released& released = entry.released();
  move.release = LiveRelease{.entry = number_,
                             .number = released.number(),
                             .phase = released.phase(),
                             .given_in = move.state,
                             .limit = released.limit(),
                             .start_by_us = released.start_by_time_us(),
                             .faulted = std::move(faulted)};
  move.releases = released.number();
  move.stops.clear();
  for (const std::string& ground : move.asked.ground())
    book_.ground.try_emplace(ground, move.number);
}

void Replay::OnReleaseVoided(const v1::Entry& entry, AuditedMove& move) {
  if (move.release) {
    const bool fresh_start = entry.move_state() == v1::MOVE_STATE_REQUESTED && !move.driven;
    if (!fresh_start && entry.move_state() != move.release->given_in) {
      Find("states",
           fmt::format("a release given while {} was taken back to {}",
                       StateWords(move.release->given_in), StateWords(entry.move_state())));
    }
  }
  UndoAll(move, Because("law 1", "the release was taken back"));
  move.release.reset();
  if (!move.driven) FreeGround(move);
}

void Replay::OnMoveBegun(const v1::Entry& entry, AuditedMove& move) {
  ++counts_.first_motions;
  if (!move.release) return;
  const Moment moment{.book = book_,
                      .move = move,
                      .now_us = entry.time_us(),
                      .phase = move.release->phase,
                      .occasion = Occasion::kFirstMotion};
  JudgeGates(moment, move.release->faulted);
  CountIn(moment, move);
  move.driven = true;
}

/// Law 9: what was to be counted in lies there no more. Where the count was wrong, that was said
/// when it was judged.
void Replay::CountIn(const Moment& moment, AuditedMove& move) {
  for (const v1::GateRule* gate : GatesAsked(book_, move, moment.phase)) {
    const v1::LookedAt& looked_at = gate->looked_at();
    if (looked_at.evidence() != v1::EVIDENCE_COUNT_PICKED_UP) continue;
    Lying& lying =
        looked_at.item_stays_with_machine() ? book_.put_down[move.asked.machine()] : move.put_down;
    lying[looked_at.item()] = 0;
  }
  // What moves before left and this one counted out again is this one's from here on.
  for (const v1::GateRule* gate : GatesAsked(book_, move, moment.phase)) {
    if (!CountsOut(*gate)) continue;
    const std::string& item = gate->looked_at().item();
    const int64_t left = LeftBehind(book_, move, item);
    if (left == 0) continue;
    move.put_down[item] = std::max(move.put_down[item], left);
    for (const std::string& machine : {move.asked.machine(), move.asked.carrier()}) {
      if (!machine.empty()) book_.left_behind[machine].erase(item);
    }
  }
}

/// Law 9: what it had put down lies where it was, whoever goes there next.
void Replay::LeaveBehind(AuditedMove& move) {
  const std::string& keeper =
      move.asked.carrier().empty() ? move.asked.machine() : move.asked.carrier();
  for (const auto& [item, count] : move.put_down) {
    // Of a move that never began: what lay there was counted again, not put down twice.
    const int64_t more = count - LeftBehind(book_, move, item);
    if (more > 0) book_.left_behind[keeper][item] += more;
  }
  move.put_down.clear();
}

void Replay::OnMoveHeld(const v1::MoveHeld& what, AuditedMove& move) {
  if (move.release && move.release->limit != what.stop()) {
    Find("law 10",
         fmt::format("released as far as {}, held at {}",
                     move.release->limit.empty() ? "the end of the route" : move.release->limit,
                     what.stop()));
  }
  move.release.reset();
  auto stop = std::ranges::find(move.asked.stops(), what.stop());
  if (stop != move.asked.stops().end()) {
    move.stops_passed = static_cast<int>(stop - move.asked.stops().begin()) + 1;
  }
  move.at_line = true;
}

void Replay::OnMoveParked(AuditedMove& move) {
  if (move.release && !move.release->limit.empty()) {
    Find("law 10",
         fmt::format("released as far as {}, driven to the end of the route", move.release->limit));
  }
  // Stopped where it was to go, it needs no other release: the word that lifts the stop is enough.
  if (move.state == v1::MOVE_STATE_STOPPED) {
    JudgeStops(move, "parked");
    if (!move.driven || move.stops_passed < move.asked.stops_size()) {
      Find("law 10", "parked before the last stretch");
    }
  }
  move.release.reset();
}

void Replay::OnMoveClosed(const v1::Entry& entry, AuditedMove& move) {
  ++counts_.closes;
  std::set<std::string> faulted;
  const Moment moment{.book = book_,
                      .move = move,
                      .now_us = entry.time_us(),
                      .phase = v1::PHASE_CLOSE_OUT,
                      .occasion = Occasion::kClose};
  JudgeStops(move, "closed");
  JudgeGates(moment, faulted);
  JudgeBasis(moment, entry.move_closed().gates(), faulted);
  CountIn(moment, move);
}

void Replay::OnMoveStopped(const v1::Entry& entry, AuditedMove& move) {
  ++counts_.stops;
  const v1::StopCause cause = entry.move_stopped().cause();
  const bool by_start =
      cause == v1::STOP_CAUSE_SERVICE_RESTARTED || cause == v1::STOP_CAUSE_CLOCK_STEPPED;
  const std::string_view rule = by_start ? "law 7" : "law 5";
  if (move.state == v1::MOVE_STATE_UNDER_WAY) move.at_line = false;
  move.stops.push_back({.entry = number_, .person = entry.person(), .rule = rule, .lifted_by = {}});
  UndoAll(move, Because(rule, "the move was stopped"));
  move.acceptances.clear();
  move.release.reset();
  move.owed_stop = {};
}

void Replay::OnRestartAllowed(const v1::Entry& entry, AuditedMove& move) {
  const bool lead = IsOutsideLead(book_, move, entry.person());
  for (AuditedStop& stop : move.stops) {
    if (stop.lifted_by.empty() && (lead || stop.person == entry.person()))
      stop.lifted_by = entry.person();
  }
}

void Replay::OnDriverAway(const v1::DriverAway& what, AuditedMove& move) {
  const bool unattended = what.distance_mm() >= kUnattendedFromMm || !what.in_view();
  if (unattended && !what.unattended()) {
    Find("law 1",
         "25 ft away or out of sight is unattended (29 CFR 1910.178(m)(5)(ii)) and was recorded as "
         "attended");
  }
  if (!unattended && !what.unattended()) return;
  UndoFor(move, v1::HAPPENING_LEFT_UNATTENDED);
  if (move.state == v1::MOVE_STATE_UNDER_WAY)
    move.owed_stop = Because("law 5", "the machine was left unattended");
}

void Replay::OnEnd(AuditedMove& move) {
  LeaveBehind(move);
  FreeGround(move);
}

void Replay::FreeGround(const AuditedMove& move) {
  std::erase_if(book_.ground, [&move](const auto& held) { return held.second == move.number; });
}

void Replay::UndoAll(AuditedMove& move, const Undoing& undoing) {
  for (auto& [key, word] : move.words) {
    if (word.undone.entry == 0) word.undone = undoing;
  }
}

void Replay::UndoBy(AuditedMove& move, std::string_view person, const Undoing& undoing) {
  for (auto& [key, word] : move.words) {
    if (word.person == person && word.undone.entry == 0) word.undone = undoing;
  }
}

/// Undoes the words on gates that the rules say this happening makes stale. A gate that the rules
/// no longer have is unknown, and unknown is not clear (law 2).
void Replay::UndoFor(AuditedMove& move, v1::Happening happening) {
  for (auto& [key, word] : move.words) {
    const v1::GateRule* gate =
        book_.in_force.yard ? book_.in_force.yard->FindGate(key.gate_id) : nullptr;
    const bool stales = gate == nullptr || std::ranges::find(gate->looked_at().stale_on(),
                                                             static_cast<int>(happening)) !=
                                               gate->looked_at().stale_on().end();
    if (stales && word.undone.entry == 0) word.undone = Because("law 1", HappeningWords(happening));
  }
}

}  // namespace chockwise::history
