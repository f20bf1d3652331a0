// A move in each state in which it is open, for tests that try a law in all of them.
#pragma once

#include "tests/moves/story/story.h"

namespace chockwise::moves {

inline const Asked kHop = {.kind = "short-hop", .machine = "WL-1", .to = "south"};
inline const Asked kWalk = {.kind = "machine-through-door", .machine = "TH-1", .to = "line"};
inline const Asked kLoad = {
    .kind = "load-onto-carrier", .machine = "TH-1", .to = "pad", .carrier = "CA-1"};

inline constexpr v1::MoveState kOpenStates[] = {v1::MOVE_STATE_REQUESTED, v1::MOVE_STATE_RELEASED,
                                                v1::MOVE_STATE_UNDER_WAY, v1::MOVE_STATE_HELD,
                                                v1::MOVE_STATE_STOPPED,   v1::MOVE_STATE_PARKED};

inline bool AllStale(const Move& move) {
  for (const GateWords& gate : move.words) {
    for (const Word& word : gate.words) {
      if (!word.stale) return false;
    }
  }
  return true;
}

/// The small yard with move 1 in that state; a stopped one by Roy, who only reads.
inline Story InState(v1::MoveState state, const Asked& asked = kWalk) {
  Story story = Story::Small();
  story.Ask(asked);
  if (state == v1::MOVE_STATE_REQUESTED) return story;
  story.ClearAll(1);
  story.Release(1);
  if (state == v1::MOVE_STATE_RELEASED) return story;
  story.Begin(1);
  if (state == v1::MOVE_STATE_UNDER_WAY) return story;
  if (state == v1::MOVE_STATE_STOPPED) {
    story.Must("roy", On<v1::StopMoveRequest>(story, 1));
    return story;
  }
  story.Hold(1);
  if (state == v1::MOVE_STATE_HELD) return story;
  story.BringTo(1, v1::PHASE_CLOSE_OUT);
  return story;
}

/// A move at the door line.
inline Story AtTheLine() {
  Story story = Story::Small();
  story.Ask(kWalk);
  story.BringTo(1, v1::PHASE_HOLD_POINT);
  return story;
}

inline Story UnderWay(const Asked& asked = kWalk) {
  Story story = Story::Small();
  story.Ask(asked);
  story.Go(1);
  return story;
}

inline Story Released(const Asked& asked = kWalk) {
  Story story = Story::Small();
  story.Ask(asked);
  story.ClearAll(1);
  story.Release(1);
  return story;
}

/// A request about anything that has a name.
template <class Request>
Request About(const std::string& name) {
  Request request;
  request.set_name(name);
  return request;
}

/// Whether every word on the phase's gates is wanted again.
inline bool LooksAgain(const Story& story) {
  for (const GateStatus& gate : story.Gates(1)) {
    if (gate.rule->has_looked_at() && gate.state == v1::GATE_STATE_CLEAR) return false;
  }
  return true;
}

}  // namespace chockwise::moves
