#include "services/history/audit_replay.h"

#include <fmt/format.h>

#include "services/history/audit_life.h"
#include "services/history/words.h"

namespace chockwise::history {

using E = v1::Entry;

void Replay::Add(AuditFinding finding) {
  if (findings_.size() < kMaxFindings) {
    findings_.push_back(std::move(finding));
  } else {
    ++findings_left_out_;
  }
}

void Replay::Find(std::string_view rule, std::string_view gate_id, std::string sentence) {
  Add({.entry = number_,
       .move = move_,
       .rule = std::string(rule),
       .gate_id = std::string(gate_id),
       .sentence = std::move(sentence)});
}

void Replay::NoEntry(int64_t number) {
  number_ = number;
  move_ = 0;
  ++counts_.entries;
  Find("record", "the bytes recorded are no entry that this build can read");
}

void Replay::Take(int64_t number, const E& entry) {
  number_ = number;
  move_ = entry.move();
  ++counts_.entries;
  CheckOrder(entry);
  if (entry.what_case() == E::WHAT_NOT_SET) {
    Find("record", "the entry says nothing that this build knows");
    return;
  }
  if (entry.what_case() == E::kMoveRequested) {
    OnMoveRequested(entry);
    return;
  }
  AuditedMove* move = CheckStep(entry);
  CheckPerson(entry, move);
  if (!IsAboutAMove(entry.what_case())) {
    ApplyToYard(entry);
  } else if (move != nullptr) {
    ApplyToMove(entry, *move);
    const bool over = Ended(move->state) && move->state != v1::MOVE_STATE_LEFT_STANDING;
    if (over || entry.what_case() == E::kGroundCleared) {
      OnEnd(*move);
      book_.moves.erase(entry.move());
    }
  }
}

void Replay::CheckOrder(const E& entry) {
  if (entry.time_us() < book_.last_time_us) {
    Find("time", fmt::format("recorded at {}, after an entry recorded at {}",
                             TimeWords(entry.time_us()), TimeWords(book_.last_time_us)));
  }
  book_.last_time_us = std::max(book_.last_time_us, entry.time_us());
}

/// Finds the move, and says what is wrong with the step. Null where the entry is about no move that
/// is open.
AuditedMove* Replay::CheckStep(const E& entry) {
  if (!IsAboutAMove(entry.what_case())) return nullptr;
  auto found = book_.moves.find(entry.move());
  if (found == book_.moves.end()) {
    const bool over = entry.move() > 0 && entry.move() <= book_.last_move;
    Find("states", fmt::format("\"{}\" for a move that {}", Words(entry),
                               over ? "is over" : "nobody asked for"));
    return nullptr;
  }
  AuditedMove& move = found->second;
  const StateStep step{.before = move.state, .after = entry.move_state()};
  if (!IsLegalStep(entry.what_case(), step)) {
    // Law 10: between "moving" and "stopped" nothing asks for a hand or an eye.
    const bool word =
        entry.what_case() == E::kGateConfirmed && move.state == v1::MOVE_STATE_UNDER_WAY;
    Find(word ? "law 10" : "states",
         fmt::format("\"{}\" takes the move from {} to {}", Words(entry), StateWords(step.before),
                     StateWords(step.after)));
  }
  const bool stands = entry.what_case() == E::kMoveStopped || entry.what_case() == E::kBrokeDown ||
                      entry.what_case() == E::kMoveRefused ||
                      entry.what_case() == E::kGatesStaled ||
                      entry.what_case() == E::kSpottingLeft || entry.what_case() == E::kDriverAway;
  if (move.owed_stop.entry != 0 && !stands) {
    Find("law 5", fmt::format("went on after entry {} that had to stop it: {}",
                              move.owed_stop.entry, move.owed_stop.why));
    move.owed_stop = {};
  }
  return &move;
}

namespace {

/// Whose an entry is to give.
enum class Whose {
  kAnyones,  // or judged by what it does
  kDrivers,
  kDriversOrSpotters,
  kRoleTakers,
  kDriversOrLeads,
  kNewDriversOrLeads,
  kOutsideLeads,
  kAskersDriversOrLeads,
  kLeads,
  kFirstLoaders,
};

// clang-format off: one line a sort
Whose WhoseIs(E::WhatCase what) {
  switch (what) {
    case E::kReleased:
    case E::kMoveBegun:
    case E::kMoveParked:
    case E::kMoveClosed:
      return Whose::kDrivers;
    case E::kMoveHeld:
    case E::kMoveRefused:
      return Whose::kDriversOrSpotters;
    case E::kSpottingAccepted:
      return Whose::kRoleTakers;
    case E::kSpotterNamed:
      return Whose::kDriversOrLeads;
    case E::kDriverSwapped:
      return Whose::kNewDriversOrLeads;
    case E::kGateAccepted:
      return Whose::kOutsideLeads;
    case E::kMoveWithdrawn:
      return Whose::kAskersDriversOrLeads;
    case E::kGroundCleared:
    case E::kShiftBegun:
    case E::kShiftEnded:
    case E::kHoldLifted:
    case E::kDoorReturned:
      return Whose::kLeads;
    case E::kYardLoaded:
      return Whose::kFirstLoaders;
    case E::kSpottingLeft:
    case E::kGateConfirmed:
    case E::kReleaseRefused:
    case E::kReleaseVoided:
    case E::kCloseRefused:
    case E::kMoveStopped:
    case E::kRestartAllowed:
    case E::kDriverAway:
    case E::kBrokeDown:
    case E::kGatesStaled:
    case E::kMoveRequested:
    case E::kYardHeld:
    case E::kDoorReported:
    case E::kTagHung:
    case E::kTagCleared:
    case E::kInspectionRecorded:
    case E::kPutDown:
    case E::kTokenIssued:
    case E::kTokenRevoked:
    case E::kRestarted:
    case E::kClockStepped:
    case E::WHAT_NOT_SET:
      break;
  }
  return Whose::kAnyones;
}
// clang-format on

}  // namespace

void Replay::CheckPerson(const E& entry, const AuditedMove* move) {
  if (entry.person().empty()) {
    if (IsForward(entry.what_case())) {
      Find("law 3",
           fmt::format("\"{}\" by the system: only people move a move forward", Words(entry)));
    }
    return;
  }
  if (!book_.in_force.yard && entry.what_case() != E::kYardLoaded)
    return;  // no register to judge by, which is said elsewhere
  if (move == nullptr && IsAboutAMove(entry.what_case())) return;  // said elsewhere, too
  static const AuditedMove kNoMove{};
  const std::string_view wrong = WrongPerson(entry, move == nullptr ? kNoMove : *move);
  if (!wrong.empty()) {
    Find("right people", fmt::format("\"{}\" by {}: {}", Words(entry), entry.person(), wrong));
  }
}

/// Whose it would have been; empty where it was theirs.
std::string_view Replay::WrongPerson(const E& entry, const AuditedMove& move) const {
  const std::string& person = entry.person();
  const bool driver = person == move.driver;
  const bool spotter = person == move.spotter;
  const bool lead = IsLead(book_, person);
  switch (WhoseIs(entry.what_case())) {
    case Whose::kAnyones:
      return "";
    case Whose::kDrivers:
      return driver ? "" : "that is the driver's";
    case Whose::kDriversOrSpotters:
      return driver || spotter ? "" : "that is the driver's or the spotter's";
    case Whose::kRoleTakers:
      if (person != entry.spotting_accepted().spotter())
        return "a spotter takes the role themselves";
      return move.spotter.empty() || spotter ? "" : "somebody else was named";
    case Whose::kDriversOrLeads:
      return driver || lead ? "" : "that is the driver's or a lead's";
    case Whose::kNewDriversOrLeads:
      return person == entry.driver_swapped().driver() || lead
                 ? ""
                 : "that is the new driver's or a lead's";
    case Whose::kOutsideLeads:
      return IsOutsideLead(book_, move, person)
                 ? ""
                 : "that is a lead's who is neither driver nor spotter";
    case Whose::kAskersDriversOrLeads:
      return driver || lead || person == move.requester
                 ? ""
                 : "that is the asker's, the driver's or a lead's";
    case Whose::kLeads:
      return lead ? "" : "that is a lead's";
    case Whose::kFirstLoaders:
      return lead || !book_.in_force.yard ? "" : "that is a lead's";
  }
  return "";
}

void Replay::ApplyToMove(const E& entry, AuditedMove& move) {
  const v1::MoveState before = move.state;
  // clang-format off: one line a kind
  switch (entry.what_case()) {
    case E::kSpotterNamed:
      OnSpotter(entry.spotter_named().spotter(), move);
      break;
    case E::kSpottingAccepted:
      OnSpotter(entry.spotting_accepted().spotter(), move);
      move.spotter_accepted = true;
      break;
    case E::kSpottingLeft:
      OnSpottingLeft(move);
      break;
    case E::kDriverSwapped:
      OnDriverSwapped(entry.driver_swapped(), move);
      break;
    case E::kGateConfirmed:
      OnGateConfirmed(entry, move);
      break;
    case E::kGateAccepted:
      OnGateAccepted(entry, move);
      break;
    case E::kReleased:
      OnReleased(entry, move);
      break;
    case E::kReleaseVoided:
      OnReleaseVoided(entry, move);
      break;
    case E::kMoveBegun:
      OnMoveBegun(entry, move);
      break;
    case E::kMoveHeld:
      OnMoveHeld(entry.move_held(), move);
      break;
    case E::kMoveParked:
      OnMoveParked(move);
      break;
    case E::kMoveClosed:
      OnMoveClosed(entry, move);
      break;
    case E::kMoveStopped:
      OnMoveStopped(entry, move);
      break;
    case E::kRestartAllowed:
      OnRestartAllowed(entry, move);
      break;
    case E::kMoveRefused:
      move.state = entry.move_state();  // it ends with this: its own tag stops it no more
      OnTag(move.asked.machine(), entry.move_refused().tag(),
            {.hung_by = entry.person(),
             .refused_move = move.number,
             .requester = move.requester,
             .driver = move.driver});
      break;
    case E::kMoveWithdrawn:
      if (move.driven) Find("states", "taken back after the wheels had turned");
      break;
    case E::kDriverAway:
      OnDriverAway(entry.driver_away(), move);
      break;
    case E::kBrokeDown:
      move.state = entry.move_state();
      OnTag(move.asked.machine(), entry.broke_down().tag(),
            {.hung_by = entry.person(), .requester = {}, .driver = {}});
      LeaveBehind(move);
      break;
    case E::kGatesStaled:
      UndoFor(move, entry.gates_staled().happening());
      break;
    // A refusal changes nothing; the ground is freed at the end.
    case E::kReleaseRefused:
    case E::kCloseRefused:
    case E::kGroundCleared:
    // Not about one open move.
    case E::kMoveRequested:
    case E::kShiftBegun:
    case E::kShiftEnded:
    case E::kYardHeld:
    case E::kHoldLifted:
    case E::kDoorReported:
    case E::kDoorReturned:
    case E::kTagHung:
    case E::kTagCleared:
    case E::kInspectionRecorded:
    case E::kPutDown:
    case E::kYardLoaded:
    case E::kTokenIssued:
    case E::kTokenRevoked:
    case E::kRestarted:
    case E::kClockStepped:
    case E::WHAT_NOT_SET:
      break;
  }
  // clang-format on
  move.state = entry.move_state() == v1::MOVE_STATE_UNSPECIFIED ? before : entry.move_state();
}

}  // namespace chockwise::history
