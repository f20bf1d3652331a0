// What a shift has shown: read off what was said, refused and recorded, not off what was meant.
#include <fmt/format.h>

#include <algorithm>

#include "services/history/words.h"
#include "tests/sim/shift.h"

namespace chockwise::sim {
namespace {

/// Why a release was taken back, as a sort.
std::string WhyVoided(const v1::Command& command, const v1::Entry& entry) {
  if (entry.release_voided().begin_refused()) return "begin found its release no longer good";
  if (command.has_tick()) return "release taken back by the clock";
  if (command.has_end_shift() || command.has_begin_shift())
    return "release taken back by a shift's end";
  if (command.has_report_door()) return "release taken back by a door";
  if (command.has_hold_yard()) return "release taken back by a hold";
  if (command.has_load_yard()) return "release taken back by a reload";
  if (command.has_hang_tag() || command.has_record_inspection())
    return "release taken back by a tag";
  return "release taken back";
}

}  // namespace

/// Which gates stand in the way at the moment when somebody asks: those only recorded, too.
void Shift::NoteAsked(const v1::Command& command) {
  std::string name = command.has_request_release() ? command.request_release().name()
                     : command.has_begin_move()    ? command.begin_move().name()
                     : command.has_close_move()    ? command.close_move().name()
                                                   : "";
  if (name.empty()) return;
  const auto move =
      state_.moves.find(std::strtoll(name.substr(name.rfind('/') + 1).c_str(), nullptr, 10));
  if (move == state_.moves.end()) return;
  for (const GateStatus& gate :
       moves::EvaluatePhase(state_, move->second, moves::PhaseNow(move->second), now_)) {
    if (gate.state != v1::GATE_STATE_CLEAR) ++coverage_.gates_not_clear[gate.rule->id()];
  }
}

void Shift::NoteRefused(const v1::Command& command, const moves::Refusal& refusal) {
  auto& happened = coverage_.happened;
  for (const auto& violation : refusal.violations) {
    if (command.has_confirm()) ++happened["word without its " + violation.field()];
    if (command.has_accept_spotting() && violation.field() == "machine")
      ++happened["spotter read another machine"];
  }
  if (command.has_confirm() && refusal.kind == moves::RefusalKind::kNotAllowed)
    ++happened["word of the wrong person"];
  if (command.has_confirm() && refusal.rule == "law 10") ++happened["word in motion"];
  if (command.has_confirm() && !refusal.gates.empty()) ++happened["last word too early"];
  if (command.has_confirm() && refusal.rule == "life of a move")
    ++happened["word after the release"];
  if (refusal.rule == "law 4") ++happened["one person for two"];
  if (refusal.kind == moves::RefusalKind::kNotAllowed) ++happened["not theirs to do"];
  if (command.has_load_yard()) ++happened["reload refused"];
  if (command.has_begin_move() && refusal.rule == "law 1") ++happened["begin without a release"];
}

void Shift::NoteEntries(const v1::Command& command, const moves::Entries& entries) {
  auto& happened = coverage_.happened;
  for (const v1::Entry& entry : entries) {
    const auto found = state_.moves.find(entry.move());
    const Move* move = found == state_.moves.end() ? nullptr : &found->second;
    if (entry.has_released()) ++happened["released"];
    if (entry.has_released() && move->state == v1::MOVE_STATE_HELD)
      ++happened["released at a hold point"];
    if (entry.has_released() && move->state == v1::MOVE_STATE_STOPPED)
      ++happened["released after a stop"];
    if (entry.has_move_begun()) ++happened["begun"];
    if (entry.has_move_closed()) ++happened["closed"];
    if (entry.has_release_refused()) ++happened["release refused"];
    if (entry.has_close_refused()) ++happened["close refused"];
    if (entry.has_release_voided()) ++happened[WhyVoided(command, entry)];
    if (entry.has_move_stopped() && !entry.person().empty())
      ++happened["stopped while " + std::string(history::StateWords(move->state))];
    if (entry.has_move_stopped() && entry.person().empty()) ++happened["stopped by the system"];
    if (entry.move_stopped().cause() == v1::STOP_CAUSE_LOST_SIGHT) ++happened["lost sight"];
    if (entry.has_restart_allowed()) ++happened["restart allowed"];
    if (entry.has_spotter_named() && !move->spotter.empty()) ++happened["spotter swapped"];
    if (entry.has_spotting_left()) ++happened["spotter left"];
    if (entry.has_driver_swapped()) ++happened["driver swapped"];
    if (entry.driver_away().unattended()) ++happened["left unattended"];
    if (entry.has_door_reported()) ++happened["door moved"];
    if (entry.has_move_refused()) ++happened["refused"];
    if (entry.has_move_withdrawn()) ++happened["withdrawn"];
    if (entry.has_broke_down()) ++happened["broke down where it stands"];
    if (entry.has_ground_cleared()) ++happened["ground cleared"];
    if (entry.has_gates_staled()) ++happened["a neighbour moved"];
    if (entry.has_gate_accepted()) ++happened["taken as it stood by a lead"];
    if (!entry.gate_confirmed().finding().empty()) ++happened["finding"];
    if (entry.shift_ended().open_moves_size() > 0) ++happened["shift ended over open moves"];
    if (entry.has_yard_held()) ++happened["yard held"];
    if (entry.has_hold_lifted()) ++happened["hold lifted"];
    if (entry.yard_loaded().version() > 1) ++happened["yard reloaded"];
    if (entry.has_tag_hung()) ++happened["tag hung"];
    if (entry.has_tag_cleared()) ++happened["tag cleared"];
    if (entry.inspection_recorded().tag() != 0) ++happened["defect"];
    if (entry.has_put_down()) ++happened["chocks or cones put down"];
    if (entry.has_clock_stepped()) ++happened["clock stepped"];
    if (entry.has_restarted()) {
      const bool any = std::any_of(state_.moves.begin(), state_.moves.end(), [](const auto& open) {
        return open.second.state == v1::MOVE_STATE_RELEASED ||
               open.second.state == v1::MOVE_STATE_UNDER_WAY;
      });
      ++happened[any ? "restart over a release or a motion" : "restart"];
    }
  }
}

}  // namespace chockwise::sim
