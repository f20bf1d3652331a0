// What the bare list of entries says about the tiny yard. Private to the reference: it looks at
// nothing else, and asks for each word whether anything since has undone it.
#pragma once

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <string>
#include <vector>

#include "tests/sim/reference.h"

namespace chockwise::sim {

using E = v1::Entry;

inline constexpr int64_t kSecond = 1'000'000;

/// A gate of the tiny yard, in the reference's own words.
struct Gate {
  std::string id;
  v1::Phase phase;
  std::vector<v1::Party> parties;
  bool one_is_enough = false;
  int64_t fresh_for_us = 0;  // 0: until something undoes it
  std::set<v1::Happening> undone_by;
  bool given_last = false;
  bool lead_may_accept = false;
};

const std::vector<Gate>& Gates();

struct Stop {
  std::string by;
  bool lifted = false;
};

struct Life {
  std::string machine, driver, spotter, requester;
  bool spotter_accepted = false;
  v1::MoveState state = v1::MOVE_STATE_REQUESTED;
  bool begun = false;
  bool away = false;
  bool at_line = false;  // stands at the line, or goes on from it
  bool holds_ground = false;
  int held = 0;
  std::vector<Stop> stops;
  std::set<std::string> ground;
  // The last release.
  v1::MoveState released_in = v1::MOVE_STATE_UNSPECIFIED;
  v1::Phase released_for = v1::PHASE_UNSPECIFIED;
  int64_t start_by_us = 0;

  bool Over() const { return state >= v1::MOVE_STATE_CLOSED; }
  bool GoesOrMayGo() const {
    return state == v1::MOVE_STATE_RELEASED || state == v1::MOVE_STATE_UNDER_WAY;
  }
};

inline bool IsLead(const std::string& who) { return who == "lea" || who == "wyn"; }
inline bool IsOutsideLead(const Life& life, const std::string& who) {
  return IsLead(who) && who != life.driver && who != life.spotter;
}

class Story {
 public:
  Story(const History& history, size_t count) : history_(history), count_(count) {
    chocks_ = {{"M1", 2}, {"M2", 0}};
    for (size_t i = 0; i < count; ++i) Read(i);
  }

  std::map<int64_t, Life> lives;

  int64_t Chocks(const std::string& machine) const { return chocks_.at(machine); }

  /// Why the gate is not clear for this move at `now`; empty: it is.
  std::string WhyNotClear(int64_t number, const Gate& gate, int64_t now_us) const {
    const Life& life = lives.at(number);
    std::string why;
    bool one = false, finding_stands = false;
    for (const v1::Party party : gate.parties) {
      std::string no = WhyNoWord(number, gate, party, now_us);
      if (no.empty()) one = true;
      if (no == "finding") finding_stands = true;
      if (!no.empty() && why.empty())
        why = fmt::format("{} by party {}: {}", gate.id, static_cast<int>(party), no);
    }
    if (gate.one_is_enough && one && !finding_stands) why.clear();
    if (!why.empty() && gate.lead_may_accept && AcceptedByLead(number, gate)) why.clear();
    if (why.empty()) why = WhyCountsDiffer(number, gate, life);
    return why;
  }

  /// What no rule can leave out, and the inspection that the tiny rules ask for.
  Breaks WhyMayNotGo(int64_t number, v1::Phase phase, int64_t now_us) const {
    Breaks breaks;
    const Life& life = lives.at(number);
    const auto no = [&](const char* law, std::string what) {
      breaks.push_back({law, std::move(what)});
    };
    if (const size_t hold = Last(E::kYardHeld); hold != kNone && !Since(hold, E::kHoldLifted))
      no("law 1", "yard held");
    if (const size_t door = Last(E::kDoorReported); door != kNone && !Since(door, E::kDoorReturned))
      no("law 1", "door out");
    if (tags_.contains(life.machine) && !tags_.at(life.machine).empty())
      no("law 1", "a tag on " + life.machine);
    const size_t shift = Last(E::kShiftBegun);
    if (shift == kNone || Since(shift, E::kShiftEnded)) {
      no("law 1", "no shift");
    } else if (now_us >= history_[shift]->shift_begun().end_time_us()) {
      no("law 1", "the shift is over");
    } else if (phase == v1::PHASE_START && !InspectedSince(shift, life.machine)) {
      no("law 1", life.machine + " not inspected this shift");
    }
    if (life.away) no("law 1", "driver away");
    JudgePeople(number, no);
    for (const auto& [other, theirs] : lives) {
      if (other == number || !theirs.holds_ground) continue;
      const bool shared =
          std::any_of(life.ground.begin(), life.ground.end(),
                      [&](const std::string& ground) { return theirs.ground.contains(ground); });
      if (shared) no("law 6", fmt::format("move {} holds ground of move {}", other, number));
    }
    return breaks;
  }

