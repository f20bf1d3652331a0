// What the checks of written clauses share: which gate cites a clause, and a move on which it is
// put to the proof.
#pragma once

#include <algorithm>
#include <string>

#include "tests/moves/story/story.h"

namespace chockwise::published {

using moves::MoveNumber;
using moves::On;
using moves::RefusalKind;
using moves::Story;

/// Whether the gate of the base rules names the clause among its sources.
inline bool Cites(const std::string& gate_id, const std::string& clause) {
  static const Story story = Story::Small();
  const v1::GateRule* gate = story.state().yard->FindGate(gate_id);
  if (gate == nullptr) return false;
  return std::any_of(
      gate->sources().begin(), gate->sources().end(),
      [&](const std::string& source) { return source.find(clause) != std::string::npos; });
}

/// A service truck at its bay, which is to reverse out; a telehandler that goes through a door or
/// onto a carrier. Nothing is looked at yet; the move's number is 1.
inline Story Truck() {
  Story story = Story::Small();
  story.Ask({.kind = "service-truck-reverses-out", .machine = "ST-1", .to = "apron"});
  return story;
}
inline Story Telehandler() {
  Story story = Story::Small();
  story.Ask({.kind = "machine-through-door", .machine = "TH-1", .to = "line"});
  return story;
}
inline Story Onto(const std::string& phase_of_end = "") {
  Story story = Story::Small();
  story.Ask({.kind = "load-onto-carrier", .machine = "TH-1", .to = "pad", .carrier = "CA-1"});
  if (!phase_of_end.empty()) story.BringTo(1, v1::PHASE_CLOSE_OUT);
  return story;
}

/// Whether a release (or, once it is parked, the close) is kept back by the gate, with everything
/// else clear.
inline bool HoldsBack(Story story, const std::string& gate_id) {
  story.ClearAll(1, gate_id);
  const bool parked = story.move(1).state == v1::MOVE_STATE_PARKED;
  const auto outcome =
      parked ? story.Do("dana", On<v1::CloseMoveRequest>(story, 1)) : story.TryRelease(1);
  if (outcome) return false;
  return std::any_of(outcome.error().gates.begin(), outcome.error().gates.end(),
                     [&](const v1::UnmetGate& gate) { return gate.gate_id() == gate_id; });
}

inline void Find(Story& story, const std::string& person, const std::string& gate_id,
                 const std::string& finding) {
  auto word = On<v1::ConfirmRequest>(story, 1);
  word.set_gate_id(gate_id);
  word.set_finding(finding);
  story.Must(person, word);
}

inline void Inspect(Story& story, const std::string& machine, const std::string& defect) {
  v1::RecordInspectionRequest inspection;
  inspection.set_name(moves::MachineName("small", machine));
  inspection.set_defect(defect);
  story.Must("dana", inspection);
}

inline v1::BeginShiftRequest NextShift(const Story& story) {
  v1::BeginShiftRequest shift;
  shift.set_name(moves::YardName("small"));
  shift.set_title("next");
  shift.mutable_end_time()->set_seconds((story.now() + fit::Hours(8)).micros() / 1'000'000);
  return shift;
}

}  // namespace chockwise::published
