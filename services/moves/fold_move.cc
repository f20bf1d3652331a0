#include <algorithm>
#include <memory>
#include <utility>

#include "services/moves/fold.h"
#include "services/moves/gates.h"
#include "services/moves/limits.h"
#include "services/moves/parties.h"

namespace chockwise::moves {
namespace {

void FreeGround(YardState& yard, MoveNumber number, const Way& way) {
  for (const std::string& ground : way.ground) {
    const auto taken = yard.taken.find(ground);
    if (taken != yard.taken.end() && taken->second == number) yard.taken.erase(taken);
  }
  yard.live.erase(number);
}

void TakeGround(YardState& yard, const Move& move) {
  for (const std::string& ground : move.way->ground) yard.taken[ground] = move.number;
  yard.live.insert(move.number);
}

std::shared_ptr<const Way> WayOf(YardState& yard, const v1::MoveRequested& requested) {
  Way way;
  std::string key;
  for (const std::string& ground : requested.ground()) {
    way.ground.insert(ground);
    if (ground.starts_with("door/")) way.doors.insert(ground.substr(5));
    key += ground + '\n';
  }
  for (const std::string& lane : requested.lanes()) key += '>' + lane;
  way.lanes.assign(requested.lanes().begin(), requested.lanes().end());
  way.stops.assign(requested.stops().begin(), requested.stops().end());
  for (const std::string& stop : requested.stops()) key += '|' + stop;
  std::weak_ptr<const Way>& known = yard.ways[key];
  if (std::shared_ptr<const Way> shared = known.lock()) return shared;
  auto shared = std::make_shared<const Way>(std::move(way));
  known = shared;
  return shared;
}

/// The machine and all that it tows. An empty place: nowhere on the map.
void StandAt(YardState& yard, const Move& move, const PlaceId& place) {
  yard.machines[move.machine].place = place;
  for (const MachineId& unit : move.towed) yard.machines[unit].place = place;
}

enum class Ground { kFree, kKeepBlocked };

void End(YardState& yard, MoveNumber number, Ground ground) {
  auto node = yard.moves.extract(number);
  Move& move = node.mapped();
  if (ground == Ground::kFree) FreeGround(yard, number, *move.way);
  yard.live.erase(number);
  if (move.spotter_accepted) yard.spotting.erase(move.spotter);
  LeaveBehind(yard, move);
  std::vector<MachineId> machines = move.towed;
  machines.insert(machines.end(), {move.machine, move.carrier});
  for (const MachineId& machine : machines) {
    const auto state = yard.machines.find(machine);
    if (state != yard.machines.end() && state->second.move == number) state->second.move = 0;
  }
  move.release.reset();
  yard.ended.push_back(std::move(move));
  if (yard.ended.size() > kMaxEndedMovesKept) yard.ended.pop_front();
}

void AddStop(Move& move, StopWord stop) {
  if (move.stops.size() >= kMaxStopWords) {
    // The first one that was lifted makes room. Where all stand, the last one stands for the new
    // one too, as nobody's own: only a lead lifts it. Law 5.
    const auto lifted =
        std::find_if(move.stops.begin(), move.stops.end(),
                     [](const StopWord& known) { return !known.lifted_by.empty(); });
    if (lifted == move.stops.end()) {
      if (move.stops.back().person != stop.person) move.stops.back().person = {};
      return;
    }
    move.stops.erase(lifted);
  }
  move.stops.push_back(std::move(stop));
}

/// Law 5.
void Stopped(Move& move, const v1::Entry& entry) {
  if (move.state == v1::MOVE_STATE_UNDER_WAY) move.at_line = false;
  move.state = entry.move_state();
  move.release.reset();
  move.acceptances.clear();
  StaleAll(move);
  AddStop(move, {.person = PersonId(entry.person()),
                 .cause = entry.move_stopped().cause(),
                 .text = entry.move_stopped().text(),
                 .time = Instant::FromMicros(entry.time_us()),
                 .lifted_by = {}});
}

void Voided(YardState& yard, Move& move) {
  if (move.release) move.state = move.release->from_state;
  move.release.reset();
  StaleAll(move);
  if (!move.begun) FreeGround(yard, move.number, *move.way);
}

void DropSpotter(YardState& yard, Move& move) {
  if (move.spotter_accepted) yard.spotting.erase(move.spotter);
  move.spotter_accepted = false;
  move.spotter = {};
  StaleParty(move, v1::PARTY_SPOTTER);
  StaleOn(yard, move, v1::HAPPENING_SPOTTER_SWAP);
}

void TakeRelease(YardState& yard, Move& move, const v1::Entry& entry) {
  const v1::Released& released = entry.released();
  move.release = Release{.number = released.number(),
                         .phase = released.phase(),
                         .from_state = move.state,
                         .limit = released.limit(),
                         .time = Instant::FromMicros(entry.time_us()),
                         .start_by = Instant::FromMicros(released.start_by_time_us()),
                         .yard_version = released.yard_version(),
                         .yard_digest = released.yard_digest()};
  move.releases_given = released.number();
  move.state = v1::MOVE_STATE_RELEASED;
  TakeGround(yard, move);
}

void Begin(YardState& yard, Move& move) {
  if (move.release) {
    PickUp(yard, move, move.release->phase);
    TakeOver(yard, move, move.release->phase);
  }
  move.state = v1::MOVE_STATE_UNDER_WAY;
  move.begun = true;
  StandAt(yard, move, {});
}

void LiftStops(const YardState& yard, Move& move, const PersonId& by) {
  const bool lead = ActsAsLead(yard, move, by);
  for (StopWord& stop : move.stops) {
    if (stop.lifted_by.empty() && (lead || stop.person == by)) stop.lifted_by = by;
  }
}

void BreakDown(YardState& yard, Move& move, const v1::Entry& entry) {
  const MoveNumber number = move.number;
  const std::string machine = move.machine.value();
  move.state = v1::MOVE_STATE_LEFT_STANDING;
  yard.left_standing[number] = move.machine;
  StandAt(yard, move, {});
  Hang(yard, machine, TagFrom(entry, entry.broke_down().tag(), entry.broke_down().text()));
  End(yard, number, Ground::kKeepBlocked);
}

void Refused(YardState& yard, Move& move, const v1::Entry& entry) {
  const v1::MoveRefused& refused = entry.move_refused();
  Tag tag = TagFrom(entry, refused.tag(),
                    refused.reason().empty() ? std::string("refused; no reason given")
                                             : "refused: " + refused.reason());
  tag.sort = TagSort::kRefusal;
  tag.refused_move = move.number;
  tag.not_by = {move.requester, move.driver};
  move.state = v1::MOVE_STATE_REFUSED;
  Hang(yard, move.machine.value(), std::move(tag));
  End(yard, move.number, Ground::kFree);
}

}  // namespace

void OpenMove(YardState& yard, const v1::Entry& entry) {
  const v1::MoveRequested& requested = entry.move_requested();
  Move move;
  move.number = entry.move();
  move.state = v1::MOVE_STATE_REQUESTED;
  move.kind = requested.kind();
  move.machine = MachineId(requested.machine());
  move.carrier = MachineId(requested.carrier());
  move.from = PlaceId(requested.from_place());
  move.to = PlaceId(requested.to_place());
  move.requester = PersonId(entry.person());
  move.driver = PersonId(requested.driver());
  move.spotter = PersonId(requested.spotter());
  move.way = WayOf(yard, requested);
  move.requested = Instant::FromMicros(entry.time_us());
  move.updated = move.requested;
  move.entry = yard.entries - 1;
  yard.next_move = entry.move() + 1;
  move.towed = TowedBy(yard, move.machine);
  yard.machines[move.machine].move = move.number;
  for (const MachineId& unit : move.towed) yard.machines[unit].move = move.number;
  if (!move.carrier.empty()) yard.machines[move.carrier].move = move.number;
  yard.moves.insert_or_assign(move.number, std::move(move));
}

void FallBack(YardState& yard, Instant time, v1::StopCause cause) {
  for (auto& [number, move] : yard.moves) {
    if (move.state == v1::MOVE_STATE_RELEASED) {
      Voided(yard, move);
    } else if (move.state == v1::MOVE_STATE_UNDER_WAY) {
      move.state = v1::MOVE_STATE_STOPPED;
      move.at_line = false;
      move.release.reset();
      move.acceptances.clear();
      AddStop(move, {.person = {}, .cause = cause, .text = {}, .time = time, .lifted_by = {}});
    }
    StaleAll(move);
    move.updated = time;
    move.entry = yard.entries - 1;
  }
}

bool ApplyToMove(YardState& yard, Move& move, const v1::Entry& entry) {
  switch (entry.what_case()) {
    case v1::Entry::kSpotterNamed:
      DropSpotter(yard, move);
      move.spotter = PersonId(entry.spotter_named().spotter());
      return true;
    case v1::Entry::kSpottingAccepted:
      move.spotter = PersonId(entry.spotting_accepted().spotter());
      move.spotter_accepted = true;
      yard.spotting[move.spotter] = move.number;
      return true;
    case v1::Entry::kSpottingLeft:
      DropSpotter(yard, move);
      return true;
    case v1::Entry::kDriverSwapped:
      move.driver = PersonId(entry.driver_swapped().driver());
      StaleParty(move, v1::PARTY_DRIVER);
      StaleOn(yard, move, v1::HAPPENING_DRIVER_SWAP);
      return true;
    case v1::Entry::kGateConfirmed:
      RecordWord(yard, move, entry);
      return true;
    case v1::Entry::kGateAccepted:
      std::erase_if(move.acceptances, [&](const Acceptance& known) {
        return known.gate_id == entry.gate_accepted().gate_id() &&
               known.phase == entry.gate_accepted().phase();
      });
      move.acceptances.push_back({.gate_id = entry.gate_accepted().gate_id(),
                                  .phase = entry.gate_accepted().phase(),
                                  .by = PersonId(entry.person()),
                                  .stood_at = entry.gate_accepted().stood_at()});
      StaleGivenLast(yard, move, entry.gate_accepted().phase());
      return true;
    case v1::Entry::kReleased:
      TakeRelease(yard, move, entry);
      return true;
    case v1::Entry::kReleaseVoided:
      Voided(yard, move);
      return true;
    case v1::Entry::kMoveBegun:
      Begin(yard, move);
      return true;
    case v1::Entry::kMoveHeld:
      move.state = v1::MOVE_STATE_HELD;
      move.at_line = true;
      move.release.reset();
      ++move.stops_passed;
      StalePhase(move, v1::PHASE_HOLD_POINT);  // each hold point wants its own words
      return true;
    case v1::Entry::kMoveParked:
      move.state = v1::MOVE_STATE_PARKED;
      move.at_line = false;
      move.release.reset();
      StandAt(yard, move, move.to);
      return true;
    case v1::Entry::kMoveClosed:
      PickUp(yard, move, v1::PHASE_CLOSE_OUT);
      move.state = v1::MOVE_STATE_CLOSED;
      End(yard, move.number, Ground::kFree);
      return true;
    case v1::Entry::kMoveStopped:
      Stopped(move, entry);
      return true;
    case v1::Entry::kRestartAllowed:
      LiftStops(yard, move, PersonId(entry.person()));
      return true;
    case v1::Entry::kMoveRefused:
      Refused(yard, move, entry);
      return true;
    case v1::Entry::kMoveWithdrawn:
      move.state = v1::MOVE_STATE_WITHDRAWN;
      End(yard, move.number, Ground::kFree);
      return true;
    case v1::Entry::kDriverAway:
      move.unattended = entry.driver_away().unattended();
      if (move.unattended) StaleOn(yard, move, v1::HAPPENING_LEFT_UNATTENDED);
      return true;
    case v1::Entry::kBrokeDown:
      BreakDown(yard, move, entry);
      return true;
    case v1::Entry::kGatesStaled:
      StaleOn(yard, move, entry.gates_staled().happening());
      return true;
    case v1::Entry::kReleaseRefused:
    case v1::Entry::kCloseRefused:
      return true;  // recorded for history; nothing changes
    case v1::Entry::kMoveRequested:
    case v1::Entry::kShiftBegun:
    case v1::Entry::kShiftEnded:
    case v1::Entry::kYardHeld:
    case v1::Entry::kHoldLifted:
    case v1::Entry::kDoorReported:
    case v1::Entry::kDoorReturned:
    case v1::Entry::kTagHung:
    case v1::Entry::kTagCleared:
    case v1::Entry::kInspectionRecorded:
    case v1::Entry::kGroundCleared:
    case v1::Entry::kPutDown:
    case v1::Entry::kYardLoaded:
    case v1::Entry::kTokenIssued:
    case v1::Entry::kTokenRevoked:
    case v1::Entry::kRestarted:
    case v1::Entry::kClockStepped:
    case v1::Entry::WHAT_NOT_SET:
      return false;
  }
  return false;
}

}  // namespace chockwise::moves
