#include "cli-client/steps.h"

#include <fmt/format.h>

#include <algorithm>

#include "cli-client/words.h"
#include "services/moves/life.h"

namespace chockwise::cli {
namespace {

bool IsLead(const v1::Identity& me) {
  return HasRole(me, "yard-lead") || HasRole(me, "safety-lead");
}

bool IsParty(v1::Party party, const v1::Move& move, const v1::Identity& me) {
  const bool in_it = me.person() == move.driver() || me.person() == move.spotter();
  switch (party) {
    case v1::PARTY_DRIVER:
      return me.person() == move.driver();
    case v1::PARTY_SPOTTER:
      return me.person() == move.spotter() && move.spotter_accepted();
    case v1::PARTY_YARD_LEAD:
      return !in_it && IsLead(me);
    case v1::PARTY_TECH:
      return !in_it && HasRole(me, "tech");
    case v1::PARTY_UNSPECIFIED:
    case v1::Party_INT_MIN_SENTINEL_DO_NOT_USE_:
    case v1::Party_INT_MAX_SENTINEL_DO_NOT_USE_:
      break;
  }
  return false;
}

bool MayAccept(const v1::Move& move, const v1::Identity& me) {
  if (move.spotter_accepted() || me.person() == move.driver()) return false;
  return move.spotter() == me.person() || (move.spotter().empty() && HasRole(me, "spotter"));
}

bool AnyOpen(const v1::Move& move) {
  return std::ranges::any_of(move.gates(), [](const v1::Gate& gate) {
    return gate.state() != v1::GATE_STATE_CLEAR && gate.accepted_by().empty() &&
           gate.gate_class() != v1::GATE_CLASS_RECORD;
  });
}

bool StopStands(const v1::Move& move) {
  return std::ranges::any_of(move.stop_words(),
                             [](const v1::StopWord& word) { return word.lifted_by().empty(); });
}

bool MayLift(const v1::Move& move, const v1::Identity& me) {
  return IsParty(v1::PARTY_YARD_LEAD, move, me) ||
         std::ranges::any_of(move.stop_words(), [&](const v1::StopWord& word) {
           return word.lifted_by().empty() && word.person() == me.person();
         });
}

void AddWalk(std::vector<Step>& steps, const v1::Move& move, const v1::Identity& me) {
  if (const int waiting = GatesWaitingFor(move, me); waiting > 0) {
    steps.push_back({"walk", fmt::format("Walk your gates ({})", waiting)});
  }
}

void AddRelease(std::vector<Step>& steps, const v1::Move& move, const v1::Identity& me) {
  if (me.person() != move.driver()) return;
  steps.push_back({"release", AnyOpen(move) ? "Ask for the release (gates are still open)"
                                            : "Ask for the release"});
}

void AddUnderWay(std::vector<Step>& steps, const v1::Move& move, const v1::Identity& me) {
  const bool driver = me.person() == move.driver();
  const bool ends_at_stop = !move.release().limit().empty();
  if (ends_at_stop && (driver || me.person() == move.spotter())) {
    steps.push_back({"held", fmt::format("It stands braked at {}", move.release().limit())});
  }
  if (!ends_at_stop && driver) steps.push_back({"parked", "It stands where it was to go"});
  if (driver) steps.push_back({"breakdown", "It broke down"});
}

}  // namespace

bool HasRole(const v1::Identity& me, std::string_view role) {
  return std::ranges::find(me.roles(), role) != me.roles().end();
}

bool WaitsFor(const v1::Gate& gate, const v1::Move& move, const v1::Identity& me) {
  if (gate.state() == v1::GATE_STATE_CLEAR || !gate.accepted_by().empty()) return false;
  return std::ranges::any_of(gate.missing_parties(), [&](int party) {
    return IsParty(static_cast<v1::Party>(party), move, me);
  });
}

int GatesWaitingFor(const v1::Move& move, const v1::Identity& me) {
  return static_cast<int>(std::ranges::count_if(
      move.gates(), [&](const v1::Gate& gate) { return WaitsFor(gate, move, me); }));
}

std::vector<Step> NextSteps(const v1::Move& move, const v1::Identity& me) {
  std::vector<Step> steps;
  if (moves::HasEnded(move.state())) return steps;
  const bool in_it = me.person() == move.driver() || me.person() == move.spotter();
  if (MayAccept(move, me)) steps.push_back({"accept", "Take the spotter's role"});
  const v1::MoveState state = move.state();
  if (state == v1::MOVE_STATE_STOPPED && StopStands(move)) {
    if (MayLift(move, me)) steps.push_back({"restart", "Let it be made ready again"});
  } else if (state == v1::MOVE_STATE_REQUESTED || state == v1::MOVE_STATE_HELD ||
             state == v1::MOVE_STATE_STOPPED) {
    AddWalk(steps, move, me);
    AddRelease(steps, move, me);
  }
  if (state == v1::MOVE_STATE_RELEASED && me.person() == move.driver()) {
    steps.push_back({"moving", "The wheels are about to turn"});
  }
  if (state == v1::MOVE_STATE_UNDER_WAY) AddUnderWay(steps, move, me);
  if (state == v1::MOVE_STATE_PARKED) {
    if (StopStands(move) && MayLift(move, me)) steps.push_back({"restart", "Lift the stop"});
    AddWalk(steps, move, me);
    if (me.person() == move.driver()) steps.push_back({"close", "Close the move"});
  }
  steps.push_back({"stop", "STOP it"});
  if (in_it && state != v1::MOVE_STATE_PARKED) steps.push_back({"refuse", "Refuse it"});
  const bool may_withdraw = in_it || IsLead(me) || me.person() == move.requester();
  if (may_withdraw && (state == v1::MOVE_STATE_REQUESTED || state == v1::MOVE_STATE_RELEASED)) {
    steps.push_back({"withdraw", "Take it back"});
  }
  return steps;
}

}  // namespace chockwise::cli
