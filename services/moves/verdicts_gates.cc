// Words on gates, and what stands on them: releases, first motion, the close.

#include <fmt/format.h>

#include <algorithm>

#include "services/moves/gates.h"
#include "services/moves/limits.h"
#include "services/moves/parties.h"
#include "services/moves/verdicts.h"
#include "services/survey/deck.h"
#include "services/survey/ties.h"

namespace chockwise::moves {
namespace {

Outcome<AskedGate> FindAsked(const Bench& bench, const Move& move, const std::string& gate_id) {
  if (const KindPlan* plan = bench.yard.FindPlan(move.kind)) {
    for (const AskedGate& asked : GatesAsked(*plan, move, PhaseNow(move))) {
      if (asked.rule->id() == gate_id) return asked;
    }
  }
  return RefusePrecondition(
      {"gates",
       fmt::format("\"{}\" is not a gate of move {} as it stands", Tamed(gate_id, 40), move.number),
       "Show the move: it lists the gates that are asked now."});
}

/// The code painted where the person must stand in this phase; unset where no spot is asked for.
std::optional<std::string> CodeOfSpot(const YardState& yard, const Move& move, v1::Phase phase) {
  const auto of_place = [&](const PlaceId& id) {
    const auto place = yard.yard->places.find(id);
    return place == yard.yard->places.end() ? std::string() : place->second.post_code;
  };
  if (phase == v1::PHASE_CLOSE_OUT) return of_place(move.to);
  if (phase == v1::PHASE_START) {
    if (move.begun) return std::nullopt;  // stopped on its way: no spot is painted there
    return of_place(move.from);
  }
  if (move.stops_passed < 1) return std::string();
  const std::string& stop = move.way->stops[static_cast<size_t>(move.stops_passed - 1)];
  if (const auto door = yard.yard->doors.find(DoorId(stop)); door != yard.yard->doors.end())
    return door->second.post_code;
  const auto hold = yard.yard->hold_points.find(yard::HoldPointId(stop));
  return hold == yard.yard->hold_points.end() ? std::string() : hold->second.post_code;
}

Outcome<std::monostate> CheckSpot(const Bench& bench, const Move& move, v1::Phase phase,
                                  const v1::ConfirmRequest& request) {
  const std::optional<std::string> code = CodeOfSpot(bench.yard, move, phase);
  if (!code) return std::monostate{};
  if (code->empty()) {
    return RefusePrecondition(
        {"law 2", "no code is painted at this spot on the map",
         "A yard lead has one painted, puts it on the map and reloads the yard."});
  }
  if (request.post_code() == *code) return std::monostate{};
  return RefuseField("post_code",
                     request.post_code().empty()
                         ? "is missing: read the code painted where you stand"
                         : "is not the one painted here: this word is given at the machine");
}

/// What the word must bring. A finding needs no evidence: it only holds back.
Outcome<std::monostate> CheckEvidence(const Bench& bench, const Move& move, const AskedGate& asked,
                                      const v1::ConfirmRequest& request) {
  const v1::LookedAt& looked_at = asked.rule->looked_at();
  if (request.has_count() && (request.count() < 0 || request.count() > kMaxCount)) {
    return RefuseField("count",
                       fmt::format("{} is not a count from 0 to {}", request.count(), kMaxCount));
  }
  if (!request.finding().empty()) return std::monostate{};
  switch (looked_at.evidence()) {
    case v1::EVIDENCE_COUNT_PICKED_UP:
    case v1::EVIDENCE_COUNT_PUT_DOWN:
      if (!request.has_count())
        return RefuseField("count", fmt::format("is missing: count the {}", looked_at.item()));
      break;
    case v1::EVIDENCE_POST_CODE:
      if (auto spot = CheckSpot(bench, move, asked.phase, request); !spot) return spot;
      break;
    case v1::EVIDENCE_NOTE:
      if (request.note().find_first_not_of(' ') == std::string::npos)
        return RefuseField("note", "is missing: name what you saw, e.g. a key number");
      break;
    case v1::EVIDENCE_TIES:
      if (const auto ties = survey::ReadTies(request.note()); !ties)
        return RefuseField("note", ties.error().Text());
      break;
    case v1::EVIDENCE_DECK_PLACE:
      if (const auto stood = survey::ReadStood(request.note()); !stood)
        return RefuseField("note", stood.error().Text());
      break;
    case v1::EVIDENCE_UNSPECIFIED:
    case v1::Evidence_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Evidence_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  const bool counts = looked_at.evidence() == v1::EVIDENCE_COUNT_PICKED_UP ||
                      looked_at.evidence() == v1::EVIDENCE_COUNT_PUT_DOWN;
  if (request.has_count() && !counts) return RefuseField("count", "this gate counts nothing");
  return std::monostate{};
}

/// In which role this person's word counts here. One person is one party: two roles do not make two
/// people. Law 4.
std::optional<v1::Party> PartyOf(const Bench& bench, const Move& move, const AskedGate& asked) {
  const v1::GateRule& rule = *asked.rule;
  const GateWords* words = move.FindWords(rule.id(), asked.phase);
  std::optional<v1::Party> first, wanted;
  for (const int number : rule.looked_at().parties()) {
    const auto party = static_cast<v1::Party>(number);
    if (!ActsAs(bench.yard, move, bench.person, party)) continue;
    if (!first) first = party;
    const Word* word = nullptr;
    if (words != nullptr) {
      const auto given = std::find_if(words->words.begin(), words->words.end(),
                                      [&](const Word& known) { return known.party == party; });
      if (given != words->words.end()) word = &*given;
    }
    if (word != nullptr && word->person == bench.person) return party;
    if (!wanted && (word == nullptr || word->stale)) wanted = party;
  }
  return wanted ? wanted : first;
}

std::string WhoMay(const v1::LookedAt& looked_at) {
  std::string who;
  for (const int number : looked_at.parties()) {
    if (!who.empty()) who += looked_at.any_party() ? " or " : " and ";
    switch (static_cast<v1::Party>(number)) {
      case v1::PARTY_DRIVER:
        who += "the driver";
        break;
      case v1::PARTY_SPOTTER:
        who += "the spotter, once they have taken the role";
        break;
      case v1::PARTY_YARD_LEAD:
        who += "a yard lead who neither drives nor spots";
        break;
      case v1::PARTY_TECH:
        who += "a tech who neither drives nor spots";
        break;
      case v1::PARTY_UNSPECIFIED:
      case v1::Party_INT_MIN_SENTINEL_DO_NOT_USE_:
      case v1::Party_INT_MAX_SENTINEL_DO_NOT_USE_:
        break;
    }
  }
  return who;
}

Outcome<std::monostate> CheckTexts(const v1::LookedAt& looked_at,
                                   const v1::ConfirmRequest& request) {
  using Need = TextField::Need;
  const bool names_ties = looked_at.evidence() == v1::EVIDENCE_TIES;
  if (auto ok = CheckText({"finding", request.finding(), kMaxTextLength, Need::kOptional}); !ok)
    return ok;
  return CheckText(
      {"note", request.note(), names_ties ? kMaxTiesLength : kMaxNoteLength, Need::kOptional});
}

/// The second person's word is worth something only when all else is clear: the word to restart
/// and the counts, too.
Outcome<std::monostate> CheckGivenLast(const Bench& bench, const Move& move,
                                       const v1::GateRule& rule) {
  std::vector<GateStatus> gates = EvaluatePhase(bench.yard, move, PhaseNow(move), bench.now);
  std::erase_if(gates, [](const GateStatus& gate) { return gate.rule->looked_at().given_last(); });
  std::vector<v1::UnmetGate> unmet = WhatIsMissing(bench, move, gates);
  if (unmet.empty()) return std::monostate{};
  // Made before the list is moved away: arguments have no order.
  std::string problem =
      fmt::format("{} is given last: {} gate(s) are not clear yet", rule.title(), unmet.size());
  return RefuseGates(std::move(problem), std::move(unmet));
}

template <class Basis>
void AddBasis(const std::vector<GateStatus>& gates, Basis& out) {
  for (const GateStatus& gate : gates) {
    v1::GateBasis& basis = *out.add_gates();
    basis.set_gate_id(gate.rule->id());
    basis.set_state(gate.state);
    basis.set_reason(gate.reason);
    basis.set_accepted_by(gate.accepted_by.value());
  }
}

std::string NextLimit(const Move& move) {
  const auto passed = static_cast<size_t>(move.stops_passed);
  return passed < move.way->stops.size() ? move.way->stops[passed] : std::string();
}

Outcome<std::monostate> CheckDriver(const Bench& bench, const Move& move,
                                    std::string_view to_do_what) {
  if (bench.person == move.driver) return std::monostate{};
  return RefuseNotAllowed(
      {"roles", fmt::format("only the driver, {}, may {}", move.driver.value(), to_do_what),
       "Ask them. To halt the move, anyone calls a stop."});
}

}  // namespace

Outcome<Entries> Judge(const Bench& bench, const v1::ConfirmRequest& request) {
  const Outcome<const Move*> found = OpenMove(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  if (auto standing = CheckStanding(move, "give a word on a screen"); !standing)
    return tl::unexpected(standing.error());
  if (auto hands = CheckHandsFree(bench); !hands) return tl::unexpected(hands.error());
  const Outcome<AskedGate> asked = FindAsked(bench, move, request.gate_id());
  if (!asked) return tl::unexpected(asked.error());
  const v1::GateRule& rule = *asked->rule;
  if (!rule.has_looked_at()) {
    return RefusePrecondition(
        {"gates", fmt::format("{} is computed; nobody can give a word on it", rule.title()),
         rule.remedy()});
  }
  const v1::LookedAt& looked_at = rule.looked_at();
  const std::optional<v1::Party> party = PartyOf(bench, move, *asked);
  if (!party) {
    return RefuseNotAllowed(
        {"parties", fmt::format("{} is not yours to give on move {}", rule.title(), move.number),
         fmt::format("It wants the word of {}.", WhoMay(looked_at))});
  }
  if (auto texts = CheckTexts(looked_at, request); !texts) return tl::unexpected(texts.error());
  if (auto evidence = CheckEvidence(bench, move, *asked, request); !evidence)
    return tl::unexpected(evidence.error());
  const bool finding = !request.finding().empty();
  if (move.state == v1::MOVE_STATE_RELEASED && !finding) {
    return RefusePrecondition(
        {"life of a move", fmt::format("move {} is released; its gates were clear", move.number),
         "Begin, or report a finding: that takes the release back."});
  }
  if (looked_at.given_last() && !finding) {
    if (auto last = CheckGivenLast(bench, move, rule); !last) return tl::unexpected(last.error());
  }
  Entries entries;
  v1::GateConfirmed& out =
      *TakeBackAndAnswer(entries, bench, move,
                         {v1::STOP_CAUSE_FACT_CHANGED, fmt::format("{}: a finding", rule.title())})
           .mutable_gate_confirmed();
  out.set_gate_id(request.gate_id());
  out.set_phase(asked->phase);
  out.add_parties(*party);
  out.set_finding(request.finding());
  if (request.has_count()) out.set_count(request.count());
  out.set_note(request.note());
  // Law 11: only a code that was compared says that somebody stood there.
  out.set_at_the_spot(looked_at.evidence() == v1::EVIDENCE_POST_CODE && !finding &&
                      CodeOfSpot(bench.yard, move, asked->phase).has_value());
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::AcceptGateRequest& request) {
  const Outcome<const Move*> found = OpenMove(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  if (!ActsAsLead(bench.yard, move, bench.person)) {
    return RefuseNotAllowed(
        {"law 4", "a gate is accepted by a yard lead who neither drives nor spots this move",
         "Ask another yard lead."});
  }
  if (auto standing = CheckStanding(move, "accept a gate"); !standing)
    return tl::unexpected(standing.error());
  if (auto hands = CheckHandsFree(bench); !hands) return tl::unexpected(hands.error());
  if (move.state == v1::MOVE_STATE_RELEASED) {
    return RefusePrecondition(
        {"life of a move", fmt::format("move {} is released already", move.number), ""});
  }
  const Outcome<AskedGate> asked = FindAsked(bench, move, request.gate_id());
  if (!asked) return tl::unexpected(asked.error());
  const v1::GateRule& rule = *asked->rule;
  const GateStatus gate =
      EvaluateGate({.state = bench.yard, .yard = *bench.yard.yard, .move = move, .now = bench.now},
                   rule, asked->phase);
  if (!gate.lead_may_accept) {
    return RefusePrecondition({"law 1",
                               fmt::format("{} cannot be accepted as it stands: {}", rule.title(),
                                           gate.reason.empty() ? "it is clear" : gate.reason),
                               rule.remedy()});
  }
  const auto& controls = rule.controls();
  if (std::find(controls.begin(), controls.end(), request.control()) == controls.end()) {
    return RefuseField("control", fmt::format("name one of: {}", fmt::join(controls, "; ")));
  }
  if (auto reason =
          CheckText({"reason", request.reason(), kMaxTextLength, TextField::Need::kRequired});
      !reason) {
    return tl::unexpected(reason.error());
  }
  v1::Entry entry = AnswerEntry(bench, move, move.state);
  v1::GateAccepted& out = *entry.mutable_gate_accepted();
  out.set_gate_id(request.gate_id());
  out.set_phase(asked->phase);
  out.set_control(request.control());
  out.set_reason(request.reason());
  out.set_stood_at(gate.reason);
  return Entries{std::move(entry)};
}

Outcome<Entries> Judge(const Bench& bench, const v1::RequestReleaseRequest& request) {
  const Outcome<const Move*> found = OpenMove(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  if (auto driver = CheckDriver(bench, move, "ask for its release"); !driver)
    return tl::unexpected(driver.error());
  const bool may_ask = move.state == v1::MOVE_STATE_REQUESTED ||
                       move.state == v1::MOVE_STATE_HELD || move.state == v1::MOVE_STATE_STOPPED;
  if (!may_ask) {
    return RefusePrecondition({"life of a move",
                               fmt::format("move {} is released, under way or parked", move.number),
                               "Show the move to see where it stands."});
  }
  const v1::Phase phase = PhaseNow(move);
  const std::vector<GateStatus> gates = EvaluatePhase(bench.yard, move, phase, bench.now);
  std::vector<v1::UnmetGate> unmet = WhatIsMissing(bench, move, gates);
  if (!unmet.empty()) {
    v1::Entry entry = AnswerEntry(bench, move, move.state);
    entry.mutable_release_refused()->set_phase(phase);
    for (v1::UnmetGate& gate : unmet)
      *entry.mutable_release_refused()->add_gates() = std::move(gate);
    return Entries{std::move(entry)};
  }
  v1::Entry entry = AnswerEntry(bench, move, v1::MOVE_STATE_RELEASED);
  v1::Released& out = *entry.mutable_released();
  out.set_number(move.releases_given + 1);
  out.set_phase(phase);
  out.set_limit(NextLimit(move));
  out.set_start_by_time_us(
      (bench.now + ToDuration(bench.yard.yard->rules.limits().start_window())).micros());
  out.set_yard_version(bench.yard.version.number);
  out.set_yard_digest(bench.yard.version.digest);
  AddBasis(gates, out);
  Entries entries{std::move(entry)};
  StaleNeighbours(entries, bench, move);
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::BeginMoveRequest& request) {
  const Outcome<const Move*> found = OpenMove(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  if (auto driver = CheckDriver(bench, move, "begin it"); !driver)
    return tl::unexpected(driver.error());
  if (move.state != v1::MOVE_STATE_RELEASED) {
    return RefusePrecondition({"law 1", fmt::format("move {} has no release", move.number),
                               "Ask for the release first."});
  }
  std::string reason;
  if (request.machine() != move.machine.value()) {
    reason = fmt::format("the driver read \"{}\" at the seat; the release is for {}",
                         Tamed(request.machine(), 40), move.machine.value());
  } else {
    // Freshness counts back from the first motion, so every gate is judged again here. Law 1.
    const std::vector<GateStatus> gates =
        EvaluatePhase(bench.yard, move, move.release->phase, bench.now);
    const auto blocking = std::find_if(gates.begin(), gates.end(),
                                       [](const GateStatus& gate) { return gate.Blocks(); });
    if (blocking != gates.end())
      reason = fmt::format("{}: {}", blocking->rule->title(), blocking->reason);
  }
  if (!reason.empty()) {
    v1::Entry entry = AnswerEntry(bench, move, move.release->from_state);
    entry.mutable_release_voided()->set_reason(reason);
    entry.mutable_release_voided()->set_begin_refused(true);
    return Entries{std::move(entry)};
  }
  Entries entries{AnswerEntry(bench, move, v1::MOVE_STATE_UNDER_WAY)};
  entries.front().mutable_move_begun();
  StaleNeighbours(entries, bench, move);
  return entries;
}

Outcome<Entries> Judge(const Bench& bench, const v1::CloseMoveRequest& request) {
  const Outcome<const Move*> found = OpenMove(bench, request.name());
  if (!found) return tl::unexpected(found.error());
  const Move& move = **found;
  if (auto driver = CheckDriver(bench, move, "close it"); !driver)
    return tl::unexpected(driver.error());
  if (move.state != v1::MOVE_STATE_PARKED) {
    return RefusePrecondition({"life of a move", fmt::format("move {} is not parked", move.number),
                               "Say parked when it stands where it was to go."});
  }
  const std::vector<GateStatus> gates =
      EvaluatePhase(bench.yard, move, v1::PHASE_CLOSE_OUT, bench.now);
  std::vector<v1::UnmetGate> unmet = WhatIsMissing(bench, move, gates);
  if (!unmet.empty()) {
    v1::Entry entry = AnswerEntry(bench, move, move.state);
    for (v1::UnmetGate& gate : unmet) *entry.mutable_close_refused()->add_gates() = std::move(gate);
    return Entries{std::move(entry)};
  }
  v1::Entry entry = AnswerEntry(bench, move, v1::MOVE_STATE_CLOSED);
  AddBasis(gates, *entry.mutable_move_closed());
  return Entries{std::move(entry)};
}

}  // namespace chockwise::moves
