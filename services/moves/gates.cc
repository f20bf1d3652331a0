#include "services/moves/gates.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/moves/computations.h"
#include "services/moves/parties.h"

namespace chockwise::moves {
namespace {

std::string MinutesText(Duration span) {
  const int64_t seconds = span.micros() / 1'000'000;
  return seconds < 120 ? fmt::format("{} s", seconds) : fmt::format("{} min", seconds / 60);
}

enum class WordState { kMissing, kFinding, kStale, kClear };

/// How one party's word on one gate stands, and why it is not clear.
struct Judged {
  WordState state = WordState::kMissing;
  std::string reason;
};

class LookedAtJudge {
 public:
  LookedAtJudge(const Sight& sight, const v1::GateRule& rule, v1::Phase phase)
      : sight_(sight),
        rule_(rule),
        looked_at_(rule.looked_at()),
        words_(sight.move.FindWords(rule.id(), phase)) {}

  GateStatus Judge() {
    GateStatus status;
    status.rule = &rule_;
    bool any_clear = false;
    bool only_findings = true;
    std::string stale_reason, findings;
    for (const int number : looked_at_.parties()) {
      const auto party = static_cast<v1::Party>(number);
      const Judged judged = JudgeParty(party);
      if (judged.state == WordState::kClear) {
        any_clear = true;
        NoteAge(party, status);
        continue;
      }
      status.missing.push_back(party);
      if (judged.state == WordState::kFinding) {
        findings += (findings.empty() ? "" : "; ") + judged.reason;
      } else {
        only_findings = false;
      }
      if (judged.state == WordState::kStale && stale_reason.empty()) stale_reason = judged.reason;
    }
    const bool enough =
        looked_at_.any_party() ? any_clear && LookedSinceFindings() : status.missing.empty();
    if (!findings.empty()) {
      // A finding stands even where another party's word would be enough. A lead takes what was
      // found, never the word that somebody has not given yet (law 2).
      status.state = v1::GATE_STATE_NOT_CLEAR;
      status.reason = findings;
      status.lead_may_accept = rule_.gate_class() == v1::GATE_CLASS_LEAD_MAY_ACCEPT &&
                               (looked_at_.any_party() || only_findings);
    } else if (enough) {
      status.missing.clear();
      JudgeCounts(status);
    } else if (!stale_reason.empty()) {
      status.state = v1::GATE_STATE_STALE;
      status.reason = stale_reason;
    } else {
      status.state = v1::GATE_STATE_NOT_ASKED;
      status.reason = NotAskedReason(status.missing);
    }
    return status;
  }

 private:
  const Word* FindWord(v1::Party party) const {
    if (words_ == nullptr) return nullptr;
    for (const Word& word : words_->words) {
      if (word.party == party) return &word;
    }
    return nullptr;
  }

  /// Whether some word that counts is younger than every finding that does not count any more: what
  /// one person found does not go away because they did.
  bool LookedSinceFindings() const {
    Instant found;
    Instant looked;
    for (const Word& word : words_->words) {
      if (!word.finding.empty()) found = std::max(found, word.time);
      const bool clear = JudgeParty(word.party).state == WordState::kClear;
      if (clear) looked = std::max(looked, word.time);
    }
    return looked >= found;
  }

  Judged JudgeParty(v1::Party party) const {
    const Word* word = FindWord(party);
    if (word == nullptr) return {};
    // Law 4: the word of a lead who has taken the wheel since is not a second person's any more.
    if (!ActsAs(sight_.state, sight_.move, word->person, party)) {
      return {WordState::kStale, fmt::format("{} is no longer the {} here", word->person.value(),
                                             yard::PartyWord(party))};
    }
    if (word->stale) {
      return {WordState::kStale,
              fmt::format("{} looked, but something has changed since", word->person.value())};
    }
    if (!word->finding.empty()) {
      return {WordState::kFinding, fmt::format("{} ({}): {}", word->person.value(),
                                               yard::PartyWord(party), word->finding)};
    }
    const Duration age = sight_.now - word->time;
    if (looked_at_.has_fresh_for() && age > ToDuration(looked_at_.fresh_for())) {
      return {WordState::kStale,
              fmt::format("{} looked {} ago; it counts for {}", word->person.value(),
                          MinutesText(age), MinutesText(ToDuration(looked_at_.fresh_for())))};
    }
    return {WordState::kClear, ""};
  }

  void NoteAge(v1::Party party, GateStatus& status) const {
    if (!looked_at_.has_fresh_for()) return;
    const Instant stale_at = FindWord(party)->time + ToDuration(looked_at_.fresh_for());
    if (!status.stale_at || stale_at < *status.stale_at) status.stale_at = stale_at;
  }

