// Everything that keeps a release or a close back: the gates of the phase, and what no rule can
// leave out.

#include <fmt/format.h>

#include <algorithm>
#include <set>

#include "services/moves/gates.h"
#include "services/moves/verdicts.h"

namespace chockwise::moves {
namespace {

v1::UnmetGate LawRefuses(std::string id, std::string title, std::string reason,
                         std::string remedy) {
  v1::UnmetGate gate;
  gate.set_gate_id("law-" + std::move(id));
  gate.set_title(std::move(title));
  gate.set_state(v1::GATE_STATE_NOT_CLEAR);
  gate.set_reason(std::move(reason));
  gate.set_remedy(std::move(remedy));
  gate.set_gate_class(v1::GATE_CLASS_HARD);
  return gate;
}

/// Whether a gate that is asked now counts what stands at the machine in again.
bool CountsIn(const v1::GateRule& rule, const std::string& item) {
  const v1::LookedAt& looked_at = rule.looked_at();
  return looked_at.evidence() == v1::EVIDENCE_COUNT_PICKED_UP && looked_at.item() == item &&
         looked_at.item_stays_with_machine() && rule.gate_class() != v1::GATE_CLASS_RECORD;
}

/// What stands at a machine, and who has said already that it is fewer.
v1::UnmetGate Uncounted(const MachineId& id, const MachineState& machine, const std::string& item) {
  const int64_t stand = machine.StandThere(item);
  std::string said;
  const auto fewer = machine.fewer_said.find(item);
  if (fewer != machine.fewer_said.end() && fewer->second.stood == stand) {
    said = fmt::format("; {} says {}, a second person has not", fewer->second.person.value(),
                       fewer->second.count);
  }
  return LawRefuses("counts-balance", "counts balance",
                    fmt::format("{} put down at {}: {}, and nothing here counts them in{}", item,
                                id.value(), stand, said),
                    "Pick them up and count them; two people, each for themselves, record how many "
                    "stand there now.");
}

/// Law 9: what stands at the machine or was left at it or at the carrier, and no gate of this phase
/// counts. With wheels on chocks that somebody set at a hold point, nothing moves.
std::vector<v1::UnmetGate> StillLying(const Bench& bench, const Move& move) {
  std::vector<v1::UnmetGate> unmet;
  const KindPlan* plan = bench.yard.FindPlan(move.kind);
  if (plan == nullptr) return unmet;
  const std::vector<AskedGate> gates = GatesAsked(*plan, move, PhaseNow(move));
  for (const MachineId& id : {move.machine, move.carrier}) {
    const auto machine = bench.yard.machines.find(id);
    if (machine == bench.yard.machines.end()) continue;
    std::set<std::string> uncounted;
    const auto look = [&](const std::map<std::string, int64_t>& counts, const auto& counted) {
      for (const auto& [item, count] : counts) {
        const bool asked = std::any_of(gates.begin(), gates.end(), [&](const AskedGate& gate) {
          return counted(*gate.rule, item);
        });
        if (count != 0 && !asked) uncounted.insert(item);
      }
    };
    // A carrier's own chocks hold it where it stands; they are its own move's to count.
    if (id == move.machine) look(machine->second.put_down, CountsIn);
    look(machine->second.left_over, [](const v1::GateRule& rule, const std::string& item) {
      return CountsAnew(rule) && rule.looked_at().item() == item;
    });
    for (const std::string& item : uncounted) unmet.push_back(Uncounted(id, machine->second, item));
  }
  // No gate of a move counts what is put down at the units behind the machine.
  for (const MachineId& id : move.towed) {
    const auto unit = bench.yard.machines.find(id);
    if (unit == bench.yard.machines.end()) continue;
    std::set<std::string> lying;
    for (const auto* counts : {&unit->second.put_down, &unit->second.left_over}) {
      for (const auto& [item, count] : *counts) {
        if (count != 0) lying.insert(item);
      }
    }
    for (const std::string& item : lying) unmet.push_back(Uncounted(id, unit->second, item));
  }
  return unmet;
}

}  // namespace

std::vector<v1::UnmetGate> WhatIsMissing(const Bench& bench, const Move& move,
                                         const std::vector<GateStatus>& gates) {
  std::vector<v1::UnmetGate> unmet;
  if (!bench.yard.version.trouble.empty()) {
    unmet.push_back(
        LawRefuses("yard-readable", "yard files",
                   "this build cannot read the yard in force: " + bench.yard.version.trouble,
                   "A yard lead puts the files right and reloads the yard."));
  }
  if (bench.yard.FindPlan(move.kind) == nullptr) {
    unmet.push_back(LawRefuses("kind-known", "kind of move",
                               fmt::format("the rules in force have no kind \"{}\"", move.kind),
                               "Withdraw this move and ask for one that the rules have."));
  }
  for (const StopWord& stop : move.stops) {  // Law 5.
    if (!stop.lifted_by.empty()) continue;
    const std::string who = stop.person.empty() ? "the system" : stop.person.value();
    v1::UnmetGate gate =
        LawRefuses("restart-word", "word to restart",
                   fmt::format("stopped by {}{}{}", who, stop.text.empty() ? "" : ": ", stop.text),
                   "Whoever stopped it, or a yard lead, says it may be made ready again.");
    if (!stop.person.empty()) gate.add_people(stop.person.value());
    gate.add_parties(v1::PARTY_YARD_LEAD);
    unmet.push_back(std::move(gate));
  }
  if (PhaseNow(move) != v1::PHASE_CLOSE_OUT) {
    for (v1::UnmetGate& gate : StillLying(bench, move)) unmet.push_back(std::move(gate));
  }
  for (v1::UnmetGate& gate : Unmet(bench.yard, move, gates)) unmet.push_back(std::move(gate));
  return unmet;
}

}  // namespace chockwise::moves
