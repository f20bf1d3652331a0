// What should not be said, and what goes wrong.
#include <fmt/format.h>

#include "tests/sim/shift.h"

namespace chockwise::sim {

/// A word that is wrong in one way: by the wrong person, with the wrong code, count or note, or a
/// finding.
void Shift::Slip(const Move& move) {
  const std::vector<GateStatus> gates =
      moves::EvaluatePhase(state_, move, moves::PhaseNow(move), now_);
  std::vector<const GateStatus*> looked_at;
  for (const GateStatus& gate : gates) {
    if (gate.rule->has_looked_at()) looked_at.push_back(&gate);
  }
  if (looked_at.empty()) {  // under way: a word on a screen all the same
    v1::Command command = Says(move.spotter.value());
    command.mutable_confirm()->set_name(NameOf(move));
    command.mutable_confirm()->set_gate_id("path-walked");
    Give(command);
    return;
  }
  const GateStatus& gate = *AnyOf(looked_at);
  const auto party = static_cast<v1::Party>(AnyOf(gate.rule->looked_at().parties()));
  v1::Command command = Word(move, gate, party);
  v1::ConfirmRequest& word = *command.mutable_confirm();
  switch (Below(6)) {
    case 0:
      command.set_person(AnyPerson());
      break;
    case 1:
      word.set_post_code("XXX");
      break;
    case 2:
      if (word.has_count()) word.set_count(word.count() + 1);
      break;
    case 3:
      if (Chance(300)) word.set_finding("something is not as it should be");
      break;
    case 4:
      word.clear_note();
      word.clear_count();
      word.clear_post_code();
      break;
    case 5:
      break;  // the right word at the wrong time
  }
  Give(command);
}

/// Somebody who cannot wait, or has not looked where the move stands.
void Shift::Impatience(const Move& move) {
  v1::Command command = Says(Chance(800) ? move.driver.value() : AnyPerson());
  if (move.state == v1::MOVE_STATE_PARKED && Chance(600)) {
    command.mutable_close_move()->set_name(NameOf(move));
    Give(command);
    return;
  }
  switch (Below(7)) {
    case 0:
    case 1:
    case 2:
      command.mutable_request_release()->set_name(NameOf(move));
      break;
    case 3:
      command.mutable_close_move()->set_name(NameOf(move));
      break;
    case 4:
      command.mutable_begin_move()->set_name(NameOf(move));
      command.mutable_begin_move()->set_machine(Chance(500) ? move.machine.value() : "CA-901");
      break;
    case 5:
      command.mutable_park_move()->set_name(NameOf(move));
      break;
    case 6:
      command.mutable_hold_move()->set_name(NameOf(move));
      command.mutable_hold_move()->set_stop("door-3");
      break;
  }
  Give(command);
}

/// What takes a move back, or ends it.
void Shift::Mishap(const Move& move) {
  v1::Command command = Says(AnyPerson());
  switch (Below(14)) {
    case 0:
    case 1: {
      v1::StopMoveRequest& stop = *command.mutable_stop_move();
      stop.set_name(Chance(500) ? NameOf(move) : MachineNameOf(move));
      stop.set_cause(Chance(500) ? v1::STOP_CAUSE_LOST_SIGHT : v1::STOP_CAUSE_CALLED);
      stop.set_text("stop");
      break;
    }
    case 2: {
      command.set_person(Chance(700) ? "dov" : AnyPerson());
      v1::ReportAwayRequest& away = *command.mutable_report_away();
      away.set_name(NameOf(move));
      away.set_distance_mm(static_cast<int64_t>(Below(20'000)));
      away.set_in_view(Chance(500));
      break;
    }
    case 3:
      command.set_person(move.spotter.value());
      command.mutable_leave_spotting()->set_name(NameOf(move));
      break;
    case 4:
      command.set_person("dov");
      command.mutable_name_spotter()->set_name(NameOf(move));
      command.mutable_name_spotter()->set_spotter(Chance(800) ? FreeSpotter(move) : AnyPerson());
      break;
    case 5:
      command.set_person("dov");
      command.mutable_swap_driver()->set_name(NameOf(move));
      command.mutable_swap_driver()->set_driver(AnyPerson());
      break;
    case 6:
      command.mutable_hang_tag()->set_name(MachineNameOf(move));
      command.mutable_hang_tag()->set_text("do not move");
      break;
    case 7:
      command.set_person(Chance(500) ? "ruth" : AnyPerson());
      command.mutable_record_inspection()->set_name(MachineNameOf(move));
      command.mutable_record_inspection()->set_defect("horn does not sound");
      break;
    case 8: {
      v1::RecordPutDownRequest& put = *command.mutable_record_put_down();
      put.set_name(MachineNameOf(move));
      put.set_item(Chance(500) ? "chocks" : "cones");
      put.set_count(static_cast<int64_t>(Below(5)));
      break;
    }
    case 9:
      command.set_person(Chance(800) ? move.driver.value() : AnyPerson());
      command.mutable_refuse_move()->set_name(NameOf(move));
      break;
    case 10:
      command.set_person(Chance(500) ? "dov" : AnyPerson());
      command.mutable_withdraw_move()->set_name(NameOf(move));
      command.mutable_withdraw_move()->set_reason("changed plans");
      break;
    case 11:
      command.set_person(Chance(800) ? move.driver.value() : AnyPerson());
      command.mutable_report_breakdown()->set_name(NameOf(move));
      command.mutable_report_breakdown()->set_text("hose burst");
      break;
    case 12:
      return Pass(60, 420);  // everybody waits for somebody
    case 13: {
      // Whoever may drive or spot takes another's place without being asked.
      command.mutable_accept_spotting()->set_name(NameOf(move));
      command.mutable_accept_spotting()->set_machine(Chance(800) ? move.machine.value() : "CA-902");
      break;
    }
  }
  Give(command);
}

}  // namespace chockwise::sim
