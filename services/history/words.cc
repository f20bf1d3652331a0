#include "services/history/words.h"

#include <fmt/format.h>

#include <ctime>
#include <vector>

#include "services/yard/yard.h"

namespace chockwise::history {
namespace {

std::string OneLine(std::string_view text) {
  std::string line(text);
  for (char& c : line) {
    if (static_cast<unsigned char>(c) < 0x20 || c == 0x7f) c = ' ';
  }
  return line;
}

std::string Quoted(std::string_view text) { return fmt::format("\"{}\"", OneLine(text)); }

/// ": "text"" where there is a text.
std::string After(std::string_view text) { return text.empty() ? "" : ": " + Quoted(text); }

std::string Joined(const std::vector<std::string>& parts) {
  std::string all;
  for (const std::string& part : parts) all += (all.empty() ? "" : ", ") + part;
  return all;
}

std::string_view OrNobody(std::string_view person) {
  return person.empty() ? "nobody yet" : person;
}

std::string Parties(const v1::GateConfirmed& what) {
  std::vector<std::string> parties;
  for (int party : what.parties())
    parties.emplace_back(yard::PartyWord(static_cast<v1::Party>(party)));
  return parties.empty() ? "nobody's part" : Joined(parties);
}

/// "walk-around (stale), no-tags (not clear), 19 not asked": there is nothing to say of the last.
std::string Unmet(const google::protobuf::RepeatedPtrField<v1::UnmetGate>& gates) {
  std::vector<std::string> parts;
  int not_asked = 0;
  for (const v1::UnmetGate& gate : gates) {
    if (gate.state() == v1::GATE_STATE_NOT_ASKED) {
      ++not_asked;
      continue;
    }
    parts.push_back(fmt::format("{} ({})", gate.gate_id(), GateStateWords(gate.state())));
  }
  if (not_asked > 0) parts.push_back(fmt::format("{} not asked", not_asked));
  return parts.empty() ? "no gate named" : Joined(parts);
}

/// "9 gates clear", "8 gates clear, weather accepted by lee".
std::string Basis(const google::protobuf::RepeatedPtrField<v1::GateBasis>& gates) {
  int clear = 0;
  std::vector<std::string> rest;
  for (const v1::GateBasis& gate : gates) {
    if (!gate.accepted_by().empty()) {
      rest.push_back(fmt::format("{} accepted by {}", gate.gate_id(), gate.accepted_by()));
    } else if (gate.state() == v1::GATE_STATE_CLEAR) {
      ++clear;
    } else {
      rest.push_back(
          fmt::format("{} recorded as {}", gate.gate_id(), GateStateWords(gate.state())));
    }
  }
  rest.insert(rest.begin(), fmt::format("{} gate{} clear", clear, clear == 1 ? "" : "s"));
  return Joined(rest);
}

std::string Say(const v1::MoveRequested& what) {
  return fmt::format("asked for: {}, {} from {} to {}{}, driver {}, spotter {}", what.kind(),
                     what.machine(), what.from_place(), what.to_place(),
                     what.carrier().empty() ? "" : ", carrier " + what.carrier(), what.driver(),
                     OrNobody(what.spotter()));
}
std::string Say(const v1::SpotterNamed& what) { return what.spotter() + " is to spot"; }
std::string Say(const v1::SpottingAccepted& what) {
  return what.spotter() + " takes the spotter's role";
}
std::string Say(const v1::SpottingLeft& what) {
  return what.spotter() + " hands the spotter's role back";
}
std::string Say(const v1::DriverSwapped& what) { return what.driver() + " takes the wheel"; }

std::string Say(const v1::GateConfirmed& what) {
  std::string line =
      fmt::format("{} at {}, as {}: {}", what.gate_id(), PhaseWords(what.phase()), Parties(what),
                  what.finding().empty() ? "clear" : "found " + Quoted(what.finding()));
  if (what.has_count()) line += fmt::format(", {} counted", what.count());
  if (!what.note().empty()) line += ", noted " + Quoted(what.note());
  if (what.at_the_spot()) line += ", at the spot";
  return line;
}

std::string Say(const v1::GateAccepted& what) {
  return fmt::format("{} at {} accepted as it stood ({}), with {}: {}", what.gate_id(),
                     PhaseWords(what.phase()),
                     what.stood_at().empty() ? "no word" : OneLine(what.stood_at()),
                     Quoted(what.control()), Quoted(what.reason()));
}

std::string Say(const v1::Released& what) {
  return fmt::format("release {}: may begin, as far as {}, until {}; {}; yard version {}",
                     what.number(), what.limit().empty() ? "the end of the route" : what.limit(),
                     TimeWords(what.start_by_time_us()), Basis(what.gates()), what.yard_version());
}

std::string Say(const v1::ReleaseRefused& what) {
  return "release refused: " + Unmet(what.gates());
}
std::string Say(const v1::CloseRefused& what) { return "close refused: " + Unmet(what.gates()); }
std::string Say(const v1::ReleaseVoided& what) {
  return (what.begin_refused() ? "may not begin, release taken back" : "release taken back") +
         After(what.reason());
}
std::string Say(const v1::MoveBegun&) { return "the wheels turn"; }
std::string Say(const v1::MoveHeld& what) { return "stands braked at " + what.stop(); }
std::string Say(const v1::MoveParked&) { return "stands where it was to go"; }
std::string Say(const v1::MoveClosed& what) { return "closed: " + Basis(what.gates()); }
std::string Say(const v1::MoveStopped& what) {
  return fmt::format("STOP: {}{}", CauseWords(what.cause()), After(what.text()));
}
std::string Say(const v1::RestartAllowed&) { return "may be made ready again"; }
std::string Say(const v1::MoveRefused& what) {
  return fmt::format(
      "move refused{}{}", After(what.reason()),
      what.tag() == 0 ? "" : fmt::format("; tag {} hung on the machine", what.tag()));
}
std::string Say(const v1::MoveWithdrawn& what) { return "move taken back" + After(what.reason()); }

std::string Say(const v1::DriverAway& what) {
  return fmt::format("driver {}.{:03} m away, {}: {}", what.distance_mm() / 1000,
                     what.distance_mm() % 1000,
                     what.in_view() ? "machine in view" : "machine out of sight",
                     what.unattended() ? "unattended" : "attended");
}

std::string Say(const v1::BrokeDown& what) {
  return fmt::format("broke down where it stands{}; tag {} hung on it", After(what.text()),
                     what.tag());
}
std::string Say(const v1::GatesStaled& what) {
  return fmt::format("looked-at gates stale: {}", HappeningWords(what.happening()));
}
std::string Say(const v1::ShiftBegun& what) {
  return fmt::format("shift {} begins, until {}", Quoted(what.title()),
                     TimeWords(what.end_time_us()));
}
std::string Say(const v1::ShiftEnded& what) {
  std::vector<std::string> moves;
  for (int64_t move : what.open_moves()) moves.push_back(fmt::format("{}", move));
  return moves.empty() ? "shift ends, no move open" : "shift ends, moves open: " + Joined(moves);
}
std::string Say(const v1::YardHeld& what) { return "YARD HOLD" + After(what.reason()); }
std::string Say(const v1::HoldLifted&) { return "yard hold lifted"; }

std::string_view ReportWords(v1::DoorReport report) {
  switch (report) {
    case v1::DOOR_REPORT_UNSPECIFIED:
      return "reported";
    case v1::DOOR_REPORT_MOVED:
      return "moved";
    case v1::DOOR_REPORT_FAULTY:
      return "faulty";
    case v1::DoorReport_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::DoorReport_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return "reported";
}
std::string Say(const v1::DoorReported& what) {
  return fmt::format("{}: {}{}", what.door(), ReportWords(what.report()), After(what.text()));
}
std::string Say(const v1::DoorReturned& what) { return what.door() + ": looked at and given back"; }
std::string Say(const v1::TagHung& what) {
  return fmt::format("{}: tag {} hung{}", what.machine(), what.tag(), After(what.text()));
}
std::string Say(const v1::TagCleared& what) {
  return fmt::format("{}: tag {} taken off", what.machine(), what.tag());
}
std::string Say(const v1::InspectionRecorded& what) {
  if (what.defect().empty()) return what.machine() + ": inspected, no defect";
  return fmt::format("{}: inspected, defect {}{}", what.machine(), Quoted(what.defect()),
                     what.tag() == 0 ? "" : fmt::format("; tag {} hung on it", what.tag()));
}
std::string Say(const v1::GroundCleared& what) {
  return fmt::format("ground free again, the machine stands at {}", what.place());
}
std::string Say(const v1::PutDown& what) {
  if (what.stood() != 0) {
    return fmt::format(
        "{}: {} {} stand there now, {} did; not counted until a second person says so",
        what.machine(), what.count(), what.item(), what.stood());
  }
  return fmt::format("{}: {} {} stand there now", what.machine(), what.count(), what.item());
}
std::string Say(const v1::YardLoaded& what) {
  return fmt::format("yard version {} in force, SHA-256 {}", what.version(), what.digest());
}
std::string Say(const v1::TokenIssued& what) {
  return fmt::format("token {} issued to {}, until {}", what.token(), what.person(),
                     TimeWords(what.expire_time_us()));
}
std::string Say(const v1::TokenRevoked& what) {
  return fmt::format("token {} revoked", what.token());
}
std::string Say(const v1::Restarted&) { return "the service started: nothing is released"; }
std::string Say(const v1::ClockStepped& what) {
  return fmt::format("the clock stepped by {:+} us: nothing is released", what.by_us());
}

}  // namespace

std::string Words(const v1::Entry& entry) {
  // clang-format off: one line a kind
  switch (entry.what_case()) {
    case v1::Entry::kMoveRequested:
      return Say(entry.move_requested());
    case v1::Entry::kSpotterNamed:
      return Say(entry.spotter_named());
    case v1::Entry::kSpottingAccepted:
      return Say(entry.spotting_accepted());
    case v1::Entry::kSpottingLeft:
      return Say(entry.spotting_left());
    case v1::Entry::kDriverSwapped:
      return Say(entry.driver_swapped());
    case v1::Entry::kGateConfirmed:
      return Say(entry.gate_confirmed());
    case v1::Entry::kGateAccepted:
      return Say(entry.gate_accepted());
    case v1::Entry::kReleased:
      return Say(entry.released());
    case v1::Entry::kReleaseRefused:
      return Say(entry.release_refused());
    case v1::Entry::kReleaseVoided:
      return Say(entry.release_voided());
    case v1::Entry::kMoveBegun:
      return Say(entry.move_begun());
    case v1::Entry::kMoveHeld:
      return Say(entry.move_held());
    case v1::Entry::kMoveParked:
      return Say(entry.move_parked());
    case v1::Entry::kMoveClosed:
      return Say(entry.move_closed());
    case v1::Entry::kMoveStopped:
      return Say(entry.move_stopped());
    case v1::Entry::kRestartAllowed:
      return Say(entry.restart_allowed());
    case v1::Entry::kMoveRefused:
      return Say(entry.move_refused());
    case v1::Entry::kMoveWithdrawn:
      return Say(entry.move_withdrawn());
    case v1::Entry::kDriverAway:
      return Say(entry.driver_away());
    case v1::Entry::kBrokeDown:
      return Say(entry.broke_down());
    case v1::Entry::kGatesStaled:
      return Say(entry.gates_staled());
    case v1::Entry::kCloseRefused:
      return Say(entry.close_refused());
    case v1::Entry::kShiftBegun:
      return Say(entry.shift_begun());
    case v1::Entry::kShiftEnded:
      return Say(entry.shift_ended());
    case v1::Entry::kYardHeld:
      return Say(entry.yard_held());
    case v1::Entry::kHoldLifted:
      return Say(entry.hold_lifted());
    case v1::Entry::kDoorReported:
      return Say(entry.door_reported());
    case v1::Entry::kDoorReturned:
      return Say(entry.door_returned());
    case v1::Entry::kTagHung:
      return Say(entry.tag_hung());
    case v1::Entry::kTagCleared:
      return Say(entry.tag_cleared());
    case v1::Entry::kInspectionRecorded:
      return Say(entry.inspection_recorded());
    case v1::Entry::kGroundCleared:
      return Say(entry.ground_cleared());
    case v1::Entry::kPutDown:
      return Say(entry.put_down());
    case v1::Entry::kYardLoaded:
      return Say(entry.yard_loaded());
    case v1::Entry::kTokenIssued:
      return Say(entry.token_issued());
    case v1::Entry::kTokenRevoked:
      return Say(entry.token_revoked());
    case v1::Entry::kRestarted:
      return Say(entry.restarted());
    case v1::Entry::kClockStepped:
      return Say(entry.clock_stepped());
    case v1::Entry::WHAT_NOT_SET:
      break;
  }
  // clang-format on
  return "an entry of a kind that this build does not know";
}

std::string TimeWords(int64_t time_us) {
  constexpr int64_t kMicros = 1'000'000;
  const std::time_t seconds = time_us / kMicros - (time_us % kMicros < 0 ? 1 : 0);
  std::tm utc{};
  if (gmtime_r(&seconds, &utc) == nullptr) return fmt::format("{} us after 1970", time_us);
  return fmt::format("{:04}-{:02}-{:02} {:02}:{:02}:{:02}Z", utc.tm_year + 1900, utc.tm_mon + 1,
                     utc.tm_mday, utc.tm_hour, utc.tm_min, utc.tm_sec);
}

std::string_view StateWords(v1::MoveState state) {
  switch (state) {
    case v1::MOVE_STATE_REQUESTED:
      return "requested";
    case v1::MOVE_STATE_RELEASED:
      return "released";
    case v1::MOVE_STATE_UNDER_WAY:
      return "under way";
    case v1::MOVE_STATE_HELD:
      return "held";
    case v1::MOVE_STATE_STOPPED:
      return "stopped";
    case v1::MOVE_STATE_PARKED:
      return "parked";
    case v1::MOVE_STATE_CLOSED:
      return "closed";
    case v1::MOVE_STATE_WITHDRAWN:
      return "withdrawn";
    case v1::MOVE_STATE_REFUSED:
      return "refused";
    case v1::MOVE_STATE_LEFT_STANDING:
      return "left standing";
    case v1::MOVE_STATE_UNSPECIFIED:
    case v1::MoveState_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::MoveState_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return "no state";
}

std::string_view PhaseWords(v1::Phase phase) {
  switch (phase) {
    case v1::PHASE_START:
      return "start";
    case v1::PHASE_HOLD_POINT:
      return "hold point";
    case v1::PHASE_CLOSE_OUT:
      return "close-out";
    case v1::PHASE_UNSPECIFIED:
    case v1::Phase_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Phase_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return "no phase";
}

std::string_view GateStateWords(v1::GateState state) {
  switch (state) {
    case v1::GATE_STATE_NOT_ASKED:
      return "not asked";
    case v1::GATE_STATE_NOT_CLEAR:
      return "not clear";
    case v1::GATE_STATE_STALE:
      return "stale";
    case v1::GATE_STATE_CLEAR:
      return "clear";
    case v1::GATE_STATE_UNSPECIFIED:
    case v1::GateState_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::GateState_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return "unknown";
}

std::string_view CauseWords(v1::StopCause cause) {
  switch (cause) {
    case v1::STOP_CAUSE_UNSPECIFIED:
      return "no cause given";
    case v1::STOP_CAUSE_CALLED:
      return "called";
    case v1::STOP_CAUSE_LOST_SIGHT:
      return "lost sight";
    case v1::STOP_CAUSE_SIGNAL_NOT_UNDERSTOOD:
      return "a signal was not understood";
    case v1::STOP_CAUSE_CONTACT:
      return "something was touched";
    case v1::STOP_CAUSE_DOOR_MOVED:
      return "a door moved";
    case v1::STOP_CAUSE_YARD_HOLD:
      return "the yard is held";
    case v1::STOP_CAUSE_SPOTTER_LEFT:
      return "the spotter left";
    case v1::STOP_CAUSE_FACT_CHANGED:
      return "a fact changed";
    case v1::STOP_CAUSE_SHIFT_END:
      return "the shift ended";
    case v1::STOP_CAUSE_SERVICE_RESTARTED:
      return "the service restarted";
    case v1::STOP_CAUSE_CLOCK_STEPPED:
      return "the clock stepped";
    case v1::STOP_CAUSE_UNATTENDED:
      return "the machine was left unattended";
    case v1::StopCause_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::StopCause_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return "a cause that this build does not know";
}

std::string_view HappeningWords(v1::Happening happening) {
  switch (happening) {
    case v1::HAPPENING_DRIVER_SWAP:
      return "another driver";
    case v1::HAPPENING_SPOTTER_SWAP:
      return "another spotter";
    case v1::HAPPENING_LEFT_UNATTENDED:
      return "left unattended";
    case v1::HAPPENING_DOOR_MOVED:
      return "a door on the route moved";
    case v1::HAPPENING_SHIFT_END:
      return "the shift ended";
    case v1::HAPPENING_YARD_RELOADED:
      return "the yard was loaded anew";
    case v1::HAPPENING_NEIGHBOUR_MOVED:
      return "a neighbour was released";
    case v1::HAPPENING_UNSPECIFIED:
    case v1::Happening_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Happening_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return "something that this build does not know";
}

}  // namespace chockwise::history