  int64_t ShiftLeftUs(int64_t now_us) const {
    const size_t shift = Last(E::kShiftBegun);
    return shift == kNone ? 0 : history_[shift]->shift_begun().end_time_us() - now_us;
  }

 private:
  static constexpr size_t kNone = static_cast<size_t>(-1);

  size_t Last(E::WhatCase what) const {
    for (size_t i = count_; i-- > 0;) {
      if (history_[i]->what_case() == what) return i;
    }
    return kNone;
  }
  bool Since(size_t after, E::WhatCase what) const {
    const size_t last = Last(what);
    return last != kNone && last > after;
  }

  bool InspectedSince(size_t shift, const std::string& machine) const {
    for (size_t i = count_; i-- > shift;) {
      if (history_[i]->has_inspection_recorded() &&
          history_[i]->inspection_recorded().machine() == machine) {
        return history_[i]->inspection_recorded().defect().empty();
      }
    }
    return false;
  }

  template <class No>
  void JudgePeople(int64_t number, const No& no) const {
    const Life& life = lives.at(number);
    if (life.spotter.empty() || !life.spotter_accepted) no("law 4", "nobody spots");
    if (life.spotter == life.driver) no("law 4", "driver and spotter are one");
    for (const auto& [other, theirs] : lives) {
      if (other == number || theirs.Over()) continue;
      for (const std::string& who : {life.driver, life.spotter}) {
        if (theirs.spotter_accepted && theirs.spotter == who)
          no("law 4", fmt::format("{} spots move {} too", who, other));
        if (theirs.holds_ground && theirs.driver == who)
          no("law 4", fmt::format("{} drives move {} too", who, other));
      }
    }
  }

  size_t LastWord(int64_t number, const Gate& gate, v1::Party party) const {
    for (size_t i = count_; i-- > 0;) {
      const E& entry = *history_[i];
      if (entry.move() != number || !entry.has_gate_confirmed()) continue;
      const v1::GateConfirmed& word = entry.gate_confirmed();
      if (word.gate_id() != gate.id || word.phase() != gate.phase) continue;
      if (std::find(word.parties().begin(), word.parties().end(), party) != word.parties().end())
        return i;
    }
    return kNone;
  }

  std::string WhyNoWord(int64_t number, const Gate& gate, v1::Party party, int64_t now_us) const {
    const Life& life = lives.at(number);
    const size_t at = LastWord(number, gate, party);
    if (at == kNone) return "never given";
    const E& word = *history_[at];
    const std::string& who = word.person();
    const bool theirs = party == v1::PARTY_DRIVER    ? who == life.driver
                        : party == v1::PARTY_SPOTTER ? who == life.spotter && life.spotter_accepted
                                                     : IsOutsideLead(life, who);
    if (!theirs) return who + " has the role no more";
    for (size_t i = at + 1; i < count_; ++i) {
      const std::string undone = WhyUndone(number, gate, party, who, *history_[i]);
      if (!undone.empty()) return fmt::format("undone by entry {}: {}", i, undone);
    }
    if (!word.gate_confirmed().finding().empty()) return "finding";
    if (gate.fresh_for_us != 0 && now_us - word.time_us() > gate.fresh_for_us) return "old";
    return "";
  }

  std::string WhyUndone(int64_t number, const Gate& gate, v1::Party party, const std::string& who,
                        const E& by) const {
    const auto listed = [&](v1::Happening happening) { return gate.undone_by.contains(happening); };
    const bool own = by.move() == number;
    if (by.has_restarted() || by.has_clock_stepped()) return "the service started again";
    if (by.has_door_reported()) return listed(v1::HAPPENING_DOOR_MOVED) ? "door" : "";
    // A first word that fewer stand there changes nothing yet.
    const bool set_again = by.put_down().machine() == lives.at(number).machine &&
                           by.put_down().stood() == 0 && gate.id.starts_with("chocks");
    if (by.has_put_down()) return set_again ? "chocks were set again" : "";
    if (by.has_shift_ended()) return listed(v1::HAPPENING_SHIFT_END) ? "shift end" : "";
    // There is one way in the tiny yard: whatever is released on it is a neighbour.
    if (by.has_released() && !own) return listed(v1::HAPPENING_NEIGHBOUR_MOVED) ? "neighbour" : "";
    if (!own) return "";
    if (by.has_move_stopped()) return "stop";
    if (by.has_release_voided()) return "release taken back";
    if (by.has_move_held()) return gate.phase == v1::PHASE_HOLD_POINT ? "another line" : "";
    if (by.has_driver_swapped()) {
      const bool role = party == v1::PARTY_DRIVER || by.driver_swapped().driver() == who;
      return role || listed(v1::HAPPENING_DRIVER_SWAP) ? "driver swapped" : "";
    }
    if (by.has_spotter_named()) {
      const bool role = party == v1::PARTY_SPOTTER || by.spotter_named().spotter() == who;
      return role || listed(v1::HAPPENING_SPOTTER_SWAP) ? "spotter named" : "";
    }
    if (by.has_spotting_accepted())
      return party != v1::PARTY_SPOTTER && by.person() == who ? "took the role" : "";
    if (by.has_spotting_left()) {
      return party == v1::PARTY_SPOTTER || listed(v1::HAPPENING_SPOTTER_SWAP) ? "spotter left" : "";
    }
    if (by.has_driver_away()) {
      return by.driver_away().unattended() && listed(v1::HAPPENING_LEFT_UNATTENDED) ? "driver away"
                                                                                    : "";
    }
    // Given last: whatever is said of the phase afterwards takes its worth.
    if (by.has_gate_accepted()) return gate.given_last ? "something was accepted after it" : "";
    // Where it stands at the line both phases may be asked, and what is last is last of both.
    const bool same_asking = by.gate_confirmed().phase() == gate.phase || lives.at(number).at_line;
    const bool later_word =
        by.has_gate_confirmed() && same_asking && by.gate_confirmed().gate_id() != gate.id;
    return later_word && gate.given_last ? "something was said after it" : "";
  }

