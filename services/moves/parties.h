// Who acts in which role on a move. Law 4: nobody is the only second person on their own move.
#pragma once

#include <vector>

#include "services/moves/state.h"

namespace chockwise::moves {

/// A yard lead or safety lead who neither drives nor spots this move.
inline bool ActsAsLead(const YardState& yard, const Move& move, const PersonId& person) {
  return yard.IsLead(person) && person != move.driver && person != move.spotter;
}

/// Whether a person's word counts as that party's on this move.
inline bool ActsAs(const YardState& yard, const Move& move, const PersonId& person,
                   v1::Party party) {
  switch (party) {
    case v1::PARTY_DRIVER:
      return person == move.driver;
    case v1::PARTY_SPOTTER:
      return person == move.spotter && move.spotter_accepted && person != move.driver;
    case v1::PARTY_YARD_LEAD:
      return ActsAsLead(yard, move, person);
    case v1::PARTY_TECH:
      return yard.HasRole(person, yard::Role::kTech) && person != move.driver &&
             person != move.spotter;
    case v1::PARTY_UNSPECIFIED:
    case v1::Party_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Party_INT_MAX_SENTINEL_DO_NOT_USE_:
      return false;
  }
  return false;
}

}  // namespace chockwise::moves
