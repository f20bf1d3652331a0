#include "services/history/audit_gates.h"

#include <fmt/format.h>

#include <algorithm>
#include <vector>

#include "services/history/audit_computed.h"
#include "services/history/words.h"

namespace chockwise::history {
namespace {

const AuditedWord* FindWord(const Moment& moment, const v1::GateRule& gate, v1::Party party) {
  auto word = moment.move.words.find(
      {.gate_id = gate.id(), .phase = AskedIn(moment.move, gate, moment.phase), .party = party});
  return word == moment.move.words.end() ? nullptr : &word->second;
}

std::vector<v1::Party> Parties(const v1::LookedAt& looked_at) {
  std::vector<v1::Party> parties;
  for (int party : looked_at.parties()) parties.push_back(static_cast<v1::Party>(party));
  return parties;
}

/// What the word should have brought and did not.
std::optional<Fault> JudgeEvidence(const Moment& moment, const AuditedWord& word,
                                   const v1::GateRule& gate, std::string_view who) {
  switch (gate.looked_at().evidence()) {
    case v1::EVIDENCE_COUNT_PICKED_UP:
    case v1::EVIDENCE_COUNT_PUT_DOWN:
      if (word.count) return std::nullopt;
      return Fault{"law 9",
                   fmt::format("the {}'s word of entry {} brings no count", who, word.entry)};
    case v1::EVIDENCE_POST_CODE:
      if (word.at_the_spot) return std::nullopt;
      // Stopped on its way it stands where nothing is painted.
      if (AskedIn(moment.move, gate, moment.phase) == v1::PHASE_START && moment.move.driven)
        return std::nullopt;
      return Fault{"law 1", fmt::format("the {}'s word of entry {} was not given at the spot", who,
                                        word.entry)};
    case v1::EVIDENCE_NOTE:
    case v1::EVIDENCE_TIES:
    case v1::EVIDENCE_DECK_PLACE:
      if (!word.note.empty()) return std::nullopt;
      return Fault{"law 1",
                   fmt::format("the {}'s word of entry {} brings no note", who, word.entry)};
    case v1::EVIDENCE_UNSPECIFIED:
      return std::nullopt;
    case v1::Evidence_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Evidence_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return Fault{"law 2", "the rules ask for evidence that this build does not know"};
}

std::optional<Fault> JudgeWord(const Moment& moment, const v1::GateRule& gate, v1::Party party) {
  const std::string_view who = yard::PartyWord(party);
  const AuditedWord* word = FindWord(moment, gate, party);
  if (word == nullptr) return Fault{"law 1", fmt::format("no word by the {}", who)};
  if (word->undone.entry != 0) {
    return Fault{word->undone.rule,
                 fmt::format("the {}'s word of entry {} was undone in entry {}: {}", who,
                             word->entry, word->undone.entry, word->undone.why)};
  }
  if (!word->finding.empty()) {
    // A finding does not turn better by growing old.
    return Fault{"law 1",
                 fmt::format("the {} found \"{}\" in entry {}", who, word->finding, word->entry)};
  }
  if (!Holds(moment.book, moment.move, party, word->person)) {
    return Fault{"law 4", fmt::format("the word of entry {} is by {}, who is not the {}",
                                      word->entry, word->person, who)};
  }
  if (gate.looked_at().has_fresh_for()) {
    const google::protobuf::Duration& fresh_for = gate.looked_at().fresh_for();
    const int64_t worth_us = fresh_for.seconds() * 1'000'000 + fresh_for.nanos() / 1000;
    const int64_t age_us = moment.now_us - word->time_us;
    if (age_us > worth_us) {
      return Fault{"law 1", fmt::format("the {}'s word of entry {} was {} old and is worth {}", who,
                                        word->entry, SpanWords(age_us), SpanWords(worth_us))};
    }
  }
  return JudgeEvidence(moment, *word, gate, who);
}

/// Words of the parties that are clear and fresh, each for itself.
std::vector<const AuditedWord*> GoodWords(const Moment& moment, const v1::GateRule& gate) {
  std::vector<const AuditedWord*> good;
  for (v1::Party party : Parties(gate.looked_at())) {
    if (!JudgeWord(moment, gate, party)) good.push_back(FindWord(moment, gate, party));
  }
  return good;
}

std::optional<Fault> JudgeParties(const Moment& moment, const v1::GateRule& gate) {
  std::optional<Fault> worst;  // of a party that gave a word, where one did
  bool any_word = false;
  bool one_is_good = false;
  for (v1::Party party : Parties(gate.looked_at())) {
    std::optional<Fault> fault = JudgeWord(moment, gate, party);
    const AuditedWord* word = FindWord(moment, gate, party);
    if (!fault) {
      one_is_good = true;
      continue;
    }
    const bool standing_finding =
        word != nullptr && word->undone.entry == 0 && !word->finding.empty();
    // A finding outweighs another party's clear word.
    if (!gate.looked_at().any_party() || standing_finding) return fault;
    if (!worst || (word != nullptr && !any_word)) worst = fault;
    any_word = any_word || word != nullptr;
  }
  if (one_is_good) return std::nullopt;
  return worst ? worst : Fault{"law 2", "the rules name nobody who may give a word"};
}

std::optional<Fault> JudgeCounts(const Moment& moment, const v1::GateRule& gate) {
  const v1::LookedAt& looked_at = gate.looked_at();
  const bool picked_up = looked_at.evidence() == v1::EVIDENCE_COUNT_PICKED_UP;
  if (!picked_up && looked_at.evidence() != v1::EVIDENCE_COUNT_PUT_DOWN) return std::nullopt;
  const std::vector<const AuditedWord*> words = GoodWords(moment, gate);
  for (const AuditedWord* word : words) {
    if (word->count != words.front()->count) {
      return Fault{"law 9", fmt::format("{} counts {} {}, {} counts {}", words.front()->person,
                                        *words.front()->count, looked_at.item(), word->person,
                                        *word->count)};
    }
  }
  if (!picked_up && !words.empty() && *words.front()->count < looked_at.least_count()) {
    return Fault{"law 9",
                 fmt::format("{} {} put down, at least {} asked for", *words.front()->count,
                             looked_at.item(), looked_at.least_count())};
  }
  const int64_t left = CountsOut(gate) ? LeftBehind(moment.book, moment.move, looked_at.item()) : 0;
  if (!words.empty() && *words.front()->count < left) {
    return Fault{"law 9", fmt::format("{} {} counted, {} left there by a move before",
                                      *words.front()->count, looked_at.item(), left)};
  }
  const int64_t lies_there = LiesThere(moment.book, moment.move, looked_at);
  if (picked_up && !words.empty() && words.front()->count != lies_there) {
    return Fault{"law 9", fmt::format("{} {} picked up, {} put down", *words.front()->count,
                                      looked_at.item(), lies_there)};
  }
  return std::nullopt;
}

/// Law 4 and the second person's word: by somebody else than the driver, and after everything else
/// was said.
std::optional<Fault> JudgeLastWord(const Moment& moment, const v1::GateRule& gate) {
  const std::vector<const AuditedWord*> last = GoodWords(moment, gate);
  bool all_by_driver = !last.empty();
  for (const AuditedWord* word : last)
    all_by_driver = all_by_driver && word->person == moment.move.driver;
  if (all_by_driver) {
    return Fault{"law 4",
                 fmt::format("{} is the only second person on their own move", moment.move.driver)};
  }
  if (moment.occasion == Occasion::kFirstMotion) return std::nullopt;
  for (const v1::GateRule* other : GatesAsked(moment.book, moment.move, moment.phase)) {
    if (other->gate_class() == v1::GATE_CLASS_RECORD || other->looked_at().given_last()) continue;
    int64_t said = 0;
    for (const AuditedWord* word : GoodWords(moment, *other)) said = std::max(said, word->entry);
    if (other->gate_class() == v1::GATE_CLASS_LEAD_MAY_ACCEPT) {
      for (const AuditedAcceptance& acceptance : AcceptancesOf(moment.move, *other, moment.phase))
        said = std::max(said, acceptance.entry);
    }
    for (const AuditedWord* word : last) {
      if (word->entry < said) {
        return Fault{"law 1", fmt::format("the word given last, entry {}, came before {}, entry {}",
                                          word->entry, other->id(), said)};
      }
    }
  }
  return std::nullopt;
}

/// Whether a lead took the gate as it stood, in a way that holds at this moment.
bool RightlyAccepted(const Moment& moment, const v1::GateRule& gate) {
  if (gate.gate_class() != v1::GATE_CLASS_LEAD_MAY_ACCEPT) return false;
  const auto accepted = AcceptancesOf(moment.move, gate, moment.phase);
  return std::ranges::any_of(accepted, [&](const AuditedAcceptance& acceptance) {
    return IsOutsideLead(moment.book, moment.move, acceptance.person);
  });
}

}  // namespace

std::optional<Fault> JudgeAnswer(const Moment& moment, const v1::GateRule& gate) {
  switch (gate.sort_case()) {
    case v1::GateRule::kComputed:
      return JudgeComputed(moment, gate.computed());
    case v1::GateRule::kLookedAt: {
      std::optional<Fault> fault = JudgeParties(moment, gate);
      if (!fault) fault = JudgeCounts(moment, gate);
      if (!fault && gate.looked_at().given_last()) fault = JudgeLastWord(moment, gate);
      return fault;
    }
    case v1::GateRule::SORT_NOT_SET:
      break;
  }
  return Fault{"law 2", "the rules do not say how this gate is answered"};
}

std::optional<Fault> JudgeGate(const Moment& moment, const v1::GateRule& gate) {
  std::optional<Fault> fault = JudgeAnswer(moment, gate);
  if (!fault || !RightlyAccepted(moment, gate)) return fault;
  if (gate.has_computed()) return JudgeAcceptedComputed(moment, gate.computed());
  return std::nullopt;
}

std::vector<std::string> ClearNotes(const Moment& moment, std::string_view gate_id) {
  const v1::GateRule* gate = moment.book.in_force.yard->FindGate(gate_id);
  std::vector<std::string> notes;
  if (gate == nullptr || JudgeGate(moment, *gate)) return notes;
  for (const AuditedWord* word : GoodWords(moment, *gate)) notes.push_back(word->note);
  return notes;
}

std::optional<int64_t> LastGoodWordUs(const Moment& moment, std::string_view gate_id) {
  const v1::GateRule* gate = moment.book.in_force.yard->FindGate(gate_id);
  std::optional<int64_t> last_us;
  if (gate == nullptr || JudgeGate(moment, *gate)) return last_us;
  for (const AuditedWord* word : GoodWords(moment, *gate))
    last_us = std::max(last_us.value_or(word->time_us), word->time_us);
  return last_us;
}

std::optional<int64_t> AgreedCount(const Moment& moment, const v1::GateRule& gate) {
  if (!gate.has_looked_at() || JudgeAnswer(moment, gate)) return std::nullopt;
  const std::vector<const AuditedWord*> words = GoodWords(moment, gate);
  return words.empty() ? std::nullopt : words.front()->count;
}

}  // namespace chockwise::history