  bool AcceptedByLead(int64_t number, const Gate& gate) const {
    const size_t word = LastWord(number, gate, gate.parties.front());
    for (size_t i = count_; i-- > word + 1;) {
      const E& entry = *history_[i];
      if (entry.move() != number || !entry.has_gate_accepted() ||
          entry.gate_accepted().gate_id() != gate.id)
        continue;
      // It is a finding that was accepted, it still stands, and who accepted it is still a third
      // person.
      const int64_t now_us = history_[word]->time_us();
      return WhyNoWord(number, gate, gate.parties.front(), now_us) == "finding" &&
             IsOutsideLead(lives.at(number), entry.person());
    }
    return false;
  }

  std::string WhyCountsDiffer(int64_t number, const Gate& gate, const Life& life) const {
    if (gate.id == "chocks-in") {
      const int64_t said =
          history_[LastWord(number, gate, v1::PARTY_DRIVER)]->gate_confirmed().count();
      if (said != Chocks(life.machine))
        return fmt::format("{} chocks in, {} out", said, Chocks(life.machine));
    }
    if (gate.id == "chocks-set") {
      const int64_t driver =
          history_[LastWord(number, gate, v1::PARTY_DRIVER)]->gate_confirmed().count();
      const int64_t spotter =
          history_[LastWord(number, gate, v1::PARTY_SPOTTER)]->gate_confirmed().count();
      if (driver != spotter) return fmt::format("{} and {} chocks", driver, spotter);
    }
    return "";
  }

  void Read(size_t at) {
    const E& entry = *history_[at];
    if (entry.has_restarted() || entry.has_clock_stepped()) {
      for (auto& [number, life] : lives) FallBack(life);
    }
    if (entry.has_move_requested()) {
      Life& life = lives[entry.move()];
      life.machine = entry.move_requested().machine();
      life.driver = entry.move_requested().driver();
      life.spotter = entry.move_requested().spotter();
      life.requester = entry.person();
      for (const std::string& ground : entry.move_requested().ground()) life.ground.insert(ground);
    } else if (lives.contains(entry.move())) {
      ReadMove(at, lives[entry.move()]);
    }
    ReadMachine(entry);
  }

  static void FallBack(Life& life) {
    if (life.state == v1::MOVE_STATE_RELEASED) {
      life.state = life.released_in;
      if (!life.begun) life.holds_ground = false;
    } else if (life.state == v1::MOVE_STATE_UNDER_WAY) {
      life.state = v1::MOVE_STATE_STOPPED;
      life.at_line = false;
      life.stops.push_back({});
    }
  }

  void ReadMove(size_t at, Life& life) {
    const E& entry = *history_[at];
    if (entry.has_spotter_named() || entry.has_spotting_left()) {
      life.spotter = entry.spotter_named().spotter();  // empty where the spotter left
      life.spotter_accepted = false;
    } else if (entry.has_spotting_accepted()) {
      life.spotter = entry.person();
      life.spotter_accepted = true;
    } else if (entry.has_driver_swapped()) {
      life.driver = entry.driver_swapped().driver();
    } else if (entry.has_driver_away()) {
      life.away = entry.driver_away().unattended();
    } else if (entry.has_gate_confirmed()) {
      ReadWord(at, life);
    } else if (entry.has_restart_allowed()) {
      for (Stop& stop : life.stops)
        stop.lifted |= IsOutsideLead(life, entry.person()) || stop.by == entry.person();
    } else {
      ReadMotion(entry, life);
      ReadEnd(entry, life);
    }
  }

