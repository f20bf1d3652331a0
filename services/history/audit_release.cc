// What a release, a first motion and a close have to stand on.
#include <fmt/format.h>
#include <fmt/ranges.h>

#include <algorithm>
#include <set>

#include "services/history/audit_computed.h"
#include "services/history/audit_gates.h"
#include "services/history/audit_replay.h"
#include "services/history/words.h"

namespace chockwise::history {
namespace {

v1::Phase PhaseAskedIn(v1::MoveState state) {
  return state == v1::MOVE_STATE_HELD ? v1::PHASE_HOLD_POINT : v1::PHASE_START;
}

/// The gate by which the rules of the kind name a computation; null where they do not.
const v1::GateRule* GateFor(const Moment& moment, std::string_view computation) {
  for (const v1::GateRule* gate : GatesAsked(moment.book, moment.move, moment.phase)) {
    if (gate->computed().computation() == computation) return gate;
  }
  return nullptr;
}

}  // namespace

void Replay::JudgeRelease(const v1::Entry& entry, const AuditedMove& move,
                          std::set<std::string>& faulted) {
  const v1::Released& released = entry.released();
  if (!book_.in_force.yard) {
    Find("law 2", "released without a yard in force");
    return;
  }
  // Law 11.
  if (released.yard_version() != book_.in_force.version ||
      released.yard_digest() != book_.in_force.digest) {
    Find("law 11",
         fmt::format("released on yard version {} ({}) while version {} ({}) was in force",
                     released.yard_version(), released.yard_digest(), book_.in_force.version,
                     book_.in_force.digest));
  }
  if (!book_.in_force.gates_of_kind.contains(move.asked.kind())) {
    Find("law 2", fmt::format("released as {}, a kind that the rules in force do not have",
                              move.asked.kind()));
    return;
  }
  if (released.phase() != PhaseAskedIn(move.state)) {
    Find("states", fmt::format("released on the gates of the {} while {}",
                               PhaseWords(released.phase()), StateWords(move.state)));
  }
  if (released.number() != move.releases + 1) {
    Find("states", fmt::format("release {} follows release {}", released.number(), move.releases));
  }
  JudgeStops(move, "released");
  JudgeReach(released, move);
  JudgeWindow(entry, move, faulted);
  const Moment moment{.book = book_,
                      .move = move,
                      .now_us = entry.time_us(),
                      .phase = released.phase(),
                      .occasion = Occasion::kRelease};
  JudgeGates(moment, faulted);
  JudgeBasis(moment, released.gates(), faulted);
}

/// Laws 5 and 7: every stop since the last release was lifted by whoever called it, or by a lead.
void Replay::JudgeStops(const AuditedMove& move, std::string_view what) {
  for (const AuditedStop& stop : move.stops) {
    if (!stop.lifted_by.empty()) continue;
    Find(stop.rule,
         fmt::format("{} although the stop of entry {} by {} was not lifted by them or by a lead",
                     what, stop.entry, stop.person.empty() ? "the system" : stop.person));
  }
}

/// Law 10: a release ends at the next hold point, and where the kind says so at the next door line.
void Replay::JudgeReach(const v1::Released& released, const AuditedMove& move) {
  const yard::Yard& yard = *book_.in_force.yard;
  const v1::KindRule* kind = yard.FindKind(move.asked.kind());
  std::string limit;
  for (int i = move.stops_passed; i < move.asked.stops_size() && limit.empty(); ++i) {
    const std::string& stop = move.asked.stops(i);
    const bool door = yard.doors.contains(yard::DoorId(stop));
    if (!door || kind->hold_at_doors()) limit = stop;
  }
  if (released.limit() == limit) return;
  const std::string end = "the end of the route";
  Find("law 10",
       fmt::format("released as far as {}, where it had to end at {}",
                   released.limit().empty() ? end : released.limit(), limit.empty() ? end : limit));
}

void Replay::JudgeWindow(const v1::Entry& entry, const AuditedMove& move,
                         std::set<std::string>& faulted) {
  const google::protobuf::Duration& window = book_.in_force.yard->rules.limits().start_window();
  const int64_t window_us = window.seconds() * 1'000'000 + window.nanos() / 1000;
  const int64_t given_us = entry.released().start_by_time_us() - entry.time_us();
  if (given_us > 0 && given_us <= window_us) return;
  const Moment moment{
      .book = book_, .move = move, .now_us = entry.time_us(), .phase = entry.released().phase()};
  const v1::GateRule* gate = GateFor(moment, "start-window");
  if (gate != nullptr) faulted.insert(gate->id());
  faulted.insert("start-window");
  Find("law 1", gate == nullptr ? "" : gate->id(),
       fmt::format("a start window of {}, the rules give {}", SpanWords(given_us),
                   SpanWords(window_us)));
}

void Replay::JudgeGates(const Moment& moment, std::set<std::string>& faulted) {
  JudgeAlways(moment, faulted);
  const std::set<std::string_view>& judged = AlwaysComputed(moment.occasion);
  for (const v1::GateRule* gate : GatesAsked(book_, moment.move, moment.phase)) {
    ++counts_.gates_judged;
    if (gate->gate_class() == v1::GATE_CLASS_RECORD ||
        judged.contains(gate->computed().computation()))
      continue;
    if (faulted.contains(gate->id())) continue;
    if (std::optional<Fault> fault = JudgeGate(moment, *gate)) {
      faulted.insert(gate->id());
      Report(moment, gate->id(), *fault);
    }
  }
}

/// What the laws ask for whether or not the kind has a gate for it.
void Replay::JudgeAlways(const Moment& moment, std::set<std::string>& faulted) {
  std::set<std::string_view> computations = AlwaysComputed(moment.occasion);
  // Law 4 binds whoever spots, also where the kind could do without.
  if (moment.occasion == Occasion::kRelease && !moment.move.spotter.empty())
    computations.insert("spotter-bound");
  for (std::string_view name : computations) {
    const v1::GateRule* gate = GateFor(moment, name);
    const std::string key = gate == nullptr ? std::string(name) : gate->id();
    if (faulted.contains(key)) continue;
    v1::Computed computed;
    computed.set_computation(std::string(name));
    if (std::optional<Fault> fault = JudgeComputed(moment, computed)) {
      faulted.insert(key);
      Report(moment, gate == nullptr ? "" : key, *fault);
    }
  }
}

/// Law 11: the gates recorded with it are those that were asked, each as it stood.
void Replay::JudgeBasis(const Moment& moment,
                        const google::protobuf::RepeatedPtrField<v1::GateBasis>& basis,
                        const std::set<std::string>& faulted) {
  std::map<std::string_view, const v1::GateBasis*> recorded;
  for (const v1::GateBasis& gate : basis) recorded[gate.gate_id()] = &gate;
  for (const v1::GateRule* gate : GatesAsked(book_, moment.move, moment.phase)) {
    auto found = recorded.find(gate->id());
    if (found == recorded.end()) {
      Find("law 11", gate->id(), "was asked and is not among the gates recorded");
      continue;
    }
    const v1::GateBasis& stood = *found->second;
    recorded.erase(found);
    if (gate->gate_class() == v1::GATE_CLASS_RECORD || faulted.contains(gate->id())) continue;
    std::set<std::string> by;
    for (const AuditedAcceptance& acceptance : AcceptancesOf(moment.move, *gate, moment.phase))
      by.insert(acceptance.person);
    const bool clear =
        stood.state() == v1::GATE_STATE_CLEAR && (by.empty() || !JudgeAnswer(moment, *gate));
    const bool accepted = by.contains(stood.accepted_by());
    if (clear ? stood.accepted_by().empty() || accepted : accepted) continue;
    Find("law 11", gate->id(),
         fmt::format("recorded as {}{}, {}", GateStateWords(stood.state()),
                     stood.accepted_by().empty() ? "" : ", accepted by " + stood.accepted_by(),
                     by.empty() ? "accepted by nobody"
                                : fmt::format("accepted by {}", fmt::join(by, ", "))));
  }
  for (const auto& [gate_id, stood] : recorded)
    Find("law 11", gate_id, "was not asked and is among the gates recorded");
}

void Replay::Report(const Moment& moment, std::string_view gate_id, const Fault& fault) {
  std::string_view what = "released";
  switch (moment.occasion) {
    case Occasion::kRelease:
      break;
    case Occasion::kFirstMotion:
      what = "the wheels turned";
      break;
    case Occasion::kClose:
      what = "closed";
      break;
  }
  Find(fault.rule, gate_id, fmt::format("{} although {}", what, fault.text));
}

}  // namespace chockwise::history
