// What entries about the whole yard do to the audit's book.
#include <fmt/format.h>

#include <algorithm>

#include "services/history/audit_law_gates.h"
#include "services/history/audit_replay.h"
#include "services/history/recorded_yard.h"
#include "services/ledger/sha256.h"

namespace chockwise::history {
namespace {

using E = v1::Entry;

/// SHA-256 over the files by name, each as name, NUL, length as 8 bytes big-endian, bytes. In
/// hexadecimal.
std::string DigestOf(const google::protobuf::Map<std::string, std::string>& files) {
  std::string all;
  for (const auto& [name, bytes] : std::map<std::string, std::string>(files.begin(), files.end())) {
    all += name;
    all += '\0';
    for (int shift = 56; shift >= 0; shift -= 8)
      all += static_cast<char>((bytes.size() >> shift) & 0xff);
    all += bytes;
  }
  return ledger::ToHex(ledger::Sha256({all}));
}

void SortGates(YardInForce& in_force) {
  const v1::Rules& rules = in_force.yard->rules;
  std::map<std::string_view, const v1::GateSet*> sets;
  for (const v1::GateSet& set : rules.gate_sets()) sets[set.id()] = &set;
  for (const v1::KindRule& kind : rules.kinds()) {
    std::vector<const v1::GateRule*>& gates = in_force.gates_of_kind[kind.id()];
    std::set<std::string> seen;
    auto add = [&](const std::string& id) {
      const v1::GateRule* gate = in_force.yard->FindGate(id);
      if (gate != nullptr && seen.insert(id).second) gates.push_back(gate);
    };
    for (const std::string& set_id : kind.gate_set_ids()) {
      auto set = sets.find(set_id);
      if (set == sets.end()) continue;
      for (const std::string& id : set->second->gate_ids()) add(id);
    }
    for (const std::string& id : kind.gate_ids()) add(id);
    const std::vector<const v1::GateRule*> laws = LawGatesBeside(gates);
    gates.insert(gates.end(), laws.begin(), laws.end());
  }
}

bool Contains(const google::protobuf::RepeatedPtrField<std::string>& list, std::string_view value) {
  for (const std::string& item : list) {
    if (item == value) return true;
  }
  return false;
}

}  // namespace

/// Notes on every move under way that is touched that it has to be stopped.
template <class Touched>
void Replay::OweStop(std::string_view why, const Touched& touched) {
  for (auto& [number, move] : book_.moves) {
    if (move.state == v1::MOVE_STATE_UNDER_WAY && touched(move))
      move.owed_stop = Because("law 5", why);
  }
}

void Replay::ApplyToYard(const E& entry) {
  switch (entry.what_case()) {
    case E::kShiftBegun:
      book_.shift =
          AuditedShift{.begin_entry = number_, .end_us = entry.shift_begun().end_time_us()};
      break;
    case E::kShiftEnded:
      OnShiftEnded();
      break;
    case E::kYardHeld:
      book_.hold_entry = number_;
      OweStop("the yard was held", [](const AuditedMove&) { return true; });
      break;
    case E::kHoldLifted:
      book_.hold_entry = 0;
      break;
    case E::kDoorReported:
      OnDoorReported(entry.door_reported());
      break;
    case E::kDoorReturned:
      book_.doors_out.erase(entry.door_returned().door());
      break;
    case E::kTagHung:
      OnTag(entry.tag_hung().machine(), entry.tag_hung().tag(),
            {.hung_by = entry.person(), .requester = {}, .driver = {}});
      break;
    case E::kTagCleared:
      OnTagCleared(entry);
      break;
    case E::kInspectionRecorded:
      OnInspection(entry);
      break;
    case E::kPutDown:
      OnPutDown(entry);
      break;
    case E::kYardLoaded:
      OnYardLoaded(entry.yard_loaded());
      break;
    case E::kRestarted:
      OnStart("the service started again");
      break;
    case E::kClockStepped:
      OnStart("the clock stepped");
      break;
    // clang-format off
    // Tokens say who may speak, which is the server's to hold.
    case E::kTokenIssued: case E::kTokenRevoked:
    // About one move.
    case E::kMoveRequested: case E::kSpotterNamed: case E::kSpottingAccepted: case E::kSpottingLeft:
    case E::kDriverSwapped: case E::kGateConfirmed: case E::kGateAccepted: case E::kReleased:
    case E::kReleaseRefused: case E::kReleaseVoided: case E::kMoveBegun: case E::kMoveHeld:
    case E::kMoveParked: case E::kMoveClosed: case E::kMoveStopped: case E::kRestartAllowed:
    case E::kMoveRefused: case E::kMoveWithdrawn: case E::kDriverAway: case E::kBrokeDown:
    case E::kGatesStaled: case E::kCloseRefused: case E::kGroundCleared: case E::WHAT_NOT_SET:
      break;
      // clang-format on
  }
}

/// Law 11: the version that releases name is the one whose files are here.
void Replay::OnYardLoaded(const v1::YardLoaded& what) {
  ++counts_.yard_versions;
  // By the rules that go and by those that come: the stricter counts.
  for (auto& [number, move] : book_.moves) UndoFor(move, v1::HAPPENING_YARD_RELOADED);
  if (what.version() != book_.in_force.version + 1) {
    Find("law 11",
         fmt::format("yard version {} follows version {}", what.version(), book_.in_force.version));
  }
  if (DigestOf(what.files()) != what.digest()) {
    Find("law 11", fmt::format("the files of yard version {} do not have the SHA-256 recorded",
                               what.version()));
  }
  std::set<std::string> known;
  if (book_.in_force.yard) {
    for (const auto& [id, machine] : book_.in_force.yard->machines) known.insert(id.value());
  }
  book_.in_force = {};
  book_.in_force.version = what.version();
  book_.in_force.digest = what.digest();
  auto yard = ReadRecordedYard(what.files());
  if (!yard) {
    Find("law 11",
         fmt::format("yard version {} does not read: {}", what.version(),
                     yard.error().empty() ? "no reason given" : yard.error().front().Text()));
    return;
  }
  book_.in_force.yard = std::move(*yard);
  SortGates(book_.in_force);
  for (auto& [number, move] : book_.moves) UndoFor(move, v1::HAPPENING_YARD_RELOADED);
  OweStop("what it tows was changed",
          [this](const AuditedMove& move) { return !TrainChange(book_, move).empty(); });
  for (const std::string& machine : known) {
    if (book_.in_force.yard->FindMachine(machine) == nullptr) OnMachineGone(machine);
  }
  // Law 9: the register says what lay under a machine when it was first written down; from then on
  // the ledger does.
  for (const auto& [id, machine] : book_.in_force.yard->machines) {
    auto [items, first] = book_.put_down.try_emplace(id.value());
    if (first && machine.chocks_set != 0) items->second["chocks"] = machine.chocks_set;
  }
}

/// Whoever takes it out of the register says that it is gone: not while it is on a move or stands
/// in the way, carries a tag, or something lies at it.
void Replay::OnMachineGone(const std::string& machine) {
  for (const auto& [number, move] : book_.moves) {
    const bool towed = !Ended(move.state) &&
                       std::ranges::find(move.towed, yard::MachineId(machine)) != move.towed.end();
    if (move.asked.machine() != machine && move.asked.carrier() != machine && !towed) continue;
    Find("law 6",
         fmt::format("{} taken out of the register while move {} is not over", machine, number));
    return;
  }
  if (auto tags = book_.tags.find(machine); tags != book_.tags.end() && !tags->second.empty()) {
    Find("law 1", fmt::format("{} taken out of the register with tag {} on it", machine,
                              tags->second.begin()->first));
    return;
  }
  for (auto* lying : {&book_.put_down, &book_.left_behind}) {
    for (const auto& [item, count] : (*lying)[machine]) {
      if (count == 0) continue;
      Find("law 9",
           fmt::format("{} taken out of the register with {} {} at it", machine, count, item));
      return;
    }
  }
  book_.put_down.erase(machine);
  book_.left_behind.erase(machine);
  book_.inspections.erase(machine);
}

/// Law 7: nothing stays released, what was under way is stopped, and every word counts no more.
void Replay::OnStart(std::string_view why) {
  for (auto& [number, move] : book_.moves) {
    if (Ended(move.state)) continue;
    UndoAll(move, Because("law 7", why));
    if (move.state == v1::MOVE_STATE_UNDER_WAY) {
      move.state = v1::MOVE_STATE_STOPPED;
      move.at_line = false;
      move.stops.push_back({.entry = number_, .person = {}, .rule = "law 7", .lifted_by = {}});
      move.acceptances.clear();
      move.owed_stop = {};
    } else if (move.state == v1::MOVE_STATE_RELEASED) {
      // Back to where the release was given: a move can have been stopped before it ever moved.
      move.state = move.release ? move.release->given_in : v1::MOVE_STATE_REQUESTED;
      if (!move.driven) FreeGround(move);
    }
    move.release.reset();
  }
}

void Replay::OnShiftEnded() {
  book_.shift.reset();
  for (auto& [number, move] : book_.moves) UndoFor(move, v1::HAPPENING_SHIFT_END);
  OweStop("the shift ended", [](const AuditedMove&) { return true; });
}

void Replay::OnDoorReported(const v1::DoorReported& what) {
  book_.doors_out.try_emplace(what.door(), number_);
  auto through = [&what](const AuditedMove& move) {
    return Contains(move.asked.ground(), "door/" + what.door());
  };
  for (auto& [number, move] : book_.moves) {
    if (through(move)) UndoFor(move, v1::HAPPENING_DOOR_MOVED);
  }
  OweStop("a door on its route was reported", through);
}

/// Law 9: more is anyone's to say; fewer takes two people who say the same of what lay there.
void Replay::OnPutDown(const E& entry) {
  const v1::PutDown& what = entry.put_down();
  int64_t& own = book_.put_down[what.machine()][what.item()];
  int64_t& left = book_.left_behind[what.machine()][what.item()];
  const int64_t lay_there = own + left;
  auto said = book_.fewer.find({what.machine(), what.item()});
  if (what.stood() != 0) {
    if (what.stood() != lay_there || what.count() >= lay_there) {
      Find("law 9", fmt::format("{} {} said to be fewer than {}, where {} lay at {}", what.count(),
                                what.item(), what.stood(), lay_there, what.machine()));
    }
    book_.fewer[{what.machine(), what.item()}] = {
        .person = entry.person(), .count = what.count(), .lay_there = lay_there};
    return;
  }
  const bool second = said != book_.fewer.end() && said->second.person != entry.person() &&
                      said->second.count == what.count() && said->second.lay_there == lay_there;
  if (what.count() < lay_there && !second) {
    Find("law 9", fmt::format("{} {} counted in at {} on one person's word, {} lay there",
                              lay_there - what.count(), what.item(), what.machine(), lay_there));
  }
  if (said != book_.fewer.end()) book_.fewer.erase(said);
  left = std::min(left, what.count());
  own = what.count() - left;
}

void Replay::OnTag(std::string_view machine, int64_t tag, const AuditedTag& hung) {
  if (tag == 0) return;
  book_.tags[std::string(machine)].try_emplace(tag, hung);
  const yard::Machine* tagged =
      book_.in_force.yard ? book_.in_force.yard->FindMachine(machine) : nullptr;
  const std::string tower = tagged == nullptr ? "" : tagged->towed_by.value();
  OweStop("a tag was hung on it", [machine, &tower](const AuditedMove& move) {
    return move.asked.machine() == machine || move.asked.carrier() == machine ||
           (!tower.empty() && move.asked.machine() == tower);
  });
}

void Replay::OnTagCleared(const E& entry) {
  auto& tags = book_.tags[entry.tag_cleared().machine()];
  auto tag = tags.find(entry.tag_cleared().tag());
  if (tag == tags.end()) {
    Find("states", fmt::format("tag {} taken off {}, where it does not hang",
                               entry.tag_cleared().tag(), entry.tag_cleared().machine()));
    return;
  }
  const std::string_view wrong = WrongPersonForTag(tag->second, entry.person());
  if (!wrong.empty()) {
    Find("right people", fmt::format("tag {}, hung by {}, taken off by {}: {}", tag->first,
                                     tag->second.hung_by, entry.person(), wrong));
  }
  tags.erase(tag);
}

/// Whose it would have been; empty where it was theirs.
std::string_view Replay::WrongPersonForTag(const AuditedTag& tag, std::string_view person) const {
  if (tag.refused_move != 0) {
    const bool outside = person != tag.requester && person != tag.driver;
    return IsLead(book_, person) && outside
               ? ""
               : "that is a lead's who neither asked for the move refused nor drives it";
  }
  if (tag.defect)
    return HasRole(book_, person, yard::Role::kTech) ? "" : "a defect is a tech's to clear";
  if (person == tag.hung_by) return "";
  const bool gone = book_.in_force.yard && book_.in_force.yard->FindPerson(tag.hung_by) == nullptr;
  return gone && HasRole(book_, person, yard::Role::kSafetyLead) ? ""
                                                                 : "that is theirs who hung it";
}

void Replay::OnInspection(const E& entry) {
  const v1::InspectionRecorded& what = entry.inspection_recorded();
  book_.inspections[what.machine()] = {
      .entry = number_, .person = entry.person(), .defect = what.defect()};
  OnTag(what.machine(), what.tag(),
        {.hung_by = entry.person(), .defect = true, .requester = {}, .driver = {}});
}

}  // namespace chockwise::history
