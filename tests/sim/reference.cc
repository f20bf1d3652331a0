#include "tests/sim/reference.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>

#include "tests/sim/story.h"

namespace chockwise::sim {
namespace {

/// Everything that has to hold when wheels may turn and when they do.
Breaks JudgeGo(const Story& story, const E& entry, v1::Phase phase) {
  Breaks breaks = story.WhyMayNotGo(entry.move(), phase, entry.time_us());
  const bool both = phase == v1::PHASE_START && story.lives.at(entry.move()).at_line;
  for (const Gate& gate : Gates()) {
    const bool asked = gate.phase == phase || (both && gate.phase == v1::PHASE_HOLD_POINT);
    if (!asked) continue;
    std::string why = story.WhyNotClear(entry.move(), gate, entry.time_us());
    const bool counts = gate.id.starts_with("chocks") && why.find("chocks in") != std::string::npos;
    if (!why.empty()) breaks.push_back({counts ? "law 9" : "law 1", std::move(why)});
  }
  return breaks;
}

Breaks JudgeReleased(const Story& story, const E& entry) {
  const Life& life = story.lives.at(entry.move());
  const v1::Phase phase =
      life.state == v1::MOVE_STATE_HELD ? v1::PHASE_HOLD_POINT : v1::PHASE_START;
  Breaks breaks = JudgeGo(story, entry, phase);
  const bool asking = life.state == v1::MOVE_STATE_REQUESTED || life.state == v1::MOVE_STATE_HELD ||
                      life.state == v1::MOVE_STATE_STOPPED;
  if (!asking) breaks.push_back({"law 1", "released in a state that no release begins in"});
  if (entry.person() != life.driver) breaks.push_back({"law 3", "released for " + entry.person()});
  if (entry.released().phase() != phase)
    breaks.push_back({"law 1", "released on another phase's gates"});
  if (story.ShiftLeftUs(entry.time_us()) < 600 * kSecond)
    breaks.push_back({"law 1", "too near the shift's end"});
  if (entry.released().start_by_time_us() - entry.time_us() > 60 * kSecond)
    breaks.push_back({"law 1", "too long a window"});
  const std::string limit = life.held == 0 ? "door" : "";
  if (entry.released().limit() != limit)
    breaks.push_back({"law 10", "released past the next line"});
  for (const Stop& stop : life.stops) {
    if (!stop.lifted) breaks.push_back({"law 5", "the stop of \"" + stop.by + "\" stands"});
  }
  return breaks;
}

Breaks JudgeBegun(const Story& story, const E& entry) {
  const Life& life = story.lives.at(entry.move());
  if (life.state != v1::MOVE_STATE_RELEASED) return {{"law 1", "begun without a release"}};
  Breaks breaks = JudgeGo(story, entry, life.released_for);
  if (entry.person() != life.driver) breaks.push_back({"law 3", "begun by " + entry.person()});
  if (entry.time_us() > life.start_by_us)
    breaks.push_back({"law 1", "begun after the start window"});
  return breaks;
}

Breaks JudgeClosed(const Story& story, const E& entry) {
  Breaks breaks;
  const Life& life = story.lives.at(entry.move());
  if (life.state != v1::MOVE_STATE_PARKED) breaks.push_back({"law 1", "closed while not parked"});
  for (const Gate& gate : Gates()) {
    if (gate.phase != v1::PHASE_CLOSE_OUT) continue;
    std::string why = story.WhyNotClear(entry.move(), gate, entry.time_us());
    if (!why.empty())
      breaks.push_back({gate.id == "chocks-set" ? "law 9" : "law 1", std::move(why)});
  }
  for (const Stop& stop : life.stops) {
    if (!stop.lifted) breaks.push_back({"law 5", "closed under the stop of \"" + stop.by + "\""});
  }
  return breaks;
}

/// Words, roles and ends that are not this person's, or not now.
Breaks JudgeOther(const Story& story, const E& entry) {
  const auto found = story.lives.find(entry.move());
  if (found == story.lives.end()) return {};
  const Life& life = found->second;
  const std::string& who = entry.person();
  Breaks breaks;
  const auto need = [&](bool right, const char* law, const char* what) {
    if (!right) breaks.push_back({law, fmt::format("{} (by \"{}\")", what, who)});
  };
  if (entry.has_gate_confirmed()) {
    need(life.state != v1::MOVE_STATE_UNDER_WAY, "law 10", "a word in motion");
    for (const int party : entry.gate_confirmed().parties()) {
      const bool theirs = party == v1::PARTY_DRIVER ? who == life.driver
                          : party == v1::PARTY_SPOTTER
                              ? who == life.spotter && life.spotter_accepted
                              : IsOutsideLead(life, who);
      need(theirs, "law 4", "a word that was not theirs");
    }
  } else if (entry.has_gate_accepted()) {
    need(IsOutsideLead(life, who), "law 4", "accepted on their own move");
  } else if (entry.has_spotting_accepted()) {
    need(life.state != v1::MOVE_STATE_UNDER_WAY, "law 10", "the role taken in motion");
    need(who == "sid" || who == "lea", "law 4", "no spotter");
  } else if (entry.has_move_held()) {
    need(life.state == v1::MOVE_STATE_UNDER_WAY, "law 1", "held without having moved");
  } else if (entry.has_move_parked()) {
    need(life.begun && life.held == 1, "law 10", "parked before the last stretch");
    need(life.state == v1::MOVE_STATE_UNDER_WAY || life.state == v1::MOVE_STATE_STOPPED, "law 1",
         "parked from nowhere");
    need(std::all_of(life.stops.begin(), life.stops.end(),
                     [](const Stop& stop) { return stop.lifted; }),
         "law 5", "parked under a stop");
  } else if (entry.has_restart_allowed()) {
    const bool own = std::any_of(life.stops.begin(), life.stops.end(),
                                 [&](const Stop& stop) { return !stop.lifted && stop.by == who; });
    need(own || IsOutsideLead(life, who), "law 5", "a restart that was not theirs to allow");
  } else if (entry.has_move_refused() || entry.has_move_withdrawn()) {
    need(!life.begun, "law 6", "ended as if it had not moved");
  }
  return breaks;
}

/// Law 3: what the system says by itself only takes back.
Breaks JudgeSystem(const E& entry) {
  const bool takes_back = entry.has_release_voided() || entry.has_move_stopped() ||
                          entry.has_gates_staled() || entry.has_shift_ended() ||
                          entry.has_restarted() || entry.has_clock_stepped();
  if (takes_back) return {};
  return {{"law 3", fmt::format("the system says {}", static_cast<int>(entry.what_case()))}};
}

}  // namespace

Breaks JudgeEntries(const History& history, size_t first) {
  Breaks breaks;
  for (size_t i = first; i < history.size(); ++i) {
    const E& entry = *history[i];
    const Story before(history, i);
    const auto add = [&](Breaks more) { breaks.insert(breaks.end(), more.begin(), more.end()); };
    if (i > 0 && entry.time_us() < history[i - 1]->time_us())
      add({{"law 8", "time runs backwards"}});
    if (entry.person().empty()) add(JudgeSystem(entry));
    const auto life = before.lives.find(entry.move());
    const bool named =
        entry.move() != 0 && !entry.has_move_requested() && !entry.has_ground_cleared();
    if (named && (life == before.lives.end() || life->second.Over())) {
      add({{"law 1", fmt::format("entry {} is about a move that is not open", i)}});
      continue;
    }
    if (entry.has_released()) add(JudgeReleased(before, entry));
    if (entry.has_move_begun()) add(JudgeBegun(before, entry));
    if (entry.has_move_closed()) add(JudgeClosed(before, entry));
    add(JudgeOther(before, entry));
    if (!named) continue;
    const Story after(history, i + 1);
    const v1::MoveState stands = after.lives.at(entry.move()).state;
    if (stands != entry.move_state())
      add({{"law 11",
            fmt::format("entry {} says the move stands at {}, it stands at {}", i,
                        static_cast<int>(entry.move_state()), static_cast<int>(stands))}});
  }
  return breaks;
}

Breaks JudgeState(const History& history, const moves::YardState& yard) {
  Breaks breaks;
  const Story story(history, history.size());
  std::map<std::string, int64_t> held;
  for (const auto& [number, life] : story.lives) {
    const auto move = yard.moves.find(number);
    if (life.Over() != (move == yard.moves.end()))
      breaks.push_back({"law 8", fmt::format("move {} open or not", number)});
    if (move != yard.moves.end() && move->second.state != life.state) {
      breaks.push_back(
          {life.GoesOrMayGo() ? "law 8" : "law 7",
           fmt::format("move {} lives as {}, the entries say {}", number,
                       static_cast<int>(move->second.state), static_cast<int>(life.state))});
    }
    if (move != yard.moves.end() && (move->second.driver.value() != life.driver ||
                                     move->second.spotter.value() != life.spotter ||
                                     move->second.spotter_accepted != life.spotter_accepted)) {
      breaks.push_back({"law 4", fmt::format("who is on move {}", number)});
    }
    if (!life.holds_ground) continue;
    for (const std::string& ground : life.ground) {
      const auto [other, first] = held.try_emplace(ground, number);
      if (!first)
        breaks.push_back(
            {"law 6", fmt::format("{} is held by moves {} and {}", ground, other->second, number)});
    }
  }
  const std::map<std::string, int64_t> taken(yard.taken.begin(), yard.taken.end());
  if (taken != held && breaks.empty())
    breaks.push_back({"law 6", "the ground taken is not the ground that the moves hold"});
  for (const auto& [id, machine] : yard.machines) {
    const auto chocks = machine.put_down.find("chocks");
    const int64_t lying = chocks == machine.put_down.end() ? 0 : chocks->second;
    if (lying != story.Chocks(id.value())) {
      breaks.push_back({"law 9", fmt::format("{} chocks lie at {}, the entries say {}", lying,
                                             id.value(), story.Chocks(id.value()))});
    }
  }
  return breaks;
}

}  // namespace chockwise::sim
