#include "tests/sim/digest.h"

#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "tests/sim/tiny_yard.h"

namespace chockwise::sim {
namespace {

using moves::Duration;
using moves::Instant;
using moves::Move;
using moves::YardState;

// --- Full ---

using Out = std::back_insert_iterator<std::string>;

void PutCounts(Out out, const std::map<std::string, int64_t>& counts) {
  for (const auto& [item, count] : counts) fmt::format_to(out, " {}={}", item, count);
}

void PutLaw9(Out out, const moves::MachineState& machine) {
  for (const auto& [item, count] : machine.left_over)
    fmt::format_to(out, " left {}={}", item, count);
  for (const auto& [item, said] : machine.fewer_said)
    fmt::format_to(out, " {}:{}={}/{}", said.person.value(), item, said.count, said.stood);
}

void PutMove(Out out, const Move& move) {
  fmt::format_to(out,
                 "move {} {} {} machine={} carrier={} {}>{} asked-by={} driver={} spotter={}/{} "
                 "begun={} at-line={} away={}",
                 move.number, static_cast<int>(move.state), move.kind, move.machine.value(),
                 move.carrier.value(), move.from.value(), move.to.value(), move.requester.value(),
                 move.driver.value(), move.spotter.value(), move.spotter_accepted, move.begun,
                 move.at_line, move.unattended);
  fmt::format_to(out, " passed={} releases={} requested={} updated={} entry={}", move.stops_passed,
                 move.releases_given, move.requested.micros(), move.updated.micros(), move.entry);
  PutCounts(out, move.put_down);
  fmt::format_to(out, "\n way {} | {} | {}\n", fmt::join(move.way->lanes, ","),
                 fmt::join(move.way->stops, ","), fmt::join(move.way->ground, ","));
  for (const moves::GateWords& gate : move.words) {
    for (const moves::Word& word : gate.words) {
      fmt::format_to(out, " word {}/{} party={} {} stale={} at={} count={} finding={} note={}\n",
                     gate.gate_id, static_cast<int>(gate.phase), static_cast<int>(word.party),
                     word.person.value(), word.stale, word.time.micros(), word.count, word.finding,
                     word.note);
    }
  }
  for (const moves::Acceptance& taken : move.acceptances) {
    fmt::format_to(out, " accepted {}/{} by {}: {}\n", taken.gate_id, static_cast<int>(taken.phase),
                   taken.by.value(), taken.stood_at);
  }
  for (const moves::StopWord& stop : move.stops) {
    fmt::format_to(out, " stop {} {} {} at={} lifted={}\n", stop.person.value(),
                   static_cast<int>(stop.cause), stop.text, stop.time.micros(),
                   stop.lifted_by.value());
  }
  if (!move.release) return;
  fmt::format_to(out, " release {} {} from={} limit={} at={} by={} on {} {}\n",
                 move.release->number, static_cast<int>(move.release->phase),
                 static_cast<int>(move.release->from_state), move.release->limit,
                 move.release->time.micros(), move.release->start_by.micros(),
                 move.release->yard_version, move.release->yard_digest);
}

void PutMachines(Out out, const YardState& yard) {
  for (const auto& [id, machine] : yard.machines) {
    fmt::format_to(out, "machine {} at={} move={} inspected={}", id.value(), machine.place.value(),
                   machine.move, machine.inspected ? machine.inspected->micros() : 0);
    PutCounts(out, machine.put_down);
    PutLaw9(out, machine);
    for (const moves::Tag& tag : machine.tags) {
      fmt::format_to(out, " tag {} {} {} {} at={} of={}", tag.number, static_cast<int>(tag.sort),
                     tag.person.value(), tag.text, tag.time.micros(), tag.refused_move);
      for (const moves::PersonId& person : tag.not_by)
        fmt::format_to(out, " not-by={}", person.value());
    }
    fmt::format_to(out, "\n");
  }
}

// --- Tiny ---

/// Longer than anything there lasts is all the same.
int64_t AgeSeconds(Instant then, Instant now) {
  return std::min<int64_t>((now - then).micros(), kTinyFresh.micros() + 1) / 1'000'000 +
         ((now - then) > kTinyFresh ? 1 : 0);
}

void PutTinyMove(Out out, const Move& move, Instant now) {
  fmt::format_to(out, "{}{}{}{}{}{}{}{}", move.number, static_cast<int>(move.state),
                 move.driver.value(), move.spotter.value(), move.spotter_accepted ? '+' : '-',
                 move.at_line ? 'l'
                 : move.begun ? 'b'
                              : '-',
                 move.unattended ? 'u' : '-', move.stops_passed);
  std::vector<std::string> words;
  for (const moves::GateWords& gate : move.words) {
    for (const moves::Word& word : gate.words) {
      // A word that counts for nothing any more still says in which role its giver spoke.
      words.push_back(
          word.stale ? fmt::format("{}{}{}{}~", gate.gate_id, static_cast<int>(gate.phase),
                                   static_cast<int>(word.party), word.person.value())
                     : fmt::format("{}{}{}{}{}{}{}", gate.gate_id, static_cast<int>(gate.phase),
                                   static_cast<int>(word.party), word.person.value(), word.count,
                                   word.finding.empty() ? '.' : '!', AgeSeconds(word.time, now)));
    }
  }
  std::sort(words.begin(), words.end());
  for (const std::string& word : words) fmt::format_to(out, " {}", word);
  for (const moves::Acceptance& taken : move.acceptances) {
    fmt::format_to(out, " a{}{}{}", taken.gate_id, taken.by.value(), taken.stood_at);
  }
  std::set<std::string> standing;
  for (const moves::StopWord& stop : move.stops) {
    if (stop.lifted_by.empty()) standing.insert(stop.person.value());
  }
  for (const std::string& who : standing) fmt::format_to(out, " s<{}>", who);
  if (move.release) {
    fmt::format_to(out, " r{}{}{}/{}", static_cast<int>(move.release->phase),
                   static_cast<int>(move.release->from_state), move.release->limit,
                   now > move.release->start_by              ? 'x'
                   : AgeSeconds(move.release->time, now) > 0 ? '1'
                                                             : '0');
  }
  *out = '\n';
}

char ShiftLeft(const YardState& yard, Instant now) {
  if (!yard.shift) return '-';
  if (now >= yard.shift->end) return 'e';
  return yard.shift->end - now < kTinyBeforeShiftEnd ? 'n' : 'f';
}

}  // namespace

std::string FullText(const YardState& yard) {
  std::string text;
  Out out = std::back_inserter(text);
  fmt::format_to(out, "version {} {} by {} at {} trouble={}\n", yard.version.number,
                 yard.version.digest, yard.version.loaded_by.value(), yard.version.loaded.micros(),
                 yard.version.trouble);
  for (const auto& [number, move] : yard.moves) PutMove(out, move);
  fmt::format_to(out, "ended\n");
  for (const Move& move : yard.ended) PutMove(out, move);
  fmt::format_to(out, "live {}\n", fmt::join(yard.live, ","));
  for (const auto& [ground, holder] : yard.taken)
    fmt::format_to(out, "taken {} {}\n", ground, holder);
  PutMachines(out, yard);
  for (const auto& [door, state] : yard.doors_out) {
    fmt::format_to(out, "door {} {} {} {}\n", door.value(), state.reported_by.value(), state.text,
                   state.time.micros());
  }
  for (const auto& [person, move] : yard.spotting)
    fmt::format_to(out, "spotting {} {}\n", person.value(), move);
  for (const auto& [move, machine] : yard.left_standing)
    fmt::format_to(out, "left {} {}\n", move, machine.value());
  if (yard.hold) {
    fmt::format_to(out, "hold {} {} {}\n", yard.hold->person.value(), yard.hold->reason,
                   yard.hold->time.micros());
  }
  if (yard.shift) {
    fmt::format_to(out, "shift {} {} {} {}\n", yard.shift->title, yard.shift->begin.micros(),
                   yard.shift->end.micros(), yard.shift->lead.value());
  }
  fmt::format_to(out, "next {} {} {} entries={} last={}\n", yard.next_move, yard.next_tag,
                 yard.next_token, yard.entries, yard.last_time.micros());
  return text;
}

std::string TinyText(const YardState& yard, Instant now) {
  std::string text;
  text.reserve(500);
  Out out = std::back_inserter(text);
  fmt::format_to(out, "{}{}{}{}\n", yard.next_move, ShiftLeft(yard, now), yard.hold ? 'h' : '-',
                 yard.doors_out.size());
  for (const auto& [number, move] : yard.moves) PutTinyMove(out, move, now);
  for (const auto& [ground, holder] : yard.taken) fmt::format_to(out, "{}{} ", ground, holder);
  for (const moves::MoveNumber number : yard.live) fmt::format_to(out, "l{}", number);
  for (const auto& [id, machine] : yard.machines) {
    const bool inspected =
        machine.inspected && yard.shift && machine.inspected_entry >= yard.shift->begin_entry;
    fmt::format_to(out, "\n{}{}{}{}", id.value(), machine.place.value(), machine.move,
                   inspected ? 'i' : '-');
    PutCounts(out, machine.put_down);
    PutLaw9(out, machine);
    for (const moves::Tag& tag : machine.tags) {
      fmt::format_to(out, "t{}{}", static_cast<int>(tag.sort),
                     tag.sort == moves::TagSort::kHung ? tag.person.value() : "");
      for (const moves::PersonId& person : tag.not_by) fmt::format_to(out, "!{}", person.value());
    }
  }
  for (const auto& [person, move] : yard.spotting)
    fmt::format_to(out, "\n{}{}", person.value(), move);
  for (const auto& [move, machine] : yard.left_standing)
    fmt::format_to(out, "\nx{}{}", move, machine.value());
  return text;
}

}  // namespace chockwise::sim
