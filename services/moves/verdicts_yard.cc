// The yard as a whole: shifts, holds, doors, its files, tokens, and the passing of time.

#include <fmt/format.h>

#include <algorithm>

#include "services/moves/gates.h"
#include "services/moves/limits.h"
#include "services/moves/names.h"
#include "services/moves/plans.h"
#include "services/moves/verdicts.h"
#include "services/yard/computations.h"

namespace chockwise::moves {
namespace {

/// Takes back every release and stops all that moves, in move order.
void TakeBackAll(Entries& entries, const Bench& bench, const TakeBack& why) {
  for (const MoveNumber number : bench.yard.live) {
    if (const auto move = bench.yard.moves.find(number); move != bench.yard.moves.end()) {
      TakeBackInto(entries, bench, move->second, why);
    }
  }
}

void EndShiftInto(Entries& entries, const Bench& bench, v1::Entry entry) {
  constexpr int kMostListed = 1'000;  // an entry stays small on a yard with very many open moves
  for (const auto& [number, move] : bench.yard.moves) {
    if (entry.shift_ended().open_moves_size() >= kMostListed) break;
    entry.mutable_shift_ended()->add_open_moves(number);
  }
  entry.mutable_shift_ended();
  entries.push_back(std::move(entry));
  TakeBackAll(entries, bench,
              {v1::STOP_CAUSE_SHIFT_END, "the shift ended; a release never crosses it",
               TakeBack::AtLine::kStopped});
}

Outcome<std::string> NamedDoor(const Bench& bench, std::string_view name) {
  const std::optional<std::string_view> id = IdIn(name, bench.yard.yard->id, "doors");
  if (id && bench.yard.yard->doors.contains(DoorId(std::string(*id)))) return std::string(*id);
  return RefuseNotFound(
      fmt::format("no door is called \"{}\"; the board has them", Tamed(name, 100)));
}

yard::YardFiles FilesOf(const v1::LoadYard& load) {
  const auto file = [&](const char* name) {
    const auto bytes = load.files().find(name);
    return bytes == load.files().end() ? std::string() : bytes->second;
  };
  return {.map_geojson = file("map.geojson"),
          .machines_csv = file("machines.csv"),
          .people_csv = file("people.csv"),
          .measurements_csv = file("measurements.csv"),
          .rules_txtpb = file("rules.txtpb")};
}

Outcome<yard::Yard> ReadLoad(const v1::LoadYard& load) {
  const auto base = load.files().find("base_rules.txtpb");
  const std::string base_text = base == load.files().end() ? std::string() : base->second;
  auto read = yard::ReadYard(FilesOf(load), base_text, yard::KnownComputations());
  if (read) return std::move(*read);
  Refusal refusal;
  refusal.kind = RefusalKind::kInvalid;
  refusal.problem = fmt::format("the yard's files have {} complaint(s)", read.error().size());
  for (const yard::Complaint& complaint : read.error()) {
    v1::FieldViolations::Violation& violation = refusal.violations.emplace_back();
    violation.set_field(complaint.file);
    violation.set_problem(complaint.Text());
  }
  return tl::unexpected(std::move(refusal));
}

/// A machine that the next version no longer has is said to be gone. Law 2: not while the yard
/// knows better.
Outcome<std::monostate> CheckMachinesGone(const Bench& bench, const yard::Yard& next) {
  Refusal refusal;
  refusal.kind = RefusalKind::kInvalid;
  refusal.problem = "machines.csv lacks a machine that is not gone";
  for (const auto& [id, machine] : bench.yard.machines) {
    if (next.FindMachine(id.value()) != nullptr) continue;
    const std::string kept = bench.yard.WhatKeeps(id);
    if (kept.empty()) continue;
    v1::FieldViolations::Violation& violation = refusal.violations.emplace_back();
    violation.set_field("machines.csv");
    violation.set_problem(fmt::format(
        "machines.csv: {} is gone, but {}; keep its row until that is settled", id.value(), kept));
  }
  if (!refusal.violations.empty()) return tl::unexpected(std::move(refusal));
  return std::monostate{};
}

/// The first computed gate that would hold this move back under another version of the yard; empty
/// for none.
std::string BlockedUnder(const Bench& bench, const Move& move, const yard::Yard& next) {
  const auto plans = PlansOf(next);
  const auto plan = plans.find(move.kind);
  if (plan == plans.end()) return fmt::format("the rules no longer have the kind {}", move.kind);
  const v1::Phase phase = move.release ? move.release->phase : v1::PHASE_START;
  for (const AskedGate& asked : GatesAsked(plan->second, move, phase)) {
    if (!asked.rule->has_computed()) continue;
    const GateStatus gate =
        EvaluateGate({.state = bench.yard, .yard = next, .move = move, .now = bench.now},
                     *asked.rule, asked.phase);
    if (gate.Blocks()) return fmt::format("{}: {}", asked.rule->title(), gate.reason);
  }
  return "";
}

/// The first gate that stops this move because it is not clear any more; empty for none.
std::string BlockedWhileMoving(const Bench& bench, const Move& move) {
  const KindPlan* plan = bench.yard.FindPlan(move.kind);
  if (plan == nullptr) return "";
  const Sight sight{.state = bench.yard, .yard = *bench.yard.yard, .move = move, .now = bench.now};
  for (const AskedGate& asked : GatesAsked(*plan, move, move.release->phase)) {
    if (!asked.rule->while_moving() || !asked.rule->has_computed()) continue;
    const GateStatus gate = EvaluateGate(sight, *asked.rule, asked.phase);
    if (gate.Blocks()) return fmt::format("{}: {}", asked.rule->title(), gate.reason);
  }
  return "";
}

/// A release not used yet stood on the old version: it is asked for anew. What is under way goes on
/// only if the new version would have let it. Law 11.
void TakeBackForReload(Entries& entries, const Bench& bench, const yard::Yard& next) {
  for (const MoveNumber number : bench.yard.live) {
    const auto move = bench.yard.moves.find(number);
    if (move == bench.yard.moves.end()) continue;
    std::string reason = "the yard's files were loaded anew";
    if (move->second.state == v1::MOVE_STATE_UNDER_WAY) {
      reason = BlockedUnder(bench, move->second, next);
      if (reason.empty()) continue;
    }
    TakeBackInto(entries, bench, move->second, {v1::STOP_CAUSE_FACT_CHANGED, reason});
  }
}

}  // namespace

Outcome<Entries> Judge(const Bench& bench, const v1::BeginShiftRequest& request) {
  if (auto yard = CheckYard(bench, request.name()); !yard) return tl::unexpected(yard.error());
  if (auto lead = CheckLead(bench, "open a shift"); !lead) return tl::unexpected(lead.error());
  if (auto title =
          CheckText({"title", request.title(), kMaxTitleLength, TextField::Need::kRequired});
      !title) {
    return tl::unexpected(title.error());
  }
  const Instant end = Instant::FromMicros(request.end_time().seconds() * 1'000'000 +
                                          request.end_time().nanos() / 1'000);
  if (end <= bench.now || end > bench.now + fit::Hours(kMaxShiftHours)) {
    return RefuseField("end_time",
                       fmt::format("must lie ahead, by at most {} hours", kMaxShiftHours));
  }
  Entries entries;
  if (bench.yard.shift) EndShiftInto(entries, bench, AnswerEntry(bench));
  entries.push_back(AnswerEntry(bench));
  if (entries.size() > 1) {  // the shift before ended first: that entry is the answer
    entries.back().clear_request_id();
    entries.back().clear_request_digest();
  }
  entries.back().mutable_shift_begun()->set_title(request.title());
  entries.back().mutable_shift_begun()->set_end_time_us(end.micros());
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::EndShiftRequest& request) {
  if (auto yard = CheckYard(bench, request.name()); !yard) return tl::unexpected(yard.error());
  if (auto lead = CheckLead(bench, "end a shift"); !lead) return tl::unexpected(lead.error());
  if (!bench.yard.shift) return RefusePrecondition({"shift", "no shift runs", ""});
  Entries entries;
  EndShiftInto(entries, bench, AnswerEntry(bench));
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::HoldYardRequest& request) {
  if (auto yard = CheckYard(bench, request.name()); !yard) return tl::unexpected(yard.error());
  Entries entries{AnswerEntry(bench)};
  entries.front().mutable_yard_held()->set_reason(Tamed(request.reason(), kMaxTextLength));
  TakeBackAll(entries, bench, {v1::STOP_CAUSE_YARD_HOLD, "the yard is held"});
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::LiftHoldRequest& request) {
  if (auto yard = CheckYard(bench, request.name()); !yard) return tl::unexpected(yard.error());
  if (auto lead = CheckLead(bench, "lift the hold"); !lead) return tl::unexpected(lead.error());
  if (!bench.yard.hold) return RefusePrecondition({"hold", "the yard is not held", ""});
  Entries entries{AnswerEntry(bench)};
  entries.front().mutable_hold_lifted();
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::ReportDoorRequest& request) {
  const Outcome<std::string> door = NamedDoor(bench, request.name());
  if (!door) return tl::unexpected(door.error());
  if (request.report() != v1::DOOR_REPORT_MOVED && request.report() != v1::DOOR_REPORT_FAULTY) {
    return RefuseField("report", "say whether it moved or is faulty");
  }
  if (auto text = CheckText({"text", request.text(), kMaxTextLength, TextField::Need::kOptional});
      !text) {
    return tl::unexpected(text.error());
  }
  Entries entries{AnswerEntry(bench)};
  v1::DoorReported& out = *entries.front().mutable_door_reported();
  out.set_door(*door);
  out.set_report(request.report());
  out.set_text(request.text());
  for (const MoveNumber number : bench.yard.live) {
    const auto move = bench.yard.moves.find(number);
    if (move == bench.yard.moves.end() || !move->second.way->doors.contains(*door)) continue;
    TakeBackInto(entries, bench, move->second,
                 {v1::STOP_CAUSE_DOOR_MOVED, fmt::format("{} moved or is faulty", *door)});
  }
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::ReturnDoorRequest& request) {
  const Outcome<std::string> door = NamedDoor(bench, request.name());
  if (!door) return tl::unexpected(door.error());
  if (auto lead = CheckLead(bench, "give a door back"); !lead) return tl::unexpected(lead.error());
  if (!bench.yard.doors_out.contains(DoorId(*door))) {
    return RefusePrecondition({"doors", fmt::format("{} is in service", *door), ""});
  }
  Entries entries{AnswerEntry(bench)};
  entries.front().mutable_door_returned()->set_door(*door);
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::LoadYard& load) {
  Outcome<yard::Yard> next = ReadLoad(load);
  if (!next) return tl::unexpected(next.error());
  // The first version is taken by a safety lead whom it names itself; every later one by a lead of
  // the one in force. Where this build could never read the one in force, it is the first again.
  const bool first = !bench.yard.yard || bench.yard.yard->id.empty();
  const yard::Person* person =
      first ? next->FindPerson(bench.person.value()) : bench.yard.FindPerson(bench.person);
  const bool lead =
      person != nullptr && (person->roles.contains(yard::Role::kSafetyLead) ||
                            (!first && person->roles.contains(yard::Role::kYardLead)));
  if (!lead) {
    return RefuseNotAllowed(
        {"roles",
         "a yard lead or safety lead loads the yard; the first version takes a safety lead",
         "Ask one of them."});
  }
  if (!first && next->id != bench.yard.yard->id) {
    return RefuseField("rules.txtpb", fmt::format("yard_id is \"{}\"; this ledger is of \"{}\"",
                                                  next->id, bench.yard.yard->id));
  }
  if (bench.yard.version.trouble.empty() && load.digest() == bench.yard.version.digest) {
    return RefusePrecondition(
        {"yard files", "the files are the ones in force", "Change them first."});
  }
  if (auto gone = CheckMachinesGone(bench, *next); !gone) return tl::unexpected(gone.error());
  Entries entries{AnswerEntry(bench)};
  v1::YardLoaded& out = *entries.front().mutable_yard_loaded();
  out.set_version(bench.yard.version.number + 1);
  out.set_digest(load.digest());
  *out.mutable_files() = load.files();
  TakeBackForReload(entries, bench, *next);
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::IssueToken& issue) {
  if (!bench.yard.HasRole(bench.person, yard::Role::kSafetyLead)) {
    return RefuseNotAllowed({"roles", "a safety lead issues tokens", "Ask one."});
  }
  if (bench.yard.FindPerson(PersonId(issue.person())) == nullptr) {
    return RefuseField("person",
                       fmt::format("\"{}\" is not in the register", Tamed(issue.person(), 40)));
  }
  const Instant expires = Instant::FromMicros(issue.expire_time_us());
  if (expires <= bench.now || expires > bench.now + fit::Days(kMaxTokenDays)) {
    return RefuseField("days", fmt::format("must be 1 to {}", kMaxTokenDays));
  }
  if (issue.secret_hash().size() != 32 || bench.yard.token_by_hash.contains(issue.secret_hash())) {
    return RefuseField("secret_hash", "must be the SHA-256 of a new secret");
  }
  const auto good =
      std::count_if(bench.yard.tokens.begin(), bench.yard.tokens.end(), [&](const auto& token) {
        return token.second.revoked_by.empty() && token.second.expires > bench.now;
      });
  if (static_cast<size_t>(good) >= kMaxTokens) {
    return RefuseExhausted(fmt::format("{} tokens are good", kMaxTokens), "Revoke some first.");
  }
  Entries entries{AnswerEntry(bench)};
  v1::TokenIssued& out = *entries.front().mutable_token_issued();
  out.set_token(bench.yard.next_token);
  out.set_person(issue.person());
  out.set_secret_hash(issue.secret_hash());
  out.set_expire_time_us(issue.expire_time_us());
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::RevokeTokenRequest& request) {
  const std::optional<int64_t> number = NumberIn(request.name(), bench.yard.yard->id, "tokens");
  const auto token = number ? bench.yard.tokens.find(*number) : bench.yard.tokens.end();
  const bool safety_lead = bench.yard.HasRole(bench.person, yard::Role::kSafetyLead);
  // Whoever may not revoke it is not told whether it is there.
  if (token == bench.yard.tokens.end() || (!safety_lead && token->second.person != bench.person)) {
    return RefuseNotFound(
        fmt::format("you have no token called \"{}\"", Tamed(request.name(), 100)));
  }
  if (!token->second.revoked_by.empty())
    return RefusePrecondition({"tokens", "it is revoked already", ""});
  Entries entries{AnswerEntry(bench)};
  entries.front().mutable_token_revoked()->set_token(*number);
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::Tick&) {
  Entries entries;
  if (bench.yard.shift && bench.now >= bench.yard.shift->end) {
    EndShiftInto(entries, bench, AnswerEntry(bench));
    return entries;  // it took back every release
  }
  for (const MoveNumber number : bench.yard.live) {
    const auto found = bench.yard.moves.find(number);
    if (found == bench.yard.moves.end() || !found->second.release) continue;
    if (found->second.state == v1::MOVE_STATE_UNDER_WAY) {
      const std::string reason = BlockedWhileMoving(bench, found->second);
      if (!reason.empty())
        TakeBackInto(entries, bench, found->second, {v1::STOP_CAUSE_FACT_CHANGED, reason});
      continue;
    }
    const std::vector<GateStatus> gates =
        EvaluatePhase(bench.yard, found->second, found->second.release->phase, bench.now);
    const auto blocking = std::find_if(gates.begin(), gates.end(),
                                       [](const GateStatus& gate) { return gate.Blocks(); });
    if (blocking == gates.end()) continue;
    TakeBackInto(entries, bench, found->second,
                 {v1::STOP_CAUSE_UNSPECIFIED,
                  fmt::format("{}: {}", blocking->rule->title(), blocking->reason)});
  }
  return entries;
}

}  // namespace chockwise::moves
