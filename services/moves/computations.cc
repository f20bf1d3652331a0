#include "services/moves/computations.h"

#include <fmt/format.h>

#include <algorithm>
#include <functional>
#include <map>

#include "services/moves/findings.h"
#include "services/moves/kept_findings.h"

namespace chockwise::moves {
namespace {

/// The last day on which an authorisation that ends at `until` still holds.
std::string LastDay(Instant until) { return DateText(until - Duration::FromMicros(1)); }

// --- People ---

/// What else keeps a person busy on this yard; empty for nothing. Law 4: no other duty, one moving
/// machine a person.
std::string OtherDuty(const Sight& sight, const PersonId& person) {
  const auto spotting = sight.state.spotting.find(person);
  if (spotting != sight.state.spotting.end() && spotting->second != sight.move.number) {
    return fmt::format("{} spots move {}", person.value(), spotting->second);
  }
  for (const MoveNumber number : sight.state.live) {
    const auto other = sight.state.moves.find(number);
    const bool drives = number != sight.move.number && other != sight.state.moves.end() &&
                        other->second.driver == person;
    if (drives) return fmt::format("{} drives move {}", person.value(), number);
  }
  return "";
}

/// Source: 29 CFR 1910.178(l)(4), (l)(6): trained, evaluated, and again at least every three years.
/// The register says until when.
ComputedFinding DriverAuthorised(const Sight& sight, const yard::Parameters&) {
  const std::string& driver = sight.move.driver.value();
  const yard::Person* person = sight.yard.FindPerson(driver);
  const yard::Machine* machine = sight.yard.FindMachine(sight.move.machine.value());
  if (person == nullptr || !person->roles.contains(yard::Role::kDriver)) {
    return NotClear(fmt::format("{} is not a driver in the register", driver));
  }
  if (machine == nullptr)
    return NotClear(fmt::format("{} is not in the register", sight.move.machine.value()));
  const auto authorised = person->may_drive.find(machine->machine_class);
  if (authorised == person->may_drive.end()) {
    return NotClear(
        fmt::format("{} is not authorised for class {}", driver, machine->machine_class));
  }
  if (sight.now >= authorised->second) {
    return NotClear(fmt::format("{}'s authorisation for class {} ended on {}", driver,
                                machine->machine_class, LastDay(authorised->second)));
  }
  if (std::string duty = OtherDuty(sight, sight.move.driver); !duty.empty())
    return NotClear(std::move(duty));
  return Clear(fmt::format("{} until {}", driver, LastDay(authorised->second)));
}

/// Law 4: two people, and one spotter serves one machine.
ComputedFinding SpotterBound(const Sight& sight, const yard::Parameters&) {
  const Move& move = sight.move;
  if (move.spotter.empty()) return NotAsked("nobody is named to spot");
  const std::string& spotter = move.spotter.value();
  if (move.spotter == move.driver)
    return NotClear(fmt::format("{} drives; driver and spotter are two people", spotter));
  const yard::Person* person = sight.yard.FindPerson(spotter);
  if (person == nullptr || !person->roles.contains(yard::Role::kSpotter)) {
    return NotClear(fmt::format("{} is not a spotter in the register", spotter));
  }
  if (!person->may_spot_until)
    return NotClear(fmt::format("{} has no spotter training in the register", spotter));
  if (sight.now >= *person->may_spot_until) {
    return NotClear(fmt::format("{}'s spotter training ended on {}", spotter,
                                LastDay(*person->may_spot_until)));
  }
  if (!move.spotter_accepted)
    return NotAsked(fmt::format("{} has not taken the role yet", spotter));
  if (std::string duty = OtherDuty(sight, move.spotter); !duty.empty())
    return NotClear(std::move(duty));
  return Clear(spotter);
}

// --- The machine ---

const MachineState* FindMachineState(const Sight& sight, const MachineId& machine) {
  const auto found = sight.state.machines.find(machine);
  return found == sight.state.machines.end() ? nullptr : &found->second;
}

ComputedFinding InspectedThisShift(const Sight& sight, const MachineId& id) {
  const std::string& unit = id.value();
  const MachineState* machine = FindMachineState(sight, id);
  if (machine == nullptr || !machine->inspected)
    return NotAsked(fmt::format("{} has no inspection without a defect", unit));
  if (!sight.state.shift) return Stale("no shift runs");
  if (machine->inspected_entry < sight.state.shift->begin_entry) {
    return Stale(fmt::format("{} was last inspected before this shift", unit));
  }
  return Clear();
}

/// Source: 29 CFR 1910.178(q)(7) at least daily and after each shift of round-the-clock use;
/// 1926.601(b)(14) each shift.
ComputedFinding InspectionThisShift(const Sight& sight, const yard::Parameters&) {
  for (const MachineId& id : UnitsOf(sight)) {
    ComputedFinding finding = InspectedThisShift(sight, id);
    if (finding.state != v1::GATE_STATE_CLEAR) return finding;
  }
  return Clear();
}

/// Source: 30 CFR 56.14100(c), 56.14105: tagged out until the hazard is gone.
ComputedFinding NoTags(const Sight& sight, const yard::Parameters&) {
  std::vector<MachineId> ids = UnitsOf(sight);
  if (!sight.move.carrier.empty()) ids.push_back(sight.move.carrier);
  for (const MachineId& id : ids) {
    const MachineState* machine = FindMachineState(sight, id);
    if (machine == nullptr) return NotClear(fmt::format("{} is not in the register", id.value()));
    if (machine->tags.empty()) continue;
    const Tag& tag = machine->tags.front();
    return NotClear(fmt::format("tag {} on {} by {}: {}", tag.number, id.value(),
                                tag.person.value(), tag.text));
  }
  return Clear();
}

// --- The ground ---

/// A train stands as one: what is towed is not counted by itself.
int MachinesStandingAt(const Sight& sight, const PlaceId& place) {
  int standing = 0;
  for (const auto& [id, machine] : sight.state.machines) {
    const yard::Machine* known = sight.yard.FindMachine(id.value());
    const bool towed = known != nullptr && !known->towed_by.empty();
    if (machine.place == place && id != sight.move.machine && !towed) ++standing;
  }
  return standing;
}

template <class List>
bool Has(const List& list, const std::string& value) {
  return std::find(list.begin(), list.end(), value) != list.end();
}

std::string UnitsText(const std::vector<MachineId>& units) {
  std::string text;
  for (const MachineId& unit : units) text += (text.empty() ? "" : ", ") + unit.value();
  return text.empty() ? "nothing" : text;
}

/// What the register in force hangs behind the machine, or the machine behind, otherwise than when
/// the move was asked for; empty for nothing. The record moves what hung there then, the gates look
/// at what hangs there now: a move goes on only where both are the same. Laws 2 and 11.
std::string TrainChange(const Sight& sight) {
  const Move& move = sight.move;
  const yard::Machine* machine = sight.yard.FindMachine(move.machine.value());
  if (machine == nullptr) return "";  // nobody is authorised for it: said there
  if (machine->towed_by.empty() && machine->tows == move.towed) return "";
  const std::string change =
      machine->towed_by.empty()
          ? fmt::format("what {} tows has changed since the move was asked for (then {}, now {})",
                        move.machine.value(), UnitsText(move.towed), UnitsText(machine->tows))
          : fmt::format("{} hangs behind {} since the move was asked for", move.machine.value(),
                        machine->towed_by.value());
  // One that has begun is not withdrawn.
  return change + (move.begun ? ": put the column tows of machines.csv back, or report it broken "
                                "down"
                              : ": withdraw it and ask anew");
}

/// What the map in force says otherwise than when the move was asked for; empty for nothing. A move
/// does not go through a door that was drawn across its way since. Laws 2 and 11.
std::string MapChange(const Sight& sight) {
  const Way& way = *sight.move.way;
  const v1::KindRule* kind = sight.yard.FindKind(sight.move.kind);
  for (const std::string& lane : way.lanes) {
    if (!sight.yard.lanes.contains(yard::LaneId(lane))) return lane + " is not on the map any more";
  }
  for (const std::string& door : way.doors) {
    const auto known = sight.yard.doors.find(DoorId(door));
    if (known == sight.yard.doors.end() || !Has(way.lanes, known->second.lane.value())) {
      return door + " is not on its way any more";
    }
  }
  for (const auto& [id, door] : sight.yard.doors) {
    if (!Has(way.lanes, door.lane.value())) continue;
    const bool held = kind == nullptr || !kind->hold_at_doors() || Has(way.stops, id.value());
    if (!way.doors.contains(id.value()) || !held) return id.value() + " is on its way now";
  }
  for (const auto& [id, point] : sight.yard.hold_points) {
    const bool crossed = Has(way.lanes, point.lane.value());
    if (crossed != Has(way.stops, id.value())) {
      return fmt::format("{} is {} its way now", id.value(), crossed ? "on" : "off");
    }
  }
  for (const auto& [id, area] : sight.yard.areas) {
    const bool crossed =
        area.places.contains(sight.move.to) ||
        std::any_of(way.lanes.begin(), way.lanes.end(), [&](const std::string& lane) {
          return area.lanes.contains(yard::LaneId(lane));
        });
    if (yard::MustStayFree(area.duty) && crossed && !way.ground.contains("area/" + id.value())) {
      return id.value() + " is on its way now";
    }
  }
  return "";
}

/// "lane yard-lane": ground as people say it.
std::string GroundText(std::string_view ground) {
  const size_t slash = ground.find('/');
  return fmt::format("{} {}", ground.substr(0, slash), ground.substr(slash + 1));
}

/// What is held is told by its lane where a lane is: of all that two moves share, that is where
/// people see the other one. Empty: nothing is held.
std::string HeldGround(const Sight& sight) {
  for (const std::string_view sort : {"lane/", "place/", "door/", "area/"}) {
    for (const std::string& ground : sight.move.way->ground) {
      if (!ground.starts_with(sort)) continue;
      const auto taken = sight.state.taken.find(ground);
      if (taken == sight.state.taken.end() || taken->second == sight.move.number) continue;
      const auto other = sight.state.moves.find(taken->second);
      const auto left = sight.state.left_standing.find(taken->second);
      const std::string machine = other != sight.state.moves.end() ? other->second.machine.value()
                                  : left != sight.state.left_standing.end()
                                      ? left->second.value() + ", left standing"
                                      : "";
      return fmt::format("{} is held by move {}{}", GroundText(ground), taken->second,
                         machine.empty() ? "" : fmt::format(" ({})", machine));
    }
  }
  return "";
}

/// Law 6: all of it or none of it.
ComputedFinding GroundFree(const Sight& sight, const yard::Parameters&) {
  if (std::string change = TrainChange(sight); !change.empty()) return NotClear(std::move(change));
  if (const std::string change = MapChange(sight); !change.empty()) {
    return NotClear(fmt::format("the map was changed after this move was asked for: {}", change));
  }
  if (std::string held = HeldGround(sight); !held.empty()) return NotClear(std::move(held));
  for (const std::string& ground : sight.move.way->ground) {
    if (!ground.starts_with("place/")) continue;
    const PlaceId place(ground.substr(6));
    if (place == sight.move.from) continue;
    // The carrier is where the machine is to go: it stands there by intent.
    const bool carrier_there = !sight.move.carrier.empty() && place == sight.move.to;
    const auto known = sight.yard.places.find(place);
    if (known == sight.yard.places.end())
      return NotClear(GroundText(ground) + " is not on the map");
    const int room =
        known->second.capacity - MachinesStandingAt(sight, place) + (carrier_there ? 1 : 0);
    if (room < 1) return NotClear(GroundText(ground) + " is full");
  }
  return Clear();
}

ComputedFinding DoorsInService(const Sight& sight, const yard::Parameters&) {
  for (const std::string& door : sight.move.way->doors) {
    const auto out = sight.state.doors_out.find(DoorId(door));
    if (out != sight.state.doors_out.end()) {
      return NotClear(fmt::format("{} is out of service: {} ({})", door, out->second.text,
                                  out->second.reported_by.value()));
    }
  }
  return Clear();
}

ComputedFinding NoYardHold(const Sight& sight, const yard::Parameters&) {
  if (!sight.state.hold) return Clear();
  return NotClear(fmt::format("the yard is held by {}: {}", sight.state.hold->person.value(),
                              sight.state.hold->reason));
}

// --- Time ---

ComputedFinding ShiftRunning(const Sight& sight, const yard::Parameters&) {
  if (!sight.state.shift || sight.now >= sight.state.shift->end) return NotClear("no shift runs");
  const Duration least = ToDuration(sight.yard.rules.limits().before_shift_end());
  const Duration left = sight.state.shift->end - sight.now;
  if (left < least) {
    return NotClear(
        fmt::format("the shift ends in {} min; a release needs {} min and never crosses a shift",
                    left.micros() / 60'000'000, least.micros() / 60'000'000));
  }
  return Clear();
}

/// Source: 29 CFR 1910.178(m)(5)(ii): 25 ft or more away, or out of view.
ComputedFinding Attended(const Sight& sight, const yard::Parameters&) {
  if (sight.move.unattended) {
    return NotClear(fmt::format("{} was 25 ft or more away from {}, or out of its sight",
                                sight.move.driver.value(), sight.move.machine.value()));
  }
  return Clear();
}

ComputedFinding StartWindow(const Sight& sight, const yard::Parameters&) {
  if (sight.move.state == v1::MOVE_STATE_RELEASED && sight.move.release &&
      sight.now > sight.move.release->start_by) {
    return Stale("the start window has ended");
  }
  return Clear();
}

// --- Counts ---

/// Law 9, at the end: whatever this move put down has been counted in again.
ComputedFinding CountsBalance(const Sight& sight, const yard::Parameters&, v1::Phase phase) {
  const KindPlan* plan = sight.state.FindPlan(sight.move.kind);
  for (const auto& [item, count] : sight.move.put_down) {
    if (count == 0) continue;
    bool picked_up = false;
    if (plan != nullptr) {
      for (const v1::GateRule* rule : plan->gates) {
        const bool counts_it = rule->has_looked_at() && rule->looked_at().item() == item &&
                               rule->looked_at().evidence() == v1::EVIDENCE_COUNT_PICKED_UP &&
                               AsksIn(*rule, phase);
        if (counts_it) picked_up |= EvaluateGate(sight, *rule, phase).state == v1::GATE_STATE_CLEAR;
      }
    }
    if (!picked_up)
      return NotClear(fmt::format("{} put down: {}, not counted in yet", item, count));
  }
  return Clear();
}

// --- The table ---

using Plain = ComputedFinding (*)(const Sight&, const yard::Parameters&);
using Run = std::function<ComputedFinding(const Sight&, const yard::Parameters&, v1::Phase)>;

Run WithoutPhase(Plain run) {
  return [run](const Sight& sight, const yard::Parameters& parameters, v1::Phase) {
    return run(sight, parameters);
  };
}

/// What decides the answer of a surveyed computation, but for the yard and the age of its readings.
std::string QuestionOf(const Sight& sight, const std::string& name,
                       const yard::Parameters& parameters) {
  const Move& move = sight.move;
  std::string question = name;
  const auto add = [&question](const std::string& part) { question += '\n' + part; };
  for (const std::string& part :
       {move.machine.value(), move.carrier.value(), move.from.value(), move.to.value()})
    add(part);
  for (const std::string& lane : move.way->lanes) add(lane);
  std::map<std::string, std::string> ordered;
  for (const auto& [key, value] : parameters) ordered[key] = value;
  for (const auto& [key, value] : ordered) {
    add(key);
    add(value);
  }
  return question;
}

using Row = std::pair<const std::string, Run>;

/// Asked once for each version of the yard, unless a version is tried on that is not in force.
Row Kept(const std::string& name, Plain run) {
  return {name, [name, run](const Sight& sight, const yard::Parameters& parameters, v1::Phase) {
            if (&sight.yard != sight.state.yard.get()) return run(sight, parameters);
            return sight.state.kept_findings->Find(QuestionOf(sight, name, parameters), sight.now,
                                                   [&] { return run(sight, parameters); });
          }};
}

/// How each computation that yard::KnownComputations() names is run.
const std::map<std::string, Run, std::less<>>& Table() {
  static const auto* table = new std::map<std::string, Run, std::less<>>{
      {"driver-authorised", WithoutPhase(DriverAuthorised)},
      {"spotter-bound", WithoutPhase(SpotterBound)},
      {"inspection-this-shift", WithoutPhase(InspectionThisShift)},
      {"no-tags", WithoutPhase(NoTags)},
      {"ground-free", WithoutPhase(GroundFree)},
      {"doors-in-service", WithoutPhase(DoorsInService)},
      {"no-yard-hold", WithoutPhase(NoYardHold)},
      {"shift-running", WithoutPhase(ShiftRunning)},
      {"attended", WithoutPhase(Attended)},
      {"start-window", WithoutPhase(StartWindow)},
      {"counts-balance", CountsBalance},
      {"door-margins", WithoutPhase(DoorMargins)},
      {"measured", WithoutPhase(MeasuredWithin)},
      {"mass-within-capacity", WithoutPhase(MassWithinCapacity)},
      Kept("fits-route", FitsRoute),
      Kept("goes-under", GoesUnder),
      Kept("clears-ground", ClearsGround),
      Kept("ground-carries", GroundCarries),
      Kept("wires-clear", WiresClear),
      Kept("horn-heard", HornHeard),
      Kept("keeps-clear", KeepsClear),
      Kept("leaves-free", LeavesFree),
      {"light-enough", LightEnough},  // the sun moves: not kept
      Kept("axles-legal", AxlesLegal),
      {"axles-legal-as-stood", AxlesLegalAsStood},
      {"load-holds", LoadHolds},
  };
  return *table;
}

}  // namespace

std::vector<MachineId> UnitsOf(const Sight& sight) {
  std::vector<MachineId> units = {sight.move.machine};
  if (const yard::Machine* machine = sight.yard.FindMachine(sight.move.machine.value()))
    units.insert(units.end(), machine->tows.begin(), machine->tows.end());
  return units;
}

ComputedFinding Compute(const Sight& sight, const v1::Computed& computed, v1::Phase phase) {
  const auto known = Table().find(computed.computation());
  if (known == Table().end()) {
    return NotClear(
        fmt::format("this build does not know the computation \"{}\"", computed.computation()));
  }
  return known->second(sight, computed.parameters(), phase);
}

std::vector<std::string> ComputationNames() {
  std::vector<std::string> names;
  for (const auto& [name, run] : Table()) names.push_back(name);
  return names;
}

}  // namespace chockwise::moves
