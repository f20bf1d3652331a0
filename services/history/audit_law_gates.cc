#include "services/history/audit_law_gates.h"

#include <algorithm>
#include <array>
#include <string>
#include <string_view>

namespace chockwise::history {
namespace {

/// Laws 1, 4, 5 and 6: what has to hold before the wheels turn, from the start and from a line.
constexpr std::array<std::string_view, 9> kBeforeMotion = {
    "attended",     "doors-in-service", "driver-authorised", "ground-free", "no-tags",
    "no-yard-hold", "shift-running",    "spotter-bound",     "start-window"};
/// Law 9.
constexpr std::string_view kAtTheClose = "counts-balance";

bool IsHardIn(const v1::GateRule& gate, v1::Phase phase) {
  return gate.gate_class() == v1::GATE_CLASS_HARD &&
         std::ranges::find(gate.phases(), static_cast<int>(phase)) != gate.phases().end();
}

v1::GateRule* MakeGate(std::string_view id, v1::Phase phase) {
  auto* gate = new v1::GateRule;  // once for each law and phase
  gate->set_id("law-" + std::string(id));
  gate->set_gate_class(v1::GATE_CLASS_HARD);
  gate->add_phases(phase);
  return gate;
}

const v1::GateRule* MakeComputed(std::string_view computation, v1::Phase phase) {
  v1::GateRule* gate = MakeGate(computation, phase);
  gate->mutable_computed()->set_computation(std::string(computation));
  return gate;
}

/// Law 4: somebody other than the driver, last of all, within five minutes; behind a line the
/// spotter at that line (law 10).
const v1::GateRule* MakeSecondWord(v1::Phase phase) {
  v1::GateRule* gate = MakeGate("second-word", phase);
  v1::LookedAt& looked_at = *gate->mutable_looked_at();
  looked_at.set_given_last(true);
  looked_at.mutable_fresh_for()->set_seconds(300);
  looked_at.add_parties(v1::PARTY_SPOTTER);
  if (phase == v1::PHASE_HOLD_POINT) {
    looked_at.set_evidence(v1::EVIDENCE_POST_CODE);
  } else {
    looked_at.add_parties(v1::PARTY_YARD_LEAD);
    looked_at.set_any_party(true);
  }
  return gate;
}

bool IsSecondWord(const v1::GateRule& gate) {
  const auto& parties = gate.looked_at().parties();
  return gate.looked_at().given_last() &&
         std::ranges::find(parties, static_cast<int>(v1::PARTY_DRIVER)) == parties.end();
}

}  // namespace

std::vector<const v1::GateRule*> LawGatesBeside(const std::vector<const v1::GateRule*>& own) {
  static const auto* all = [] {
    auto* gates = new std::vector<const v1::GateRule*>;
    for (const v1::Phase phase : {v1::PHASE_START, v1::PHASE_HOLD_POINT}) {
      for (const std::string_view computation : kBeforeMotion)
        gates->push_back(MakeComputed(computation, phase));
      gates->push_back(MakeSecondWord(phase));
    }
    gates->push_back(MakeComputed(kAtTheClose, v1::PHASE_CLOSE_OUT));
    return gates;
  }();
  std::vector<const v1::GateRule*> missing;
  for (const v1::GateRule* law : *all) {
    const auto phase = static_cast<v1::Phase>(law->phases(0));
    const bool asked = std::ranges::any_of(own, [&](const v1::GateRule* gate) {
      if (!IsHardIn(*gate, phase)) return false;
      return law->has_computed() ? gate->computed().computation() == law->computed().computation()
                                 : IsSecondWord(*gate);
    });
    if (!asked) missing.push_back(law);
  }
  return missing;
}

}  // namespace chockwise::history