  void ReadMotion(const E& entry, Life& life) {
    if (entry.has_released()) {
      life.released_in = life.state;
      life.released_for = entry.released().phase();
      life.start_by_us = entry.released().start_by_time_us();
      life.state = v1::MOVE_STATE_RELEASED;
      life.holds_ground = true;
    } else if (entry.has_release_voided()) {
      life.state = life.released_in;
      if (!life.begun) life.holds_ground = false;
    } else if (entry.has_move_begun()) {
      life.state = v1::MOVE_STATE_UNDER_WAY;
      life.begun = true;
      if (life.released_for == v1::PHASE_START) chocks_[life.machine] = 0;
    } else if (entry.has_move_held()) {
      life.state = v1::MOVE_STATE_HELD;
      life.at_line = true;
      ++life.held;
    } else if (entry.has_move_parked()) {
      life.state = v1::MOVE_STATE_PARKED;
    } else if (entry.has_move_stopped()) {
      if (life.state == v1::MOVE_STATE_UNDER_WAY) life.at_line = false;
      if (life.state != v1::MOVE_STATE_PARKED) life.state = v1::MOVE_STATE_STOPPED;
      life.stops.push_back({.by = entry.person()});
    } else if (entry.has_ground_cleared()) {
      life.holds_ground = false;
    }
  }

  void ReadEnd(const E& entry, Life& life) {
    if (entry.has_move_closed()) End(life, v1::MOVE_STATE_CLOSED);
    if (entry.has_move_withdrawn()) End(life, v1::MOVE_STATE_WITHDRAWN);
    if (entry.has_move_refused()) {
      End(life, v1::MOVE_STATE_REFUSED);
      tags_[life.machine].insert(entry.move_refused().tag());
    }
    if (entry.has_broke_down()) {
      life.state = v1::MOVE_STATE_LEFT_STANDING;  // and keeps its ground
      tags_[life.machine].insert(entry.broke_down().tag());
    }
  }

  static void End(Life& life, v1::MoveState state) {
    life.state = state;
    life.holds_ground = false;
  }

  void ReadWord(size_t at, Life& life) {
    const E& entry = *history_[at];
    const auto& parties = entry.gate_confirmed().parties();
    if (std::find(parties.begin(), parties.end(), v1::PARTY_DRIVER) != parties.end())
      life.away = false;
    if (entry.gate_confirmed().gate_id() != "chocks-set") return;
    const Gate& gate = Gates().back();
    // The word itself is in the list by now: what counts is whether both are good and the same with
    // it.
    const Story with(history_, at + 1, lives, chocks_);
    if (with.WhyNotClear(entry.move(), gate, entry.time_us()).empty())
      chocks_[life.machine] = entry.gate_confirmed().count();
  }

  void ReadMachine(const E& entry) {
    if (entry.has_tag_hung()) tags_[entry.tag_hung().machine()].insert(entry.tag_hung().tag());
    if (entry.has_tag_cleared())
      tags_[entry.tag_cleared().machine()].erase(entry.tag_cleared().tag());
    const v1::InspectionRecorded& inspection = entry.inspection_recorded();
    if (inspection.tag() != 0) tags_[inspection.machine()].insert(inspection.tag());
    if (entry.put_down().item() == "chocks") ReadChocks(entry);
  }

  /// More is anyone's to say; fewer takes two people who say the same of the same chocks.
  void ReadChocks(const E& entry) {
    int64_t& stand = chocks_[entry.put_down().machine()];
    const int64_t count = entry.put_down().count();
    const auto said = fewer_.find(entry.put_down().machine());
    const bool second = said != fewer_.end() && said->second.by != entry.person() &&
                        said->second.count == count && said->second.stood == stand;
    if (count < stand && !second) {
      fewer_[entry.put_down().machine()] = {.by = entry.person(), .count = count, .stood = stand};
      return;
    }
    fewer_.erase(entry.put_down().machine());
    stand = count;
  }

  struct Fewer {
    std::string by;
    int64_t count = 0, stood = 0;
  };

  /// The same list cut elsewhere, with what was read out of it so far.
  Story(const History& history, size_t count, const std::map<int64_t, Life>& known,
        const std::map<std::string, int64_t>& chocks)
      : lives(known), history_(history), count_(count), chocks_(chocks) {}

  const History& history_;
  size_t count_;
  std::map<std::string, int64_t> chocks_;
  std::map<std::string, Fewer> fewer_;
  std::map<std::string, std::set<int64_t>> tags_;
};

}  // namespace chockwise::sim
