#include <google/protobuf/util/message_differencer.h>

#include <algorithm>
#include <iterator>
#include <utility>

#include "services/moves/fold.h"
#include "services/moves/gates.h"

namespace chockwise::moves {
namespace {

std::map<std::string, int64_t>& CountsOf(YardState& yard, Move& move,
                                         const v1::LookedAt& looked_at) {
  return looked_at.item_stays_with_machine() ? yard.machines[move.machine].put_down : move.put_down;
}

}  // namespace

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

void StaleReworded(const yard::Yard& before, const yard::Yard& now, Move& move) {
  for (GateWords& gate : move.words) {
    const v1::GateRule* old_rule = before.FindGate(gate.gate_id);
    const v1::GateRule* rule = now.FindGate(gate.gate_id);
    if (old_rule == nullptr || rule == nullptr) continue;  // the laws' own gates stay as they are
    if (google::protobuf::util::MessageDifferencer::Equals(*old_rule, *rule)) continue;
    for (Word& word : gate.words) word.stale = true;
  }
}

void StaleCounts(const YardState& yard, Move& move, const std::string& item) {
  for (GateWords& gate : move.words) {
    const v1::GateRule* rule = yard.yard->FindGate(gate.gate_id);
    if (rule == nullptr || rule->looked_at().item() != item) continue;
    for (Word& word : gate.words) word.stale = true;
  }
}

void StaleGivenLast(const YardState& yard, Move& move, v1::Phase phase) {
  const KindPlan* plan = yard.FindPlan(move.kind);
  if (plan == nullptr) return;
  for (GateWords& gate : move.words) {
    // At a hold point both phases may be asked at once, and what is last is last of both.
    const bool last =
        (gate.phase == phase || move.at_line) &&
        std::any_of(plan->gates.begin(), plan->gates.end(), [&](const v1::GateRule* rule) {
          return rule->id() == gate.gate_id && rule->looked_at().given_last();
        });
    if (!last) continue;
    for (Word& word : gate.words) word.stale = true;
  }
}

void PickUp(YardState& yard, Move& move, v1::Phase phase) {
  const KindPlan* plan = yard.FindPlan(move.kind);
  if (plan == nullptr) return;
  for (const AskedGate& asked : GatesAsked(*plan, move, phase)) {
    const v1::LookedAt& looked_at = asked.rule->looked_at();
    if (looked_at.evidence() == v1::EVIDENCE_COUNT_PICKED_UP)
      CountsOf(yard, move, looked_at)[looked_at.item()] = 0;
  }
}

void TakeOver(YardState& yard, Move& move, v1::Phase phase) {
  const KindPlan* plan = yard.FindPlan(move.kind);
  if (plan == nullptr) return;
  for (const AskedGate& asked : GatesAsked(*plan, move, phase)) {
    if (!CountsAnew(*asked.rule)) continue;
    const std::string& item = asked.rule->looked_at().item();
    const int64_t left = yard.LeftOver(move, item);
    if (left == 0) continue;
    int64_t& own = move.put_down[item];
    own = std::max(own, left);
    for (const MachineId& id : {move.machine, move.carrier}) {
      const auto machine = yard.machines.find(id);
      if (machine != yard.machines.end()) machine->second.left_over.erase(item);
    }
  }
}

void LeaveBehind(YardState& yard, const Move& move) {
  const MachineId& keeper = move.carrier.empty() ? move.machine : move.carrier;
  for (const auto& [item, count] : move.put_down) {
    // A move that never began had counted those again that lay there already.
    const int64_t known = yard.LeftOver(move, item);
    if (count > known) yard.machines[keeper].left_over[item] += count - known;
  }
}

void RecordWord(YardState& yard, Move& move, const v1::Entry& entry) {
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
  // What a lead accepted is what stood there before this word.
  std::erase_if(move.acceptances, [&](const Acceptance& known) {
    return known.gate_id == confirmed.gate_id() && known.phase == confirmed.phase();
  });
  const v1::GateRule* rule = yard.yard->FindGate(confirmed.gate_id());
  if (rule == nullptr) return;  // the laws' own word: it is given last itself
  const bool counts_before_last =
      !rule->looked_at().given_last() && rule->gate_class() != v1::GATE_CLASS_RECORD;
  if (counts_before_last) StaleGivenLast(yard, move, confirmed.phase());
  if (rule->looked_at().evidence() != v1::EVIDENCE_COUNT_PUT_DOWN) return;
  const Sight sight{
      .state = yard, .yard = *yard.yard, .move = move, .now = Instant::FromMicros(entry.time_us())};
  if (EvaluateGate(sight, *rule, confirmed.phase()).state == v1::GATE_STATE_CLEAR) {
    CountsOf(yard, move, rule->looked_at())[rule->looked_at().item()] = confirmed.count();
  }
}

}  // namespace chockwise::moves
