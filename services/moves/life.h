// Where the life of a move ends. Pure; safe from any thread.
#pragma once

#include "chockwise/v1/moves.pb.h"

namespace chockwise::moves {

inline bool HasEnded(v1::MoveState state) {
  switch (state) {
    case v1::MOVE_STATE_CLOSED:
    case v1::MOVE_STATE_WITHDRAWN:
    case v1::MOVE_STATE_REFUSED:
    case v1::MOVE_STATE_LEFT_STANDING:
      return true;
    case v1::MOVE_STATE_UNSPECIFIED:
    case v1::MOVE_STATE_REQUESTED:
    case v1::MOVE_STATE_RELEASED:
    case v1::MOVE_STATE_UNDER_WAY:
    case v1::MOVE_STATE_HELD:
    case v1::MOVE_STATE_STOPPED:
    case v1::MOVE_STATE_PARKED:
    case v1::MoveState_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::MoveState_INT_MAX_SENTINEL_DO_NOT_USE_:
      return false;
  }
  return false;
}

}  // namespace chockwise::moves