  std::string NotAskedReason(const std::vector<v1::Party>& missing) const {
    std::string who;
    for (const v1::Party party : missing) {
      if (!who.empty()) who += looked_at_.any_party() ? " or " : " and ";
      who += yard::PartyWord(party);
    }
    return fmt::format("no word yet from the {}", who);
  }

  /// Law 9: what is picked up balances what was put down, in every party's count. Where it does
  /// not, everybody who counted may count again: nobody knows yet whose count was wrong.
  void JudgeCounts(GateStatus& status) const {
    status.state = v1::GATE_STATE_CLEAR;
    const bool picked_up = looked_at_.evidence() == v1::EVIDENCE_COUNT_PICKED_UP;
    const bool put_down = looked_at_.evidence() == v1::EVIDENCE_COUNT_PUT_DOWN;
    if (!picked_up && !put_down) return;
    std::vector<const Word*> counts;
    for (const int number : looked_at_.parties()) {
      const Word* word = FindWord(static_cast<v1::Party>(number));
      if (word == nullptr || word->stale) continue;  // any_party: the others need not have counted
      counts.push_back(word);
    }
    const int64_t expected =
        picked_up ? PutDown(sight_.state, sight_.move, looked_at_) : counts.front()->count;
    const int64_t left =
        CountsAnew(rule_) ? sight_.state.LeftOver(sight_.move, looked_at_.item()) : 0;
    std::string told;
    bool balance = true;
    for (const Word* word : counts) {
      balance = balance && word->count == expected;
      told +=
          fmt::format("{}{} ({})", told.empty() ? "" : " and ", word->count, word->person.value());
    }
    status.reason = fmt::format("{}: {}", looked_at_.item(), expected);
    if (!balance && picked_up) {
      status.reason =
          fmt::format("{} put down: {}, picked up: {}", looked_at_.item(), expected, told);
    } else if (!balance) {
      status.reason = fmt::format("counts of {} differ: {}", looked_at_.item(), told);
    } else if (put_down && expected < looked_at_.least_count()) {
      status.reason = fmt::format("{} put down: {}, at least {} are asked for", looked_at_.item(),
                                  expected, looked_at_.least_count());
    } else if (expected < left) {
      status.reason = fmt::format(
          "{} left by a move before: {}, counted now: {}; find the rest, or two people record how "
          "many there are",
          looked_at_.item(), left, told);
    } else {
      return;
    }
    status.state = v1::GATE_STATE_NOT_CLEAR;
    for (const Word* word : counts) status.missing.push_back(word->party);
  }

