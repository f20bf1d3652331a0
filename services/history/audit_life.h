// The life of a move as a table: which entry may follow in which state, and where the move stands
// after it. Private to the room.
//
// Pure; safe from any thread.
#pragma once

#include <string>

#include "chockwise/v1/entries.pb.h"

namespace chockwise::history {

/// Whether an entry of that kind is about one move.
bool IsAboutAMove(v1::Entry::WhatCase what);

/// Whether it moves something forward, so that a person has to stand behind it. Law 3.
bool IsForward(v1::Entry::WhatCase what);

struct StateStep {
  v1::MoveState before = v1::MOVE_STATE_UNSPECIFIED;
  v1::MoveState after = v1::MOVE_STATE_UNSPECIFIED;
};
/// Whether the life of a move has this step.
bool IsLegalStep(v1::Entry::WhatCase what, const StateStep& step);

}  // namespace chockwise::history
