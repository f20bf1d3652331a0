#include "services/history/move_fold.h"

#include <fmt/format.h>

#include <algorithm>

namespace chockwise::history {
namespace {

using E = v1::Entry;

/// The one of a repeated field that the key names, made where it is missing.
template <class List, class Is, class Make>
auto& FindOrAdd(List* list, Is is, Make make) {
  for (auto& item : *list) {
    if (is(item)) return item;
  }
  auto& added = *list->Add();
  make(added);
  return added;
}

v1::GateCount& CountOf(const std::string& gate_id, v1::MovesSummary& tally) {
  return FindOrAdd(
      tally.mutable_gates(), [&](const v1::GateCount& gate) { return gate.gate_id() == gate_id; },
      [&](v1::GateCount& gate) { gate.set_gate_id(gate_id); });
}

v1::GateCount& CountOf(const RuleWords& rules, const std::string& gate_id,
                       v1::MovesSummary& tally) {
  v1::GateCount& count = CountOf(gate_id, tally);
  auto gate = rules.gates.find(gate_id);
  if (gate != rules.gates.end()) count.set_title(gate->second.title);
  return count;
}

v1::StopCount& CountOf(v1::StopCause cause, v1::MovesSummary& tally) {
  return FindOrAdd(
      tally.mutable_stops(), [&](const v1::StopCount& stop) { return stop.cause() == cause; },
      [&](v1::StopCount& stop) { stop.set_cause(cause); });
}

v1::CountMismatch& MismatchOf(const std::string& item, v1::MovesSummary& tally) {
  return FindOrAdd(
      tally.mutable_count_mismatches(),
      [&](const v1::CountMismatch& mismatch) { return mismatch.item() == item; },
      [&](v1::CountMismatch& mismatch) { mismatch.set_item(item); });
}

void AddPerson(const std::string& person, MoveRow& row) {
  if (!person.empty()) row.new_people.insert(person);
}

void AddDriver(const std::string& driver, MoveRow& row) {
  if (driver.empty()) return;
  if (row.record.drivers().empty() || *row.record.drivers().rbegin() != driver)
    row.record.add_drivers(driver);
  AddPerson(driver, row);
}

void AddSpotter(const std::string& spotter, MoveRow& row) {
  if (row.record.spotters().empty() || *row.record.spotters().rbegin() != spotter)
    row.record.add_spotters(spotter);
  AddPerson(spotter, row);
}

void FoldRequest(const FoldContext& context, const E& entry, MoveRow& row) {
  const v1::MoveRequested& asked = entry.move_requested();
  v1::MoveRecord& record = row.record;
  record.set_kind(asked.kind());
  auto title = context.rules.kind_titles.find(asked.kind());
  if (title != context.rules.kind_titles.end()) record.set_kind_title(title->second);
  record.set_machine(asked.machine());
  record.set_carrier(asked.carrier());
  record.set_from_place(asked.from_place());
  record.set_to_place(asked.to_place());
  *record.mutable_lanes() = asked.lanes();
  *record.mutable_stops() = asked.stops();
  record.set_requester(entry.person());
  *record.mutable_request_time() = ToTimestamp(entry.time_us());
  AddPerson(entry.person(), row);
  AddDriver(asked.driver(), row);
  // Who is only named has not held the role.
  AddPerson(asked.spotter(), row);
  constexpr std::string_view kDoor = "door/";
  for (const std::string& ground : asked.ground()) {
    if (ground.starts_with(kDoor)) row.new_doors.insert(ground.substr(kDoor.size()));
  }
  row.tally.set_moves(1);
  v1::KindCount& kind = *row.tally.add_kinds();
  kind.set_kind(asked.kind());
  kind.set_kind_title(record.kind_title());
  kind.set_moves(1);
}

void FoldBasis(const FoldContext& context,
               const google::protobuf::RepeatedPtrField<v1::GateBasis>& gates, MoveRow& row) {
  for (const v1::GateBasis& basis : gates) {
    v1::GateCount& count = CountOf(context.rules, basis.gate_id(), row.tally);
    count.set_asked(count.asked() + 1);
  }
}

void FoldRefusal(const FoldContext& context,
                 const google::protobuf::RepeatedPtrField<v1::UnmetGate>& gates, MoveRow& row) {
  row.record.set_refusals(row.record.refusals() + 1);
  row.tally.set_moves_with_refusals(1);
  std::set<std::string> mismatched;
  for (const v1::UnmetGate& unmet : gates) {
    v1::GateCount& count = CountOf(context.rules, unmet.gate_id(), row.tally);
    count.set_asked(count.asked() + 1);
    if (unmet.gate_class() == v1::GATE_CLASS_RECORD) continue;
    count.set_kept_back(count.kept_back() + 1);
    if (unmet.state() == v1::GATE_STATE_NOT_ASKED) count.set_not_asked(count.not_asked() + 1);
    if (unmet.state() == v1::GATE_STATE_STALE) count.set_stale(count.stale() + 1);
    if (unmet.state() != v1::GATE_STATE_NOT_CLEAR) continue;
    count.set_not_clear(count.not_clear() + 1);
    auto gate = context.rules.gates.find(unmet.gate_id());
    if (gate != context.rules.gates.end() && !gate->second.counted.empty())
      mismatched.insert(gate->second.counted);
  }
  for (const std::string& item : mismatched) {
    v1::CountMismatch& mismatch = MismatchOf(item, row.tally);
    mismatch.set_times(mismatch.times() + 1);
  }
}

void FoldStop(v1::StopCause cause, std::string_view person, MoveRow& row) {
  row.record.set_stops_called(row.record.stops_called() + 1);
  row.tally.set_moves_stopped(1);
  v1::StopCount& count = CountOf(cause, row.tally);
  if (person.empty()) {
    count.set_by_system(count.by_system() + 1);
  } else {
    count.set_by_people(count.by_people() + 1);
  }
}

void FoldEnd(const E& entry, MoveRow& row) {
  *row.record.mutable_end_time() = ToTimestamp(entry.time_us());
  if (row.tally.kinds().empty()) row.tally.add_kinds();
  v1::KindCount& kind = *row.tally.mutable_kinds(0);
  if (entry.what_case() == E::kMoveClosed) kind.set_closed(1);
  if (entry.what_case() == E::kMoveWithdrawn) kind.set_withdrawn(1);
  if (entry.what_case() == E::kMoveRefused) kind.set_refused(1);
  if (entry.what_case() == E::kBrokeDown) kind.set_left_standing(1);
}

void FoldReleased(const FoldContext& context, const v1::Released& released, MoveRow& row) {
  row.live_phase = released.phase();
  row.record.set_releases(row.record.releases() + 1);
  row.tally.set_moves_released(1);
  row.tally.set_releases(row.tally.releases() + 1);
  FoldBasis(context, released.gates(), row);
}

void FoldWhat(const FoldContext& context, const E& entry, MoveRow& row) {
  switch (entry.what_case()) {
    case E::kMoveRequested:
      FoldRequest(context, entry, row);
      break;
    case E::kSpotterNamed:
      AddPerson(entry.spotter_named().spotter(), row);
      break;
    case E::kSpottingAccepted:
      AddSpotter(entry.spotting_accepted().spotter(), row);
      break;
    case E::kDriverSwapped:
      AddDriver(entry.driver_swapped().driver(), row);
      break;
    case E::kGateAccepted: {
      row.record.set_acceptances(row.record.acceptances() + 1);
      v1::GateCount& count = CountOf(context.rules, entry.gate_accepted().gate_id(), row.tally);
      count.set_accepted(count.accepted() + 1);
      break;
    }
    case E::kReleased:
      FoldReleased(context, entry.released(), row);
      break;
    case E::kReleaseRefused:
      row.tally.set_releases_refused(row.tally.releases_refused() + 1);
      FoldRefusal(context, entry.release_refused().gates(), row);
      break;
    case E::kCloseRefused:
      row.tally.set_closes_refused(row.tally.closes_refused() + 1);
      FoldRefusal(context, entry.close_refused().gates(), row);
      break;
    case E::kReleaseVoided:
      row.tally.set_releases_voided(row.tally.releases_voided() + 1);
      break;
    case E::kMoveBegun:
      row.tally.set_moves_begun(1);
      if (!row.record.has_begin_time())
        *row.record.mutable_begin_time() = ToTimestamp(entry.time_us());
      break;
    case E::kMoveStopped:
      FoldStop(entry.move_stopped().cause(), entry.person(), row);
      break;
    case E::kMoveClosed:
      FoldBasis(context, entry.move_closed().gates(), row);
      FoldEnd(entry, row);
      break;
    // clang-format off
    case E::kMoveRefused: case E::kMoveWithdrawn: case E::kBrokeDown: FoldEnd(entry, row); break;
    // Where it stands is all that they change.
    case E::kSpottingLeft: case E::kGateConfirmed: case E::kMoveHeld: case E::kMoveParked:
    case E::kRestartAllowed: case E::kDriverAway: case E::kGatesStaled: case E::kGroundCleared:
    // Not about one move, or about it only in passing.
    case E::kShiftBegun: case E::kShiftEnded: case E::kYardHeld: case E::kHoldLifted:
    case E::kDoorReported: case E::kDoorReturned: case E::kTagHung: case E::kTagCleared:
    case E::kInspectionRecorded: case E::kPutDown: case E::kYardLoaded: case E::kTokenIssued:
    case E::kTokenRevoked: case E::kRestarted: case E::kClockStepped: case E::WHAT_NOT_SET: break;
      // clang-format on
  }
}

}  // namespace

RuleWords WordsOfRules(const v1::Rules& rules) {
  RuleWords words;
  for (const v1::GateRule& gate : rules.gates()) {
    const v1::Evidence evidence = gate.looked_at().evidence();
    const bool counts =
        evidence == v1::EVIDENCE_COUNT_PICKED_UP || evidence == v1::EVIDENCE_COUNT_PUT_DOWN;
    words.gates[gate.id()] = {.title = gate.title(),
                              .gate_class = gate.gate_class(),
                              .counted = counts ? gate.looked_at().item() : std::string()};
  }
  for (const v1::KindRule& kind : rules.kinds()) words.kind_titles[kind.id()] = kind.title();
  return words;
}

void FoldIntoMove(const FoldContext& context, const E& entry, MoveRow& row) {
  if (row.record.name().empty()) {
    row.record.set_name(fmt::format("yards/{}/moves/{}", context.yard, entry.move()));
    row.record.set_first_entry(context.entry);
  }
  row.record.set_last_entry(context.entry);
  FoldWhat(context, entry, row);
  if (entry.move_state() != v1::MOVE_STATE_UNSPECIFIED) row.record.set_state(entry.move_state());
}

void FoldStart(v1::StopCause cause, MoveRow& row) {
  v1::MoveRecord& record = row.record;
  if (record.state() == v1::MOVE_STATE_UNDER_WAY) {
    FoldStop(cause, "", row);
    record.set_state(v1::MOVE_STATE_STOPPED);
  } else if (record.state() == v1::MOVE_STATE_RELEASED) {
    row.tally.set_releases_voided(row.tally.releases_voided() + 1);
    record.set_state(!record.has_begin_time()                 ? v1::MOVE_STATE_REQUESTED
                     : row.live_phase == v1::PHASE_HOLD_POINT ? v1::MOVE_STATE_HELD
                                                              : v1::MOVE_STATE_STOPPED);
  }
}

void AddTally(const v1::MovesSummary& tally, v1::MovesSummary& sum) {
  sum.set_moves(sum.moves() + tally.moves());
  sum.set_moves_released(sum.moves_released() + tally.moves_released());
  sum.set_moves_begun(sum.moves_begun() + tally.moves_begun());
  sum.set_moves_with_refusals(sum.moves_with_refusals() + tally.moves_with_refusals());
  sum.set_moves_stopped(sum.moves_stopped() + tally.moves_stopped());
  sum.set_releases(sum.releases() + tally.releases());
  sum.set_releases_refused(sum.releases_refused() + tally.releases_refused());
  sum.set_releases_voided(sum.releases_voided() + tally.releases_voided());
  sum.set_closes_refused(sum.closes_refused() + tally.closes_refused());
  for (const v1::KindCount& from : tally.kinds()) {
    v1::KindCount& to = FindOrAdd(
        sum.mutable_kinds(), [&](const v1::KindCount& kind) { return kind.kind() == from.kind(); },
        [&](v1::KindCount& kind) { kind.set_kind(from.kind()); });
    if (!from.kind_title().empty()) to.set_kind_title(from.kind_title());
    to.set_moves(to.moves() + from.moves());
    to.set_closed(to.closed() + from.closed());
    to.set_withdrawn(to.withdrawn() + from.withdrawn());
    to.set_refused(to.refused() + from.refused());
    to.set_left_standing(to.left_standing() + from.left_standing());
  }
  for (const v1::StopCount& from : tally.stops()) {
    v1::StopCount& to = CountOf(from.cause(), sum);
    to.set_by_people(to.by_people() + from.by_people());
    to.set_by_system(to.by_system() + from.by_system());
  }
  for (const v1::GateCount& from : tally.gates()) {
    v1::GateCount& to = CountOf(from.gate_id(), sum);
    if (!from.title().empty()) to.set_title(from.title());
    to.set_asked(to.asked() + from.asked());
    to.set_kept_back(to.kept_back() + from.kept_back());
    to.set_not_asked(to.not_asked() + from.not_asked());
    to.set_not_clear(to.not_clear() + from.not_clear());
    to.set_stale(to.stale() + from.stale());
    to.set_accepted(to.accepted() + from.accepted());
  }
  for (const v1::CountMismatch& from : tally.count_mismatches()) {
    v1::CountMismatch& to = MismatchOf(from.item(), sum);
    to.set_times(to.times() + from.times());
  }
}

google::protobuf::Timestamp ToTimestamp(int64_t time_us) {
  constexpr int64_t kMicros = 1'000'000;
  int64_t seconds = time_us / kMicros;
  int64_t rest = time_us % kMicros;
  if (rest < 0) {
    rest += kMicros;
    --seconds;
  }
  google::protobuf::Timestamp time;
  time.set_seconds(seconds);
  time.set_nanos(static_cast<int32_t>(rest * 1000));
  return time;
}

int64_t ToMicros(const google::protobuf::Timestamp& time) {
  return time.seconds() * 1'000'000 + time.nanos() / 1000;
}

}  // namespace chockwise::history
