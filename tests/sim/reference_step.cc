// Laws 3, 5 and 7 as a difference between the yard before an order and the yard after it.
#include <fmt/format.h>

#include <algorithm>

#include "tests/sim/reference.h"

namespace chockwise::sim {
namespace {

bool AllWordsStale(const moves::Move& move) {
  for (const moves::GateWords& gate : move.words) {
    for (const moves::Word& word : gate.words) {
      if (!word.stale) return false;
    }
  }
  return true;
}

size_t GoodWords(const moves::Move& move) {
  size_t good = 0;
  for (const moves::GateWords& gate : move.words) {
    good += static_cast<size_t>(std::count_if(gate.words.begin(), gate.words.end(),
                                              [](const auto& word) { return !word.stale; }));
  }
  return good;
}

size_t StopsStanding(const moves::Move& move) {
  return static_cast<size_t>(
      std::count_if(move.stops.begin(), move.stops.end(),
                    [](const auto& stop) { return stop.lifted_by.empty(); }));
}

/// Law 5.
void JudgeStop(const Step& step, Breaks& breaks) {
  const auto before = step.before.moves.find(step.order.move);
  if (before == step.before.moves.end()) return;  // ended: there is nothing to stop
  if (!step.accepted) return breaks.push_back({"law 5", "a stop was refused"});
  const moves::Move& move = step.after.moves.at(step.order.move);
  if (move.state != v1::MOVE_STATE_STOPPED && move.state != v1::MOVE_STATE_PARKED) {
    breaks.push_back({"law 5", "stopped, and it does not stand"});
  }
  if (!AllWordsStale(move)) breaks.push_back({"law 5", "a word outlived a stop"});
  if (!move.StopStands()) breaks.push_back({"law 5", "no word is asked for to restart"});
}

/// Law 3: nothing is further than before.
void JudgeNoFurther(const Step& step, Breaks& breaks) {
  for (const auto& [number, after] : step.after.moves) {
    const auto before = step.before.moves.find(number);
    if (before == step.before.moves.end()) {
      breaks.push_back({"law 3", "the system asked for a move"});
      continue;
    }
    const bool same = after.state == before->second.state;
    const bool taken_back = before->second.release &&
                            before->second.state == v1::MOVE_STATE_RELEASED &&
                            after.state == before->second.release->from_state;
    // A move that waits at a line falls back further than one that has not begun.
    const bool was_on_its_way = before->second.state == v1::MOVE_STATE_UNDER_WAY ||
                                before->second.state == v1::MOVE_STATE_RELEASED ||
                                before->second.state == v1::MOVE_STATE_HELD;
    const bool stopped =
        was_on_its_way && after.state == v1::MOVE_STATE_STOPPED && after.StopStands();
    if (!same && !taken_back && !stopped)
      breaks.push_back({"law 3", fmt::format("the system moved move {} on", number)});
    const bool better = GoodWords(after) > GoodWords(before->second) ||
                        StopsStanding(after) < StopsStanding(before->second) ||
                        after.acceptances.size() > before->second.acceptances.size() ||
                        (before->second.unattended && !after.unattended);
    if (better)
      breaks.push_back({"law 3", fmt::format("the system made a gate of move {} better", number)});
  }
  for (const auto& [id, machine] : step.before.machines) {
    if (step.after.machines.at(id).tags.size() < machine.tags.size())
      breaks.push_back({"law 3", "the system took a tag off"});
  }
  if (step.before.hold && !step.after.hold)
    breaks.push_back({"law 3", "the system lifted the hold"});
  if (step.after.doors_out.size() < step.before.doors_out.size())
    breaks.push_back({"law 3", "the system gave a door back"});
  if (!step.before.shift && step.after.shift)
    breaks.push_back({"law 3", "the system opened a shift"});
}

/// Law 7.
void JudgeFallBack(const Step& step, Breaks& breaks) {
  if (!step.accepted) return breaks.push_back({"law 7", "a restart was refused"});
  for (const auto& [number, after] : step.after.moves) {
    if (after.state == v1::MOVE_STATE_RELEASED || after.state == v1::MOVE_STATE_UNDER_WAY ||
        after.release) {
      breaks.push_back({"law 7", fmt::format("move {} came back released", number)});
    }
    if (!AllWordsStale(after))
      breaks.push_back({"law 7", fmt::format("a word of move {} outlived a restart", number)});
    const moves::Move& before = step.before.moves.at(number);
    const bool was_moving = before.state == v1::MOVE_STATE_UNDER_WAY;
    if (was_moving && (after.state != v1::MOVE_STATE_STOPPED || !after.StopStands())) {
      breaks.push_back({"law 7", fmt::format("move {} was under way and is not stopped", number)});
    }
  }
}

}  // namespace

Breaks JudgeStep(const Step& step) {
  Breaks breaks;
  switch (step.order.sort) {
    case OrderSort::kStop:
      JudgeStop(step, breaks);
      break;
    case OrderSort::kSystem:
      JudgeNoFurther(step, breaks);
      break;
    case OrderSort::kFallBack:
      JudgeNoFurther(step, breaks);
      JudgeFallBack(step, breaks);
      break;
    case OrderSort::kPerson:
    case OrderSort::kWait:
      break;
  }
  return breaks;
}

}  // namespace chockwise::sim
