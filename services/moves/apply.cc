#include "services/moves/apply.h"

#include <fmt/format.h>

#include <algorithm>
#include <utility>

#include "services/moves/decide.h"
#include "services/moves/gates.h"
#include "services/moves/limits.h"
#include "services/moves/parties.h"
#include "services/moves/plans.h"

namespace chockwise::moves {
namespace {

// --- What makes words stale
// -----------------------------------------------------------------------------------------

void StaleAll(Move& move) {
  for (GateWords& gate : move.words) {
    for (Word& word : gate.words) word.stale = true;
  }
}

void StaleParty(Move& move, v1::Party party) {
  for (GateWords& gate : move.words) {
    for (Word& word : gate.words) word.stale |= word.party == party;
  }
}

void StalePhase(Move& move, v1::Phase phase) {
  for (GateWords& gate : move.words) {
    for (Word& word : gate.words) word.stale |= gate.phase == phase;
  }
}

void StaleOn(const YardState& yard, Move& move, v1::Happening happening) {
  for (GateWords& gate : move.words) {
    const v1::GateRule* rule = yard.yard->FindGate(gate.gate_id);
    // A gate that the rules no longer have cannot say what it outlives.
    bool stale = rule == nullptr;
    if (rule != nullptr) {
      const auto& stale_on = rule->looked_at().stale_on();
      stale = std::find(stale_on.begin(), stale_on.end(), happening) != stale_on.end();
    }
    for (Word& word : gate.words) word.stale |= stale;
  }
}

// --- Ground
// ---------------------------------------------------------------------------------------------------------

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

// --- The end of a move
// ----------------------------------------------------------------------------------------------

enum class Ground { kFree, kKeepBlocked };

void End(YardState& yard, MoveNumber number, Ground ground) {
  auto node = yard.moves.extract(number);
  Move& move = node.mapped();
  if (ground == Ground::kFree) FreeGround(yard, number, *move.way);
  yard.live.erase(number);
  if (move.spotter_accepted) yard.spotting.erase(move.spotter);
  for (const MachineId& machine : {move.machine, move.carrier}) {
    const auto state = yard.machines.find(machine);
    if (state != yard.machines.end() && state->second.move == number) state->second.move = 0;
  }
  move.release.reset();
  yard.ended.push_back(std::move(move));
  if (yard.ended.size() > kMaxEndedMovesKept) yard.ended.pop_front();
}

// --- Counts
// ---------------------------------------------------------------------------------------------------------

std::map<std::string, int64_t>& CountsOf(YardState& yard, Move& move,
                                         const v1::LookedAt& looked_at) {
  return looked_at.item_stays_with_machine() ? yard.machines[move.machine].put_down : move.put_down;
}

/// What the gates of a phase counted in is no longer put down.
void PickUp(YardState& yard, Move& move, v1::Phase phase) {
  const KindPlan* plan = yard.FindPlan(move.kind);
  if (plan == nullptr) return;
  for (const v1::GateRule* rule : plan->gates) {
    const bool counted =
        rule->looked_at().evidence() == v1::EVIDENCE_COUNT_PICKED_UP && AsksIn(*rule, phase);
    if (counted) CountsOf(yard, move, rule->looked_at())[rule->looked_at().item()] = 0;
  }
}

void Confirmed(YardState& yard, Move& move, const v1::Entry& entry) {
  const v1::GateConfirmed& confirmed = entry.gate_confirmed();
  auto gate = std::find_if(move.words.begin(), move.words.end(), [&](const GateWords& known) {
    return known.phase == confirmed.phase() && known.gate_id == confirmed.gate_id();
  });
  if (gate == move.words.end()) {
    move.words.push_back({.gate_id = confirmed.gate_id(), .phase = confirmed.phase(), .words = {}});
    gate = std::prev(move.words.end());
  }
  for (const int number : confirmed.parties()) {
    const auto party = static_cast<v1::Party>(number);
    auto word = std::find_if(gate->words.begin(), gate->words.end(),
                             [&](const Word& known) { return known.party == party; });
    if (word == gate->words.end()) word = gate->words.insert(word, Word{});
    *word = Word{.party = party,
                 .stale = false,
                 .person = PersonId(entry.person()),
                 .time = Instant::FromMicros(entry.time_us()),
                 .count = confirmed.count(),
                 .finding = confirmed.finding(),
                 .note = confirmed.note()};
    // Whoever looks at the machine's gates as its driver is back with it.
    if (party == v1::PARTY_DRIVER) move.unattended = false;
  }
  const v1::GateRule* rule = yard.yard->FindGate(confirmed.gate_id());
  if (rule == nullptr || rule->looked_at().evidence() != v1::EVIDENCE_COUNT_PUT_DOWN) return;
  const Sight sight{
      .state = yard, .yard = *yard.yard, .move = move, .now = Instant::FromMicros(entry.time_us())};
  if (EvaluateGate(sight, *rule, confirmed.phase()).state == v1::GATE_STATE_CLEAR) {
    CountsOf(yard, move, rule->looked_at())[rule->looked_at().item()] = confirmed.count();
  }
}

// --- Stops and restarts
// ---------------------------------------------------------------------------------------------

void AddStop(Move& move, StopWord stop) {
  if (move.stops.size() >= kMaxStopWords) {
    // The first one that was lifted makes room; where all stand, the last keeps standing for the
    // new one.
    const auto lifted =
        std::find_if(move.stops.begin(), move.stops.end(),
                     [](const StopWord& known) { return !known.lifted_by.empty(); });
    if (lifted == move.stops.end()) return;
    move.stops.erase(lifted);
  }
  move.stops.push_back(std::move(stop));
}

/// Law 5.
void Stopped(Move& move, const v1::Entry& entry) {
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

/// Law 7: no move is released afterwards, and what was under way is stopped.
void FallBack(YardState& yard, Instant time, v1::StopCause cause) {
  for (auto& [number, move] : yard.moves) {
    if (move.state == v1::MOVE_STATE_RELEASED) {
      Voided(yard, move);
    } else if (move.state == v1::MOVE_STATE_UNDER_WAY) {
      move.state = v1::MOVE_STATE_STOPPED;
      move.release.reset();
      move.acceptances.clear();
      AddStop(move, {.person = {}, .cause = cause, .text = {}, .time = time, .lifted_by = {}});
    }
    StaleAll(move);
  }
}

// --- The yard
// -------------------------------------------------------------------------------------------------------

void SeedMachines(YardState& state, const yard::Yard* before) {
  for (const auto& [id, machine] : state.yard->machines) {
    const auto known = state.machines.find(id);
    if (known == state.machines.end()) {
      MachineState& fresh = state.machines[id];
      fresh.place = machine.place;
      if (machine.chocks_set > 0) fresh.put_down["chocks"] = machine.chocks_set;
      continue;
    }
    // Where the file says another place than it said before, somebody corrected it by hand.
    const yard::Machine* old = before == nullptr ? nullptr : before->FindMachine(id.value());
    if (old != nullptr && old->place != machine.place && known->second.move == 0)
      known->second.place = machine.place;
  }
}

void Loaded(YardState& state, const v1::Entry& entry) {
  const v1::YardLoaded& loaded = entry.yard_loaded();
  const auto file = [&](const char* name) {
    const auto bytes = loaded.files().find(name);
    return bytes == loaded.files().end() ? std::string() : bytes->second;
  };
  state.version = {.number = loaded.version(),
                   .digest = loaded.digest(),
                   .loaded_by = PersonId(entry.person()),
                   .loaded = Instant::FromMicros(entry.time_us()),
                   .trouble = {}};
  auto read = yard::ReadYard({.map_geojson = file("map.geojson"),
                              .machines_csv = file("machines.csv"),
                              .people_csv = file("people.csv"),
                              .measurements_csv = file("measurements.csv"),
                              .rules_txtpb = file("rules.txtpb")},
                             file("base_rules.txtpb"), KnownComputations());
  if (!read) {
    // An older build took what this one refuses. What was recorded stays; Decide() releases nothing
    // until a reload.
    state.version.trouble = read.error().empty() ? "unreadable" : read.error().front().Text();
    if (!state.yard) state.yard = std::make_shared<const yard::Yard>();
    return;
  }
  const std::shared_ptr<const yard::Yard> before = state.yard;
  state.yard = std::make_shared<const yard::Yard>(std::move(*read));
  state.plans =
      std::make_shared<const std::map<std::string, KindPlan, std::less<>>>(PlansOf(*state.yard));
  SeedMachines(state, before.get());
  for (auto& [number, move] : state.moves) StaleOn(state, move, v1::HAPPENING_YARD_RELOADED);
}

// --- Tokens
// ---------------------------------------------------------------------------------------------------------

void Issued(YardState& state, const v1::Entry& entry) {
  const v1::TokenIssued& issued = entry.token_issued();
  state.next_token = issued.token() + 1;
  state.token_by_hash[issued.secret_hash()] = issued.token();
  state.tokens[issued.token()] = {.number = issued.token(),
                                  .person = PersonId(issued.person()),
                                  .issued_by = PersonId(entry.person()),
                                  .revoked_by = {},
                                  .secret_hash = issued.secret_hash(),
                                  .issued = Instant::FromMicros(entry.time_us()),
                                  .expires = Instant::FromMicros(issued.expire_time_us())};
  if (state.tokens.size() <= kMaxTokens) return;
  // The oldest that is good for nothing any more makes room; the ledger keeps it.
  for (auto token = state.tokens.begin(); token != state.tokens.end(); ++token) {
    const bool spent = !token->second.revoked_by.empty() ||
                       token->second.expires <= Instant::FromMicros(entry.time_us());
    if (!spent) continue;
    state.token_by_hash.erase(token->second.secret_hash);
    state.tokens.erase(token);
    return;
  }
}

void Hang(YardState& yard, const std::string& machine, Tag tag) {
  yard.next_tag = std::max(yard.next_tag, tag.number + 1);
  yard.machines[MachineId(machine)].tags.push_back(std::move(tag));
}

Tag TagFrom(const v1::Entry& entry, int64_t number, std::string text) {
  return {.number = number,
          .sort = TagSort::kHung,
          .person = PersonId(entry.person()),
          .text = std::move(text),
          .time = Instant::FromMicros(entry.time_us()),
          .refused_move = 0,
          .not_by = {}};
}

// --- Entries about one move
// -----------------------------------------------------------------------------------------

void Requested(YardState& yard, const v1::Entry& entry) {
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
  yard.next_move = entry.move() + 1;
  yard.machines[move.machine].move = move.number;
  if (!move.carrier.empty()) yard.machines[move.carrier].move = move.number;
  yard.moves.insert_or_assign(move.number, std::move(move));
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
  if (move.release) PickUp(yard, move, move.release->phase);
  move.state = v1::MOVE_STATE_UNDER_WAY;
  move.begun = true;
  yard.machines[move.machine].place = {};
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
  yard.machines[move.machine].place = {};
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

/// Entries that change one open move. False: not one of these.
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
      Confirmed(yard, move, entry);
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
      move.release.reset();
      ++move.stops_passed;
      StalePhase(move, v1::PHASE_HOLD_POINT);  // each hold point wants its own words
      return true;
    case v1::Entry::kMoveParked:
      move.state = v1::MOVE_STATE_PARKED;
      move.release.reset();
      yard.machines[move.machine].place = move.to;
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

// --- Entries about the yard
// -----------------------------------------------------------------------------------------

void DoorWentOut(YardState& yard, const v1::Entry& entry) {
  const v1::DoorReported& reported = entry.door_reported();
  const char* what = reported.report() == v1::DOOR_REPORT_MOVED ? "it moved" : "it is faulty";
  yard.doors_out[DoorId(reported.door())] = {
      .reported_by = PersonId(entry.person()),
      .text = reported.text().empty() ? what : reported.text(),
      .time = Instant::FromMicros(entry.time_us())};
  for (auto& [number, move] : yard.moves) {
    if (move.way->doors.contains(reported.door())) StaleOn(yard, move, v1::HAPPENING_DOOR_MOVED);
  }
}

void Inspected(YardState& yard, const v1::Entry& entry) {
  const v1::InspectionRecorded& inspection = entry.inspection_recorded();
  MachineState& machine = yard.machines[MachineId(inspection.machine())];
  if (inspection.defect().empty()) {
    machine.inspected = Instant::FromMicros(entry.time_us());
    return;
  }
  machine.inspected.reset();
  Tag tag = TagFrom(entry, inspection.tag(), "defect: " + inspection.defect());
  tag.sort = TagSort::kDefect;
  Hang(yard, inspection.machine(), std::move(tag));
}

void ClearedGround(YardState& yard, const v1::Entry& entry) {
  const auto standing = yard.left_standing.find(entry.move());
  if (standing == yard.left_standing.end()) return;
  yard.machines[standing->second].place = PlaceId(entry.ground_cleared().place());
  yard.left_standing.erase(standing);
  std::erase_if(yard.taken, [&](const auto& taken) { return taken.second == entry.move(); });
}

void ApplyToYard(YardState& yard, const v1::Entry& entry) {
  const Instant time = Instant::FromMicros(entry.time_us());
  switch (entry.what_case()) {
    case v1::Entry::kMoveRequested:
      Requested(yard, entry);
      return;
    case v1::Entry::kShiftBegun:
      yard.shift = Shift{.title = entry.shift_begun().title(),
                         .begin = time,
                         .end = Instant::FromMicros(entry.shift_begun().end_time_us()),
                         .lead = PersonId(entry.person())};
      return;
    case v1::Entry::kShiftEnded:
      yard.shift.reset();
      for (auto& [number, move] : yard.moves) StaleOn(yard, move, v1::HAPPENING_SHIFT_END);
      return;
    case v1::Entry::kYardHeld:
      yard.hold = YardHold{
          .person = PersonId(entry.person()), .reason = entry.yard_held().reason(), .time = time};
      return;
    case v1::Entry::kHoldLifted:
      yard.hold.reset();
      return;
    case v1::Entry::kDoorReported:
      DoorWentOut(yard, entry);
      return;
    case v1::Entry::kDoorReturned:
      yard.doors_out.erase(DoorId(entry.door_returned().door()));
      return;
    case v1::Entry::kTagHung:
      Hang(yard, entry.tag_hung().machine(),
           TagFrom(entry, entry.tag_hung().tag(), entry.tag_hung().text()));
      return;
    case v1::Entry::kTagCleared:
      std::erase_if(yard.machines[MachineId(entry.tag_cleared().machine())].tags,
                    [&](const Tag& tag) { return tag.number == entry.tag_cleared().tag(); });
      return;
    case v1::Entry::kInspectionRecorded:
      Inspected(yard, entry);
      return;
    case v1::Entry::kGroundCleared:
      ClearedGround(yard, entry);
      return;
    case v1::Entry::kPutDown:
      yard.machines[MachineId(entry.put_down().machine())].put_down[entry.put_down().item()] =
          entry.put_down().count();
      return;
    case v1::Entry::kYardLoaded:
      Loaded(yard, entry);
      return;
    case v1::Entry::kTokenIssued:
      Issued(yard, entry);
      return;
    case v1::Entry::kTokenRevoked:
      if (const auto token = yard.tokens.find(entry.token_revoked().token());
          token != yard.tokens.end()) {
        token->second.revoked_by = PersonId(entry.person());
      }
      return;
    case v1::Entry::kRestarted:
      FallBack(yard, time, v1::STOP_CAUSE_SERVICE_RESTARTED);
      return;
    case v1::Entry::kClockStepped:
      FallBack(yard, time, v1::STOP_CAUSE_CLOCK_STEPPED);
      return;
    case v1::Entry::kSpotterNamed:
    case v1::Entry::kSpottingAccepted:
    case v1::Entry::kSpottingLeft:
    case v1::Entry::kDriverSwapped:
    case v1::Entry::kGateConfirmed:
    case v1::Entry::kGateAccepted:
    case v1::Entry::kReleased:
    case v1::Entry::kReleaseRefused:
    case v1::Entry::kReleaseVoided:
    case v1::Entry::kMoveBegun:
    case v1::Entry::kMoveHeld:
    case v1::Entry::kMoveParked:
    case v1::Entry::kMoveClosed:
    case v1::Entry::kMoveStopped:
    case v1::Entry::kRestartAllowed:
    case v1::Entry::kMoveRefused:
    case v1::Entry::kMoveWithdrawn:
    case v1::Entry::kDriverAway:
    case v1::Entry::kBrokeDown:
    case v1::Entry::kGatesStaled:
    case v1::Entry::kCloseRefused:
    case v1::Entry::WHAT_NOT_SET:
      return;  // about a move that is not open: nothing to change
  }
}

}  // namespace

void Apply(YardState& yard, const v1::Entry& entry) {
  ++yard.entries;
  yard.last_time = std::max(yard.last_time, Instant::FromMicros(entry.time_us()));
  const auto move = yard.moves.find(entry.move());
  if (move != yard.moves.end()) {
    move->second.entry = yard.entries;
    move->second.updated = Instant::FromMicros(entry.time_us());
    if (ApplyToMove(yard, move->second, entry)) return;
  }
  ApplyToYard(yard, entry);
  if (entry.what_case() == v1::Entry::kMoveRequested)
    yard.moves.at(entry.move()).entry = yard.entries;
}

}  // namespace chockwise::moves
