// How the gates of a move stand at an instant. Pure reads of the live state; one place for every
// caller, so that a screen, a release and a first motion can never disagree.
//
//   for (const GateStatus& gate : EvaluatePhase(state, move, PhaseNow(move), now)) if
//   (gate.Blocks()) ...
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "services/moves/state.h"

namespace chockwise::moves {

/// A gate, and the phase in which the words on it are given.
struct AskedGate {
  const v1::GateRule* rule = nullptr;
  v1::Phase phase = v1::PHASE_UNSPECIFIED;
};

/// The gates that a phase asks of a move, in order. The restart of a move that was stopped at a
/// hold point asks those of the start and those of the line: feet and eyes again, where it stands.
/// Law 5.
std::vector<AskedGate> GatesAsked(const KindPlan& plan, const Move& move, v1::Phase phase);

struct GateStatus {
  const v1::GateRule* rule = nullptr;
  v1::Phase phase = v1::PHASE_UNSPECIFIED;
  v1::GateState state = v1::GATE_STATE_NOT_ASKED;
  std::string reason;               // why not clear, or the margin where it is
  bool lead_may_accept = false;     // as it stands
  PersonId accepted_by;             // a lead took it as it stands; empty: nobody
  std::vector<v1::Party> missing;   // whose word is still wanted
  std::optional<Instant> stale_at;  // when it turns stale by age

  /// Whether it keeps a release or a close back. Laws 1 and 2: only clear is clear.
  bool Blocks() const;
};

/// What a gate is judged on. The yard is named apart from the state, so that a version that is not
/// in force yet can be tried on.
struct Sight {
  const YardState& state;
  const yard::Yard& yard;
  const Move& move;
  Instant now;
};

GateStatus EvaluateGate(const Sight& sight, const v1::GateRule& rule, v1::Phase phase);

/// Every gate that the move's kind asks in that phase, in order. Empty where the rules in force do
/// not have the kind.
std::vector<GateStatus> EvaluatePhase(const YardState& state, const Move& move, v1::Phase phase,
                                      Instant now);

/// Those that block, as the wire says them.
std::vector<v1::UnmetGate> Unmet(const YardState& state, const Move& move,
                                 const std::vector<GateStatus>& gates);

bool AsksIn(const v1::GateRule& rule, v1::Phase phase);

/// Whether it counts what is put down for the length of a move, and so counts again what moves
/// before left lying there. Law 9.
bool CountsAnew(const v1::GateRule& rule);

/// Where the count of a gate's item is kept: what was put down there and not picked up.
int64_t PutDown(const YardState& state, const Move& move, const v1::LookedAt& looked_at);

fit::Duration ToDuration(const google::protobuf::Duration& duration);

}  // namespace chockwise::moves
