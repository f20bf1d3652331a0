#include "services/history/audit_life.h"

#include <algorithm>
#include <map>
#include <set>

namespace chockwise::history {
namespace {

using E = v1::Entry;

constexpr v1::MoveState kRequested = v1::MOVE_STATE_REQUESTED;
constexpr v1::MoveState kReleased = v1::MOVE_STATE_RELEASED;
constexpr v1::MoveState kUnderWay = v1::MOVE_STATE_UNDER_WAY;
constexpr v1::MoveState kHeld = v1::MOVE_STATE_HELD;
constexpr v1::MoveState kStopped = v1::MOVE_STATE_STOPPED;
constexpr v1::MoveState kParked = v1::MOVE_STATE_PARKED;
constexpr v1::MoveState kLeftStanding = v1::MOVE_STATE_LEFT_STANDING;

struct Row {
  std::set<v1::MoveState> before;
  std::set<v1::MoveState> after;  // empty: as before
};
using Table = std::multimap<E::WhatCase, Row>;

const Table& Steps() {
  static const std::set<v1::MoveState> standing = {kRequested, kReleased, kHeld, kStopped, kParked};
  static const std::set<v1::MoveState> asking = {kRequested, kHeld, kStopped};
  static const std::set<v1::MoveState> open = {kRequested, kReleased, kUnderWay,
                                               kHeld,      kStopped,  kParked};
  static const Table table = {
      {E::kSpotterNamed, {standing, {}}},
      {E::kSpottingAccepted, {standing, {}}},
      {E::kSpottingLeft, {open, {}}},
      {E::kDriverSwapped, {standing, {}}},
      {E::kGateConfirmed, {standing, {}}},
      {E::kGateAccepted, {standing, {}}},
      {E::kReleased, {asking, {kReleased}}},
      {E::kReleaseRefused, {asking, {}}},
      {E::kReleaseVoided, {{kReleased}, {kRequested, kHeld, kStopped}}},
      {E::kMoveBegun, {{kReleased}, {kUnderWay}}},
      {E::kMoveHeld, {{kUnderWay}, {kHeld}}},
      {E::kMoveParked, {{kUnderWay, kStopped}, {kParked}}},
      {E::kCloseRefused, {{kParked}, {}}},
      {E::kMoveClosed, {{kParked}, {v1::MOVE_STATE_CLOSED}}},
      {E::kMoveStopped, {open, {kStopped}}},
      {E::kMoveStopped, {{kParked}, {kParked}}},
      {E::kRestartAllowed, {{kStopped, kParked}, {}}},
      {E::kMoveRefused, {{kRequested, kReleased, kHeld, kStopped}, {v1::MOVE_STATE_REFUSED}}},
      {E::kMoveWithdrawn, {{kRequested, kReleased, kStopped}, {v1::MOVE_STATE_WITHDRAWN}}},
      {E::kDriverAway, {open, {}}},
      {E::kBrokeDown, {open, {kLeftStanding}}},
      {E::kGatesStaled, {open, {}}},
      {E::kGroundCleared, {{kLeftStanding}, {}}},
  };
  return table;
}

}  // namespace

bool IsAboutAMove(E::WhatCase what) { return what == E::kMoveRequested || Steps().contains(what); }

bool IsForward(E::WhatCase what) {
  static const std::set<E::WhatCase> forward = {
      E::kMoveRequested, E::kSpotterNamed,      E::kSpottingAccepted, E::kDriverSwapped,
      E::kGateConfirmed, E::kGateAccepted,      E::kReleased,         E::kMoveBegun,
      E::kMoveHeld,      E::kMoveParked,        E::kMoveClosed,       E::kRestartAllowed,
      E::kShiftBegun,    E::kHoldLifted,        E::kDoorReturned,     E::kTagCleared,
      E::kGroundCleared, E::kInspectionRecorded};
  return forward.contains(what);
}

bool IsLegalStep(E::WhatCase what, const StateStep& step) {
  auto [first, last] = Steps().equal_range(what);
  return std::any_of(first, last, [&step](const Table::value_type& row) {
    if (!row.second.before.contains(step.before)) return false;
    return row.second.after.empty() ? step.after == step.before
                                    : row.second.after.contains(step.after);
  });
}

}  // namespace chockwise::history
