#include <algorithm>
#include <memory>
#include <utility>

#include "services/moves/fold.h"
#include "services/moves/kept_findings.h"
#include "services/moves/limits.h"
#include "services/moves/plans.h"
#include "services/yard/computations.h"

namespace chockwise::moves {
namespace {

void SeedMachines(YardState& state, const yard::Yard* before) {
  for (const auto& [id, machine] : state.yard->machines) {
    const auto known = state.machines.find(id);
    if (known == state.machines.end()) {
      MachineState& fresh = state.machines[id];
      fresh.place = machine.place;
      if (machine.chocks_set > 0) fresh.put_down["chocks"] = machine.chocks_set;
      continue;
    }
    // Where the file says another place than it said before, somebody corrected it by hand. One
    // left standing keeps its ground until a lead clears that.
    const yard::Machine* old = before == nullptr ? nullptr : before->FindMachine(id.value());
    const bool standing = std::any_of(state.left_standing.begin(), state.left_standing.end(),
                                      [&](const auto& left) { return left.second == id; });
    if (old != nullptr && old->place != machine.place && known->second.move == 0 && !standing)
      known->second.place = machine.place;
  }
}

/// A lead who takes a machine out of the register says that it is gone: its place is free. One that
/// something keeps stays, whatever the register says; Decide() takes no such version.
void LetGoMachines(YardState& state) {
  std::erase_if(state.machines, [&](const auto& machine) {
    const MachineId& id = machine.first;
    return state.yard->FindMachine(id.value()) == nullptr && state.WhatKeeps(id).empty();
  });
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
                             file("base_rules.txtpb"), yard::KnownComputations());
  if (!read) {
    // An older build took what this one refuses. What was recorded stays; Decide() releases nothing
    // until a reload.
    state.version.trouble = read.error().empty() ? "unreadable" : read.error().front().Text();
    if (!state.yard) {
      state.yard = std::make_shared<const yard::Yard>();
      state.plans = std::make_shared<const std::map<std::string, KindPlan, std::less<>>>();
      state.kept_findings = std::make_shared<KeptFindings>(state.yard);
    }
    return;
  }
  const std::shared_ptr<const yard::Yard> before = state.yard;
  state.yard = std::make_shared<const yard::Yard>(std::move(*read));
  state.plans =
      std::make_shared<const std::map<std::string, KindPlan, std::less<>>>(PlansOf(*state.yard));
  state.kept_findings = std::make_shared<KeptFindings>(state.yard);
  SeedMachines(state, before.get());
  LetGoMachines(state);
  for (auto& [number, move] : state.moves) {
    StaleOn(state, move, v1::HAPPENING_YARD_RELOADED);
    if (before) StaleReworded(*before, *state.yard, move);
  }
}

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
    machine.inspected_entry = yard.entries - 1;
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
  const PlaceId place(entry.ground_cleared().place());
  yard.machines[standing->second].place = place;
  for (const MachineId& unit : TowedBy(yard, standing->second)) yard.machines[unit].place = place;
  yard.left_standing.erase(standing);
  std::erase_if(yard.taken, [&](const auto& taken) { return taken.second == entry.move(); });
}

/// Law 9: who counted before it was set again has not counted this.
void PutDownAgain(YardState& yard, const v1::Entry& entry) {
  const v1::PutDown& put_down = entry.put_down();
  MachineState& machine = yard.machines[MachineId(put_down.machine())];
  if (put_down.stood() != 0) {
    machine.fewer_said[put_down.item()] = {
        .person = PersonId(entry.person()), .count = put_down.count(), .stood = put_down.stood()};
    return;
  }
  machine.fewer_said.erase(put_down.item());
  // Those that came on top, or are left, are the machine's; what moves before left stays theirs.
  int64_t left = 0;
  if (const auto known = machine.left_over.find(put_down.item());
      known != machine.left_over.end()) {
    left = known->second = std::min(known->second, put_down.count());
    if (left == 0) machine.left_over.erase(known);
  }
  machine.put_down[put_down.item()] = put_down.count() - left;
  const auto move = yard.moves.find(machine.move);
  if (move != yard.moves.end()) StaleCounts(yard, move->second, put_down.item());
}

}  // namespace

std::vector<MachineId> TowedBy(const YardState& yard, const MachineId& machine) {
  const yard::Machine* known =
      yard.yard == nullptr ? nullptr : yard.yard->FindMachine(machine.value());
  return known == nullptr ? std::vector<MachineId>() : known->tows;
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

void ApplyToYard(YardState& yard, const v1::Entry& entry) {
  const Instant time = Instant::FromMicros(entry.time_us());
  switch (entry.what_case()) {
    case v1::Entry::kMoveRequested:
      OpenMove(yard, entry);
      return;
    case v1::Entry::kShiftBegun:
      yard.shift = Shift{.title = entry.shift_begun().title(),
                         .begin = time,
                         .end = Instant::FromMicros(entry.shift_begun().end_time_us()),
                         .begin_entry = yard.entries - 1,
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
      PutDownAgain(yard, entry);
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

}  // namespace chockwise::moves