  const Sight& sight_;
  const v1::GateRule& rule_;
  const v1::LookedAt& looked_at_;
  const GateWords* words_;
};

std::vector<std::string> PeopleFor(const YardState& state, const Move& move, v1::Party party) {
  constexpr size_t kMostNamed = 5;  // a screen's worth
  std::vector<std::string> people;
  switch (party) {
    case v1::PARTY_DRIVER:
      people.push_back(move.driver.value());
      break;
    case v1::PARTY_SPOTTER:
      if (!move.spotter.empty()) people.push_back(move.spotter.value());
      break;
    case v1::PARTY_YARD_LEAD:
    case v1::PARTY_TECH:
      for (const auto& [id, person] : state.yard->people) {
        const bool fits =
            party == v1::PARTY_TECH ? person.roles.contains(yard::Role::kTech) : state.IsLead(id);
        if (fits && id != move.driver && id != move.spotter && people.size() < kMostNamed) {
          people.push_back(id.value());
        }
      }
      break;
    case v1::PARTY_UNSPECIFIED:
    case v1::Party_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Party_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return people;
}

}  // namespace

bool GateStatus::Blocks() const {
  return rule->gate_class() != v1::GATE_CLASS_RECORD && state != v1::GATE_STATE_CLEAR &&
         accepted_by.empty();
}

fit::Duration ToDuration(const google::protobuf::Duration& duration) {
  return Duration::FromMicros(duration.seconds() * 1'000'000 + duration.nanos() / 1'000);
}

bool AsksIn(const v1::GateRule& rule, v1::Phase phase) {
  return std::find(rule.phases().begin(), rule.phases().end(), phase) != rule.phases().end();
}

std::vector<AskedGate> GatesAsked(const KindPlan& plan, const Move& move, v1::Phase phase) {
  std::vector<AskedGate> asked;
  for (const v1::GateRule* rule : plan.gates) {
    if (AsksIn(*rule, phase)) asked.push_back({rule, phase});
  }
  if (phase != v1::PHASE_START || !move.at_line) return asked;
  for (const v1::GateRule* rule : plan.gates) {
    if (!AsksIn(*rule, v1::PHASE_HOLD_POINT) || AsksIn(*rule, phase)) continue;
    const auto same = std::find_if(asked.begin(), asked.end(), [&](const AskedGate& other) {
      return other.rule->id() == rule->id();
    });
    if (same == asked.end()) {
      asked.push_back({rule, v1::PHASE_HOLD_POINT});
    } else if (rule->has_looked_at()) {
      // The laws' own second word has one id in both phases. It is given at the line. Law 10.
      *same = {rule, v1::PHASE_HOLD_POINT};
    }
  }
  return asked;
}

bool CountsAnew(const v1::GateRule& rule) {
  const v1::LookedAt& looked_at = rule.looked_at();
  return looked_at.evidence() == v1::EVIDENCE_COUNT_PUT_DOWN &&
         !looked_at.item_stays_with_machine() && rule.gate_class() != v1::GATE_CLASS_RECORD;
}

int64_t PutDown(const YardState& state, const Move& move, const v1::LookedAt& looked_at) {
  const std::map<std::string, int64_t>* counts = &move.put_down;
  if (looked_at.item_stays_with_machine()) {
    const auto machine = state.machines.find(move.machine);
    if (machine == state.machines.end()) return 0;
    counts = &machine->second.put_down;
  }
  const auto count = counts->find(looked_at.item());
  return count == counts->end() ? 0 : count->second;
}

namespace {

/// Whether what a lead accepted covers how the gate stands now. Findings are told one after the
/// other in travel order: what lies behind the machine falls away at the front.
bool Covers(const std::string& accepted, const std::string& now) {
  if (accepted == now) return true;
  return !now.empty() && accepted.ends_with("; " + now);
}

/// Who took the gate as it stands. A word belongs to its phase and so does its acceptance; what is
/// computed is the same thing all along the move. Law 4: it does not count once that lead drives or
/// spots the move.
PersonId AcceptedBy(const Sight& sight, const GateStatus& gate) {
  for (const Acceptance& known : sight.move.acceptances) {
    if (known.gate_id != gate.rule->id()) continue;
    if (known.phase != gate.phase && !gate.rule->has_computed()) continue;
    if (Covers(known.stood_at, gate.reason) && ActsAsLead(sight.state, sight.move, known.by))
      return known.by;
  }
  return {};
}

}  // namespace

GateStatus EvaluateGate(const Sight& sight, const v1::GateRule& rule, v1::Phase phase) {
  GateStatus status;
  switch (rule.sort_case()) {
    case v1::GateRule::kLookedAt:
      status = LookedAtJudge(sight, rule, phase).Judge();
      break;
    case v1::GateRule::kComputed: {
      ComputedFinding finding = Compute(sight, rule.computed(), phase);
      status.state = finding.state;
      status.reason = std::move(finding.reason);
      status.lead_may_accept =
          finding.lead_may_accept && rule.gate_class() == v1::GATE_CLASS_LEAD_MAY_ACCEPT;
      break;
    }
    case v1::GateRule::SORT_NOT_SET:
      status.state = v1::GATE_STATE_NOT_CLEAR;  // Law 2.
      status.reason = "the rules do not say how this gate is answered";
      break;
  }
  status.rule = &rule;
  status.phase = phase;
  // An acceptance is for what the lead saw; a gate that stands otherwise now is not accepted.
  if (status.lead_may_accept) status.accepted_by = AcceptedBy(sight, status);
  return status;
}

std::vector<GateStatus> EvaluatePhase(const YardState& state, const Move& move, v1::Phase phase,
                                      Instant now) {
  std::vector<GateStatus> gates;
  const KindPlan* plan = state.FindPlan(move.kind);
  if (plan == nullptr) return gates;
  const Sight sight{.state = state, .yard = *state.yard, .move = move, .now = now};
  for (const AskedGate& asked : GatesAsked(*plan, move, phase))
    gates.push_back(EvaluateGate(sight, *asked.rule, asked.phase));
  return gates;
}

std::vector<v1::UnmetGate> Unmet(const YardState& state, const Move& move,
                                 const std::vector<GateStatus>& gates) {
  std::vector<v1::UnmetGate> unmet;
  for (const GateStatus& gate : gates) {
    if (!gate.Blocks()) continue;
    v1::UnmetGate& out = unmet.emplace_back();
    out.set_gate_id(gate.rule->id());
    out.set_title(gate.rule->title());
    out.set_state(gate.state);
    out.set_reason(gate.reason);
    out.set_remedy(gate.rule->remedy());
    out.set_gate_class(gate.rule->gate_class());
    for (const v1::Party party : gate.missing) {
      out.add_parties(party);
      for (std::string& person : PeopleFor(state, move, party)) out.add_people(std::move(person));
    }
    if (gate.lead_may_accept) {
      out.set_lead_may_accept(true);
      *out.mutable_controls() = gate.rule->controls();
    }
  }
  return unmet;
}

}  // namespace chockwise::moves
