#include "services/moves/plans.h"

#include <algorithm>

#include "services/moves/gates.h"

namespace chockwise::moves {
namespace {

v1::GateRule Computed(std::string id, std::string title, std::string remedy, v1::Phase phase,
                      std::string law) {
  v1::GateRule rule;
  rule.mutable_computed()->set_computation(id);
  rule.set_id("law-" + id);
  rule.set_question(title + "?");
  rule.set_title(std::move(title));
  rule.set_remedy(std::move(remedy));
  rule.set_gate_class(v1::GATE_CLASS_HARD);
  rule.add_phases(phase);
  rule.set_while_moving(true);
  rule.add_sources(std::move(law));
  return rule;
}

v1::GateRule SecondWord(v1::Phase phase) {
  v1::GateRule rule;
  rule.set_id("law-second-word");
  rule.set_title("second person's word");
  rule.set_question("All of it looked at, and may they begin?");
  rule.set_remedy("The spotter or a yard lead gives the word, last of all.");
  rule.set_gate_class(v1::GATE_CLASS_HARD);
  rule.add_phases(phase);
  v1::LookedAt& looked_at = *rule.mutable_looked_at();
  looked_at.add_parties(v1::PARTY_SPOTTER);
  if (phase == v1::PHASE_START) {
    looked_at.add_parties(v1::PARTY_YARD_LEAD);
    looked_at.set_any_party(true);
  } else {
    // Law 10: behind a hold point the spotter's word is given at the line.
    looked_at.set_evidence(v1::EVIDENCE_POST_CODE);
  }
  looked_at.set_given_last(true);
  looked_at.mutable_fresh_for()->set_seconds(300);
  rule.add_sources("law 4");
  return rule;
}

const std::vector<v1::GateRule>& LawGates() {
  static const auto* gates = [] {
    auto* all = new std::vector<v1::GateRule>;
    for (const v1::Phase phase : {v1::PHASE_START, v1::PHASE_HOLD_POINT}) {
      all->push_back(Computed("driver-authorised", "driver authorised",
                              "Another driver takes the wheel.", phase, "law 1"));
      all->push_back(Computed("spotter-bound", "spotter",
                              "Name a free spotter, who takes the role.", phase, "law 4"));
      all->push_back(
          Computed("no-tags", "no tag on it", "Whoever hung the tag clears it.", phase, "law 1"));
      all->push_back(Computed("ground-free", "ground free", "Wait until the other move has closed.",
                              phase, "law 6"));
      all->push_back(Computed("doors-in-service", "doors in service",
                              "A yard lead looks at the door.", phase, "law 1"));
      all->push_back(
          Computed("no-yard-hold", "yard not held", "A yard lead lifts the hold.", phase, "law 5"));
      all->push_back(Computed("shift-running", "shift running", "A yard lead opens the shift.",
                              phase, "law 1"));
      all->push_back(Computed("attended", "driver with the machine", "The driver goes back to it.",
                              phase, "law 1"));
      all->push_back(
          Computed("start-window", "start window", "Ask for the release again.", phase, "law 1"));
    }
    all->push_back(Computed("counts-balance", "counts balance", "Count in what was put down.",
                            v1::PHASE_CLOSE_OUT, "law 9"));
    return all;
  }();
  return *gates;
}

bool Covers(const v1::GateRule& own, const v1::GateRule& law, v1::Phase phase) {
  return own.gate_class() == v1::GATE_CLASS_HARD && own.has_computed() && AsksIn(own, phase) &&
         own.computed().computation() == law.computed().computation();
}

/// Law 4: a word that somebody other than the driver gives last of all.
bool IsSecondWord(const v1::GateRule& gate, v1::Phase phase) {
  const auto& parties = gate.looked_at().parties();
  return gate.gate_class() == v1::GATE_CLASS_HARD && gate.looked_at().given_last() &&
         AsksIn(gate, phase) &&
         std::find(parties.begin(), parties.end(), v1::PARTY_DRIVER) == parties.end();
}

void AddLawGates(KindPlan& plan) {
  const std::vector<const v1::GateRule*> own = plan.gates;
  for (const v1::GateRule& law : LawGates()) {
    const v1::Phase phase = law.phases(0);
    const bool covered = std::any_of(own.begin(), own.end(), [&](const v1::GateRule* gate) {
      return Covers(*gate, law, phase);
    });
    if (!covered) plan.gates.push_back(&law);
  }
  static const auto* second_words =
      new std::vector<v1::GateRule>{SecondWord(v1::PHASE_START), SecondWord(v1::PHASE_HOLD_POINT)};
  for (const v1::GateRule& word : *second_words) {
    const bool given = std::any_of(own.begin(), own.end(), [&](const v1::GateRule* gate) {
      return IsSecondWord(*gate, word.phases(0));
    });
    if (!given) plan.gates.push_back(&word);
  }
}

}  // namespace

std::map<std::string, KindPlan, std::less<>> PlansOf(const yard::Yard& yard) {
  std::map<std::string, KindPlan, std::less<>> plans;
  for (const v1::KindRule& kind : yard.rules.kinds()) {
    KindPlan& plan = plans[kind.id()];
    plan.rule = &kind;
    const auto add = [&](const std::string& gate_id) {
      const v1::GateRule* gate = yard.FindGate(gate_id);
      const bool known = gate == nullptr ||
                         std::find(plan.gates.begin(), plan.gates.end(), gate) != plan.gates.end();
      if (!known) plan.gates.push_back(gate);
    };
    for (const std::string& set_id : kind.gate_set_ids()) {
      for (const v1::GateSet& set : yard.rules.gate_sets()) {
        if (set.id() == set_id) std::for_each(set.gate_ids().begin(), set.gate_ids().end(), add);
      }
    }
    std::for_each(kind.gate_ids().begin(), kind.gate_ids().end(), add);
    AddLawGates(plan);
  }
  return plans;
}

}  // namespace chockwise::moves
