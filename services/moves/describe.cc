#include "services/moves/describe.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/moves/gates.h"
#include "services/moves/names.h"

namespace chockwise::moves {
namespace {

constexpr int32_t kDefaultPage = 50;
constexpr int32_t kMaxPage = 200;
constexpr int32_t kMaxFullPage = 50;  // with every gate, so that an answer stays below 4 MiB

google::protobuf::Timestamp ToTimestamp(Instant instant) {
  google::protobuf::Timestamp timestamp;
  const int64_t micros = instant.micros();
  const int64_t seconds = micros >= 0 ? micros / 1'000'000 : -((-micros + 999'999) / 1'000'000);
  timestamp.set_seconds(seconds);
  timestamp.set_nanos(static_cast<int32_t>((micros - seconds * 1'000'000) * 1'000));
  return timestamp;
}

void FillRelease(const Release& release, v1::Release& out) {
  out.set_number(release.number);
  out.set_limit(release.limit);
  *out.mutable_release_time() = ToTimestamp(release.time);
  *out.mutable_start_by_time() = ToTimestamp(release.start_by);
  out.set_yard_version(release.yard_version);
  out.set_yard_digest(release.yard_digest);
}

void FillGate(const Move& move, const GateStatus& gate, v1::Gate& out) {
  const v1::GateRule& rule = *gate.rule;
  out.set_gate_id(rule.id());
  out.set_title(rule.title());
  out.set_question(rule.question());
  out.set_remedy(rule.remedy());
  out.set_gate_class(rule.gate_class());
  out.set_state(gate.state);
  out.set_reason(gate.reason);
  out.set_accepted_by(gate.accepted_by.value());
  if (gate.lead_may_accept) {
    out.set_lead_may_accept(true);
    *out.mutable_controls() = rule.controls();
  }
  if (!rule.has_looked_at()) return;
  out.mutable_parties()->CopyFrom(rule.looked_at().parties());
  out.set_any_party(rule.looked_at().any_party());
  out.set_evidence(rule.looked_at().evidence());
  out.set_item(rule.looked_at().item());
  out.set_given_last(rule.looked_at().given_last());
  for (const v1::Party party : gate.missing) out.add_missing_parties(party);
  if (gate.stale_at) *out.mutable_stale_time() = ToTimestamp(*gate.stale_at);
  const GateWords* words = move.FindWords(rule.id(), gate.phase);
  if (words == nullptr) return;
  for (const Word& word : words->words) {
    v1::Word& shown = *out.add_words();
    shown.set_party(word.party);
    shown.set_person(word.person.value());
    *shown.mutable_time() = ToTimestamp(word.time);
    shown.set_finding(word.finding);
    shown.set_count(word.count);
    shown.set_note(word.note);
    shown.set_stale(word.stale);
  }
}

void FillWithoutGates(const YardState& yard, const Move& move, v1::Move& out) {
  out.set_name(MoveName(yard.yard->id, move.number));
  out.set_kind(move.kind);
  if (const KindPlan* plan = yard.FindPlan(move.kind)) out.set_kind_title(plan->rule->title());
  out.set_machine(move.machine.value());
  out.set_carrier(move.carrier.value());
  out.set_from_place(move.from.value());
  out.set_to_place(move.to.value());
  for (const std::string& lane : move.way->lanes) out.add_lanes(lane);
  for (const std::string& stop : move.way->stops) out.add_stops(stop);
  out.set_stops_passed(move.stops_passed);
  out.set_requester(move.requester.value());
  out.set_driver(move.driver.value());
  out.set_spotter(move.spotter.value());
  out.set_spotter_accepted(move.spotter_accepted);
  out.set_state(move.state);
  out.set_phase(PhaseNow(move));
  if (move.release) FillRelease(*move.release, *out.mutable_release());
  for (const StopWord& stop : move.stops) {
    v1::StopWord& shown = *out.add_stop_words();
    shown.set_person(stop.person.value());
    shown.set_cause(stop.cause);
    shown.set_text(stop.text);
    *shown.mutable_time() = ToTimestamp(stop.time);
    shown.set_lifted_by(stop.lifted_by.value());
  }
  *out.mutable_request_time() = ToTimestamp(move.requested);
  *out.mutable_update_time() = ToTimestamp(move.updated);
  out.set_entry(move.entry);
}

bool Wanted(const v1::ListMovesRequest& request, const Move& move) {
  const auto& states = request.states();
  if (!states.empty() && std::find(states.begin(), states.end(), move.state) == states.end())
    return false;
  if (!request.machine().empty() && request.machine() != move.machine.value()) return false;
  return request.person().empty() || request.person() == move.driver.value() ||
         request.person() == move.spotter.value();
}

void FillMachine(const YardState& yard, const MachineId& id, const MachineState& machine,
                 v1::MachineStatus& out) {
  out.set_machine(id.value());
  if (const yard::Machine* known = yard.yard->FindMachine(id.value())) {
    out.set_title(known->name);
    out.set_machine_class(known->machine_class);
    out.set_attachment(known->attachment);
  }
  out.set_place(machine.place.value());
  if (machine.move != 0) out.set_move(MoveName(yard.yard->id, machine.move));
  for (const Tag& tag : machine.tags) {
    v1::Tag& shown = *out.add_tags();
    shown.set_number(tag.number);
    shown.set_person(tag.person.value());
    shown.set_text(tag.text);
    *shown.mutable_time() = ToTimestamp(tag.time);
    if (tag.sort == TagSort::kRefusal)
      shown.set_refused_move(MoveName(yard.yard->id, tag.refused_move));
    shown.set_defect(tag.sort == TagSort::kDefect);
  }
  if (machine.inspected) *out.mutable_inspection_time() = ToTimestamp(*machine.inspected);
  for (const auto* counts : {&machine.put_down, &machine.left_over}) {
    for (const auto& [item, count] : *counts) (*out.mutable_put_down())[item] += count;
  }
}

void FillDoors(const YardState& yard, v1::Yard& out) {
  for (const auto& [id, door] : yard.yard->doors) {
    v1::DoorStatus& shown = *out.add_doors();
    shown.set_door(id.value());
    shown.set_title(door.name);
    if (const auto reported = yard.doors_out.find(id); reported != yard.doors_out.end()) {
      shown.set_out_of_service(true);
      shown.set_reported_by(reported->second.reported_by.value());
      shown.set_text(reported->second.text);
    }
    const auto taken = yard.taken.find("door/" + id.value());
    if (taken != yard.taken.end()) shown.set_move(MoveName(yard.yard->id, taken->second));
  }
}

void FillRegister(const YardState& yard, v1::Yard& out) {
  for (const auto& [id, machine] : yard.machines)
    FillMachine(yard, id, machine, *out.add_machines());
  for (const auto& [id, person] : yard.yard->people) {
    v1::PersonStatus& shown = *out.add_people();
    shown.set_person(id.value());
    shown.set_title(person.name);
    for (const yard::Role role : person.roles) shown.add_roles(std::string(yard::RoleName(role)));
    const auto spotting = yard.spotting.find(id);
    if (spotting != yard.spotting.end())
      shown.set_spotting(MoveName(yard.yard->id, spotting->second));
  }
  for (const auto& [id, place] : yard.yard->places) {
    v1::PlaceStatus& shown = *out.add_places();
    shown.set_place(id.value());
    shown.set_title(place.name);
  }
  for (const v1::KindRule& kind : yard.yard->rules.kinds()) {
    v1::KindSummary& shown = *out.add_kinds();
    shown.set_kind(kind.id());
    shown.set_title(kind.title());
    *shown.mutable_machine_classes() = kind.machine_classes();
    shown.set_needs_carrier(kind.needs_carrier());
  }
}

}  // namespace

v1::Move DescribeMove(const YardState& yard, const Move& move, Instant now) {
  v1::Move out;
  FillWithoutGates(yard, move, out);
  const v1::Phase phase = PhaseNow(move);
  if (phase == v1::PHASE_UNSPECIFIED) return out;
  for (const GateStatus& gate : EvaluatePhase(yard, move, phase, now))
    FillGate(move, gate, *out.add_gates());
  return out;
}

Outcome<v1::Move> GetMove(const YardState& yard, const v1::GetMoveRequest& request, Instant now) {
  const std::optional<int64_t> number = NumberIn(request.name(), yard.yard->id, "moves");
  const Move* move = number ? yard.FindMove(*number) : nullptr;
  if (move == nullptr) {
    return RefuseNotFound(fmt::format(
        "no open move is called \"{}\"; older ones are in the history", request.name()));
  }
  return DescribeMove(yard, *move, now);
}

Outcome<MovesPage> ListMoves(const YardState& yard, const v1::ListMovesRequest& request,
                             MoveNumber after, Instant now) {
  if (request.parent() != YardName(yard.yard->id)) {
    return RefuseNotFound(fmt::format("this yard is \"{}\"", YardName(yard.yard->id)));
  }
  if (request.page_size() < 0) return RefuseField("page_size", "must be 0 to 200");
  const bool full = request.view() == v1::MOVE_VIEW_FULL;
  const int32_t size = request.page_size() == 0
                           ? kDefaultPage
                           : std::min(request.page_size(), full ? kMaxFullPage : kMaxPage);
  MovesPage page;
  MoveNumber last = after;
  for (auto move = yard.moves.upper_bound(after); move != yard.moves.end(); ++move) {
    if (!Wanted(request, move->second)) continue;
    if (page.moves.moves_size() == size) {
      page.last = last;
      break;
    }
    if (full) {
      *page.moves.add_moves() = DescribeMove(yard, move->second, now);
    } else {
      FillWithoutGates(yard, move->second, *page.moves.add_moves());
    }
    last = move->first;
  }
  return page;
}

v1::Yard DescribeYard(const YardState& yard, Instant now) {
  v1::Yard out;
  out.set_name(YardName(yard.yard->id));
  out.set_version(yard.version.number);
  out.set_version_name(yard.yard->rules.version());
  out.set_version_digest(yard.version.digest);
  out.set_loaded_by(yard.version.loaded_by.value());
  *out.mutable_load_time() = ToTimestamp(yard.version.loaded);
  if (yard.shift) {
    out.mutable_shift()->set_title(yard.shift->title);
    *out.mutable_shift()->mutable_begin_time() = ToTimestamp(yard.shift->begin);
    *out.mutable_shift()->mutable_end_time() = ToTimestamp(yard.shift->end);
    out.mutable_shift()->set_yard_lead(yard.shift->lead.value());
  }
  if (yard.hold) {
    out.mutable_hold()->set_person(yard.hold->person.value());
    out.mutable_hold()->set_reason(yard.hold->reason);
    *out.mutable_hold()->mutable_time() = ToTimestamp(yard.hold->time);
  }
  FillRegister(yard, out);
  FillDoors(yard, out);
  out.set_open_moves(static_cast<int64_t>(yard.moves.size()));
  *out.mutable_time() = ToTimestamp(now);
  return out;
}

v1::Token DescribeToken(const YardState& yard, const Token& token) {
  v1::Token out;
  out.set_name(TokenName(yard.yard->id, token.number));
  out.set_person(token.person.value());
  out.set_issued_by(token.issued_by.value());
  *out.mutable_issue_time() = ToTimestamp(token.issued);
  *out.mutable_expire_time() = ToTimestamp(token.expires);
  out.set_revoked_by(token.revoked_by.value());
  return out;
}

v1::Receipt ReceiptFor(std::string_view yard_id, const v1::Entry& entry, int64_t number) {
  v1::Receipt receipt;
  if (entry.move() != 0) {
    receipt.set_name(MoveName(yard_id, entry.move()));
  } else if (entry.has_tag_hung()) {
    receipt.set_name(fmt::format("{}/tags/{}", MachineName(yard_id, entry.tag_hung().machine()),
                                 entry.tag_hung().tag()));
  } else if (entry.has_tag_cleared()) {
    receipt.set_name(MachineName(yard_id, entry.tag_cleared().machine()));
  } else if (entry.has_inspection_recorded()) {
    receipt.set_name(MachineName(yard_id, entry.inspection_recorded().machine()));
  } else if (entry.has_put_down()) {
    receipt.set_name(MachineName(yard_id, entry.put_down().machine()));
  } else if (entry.has_door_reported()) {
    receipt.set_name(DoorName(yard_id, entry.door_reported().door()));
  } else if (entry.has_door_returned()) {
    receipt.set_name(DoorName(yard_id, entry.door_returned().door()));
  } else if (entry.has_token_issued()) {
    receipt.set_name(TokenName(yard_id, entry.token_issued().token()));
  } else if (entry.has_token_revoked()) {
    receipt.set_name(TokenName(yard_id, entry.token_revoked().token()));
  } else {
    receipt.set_name(YardName(yard_id));
  }
  receipt.set_entry(number);
  *receipt.mutable_entry_time() = ToTimestamp(Instant::FromMicros(entry.time_us()));
  receipt.set_move_state(entry.move_state());
  if (entry.has_released()) {
    const v1::Released& released = entry.released();
    v1::Release& out = *receipt.mutable_release();
    out.set_number(released.number());
    out.set_limit(released.limit());
    *out.mutable_release_time() = ToTimestamp(Instant::FromMicros(entry.time_us()));
    *out.mutable_start_by_time() = ToTimestamp(Instant::FromMicros(released.start_by_time_us()));
    out.set_yard_version(released.yard_version());
    out.set_yard_digest(released.yard_digest());
  }
  return receipt;
}

std::optional<Refusal> RefusalIn(const v1::Entry& entry) {
  const google::protobuf::RepeatedPtrField<v1::UnmetGate>* gates = nullptr;
  Refusal refusal;
  refusal.kind = RefusalKind::kPrecondition;
  refusal.rule = "law 1";
  if (entry.has_release_refused()) {
    gates = &entry.release_refused().gates();
    refusal.problem = fmt::format("no release: {} gate(s) are not clear", gates->size());
  } else if (entry.has_close_refused()) {
    gates = &entry.close_refused().gates();
    refusal.problem = fmt::format("not closed: {} gate(s) are not clear", gates->size());
  } else if (entry.release_voided().begin_refused()) {
    refusal.problem = fmt::format("do not begin: the release was taken back: {}",
                                  entry.release_voided().reason());
    refusal.remedy = "Look again, and ask for the release again.";
    return refusal;
  } else if (const v1::PutDown& said = entry.put_down(); said.stood() != 0) {
    refusal.rule = "law 9";
    refusal.problem =
        fmt::format("kept, not counted yet: {} {} stood at {}, {} says {}", said.stood(),
                    said.item(), said.machine(), entry.person(), said.count());
    refusal.remedy = "A second person counts them too and says the same number.";
    return refusal;
  } else {
    return std::nullopt;
  }
  refusal.gates.assign(gates->begin(), gates->end());
  return refusal;
}

}  // namespace chockwise::moves
