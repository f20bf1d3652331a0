// What a move does to those who look at the ground next to it.

#include <algorithm>

#include "services/moves/verdicts.h"

namespace chockwise::moves {
namespace {

bool HasWordThatOutlives(const YardState& yard, const Move& move) {
  for (const GateWords& gate : move.words) {
    const v1::GateRule* rule = yard.yard->FindGate(gate.gate_id);
    if (rule == nullptr) continue;
    const auto& stale_on = rule->looked_at().stale_on();
    if (std::find(stale_on.begin(), stale_on.end(), v1::HAPPENING_NEIGHBOUR_MOVED) ==
        stale_on.end())
      continue;
    const bool fresh = std::any_of(gate.words.begin(), gate.words.end(),
                                   [](const Word& word) { return !word.stale; });
    if (fresh) return true;
  }
  return false;
}

}  // namespace

void StaleNeighbours(Entries& entries, const Bench& bench, const Move& mover) {
  for (const auto& [number, move] : bench.yard.moves) {
    const bool standing = move.state == v1::MOVE_STATE_REQUESTED ||
                          move.state == v1::MOVE_STATE_STOPPED || move.state == v1::MOVE_STATE_HELD;
    if (number == mover.number || !standing || move.words.empty()) continue;
    const bool shares =
        std::any_of(move.way->ground.begin(), move.way->ground.end(),
                    [&](const std::string& ground) { return mover.way->ground.contains(ground); });
    if (!shares || !HasWordThatOutlives(bench.yard, move)) continue;
    v1::Entry entry = FollowingEntry(bench, move, move.state);
    entry.mutable_gates_staled()->set_happening(v1::HAPPENING_NEIGHBOUR_MOVED);
    entries.push_back(std::move(entry));
  }
}

}  // namespace chockwise::moves
