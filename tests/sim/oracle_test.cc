// Whether the oracle can see: a shift that it found sound is made wrong in one way at a time, as
// somebody would who wants a record to look better than the day was. It has to find each.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <iostream>
#include <map>
#include <optional>
#include <set>
#include <string>
#include <vector>

#include "tests/sim/corruption.h"
#include "tests/sim/shift.h"

namespace chockwise::sim {
namespace {

constexpr uint64_t kShifts = 40;  // played only as far as a place is sought

/// The sound shifts that all are made from, each played once.
const Entries& SoundEntries(uint64_t seed) {
  static auto* played = new std::map<uint64_t, Entries>;
  const auto [shift_of, first] = played->try_emplace(seed);
  if (!first) return shift_of->second;
  Shift shift({.seed = seed, .steps = 6'000});
  EXPECT_TRUE(shift.Play()) << shift.trouble();
  for (const std::string& bytes : shift.ledger()) {
    shift_of->second.emplace_back().ParseFromString(bytes);
  }
  return shift_of->second;
}

history::AuditReport Audit(const Entries& entries) {
  history::Auditor auditor;
  int64_t number = 0;
  for (const E& entry : entries) auditor.Take(++number, entry.SerializeAsString());
  return auditor.Finish();
}

struct Wrong {
  std::string name;
  std::string rule;  // that one of the findings must name
  Corrupt corrupt;
};

void AddWords(std::vector<Wrong>& all) {
  const auto any = v1::PARTY_UNSPECIFIED;
  all.push_back({"walk-around never given", "law 1", DropWord({"walk-around", any})});
  all.push_back({"path never walked", "law 1", DropWord({"path-walked", any})});
  all.push_back(
      {"spotter did not see the belt", "law 1", DropWord({"belt-on", v1::PARTY_SPOTTER})});
  all.push_back({"spotter gave no word", "law 1", DropWord({"spotter-word", any})});
  all.push_back({"lead gave no word", "law 1", DropWord({"lead-word", any})});
  all.push_back({"chocks not counted", "law 1", DropWord({"chocks-in", v1::PARTY_DRIVER})});
  all.push_back(
      {"one chock fewer counted", "law 9", ChangeWord({"chocks-in", v1::PARTY_DRIVER}, [](E& word) {
         word.mutable_gate_confirmed()->set_count(word.gate_confirmed().count() + 1);
       })});
  all.push_back({"count taken out", "law 9",
                 ChangeWord({"chocks-in", v1::PARTY_SPOTTER},
                            [](E& word) { word.mutable_gate_confirmed()->clear_count(); })});
  all.push_back({"walk-around by somebody else", "law 4",
                 ChangeWord({"walk-around", any}, [](E& word) { word.set_person("lio"); })});
  all.push_back({"lead's word by a reader", "law 4",
                 ChangeWord({"lead-word", any}, [](E& word) { word.set_person("hester"); })});
  all.push_back({"hard gate had a finding", "law 1", ChangeWord({"path-walked", any}, [](E& word) {
                   word.mutable_gate_confirmed()->set_finding("a hose");
                 })});
  all.push_back(
      {"walk-around not at the spot", "law 1", ChangeWord({"walk-around", any}, [](E& word) {
         word.mutable_gate_confirmed()->set_at_the_spot(false);
       })});
  all.push_back({"pinch side not named", "law 1", ChangeWord({"escape-side", any}, [](E& word) {
                   word.mutable_gate_confirmed()->clear_note();
                 })});
  all.push_back({"word of another phase", "law 1", ChangeWord({"people-clear", any}, [](E& word) {
                   word.mutable_gate_confirmed()->set_phase(v1::PHASE_HOLD_POINT);
                 })});
  all.push_back({"carrier with three chocks", "law 9",
                 ChangeWord({"carrier-chocked", any},
                            [](E& word) { word.mutable_gate_confirmed()->set_count(3); })});
  all.push_back({"second word before the last other word", "law 1", [](Entries& entries) {
                   const auto at = ReleaseOn(entries, {"spotter-word", v1::PARTY_SPOTTER});
                   const auto other = ReleaseOn(entries, {"horn-heard", v1::PARTY_SPOTTER});
                   if (!at || !other || at->release != other->release) return false;
                   E word = entries[at->word];
                   Drop(entries, at->word);
                   const auto to = static_cast<std::ptrdiff_t>(other->word);
                   word.set_time_us(entries[other->word].time_us());
                   entries.insert(entries.begin() + to, word);
                   return true;
                 }});
}

void AddBeforeRelease(std::vector<Wrong>& all) {
  const auto any = [](const Entries&, const E&) { return true; };
  all.push_back({"a tag hung when it was released", "law 1",
                 BeforeRelease(any, [](Entries& entries, size_t at) {
                   const std::string machine = Asked(entries, entries[at].move()).machine();
                   v1::TagHung& tag = *InsertBefore(entries, at, "ruth").mutable_tag_hung();
                   tag.set_machine(machine);
                   tag.set_tag(9'999);
                 })});
  all.push_back({"the yard was held when it was released", "law 1",
                 BeforeRelease(any, [](Entries& entries, size_t at) {
                   InsertBefore(entries, at, "lio").mutable_yard_held();
                 })});
  all.push_back({"no shift when it was released", "law 1",
                 BeforeRelease(any, [](Entries& entries, size_t at) {
                   InsertBefore(entries, at, "dov").mutable_shift_ended();
                 })});
  all.push_back({"the door had moved when it was released", "law 1",
                 BeforeRelease(
                     [](const Entries&, const E& release) {
                       return release.released().limit().starts_with("door");
                     },
                     [](Entries& entries, size_t at) {
                       const std::string door = entries[at].released().limit();
                       v1::DoorReported& report =
                           *InsertBefore(entries, at, "lio").mutable_door_reported();
                       report.set_door(door);
                       report.set_report(v1::DOOR_REPORT_MOVED);
                     })});
  all.push_back(
      {"stopped when it was released", "law 5", BeforeRelease(any, [](Entries& entries, size_t at) {
         E& stop = InsertBefore(entries, at, "lio", entries[at].move());
         stop.set_move_state(v1::MOVE_STATE_STOPPED);
         stop.mutable_move_stopped()->set_cause(v1::STOP_CAUSE_CALLED);
       })});
  all.push_back({"another driver when it was released", "law 1",
                 BeforeRelease(any, [](Entries& entries, size_t at) {
                   const std::string driver =
                       DriverOf(entries, at, entries[at].move()) == "odo" ? "ines" : "odo";
                   E& swap = InsertBefore(entries, at, "dov", entries[at].move());
                   swap.mutable_driver_swapped()->set_driver(driver);
                   swap.set_move_state(v1::MOVE_STATE_REQUESTED);
                 })});
  all.push_back({"left alone when it was released", "law 1",
                 BeforeRelease(any, [](Entries& entries, size_t at) {
                   E& away = InsertBefore(entries, at, "dov", entries[at].move());
                   away.set_move_state(v1::MOVE_STATE_REQUESTED);
                   away.mutable_driver_away()->set_distance_mm(9'000);
                   away.mutable_driver_away()->set_unattended(true);
                 })});
  all.push_back({"started again when it was released", "law 7",
                 BeforeRelease(any, [](Entries& entries, size_t at) {
                   InsertBefore(entries, at, "").mutable_restarted();
                 })});
  all.push_back(
      {"released ten minutes later than it was", "law 1",
       BeforeRelease(any, [](Entries& entries, size_t at) { DelayFrom(entries, at, 600); })});
  all.push_back({"never inspected", "law 1", BeforeRelease(any, [](Entries& entries, size_t at) {
                   const std::string machine = Asked(entries, entries[at].move()).machine();
                   for (size_t i = at; i-- > 0;) {
                     if (entries[i].inspection_recorded().machine() == machine) Drop(entries, i);
                   }
                 })});
  all.push_back({"the spotter never took the role", "law 4",
                 BeforeRelease(any, [](Entries& entries, size_t at) {
                   const int64_t move = entries[at].move();
                   for (size_t i = at; i-- > 0;) {
                     if (entries[i].move() == move && entries[i].has_spotting_accepted())
                       Drop(entries, i);
                   }
                 })});
  all.push_back({"the driver spots", "law 4", BeforeRelease(any, [](Entries& entries, size_t at) {
                   const std::string driver = DriverOf(entries, at, entries[at].move());
                   E& entry = entries[*LastBefore(entries, at, [&](const E& e) {
                     return e.move() == entries[at].move() && e.has_spotting_accepted();
                   })];
                   entry.set_person(driver);
                   entry.mutable_spotting_accepted()->set_spotter(driver);
                 })});
}

/// Whether the word to restart lifts a person's stop: law 5. One by the system is law 7's.
bool LiftsAPersonsStop(const Entries& entries, size_t restart) {
  const int64_t move = entries[restart].move();
  const Where last = LastBefore(entries, restart, [&](const E& entry) {
    return entry.move() == move && (entry.has_move_stopped() || entry.has_released());
  });
  return last && entries[*last].has_move_stopped() && !entries[*last].person().empty();
}

void AddReleases(std::vector<Wrong>& all) {
  all.push_back({"released as soon as asked for", "law 1", [](Entries& entries) {
                   const Where asked =
                       First(entries, [&](size_t i) { return entries[i].has_move_requested(); });
                   const Where release = UsedRelease(entries);
                   if (!asked || !release) return false;
                   E copy = entries[*release];
                   copy.set_move(entries[*asked].move());
                   copy.set_person(entries[*asked].move_requested().driver());
                   copy.set_time_us(entries[*asked].time_us());
                   entries.insert(entries.begin() + static_cast<std::ptrdiff_t>(*asked) + 1, copy);
                   return true;
                 }});
  all.push_back({"released past the hold point", "law 10", ChangeRelease([](v1::Released& release) {
                   if (release.limit().empty()) return false;
                   release.clear_limit();
                   return true;
                 })});
  all.push_back({"released on another version", "law 11", ChangeRelease([](v1::Released& release) {
                   release.set_yard_digest("0000");
                   return true;
                 })});
  all.push_back(
      {"a gate left out of what it stood on", "law 11", ChangeRelease([](v1::Released& release) {
         release.mutable_gates()->RemoveLast();
         return true;
       })});
  all.push_back(
      {"a longer window than the rules give", "law 1", ChangeRelease([](v1::Released& release) {
         release.set_start_by_time_us(release.start_by_time_us() + 600'000'000);
         return true;
       })});
  all.push_back({"a release number skipped", "states", ChangeRelease([](v1::Released& release) {
                   release.set_number(release.number() + 1);
                   return true;
                 })});
  all.push_back({"released by somebody else", "right people", [](Entries& entries) {
                   const Where at = UsedRelease(entries);
                   entries[*at].set_person("hester");
                   return true;
                 }});
  all.push_back({"released without the word to restart", "law 5", [](Entries& entries) {
                   const Where at = First(entries, [&](size_t i) {
                     if (!entries[i].has_released()) return false;
                     const Where before = LastBefore(entries, i, [&](const E& e) {
                       return e.move() == entries[i].move() && e.has_restart_allowed();
                     });
                     return before && LiftsAPersonsStop(entries, *before);
                   });
                   if (!at) return false;
                   for (size_t i = *at; i-- > 0;) {
                     if (entries[i].move() == entries[*at].move() &&
                         entries[i].has_restart_allowed()) {
                       entries.erase(entries.begin() + static_cast<std::ptrdiff_t>(i));
                       return true;
                     }
                   }
                   return false;
                 }});
  all.push_back({"one ground for two", "law 6", [](Entries& entries) {
                   // The second of two moves that are released at once is given the ground of the
                   // first.
                   for (size_t i = 0; i < entries.size(); ++i) {
                     if (!entries[i].has_released()) continue;
                     std::set<int64_t> begun;
                     for (size_t j = 0; j < i; ++j) {
                       if (entries[j].has_move_begun()) begun.insert(entries[j].move());
                       if (entries[j].move_state() >= v1::MOVE_STATE_CLOSED)
                         begun.erase(entries[j].move());
                     }
                     begun.erase(entries[i].move());
                     if (begun.empty()) continue;
                     const auto ground = Asked(entries, *begun.begin()).ground();
                     const Where asked = First(entries, [&](size_t k) {
                       return entries[k].has_move_requested() &&
                              entries[k].move() == entries[i].move();
                     });
                     entries[*asked].mutable_move_requested()->mutable_ground()->MergeFrom(ground);
                     return true;
                   }
                   return false;
                 }});
}

void AddMotions(std::vector<Wrong>& all) {
  const auto begun = [](const Entries& entries, size_t i) { return entries[i].has_move_begun(); };
  all.push_back(
      {"begun without a release", "states", ChangeFirst(begun, [](Entries& entries, size_t at) {
         const Where release = LastBefore(entries, at, [&](const E& entry) {
           return entry.move() == entries[at].move() && entry.has_released();
         });
         Drop(entries, *release);
       })});
  all.push_back({"begun by itself", "law 3", ChangeFirst(begun, [](Entries& entries, size_t at) {
                   entries[at].clear_person();
                 })});
  all.push_back(
      {"begun an hour later", "law 1",
       ChangeFirst(begun, [](Entries& entries, size_t at) { DelayFrom(entries, at, 3'600); })});
  all.push_back(
      {"went on under a hold", "law 5", ChangeFirst(begun, [](Entries& entries, size_t at) {
         InsertBefore(entries, *NextOf(entries, at, entries[at].move()), "lio").mutable_yard_held();
       })});
  all.push_back({"a word in motion", "law 10", ChangeFirst(begun, [](Entries& entries, size_t at) {
                   const int64_t move = entries[at].move();
                   const std::string driver = DriverOf(entries, at, move);
                   E& word = InsertBefore(entries, *NextOf(entries, at, move), driver, move);
                   word.set_move_state(v1::MOVE_STATE_UNDER_WAY);
                   word.mutable_gate_confirmed()->set_gate_id("parked");
                   word.mutable_gate_confirmed()->set_phase(v1::PHASE_CLOSE_OUT);
                   word.mutable_gate_confirmed()->add_parties(v1::PARTY_DRIVER);
                 })});
  all.push_back(
      {"did not stop at the line", "law 10",
       ChangeFirst([](const Entries& entries, size_t i) { return entries[i].has_move_held(); },
                   [](Entries& entries, size_t at) { Drop(entries, at); })});
  all.push_back({"taken back after it had moved", "states",
                 ChangeFirst(begun, [](Entries& entries, size_t at) {
                   const int64_t move = entries[at].move();
                   E& stop = InsertBefore(entries, *NextOf(entries, at, move), "dov", move);
                   stop.set_move_state(v1::MOVE_STATE_WITHDRAWN);
                   stop.mutable_move_withdrawn()->set_reason("as if it had never been");
                 })});
  all.push_back({"time runs backwards", "time", ChangeFirst(begun, [](Entries& entries, size_t at) {
                   entries[at].set_time_us(entries[at].time_us() - 3'600'000'000);
                 })});
  all.push_back({"one request recorded twice", "request ids",
                 ChangeFirst(begun, [](Entries& entries, size_t at) {
                   const Where earlier = LastBefore(entries, at, [&](const E& entry) {
                     return entry.person() == entries[at].person() && !entry.request_id().empty();
                   });
                   entries[at].set_request_id(entries[*earlier].request_id());
                 })});
}

void AddCloses(std::vector<Wrong>& all) {
  const auto drop = [](const WordOn& on) -> Corrupt {
    return [on](Entries& entries) {
      const auto at = CloseOn(entries, on);
      if (!at) return false;
      const int64_t move = entries[at->release].move();
      for (size_t i = at->release; i-- > 0;) {
        const v1::GateConfirmed& word = entries[i].gate_confirmed();
        const bool same =
            entries[i].move() == move && word.gate_id() == on.gate && word.parties(0) == on.party;
        if (same) Drop(entries, i);
      }
      return true;
    };
  };
  all.push_back({"closed and nobody said parked", "law 1", drop({"parked", v1::PARTY_DRIVER})});
  all.push_back({"closed and people not counted", "law 1",
                 drop({"people-counted-again", v1::PARTY_SPOTTER})});
  all.push_back({"closed and a person short", "law 9", [](Entries& entries) {
                   const auto at = CloseOn(entries, {"people-counted-again", v1::PARTY_SPOTTER});
                   if (!at) return false;
                   v1::GateConfirmed& word = *entries[at->word].mutable_gate_confirmed();
                   word.set_count(word.count() + 1);
                   return true;
                 }});
  all.push_back({"closed on two counts of chocks", "law 9", [](Entries& entries) {
                   const auto at = CloseOn(entries, {"chocks-set", v1::PARTY_SPOTTER});
                   if (!at) return false;
                   v1::GateConfirmed& word = *entries[at->word].mutable_gate_confirmed();
                   word.set_count(word.count() + 1);
                   return true;
                 }});
  all.push_back(
      {"closed by somebody else", "right people",
       ChangeFirst([](const Entries& entries, size_t i) { return entries[i].has_move_closed(); },
                   [](Entries& entries, size_t at) { entries[at].set_person("hester"); })});
}

/// Whether a word to restart, of a stop that was not hester's, is the one that a release stood on.
bool LedToARelease(const Entries& entries, size_t at) {
  if (!entries[at].has_restart_allowed()) return false;
  const int64_t move = entries[at].move();
  const Where own = LastBefore(entries, at, [&](const E& entry) {
    return entry.move() == move && entry.has_move_stopped() && entry.person() == "hester";
  });
  if (own || !LiftsAPersonsStop(entries, at)) return false;
  for (size_t i = at + 1; i < entries.size(); ++i) {
    if (entries[i].move() != move) continue;
    if (entries[i].has_restart_allowed() || entries[i].has_move_stopped()) return false;
    if (entries[i].has_released()) return true;
  }
  return false;
}

void AddYard(std::vector<Wrong>& all) {
  all.push_back(
      {"files of a version altered", "law 11",
       ChangeFirst([](const Entries& entries, size_t i) { return entries[i].has_yard_loaded(); },
                   [](Entries& entries, size_t at) {
                     std::string& text =
                         (*entries[at].mutable_yard_loaded()->mutable_files())["people.csv"];
                     text.replace(text.find("2027"), 4, "2037");
                   })});
  all.push_back(
      {"a hold lifted by a reader", "right people",
       ChangeFirst([](const Entries& entries, size_t i) { return entries[i].has_hold_lifted(); },
                   [](Entries& entries, size_t at) { entries[at].set_person("hester"); })});
  all.push_back(
      {"a tag taken off by somebody else", "right people",
       ChangeFirst([](const Entries& entries, size_t i) { return entries[i].has_tag_cleared(); },
                   [](Entries& entries, size_t at) { entries[at].set_person("lio"); })});
  all.push_back(
      {"a shift opened by the system", "law 3",
       ChangeFirst([](const Entries& entries, size_t i) { return entries[i].has_shift_begun(); },
                   [](Entries& entries, size_t at) { entries[at].clear_person(); })});
  all.push_back(
      {"accepted by the driver", "right people",
       ChangeFirst([](const Entries& entries, size_t i) { return entries[i].has_gate_accepted(); },
                   [](Entries& entries, size_t at) {
                     entries[at].set_person(DriverOf(entries, at, entries[at].move()));
                   })});
  all.push_back(
      {"a hard gate accepted", "law 1",
       ChangeFirst([](const Entries& entries, size_t i) { return entries[i].has_gate_accepted(); },
                   [](Entries& entries, size_t at) {
                     entries[at].mutable_gate_accepted()->set_gate_id("path-walked");
                   })});
  all.push_back({"restart allowed by a reader", "law 5",
                 ChangeFirst(LedToARelease, [](Entries& entries, size_t at) {
                   entries[at].set_person("hester");
                 })});
}

std::vector<Wrong> Wrongs() {
  std::vector<Wrong> all;
  AddWords(all);
  AddBeforeRelease(all);
  AddReleases(all);
  AddMotions(all);
  AddCloses(all);
  AddYard(all);
  return all;
}

TEST(Oracle, FindsNothingInAShiftAsItWas) {
  const history::AuditReport report = Audit(SoundEntries(1));
  EXPECT_TRUE(report.sound()) << report.Text();
  EXPECT_GT(report.counts.releases, 10);
  EXPECT_GT(report.counts.closes, 2);
}

/// The first shift that has a place for it, made wrong; empty where none has.
Entries MadeWrong(const Wrong& wrong) {
  for (uint64_t seed = 1; seed <= kShifts; ++seed) {
    Entries entries = SoundEntries(seed);
    if (wrong.corrupt(entries)) return entries;
  }
  return {};
}

TEST(Oracle, FindsEveryWrong) {
  int found = 0;
  for (const Wrong& wrong : Wrongs()) {
    SCOPED_TRACE(wrong.name);
    const Entries entries = MadeWrong(wrong);
    if (entries.empty()) {
      ADD_FAILURE() << "no shift has a place for it";
      continue;
    }
    const history::AuditReport report = Audit(entries);
    const bool named = std::any_of(
        report.findings.begin(), report.findings.end(),
        [&](const history::AuditFinding& finding) { return finding.rule == wrong.rule; });
    EXPECT_TRUE(named) << wrong.rule << " is not among:\n" << report.Text().substr(0, 1'500);
    found += named ? 1 : 0;
  }
  std::cout << fmt::format("{} of {} wrongs found\n", found, Wrongs().size());
}

}  // namespace
}  // namespace chockwise::sim
