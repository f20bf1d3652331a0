#include "services/history/audit_computed.h"

#include <fmt/format.h>

#include <cmath>
#include <cstdint>

#include "services/history/audit_gates.h"
#include "services/history/audit_survey.h"
#include "services/history/words.h"

namespace chockwise::history {
namespace {

using Answer = std::optional<Fault>;
using Parameters = google::protobuf::Map<std::string, std::string>;

/// Absorbs the rounding of unit conversions: a thousandth of a millimetre, a milligram, a millionth
/// of a per cent.
constexpr double kRounding = 1e-6;
constexpr double kSlopeRounding = 1e-8;

Answer No(std::string text) { return Fault{"law 1", std::move(text)}; }
tl::unexpected<std::string> Bad(std::string text) {
  return tl::unexpected<std::string>(std::move(text));
}
Answer Unknown(std::string text) { return Fault{"law 2", std::move(text)}; }

std::string Parameter(const Parameters& parameters, const char* name) {
  auto found = parameters.find(name);
  return found == parameters.end() ? "" : found->second;
}

/// Rounded down, the rounding of unit conversions aside.
int64_t WholeMillimetres(double metres) {
  return static_cast<int64_t>(std::floor((metres + kRounding) * 1000));
}

/// In metres; one that the rules leave out is zero.
std::optional<double> LengthParameter(const Parameters& parameters, const char* name) {
  const std::string text = Parameter(parameters, name);
  if (text.empty()) return 0;
  auto value = yard::ReadMeasuredValue(text);
  if (!value || !std::holds_alternative<fit::Metres>(*value)) return std::nullopt;
  return yard::InSi(*value);
}

const yard::Person* FindPerson(const Moment& moment, std::string_view id) {
  return moment.book.in_force.yard->FindPerson(id);
}

Answer DriverAuthorised(const Moment& moment, const Parameters&) {
  const yard::Person* driver = FindPerson(moment, moment.move.driver);
  if (driver == nullptr)
    return Unknown(fmt::format("{} is not in the register", moment.move.driver));
  if (!driver->roles.contains(yard::Role::kDriver))
    return No(fmt::format("{} is no driver", moment.move.driver));
  const yard::Machine* machine =
      moment.book.in_force.yard->FindMachine(moment.move.asked.machine());
  if (machine == nullptr)
    return Unknown(fmt::format("{} is not in the register", moment.move.asked.machine()));
  auto until = driver->may_drive.find(machine->machine_class);
  if (until == driver->may_drive.end()) {
    return No(
        fmt::format("{} is not authorised for {}", moment.move.driver, machine->machine_class));
  }
  if (moment.now_us >= until->second.micros()) {
    return No(fmt::format("{} was authorised for {} until {}", moment.move.driver,
                          machine->machine_class, TimeWords(until->second.micros())));
  }
  return std::nullopt;
}

/// Law 4.
Answer SpotterBound(const Moment& moment, const Parameters&) {
  const AuditedMove& move = moment.move;
  if (move.spotter.empty() || !move.spotter_accepted)
    return Fault{"law 4", "nobody has taken the spotter's role"};
  if (move.spotter == move.driver)
    return Fault{"law 4", fmt::format("{} is driver and spotter", move.driver)};
  const yard::Person* spotter = FindPerson(moment, move.spotter);
  if (spotter == nullptr) return Unknown(fmt::format("{} is not in the register", move.spotter));
  if (!spotter->roles.contains(yard::Role::kSpotter) || !spotter->may_spot_until ||
      moment.now_us >= spotter->may_spot_until->micros()) {
    return No(fmt::format("{} is not trained to spot at that time", move.spotter));
  }
  for (const auto& [number, other] : moment.book.moves) {
    if (number == move.number || Ended(other.state)) continue;
    if (other.spotter == move.spotter && other.spotter_accepted) {
      return Fault{"law 4", fmt::format("{} spots move {} too", move.spotter, number)};
    }
    const bool drives =
        other.state == v1::MOVE_STATE_RELEASED || other.state == v1::MOVE_STATE_UNDER_WAY;
    if (other.driver == move.spotter && drives) {
      return Fault{"law 4", fmt::format("{} drives move {}", move.spotter, number)};
    }
  }
  return std::nullopt;
}

/// What goes on the move: the machine and whatever the register hangs behind it.
std::vector<std::string> TrainOf(const Moment& moment) {
  std::vector<std::string> train = {moment.move.asked.machine()};
  for (const auto& [id, machine] : moment.book.in_force.yard->machines) {
    if (machine.towed_by.value() == train.front()) train.push_back(id.value());
  }
  return train;
}

Answer InspectedThisShift(const Moment& moment, const std::string& machine) {
  auto inspection = moment.book.inspections.find(machine);
  if (!moment.book.shift) return No("no shift runs");
  if (inspection == moment.book.inspections.end() ||
      inspection->second.entry < moment.book.shift->begin_entry) {
    return No(fmt::format("{} was not inspected since the shift began in entry {}", machine,
                          moment.book.shift->begin_entry));
  }
  if (!inspection->second.defect.empty()) {
    return No(fmt::format("the inspection of entry {} found \"{}\"", inspection->second.entry,
                          inspection->second.defect));
  }
  const std::string& person = inspection->second.person;
  if (!HasRole(moment.book, person, yard::Role::kDriver) &&
      !HasRole(moment.book, person, yard::Role::kTech)) {
    return No(fmt::format("the inspection of entry {} is by {}, who is neither driver nor tech",
                          inspection->second.entry, person));
  }
  return std::nullopt;
}

Answer InspectionThisShift(const Moment& moment, const Parameters&) {
  for (const std::string& unit : TrainOf(moment)) {
    if (Answer no = InspectedThisShift(moment, unit)) return no;
  }
  return std::nullopt;
}

Answer NoTags(const Moment& moment, const Parameters&) {
  std::vector<std::string> machines = TrainOf(moment);
  machines.push_back(moment.move.asked.carrier());
  for (const std::string& machine : machines) {
    auto tags = moment.book.tags.find(machine);
    if (tags != moment.book.tags.end() && !tags->second.empty()) {
      return No(fmt::format("tag {} hangs on {}", tags->second.begin()->first, machine));
    }
  }
  return std::nullopt;
}

/// Law 6.
Answer GroundFree(const Moment& moment, const Parameters&) {
  if (std::string change = TrainChange(moment.book, moment.move); !change.empty())
    return Unknown(std::move(change));
  std::string taken;
  for (const std::string& ground : moment.move.asked.ground()) {
    auto holder = moment.book.ground.find(ground);
    if (holder == moment.book.ground.end() || holder->second == moment.move.number) continue;
    taken += fmt::format("{}{} by move {}", taken.empty() ? "" : ", ", ground, holder->second);
  }
  if (taken.empty()) return std::nullopt;
  return Fault{"law 6", "taken already: " + taken};
}

Answer DoorsInService(const Moment& moment, const Parameters&) {
  for (const std::string& door : DoorsOnTheWay(moment.move)) {
    auto out = moment.book.doors_out.find(door);
    if (out != moment.book.doors_out.end()) {
      return No(fmt::format("{} is out of service since entry {}", door, out->second));
    }
  }
  return std::nullopt;
}

Answer NoYardHold(const Moment& moment, const Parameters&) {
  if (moment.book.hold_entry == 0) return std::nullopt;
  return No(fmt::format("the yard is held since entry {}", moment.book.hold_entry));
}

Answer ShiftRunning(const Moment& moment, const Parameters&) {
  if (!moment.book.shift) return No("no shift runs");
  const google::protobuf::Duration& before =
      moment.book.in_force.yard->rules.limits().before_shift_end();
  // The time before the shift's end is asked for when the release is given, and may be used up by
  // the first motion.
  const int64_t needed_us = moment.occasion == Occasion::kRelease
                                ? before.seconds() * 1'000'000 + before.nanos() / 1000
                                : 1;
  const int64_t left_us = moment.book.shift->end_us - moment.now_us;
  if (left_us >= needed_us) return std::nullopt;
  if (left_us <= 0)
    return No(fmt::format("the shift ended at {}", TimeWords(moment.book.shift->end_us)));
  return No(fmt::format("{} of the shift are left, {} are asked for", SpanWords(left_us),
                        SpanWords(needed_us)));
}

Answer Attended(const Moment&, const Parameters&) {
  // Being left unattended makes looked-at gates stale; they are judged for themselves.
  return std::nullopt;
}

Answer StartWindow(const Moment& moment, const Parameters&) {
  if (moment.occasion != Occasion::kFirstMotion || !moment.move.release) return std::nullopt;
  const int64_t start_by_us = moment.move.release->start_by_us;
  if (moment.now_us <= start_by_us) return std::nullopt;
  return No(fmt::format("the start window had ended at {}", TimeWords(start_by_us)));
}

/// Law 9. No gate counts what lies at a unit that is towed, so nothing may.
Answer LyingAtTowed(const Moment& moment) {
  for (const std::string& unit : TrainOf(moment)) {
    if (unit == moment.move.asked.machine()) continue;
    for (const auto* all : {&moment.book.put_down, &moment.book.left_behind}) {
      auto items = all->find(unit);
      if (items == all->end()) continue;
      for (const auto& [item, count] : items->second) {
        if (count != 0) return Fault{"law 9", fmt::format("{} {} lie at {}", count, item, unit)};
      }
    }
  }
  return std::nullopt;
}

/// Law 9. What moves before left at machine or carrier is counted by a gate of this move, which is
/// judged for itself, or nothing begins.
Answer LeftUncounted(const Moment& moment) {
  std::set<std::string, std::less<>> counted;
  for (const v1::GateRule* gate : GatesAsked(moment.book, moment.move, moment.phase)) {
    if (CountsOut(*gate)) counted.insert(gate->looked_at().item());
  }
  for (const std::string& machine : {moment.move.asked.machine(), moment.move.asked.carrier()}) {
    auto items = moment.book.left_behind.find(machine);
    if (items == moment.book.left_behind.end()) continue;
    for (const auto& [item, count] : items->second) {
      if (count == 0 || counted.contains(item)) continue;
      return Fault{"law 9", fmt::format("{} {} left at {} by a move before and not counted in",
                                        count, item, machine)};
    }
  }
  return LyingAtTowed(moment);
}

/// Law 9. Before motion what lies with the machine, at the close what lies with the move must have
/// been counted in.
Answer CountsBalance(const Moment& moment, const Parameters&) {
  const bool closing = moment.occasion == Occasion::kClose;
  Lying lying = moment.move.put_down;
  if (!closing) {
    auto machine = moment.book.put_down.find(moment.move.asked.machine());
    lying = machine == moment.book.put_down.end() ? Lying() : machine->second;
  }
  for (const v1::GateRule* gate : GatesAsked(moment.book, moment.move, moment.phase)) {
    if (!gate->has_looked_at() || gate->looked_at().evidence() != v1::EVIDENCE_COUNT_PICKED_UP)
      continue;
    // Whether that gate is clear is judged for itself.
    if (gate->looked_at().item_stays_with_machine() != closing)
      lying.erase(gate->looked_at().item());
  }
  for (const auto& [item, count] : lying) {
    if (count != 0)
      return Fault{"law 9", fmt::format("{} {} put down and not counted in", count, item)};
  }
  return closing ? std::nullopt : LeftUncounted(moment);
}

struct Sought {
  std::string subject;
  std::string quantity;
  std::string attachment;
};

/// The reading, or what is wrong with it. Law 2: none, too old, out of the future.
tl::expected<const yard::Measurement*, std::string> Reading(const Moment& moment,
                                                            const Sought& sought,
                                                            const std::string& max_age) {
  const yard::Measurement* reading = moment.book.in_force.yard->measurements.Latest(
      sought.subject, sought.quantity, sought.attachment);
  const std::string what =
      fmt::format("{} of {}{}", sought.quantity, sought.subject,
                  sought.attachment.empty() ? "" : " with " + sought.attachment);
  if (reading == nullptr) return Bad("no reading of " + what);
  auto limit = max_age.empty() ? fit::Duration::FromMicros(INT64_MAX) : yard::ReadAge(max_age);
  if (!limit) return Bad(fmt::format("the rules' max_age \"{}\" is no age", max_age));
  const int64_t age_us = moment.now_us - reading->when.micros();
  if (age_us < 0) return Bad(what + " was read in the future");
  if (age_us > limit->micros()) {
    return Bad(fmt::format("{} was read {} ago, at most {}", what, SpanWords(age_us), max_age));
  }
  return reading;
}

tl::expected<double, std::string> Length(const Moment& moment, const Sought& sought,
                                         const std::string& max_age) {
  auto reading = Reading(moment, sought, max_age);
  if (!reading) return Bad(reading.error());
  if (!std::holds_alternative<fit::Metres>((*reading)->value)) {
    return Bad(fmt::format("{} of {} is no length", sought.quantity, sought.subject));
  }
  return yard::InSi((*reading)->value);
}

/// The machine and the attachment that the register gives it today.
std::optional<Sought> OfMachine(const Moment& moment, std::string_view id, std::string quantity) {
  const yard::Machine* machine = moment.book.in_force.yard->FindMachine(id);
  if (machine == nullptr) return std::nullopt;
  return Sought{machine->id.value(), std::move(quantity), machine->attachment};
}

tl::expected<double, std::string> LongestOfTrain(const Moment& moment, const char* quantity,
                                                 const std::string& max_age) {
  double most_m = 0;
  for (const std::string& unit : TrainOf(moment)) {
    auto sought = OfMachine(moment, unit, quantity);
    if (!sought) return Bad(unit + " is not in the register");
    auto length_m = Length(moment, *sought, max_age);
    if (!length_m) return length_m;
    most_m = std::max(most_m, *length_m);
  }
  return most_m;
}

struct Spare {
  double height_m = 0;
  double width_m = 0;  // both sides together
};

tl::expected<Spare, std::string> SpareInDoor(const Moment& moment, const std::string& door,
                                             const Parameters& parameters) {
  const std::string max_age = Parameter(parameters, "max_age");
  auto opening_height = Length(moment, {door, "clear-height", ""}, max_age);
  auto opening_width = Length(moment, {door, "clear-width", ""}, max_age);
  auto height = LongestOfTrain(moment, "carried-height", max_age);
  auto width = LongestOfTrain(moment, "carried-width", max_age);
  for (const auto* length : {&opening_height, &opening_width, &height, &width}) {
    if (!*length) return Bad(length->error());
  }
  auto bounce = LengthParameter(parameters, "bounce");
  if (!bounce) return Bad("the rules' bounce is no length");
  return Spare{.height_m = *opening_height - *height - *bounce, .width_m = *opening_width - *width};
}

Answer DoorMargins(const Moment& moment, const Parameters& parameters) {
  auto height_margin = LengthParameter(parameters, "height_margin");
  auto width_margin = LengthParameter(parameters, "width_margin");
  if (!height_margin || !width_margin) return Unknown("the rules' margins are no lengths");
  for (const std::string& door : DoorsAhead(moment.move)) {
    auto spare = SpareInDoor(moment, door, parameters);
    if (!spare) return Unknown(spare.error());
    if (spare->height_m + kRounding < *height_margin ||
        spare->width_m + kRounding < *width_margin) {
      return No(fmt::format("{}: {} mm to spare in height, {} mm in width", door,
                            WholeMillimetres(spare->height_m), WholeMillimetres(spare->width_m)));
    }
  }
  return std::nullopt;
}

/// One reading against the bounds. A slope counts by its size, whichever way it runs.
Answer WithinBounds(const Moment& moment, const Sought& sought, const Parameters& parameters) {
  auto reading = Reading(moment, sought, Parameter(parameters, "max_age"));
  if (!reading) return Unknown(reading.error());
  const yard::MeasuredValue& value = (*reading)->value;
  const bool slope = std::holds_alternative<fit::Grade>(value);
  const double rounding = slope ? kSlopeRounding : kRounding;
  for (const char* bound_name : {"at_most", "at_least"}) {
    const std::string text = Parameter(parameters, bound_name);
    if (text.empty()) continue;
    auto bound = yard::ReadMeasuredValue(text);
    if (!bound || bound->index() != value.index()) {
      return Unknown(fmt::format("{} of {} and the rules' {} do not compare", sought.quantity,
                                 sought.subject, text));
    }
    const bool most = bound_name == std::string_view("at_most");
    const double measured = slope && most ? std::abs(yard::InSi(value)) : yard::InSi(value);
    if (most ? measured > yard::InSi(*bound) + rounding
             : measured < yard::InSi(*bound) - rounding) {
      return No(fmt::format("{} of {} is {}, {} {}", sought.quantity, sought.subject,
                            (*reading)->as_written, most ? "at most" : "at least", text));
    }
  }
  return std::nullopt;
}

Answer Measured(const Moment& moment, const Parameters& parameters) {
  const std::string subject = Parameter(parameters, "subject");
  const std::string quantity = Parameter(parameters, "quantity");
  const v1::MoveRequested& asked = moment.move.asked;
  if (subject == "machine" || subject == "carrier") {
    std::vector<std::string> units = {asked.carrier()};
    if (subject == "machine") units = TrainOf(moment);
    const bool bounded =
        !Parameter(parameters, "at_most").empty() || !Parameter(parameters, "at_least").empty();
    if (bounded && units.size() > 1)
      return Unknown(fmt::format("{} of {} and what it tows is not known", quantity, units[0]));
    for (const std::string& unit : units) {
      auto sought = OfMachine(moment, unit, quantity);
      if (!sought) return Unknown(fmt::format("the {} is not in the register", subject));
      if (Answer no = WithinBounds(moment, *sought, parameters)) return no;
    }
    return std::nullopt;
  }
  if (subject == "from-place")
    return WithinBounds(moment, {asked.from_place(), quantity, ""}, parameters);
  if (subject == "to-place")
    return WithinBounds(moment, {asked.to_place(), quantity, ""}, parameters);
  if (subject != "route-lanes")
    return Unknown(fmt::format("the rules measure \"{}\", which is no subject", subject));
  for (const std::string& lane : asked.lanes()) {
    if (Answer no = WithinBounds(moment, {lane, quantity, ""}, parameters)) return no;
  }
  return std::nullopt;
}

Answer MassWithinCapacity(const Moment& moment, const Parameters& parameters) {
  const std::string max_age = Parameter(parameters, "max_age");
  auto of_machine = OfMachine(moment, moment.move.asked.machine(), "mass");
  auto of_carrier = OfMachine(moment, moment.move.asked.carrier(), "deck-capacity");
  if (!of_machine || !of_carrier) return Unknown("machine or carrier is not in the register");
  if (TrainOf(moment).size() > 1) return Unknown("what a train weighs on a deck is not known");
  auto mass = Reading(moment, *of_machine, max_age);
  if (!mass) return Unknown(mass.error());
  auto capacity = Reading(moment, *of_carrier, max_age);
  if (!capacity) return Unknown(capacity.error());
  if (!std::holds_alternative<fit::Kilograms>((*mass)->value) ||
      !std::holds_alternative<fit::Kilograms>((*capacity)->value)) {
    return Unknown("mass and capacity are not both masses");
  }
  if (yard::InSi((*mass)->value) <= yard::InSi((*capacity)->value) + kRounding) return std::nullopt;
  return No(fmt::format("{} on a deck for {}", (*mass)->as_written, (*capacity)->as_written));
}

using Computation = Answer (*)(const Moment&, const Parameters&);

const std::map<std::string_view, Computation>& Table() {
  static const std::map<std::string_view, Computation> table = {
      {"attended", Attended},
      {"counts-balance", CountsBalance},
      {"door-margins", DoorMargins},
      {"doors-in-service", DoorsInService},
      {"driver-authorised", DriverAuthorised},
      {"ground-free", GroundFree},
      {"inspection-this-shift", InspectionThisShift},
      {"mass-within-capacity", MassWithinCapacity},
      {"measured", Measured},
      {"no-tags", NoTags},
      {"no-yard-hold", NoYardHold},
      {"shift-running", ShiftRunning},
      {"spotter-bound", SpotterBound},
      {"start-window", StartWindow},
  };
  return table;
}

}  // namespace

std::optional<Fault> JudgeComputed(const Moment& moment, const v1::Computed& computed) {
  if (!moment.book.in_force.yard) return Unknown("the yard in force could not be read");
  if (const auto surveyed = JudgeSurvey(moment, computed)) return surveyed->fault;
  auto computation = Table().find(computed.computation());
  if (computation == Table().end()) {
    return Unknown(
        fmt::format("the audit does not know the computation {}", computed.computation()));
  }
  return computation->second(moment, computed.parameters());
}

std::optional<Fault> JudgeAcceptedComputed(const Moment& moment, const v1::Computed& computed) {
  if (computed.computation() != "door-margins") return std::nullopt;
  for (const std::string& door : DoorsAhead(moment.move)) {
    auto spare = SpareInDoor(moment, door, computed.parameters());
    if (!spare) return Unknown("accepted all the same: " + spare.error());
    if (spare->height_m <= kRounding || spare->width_m <= kRounding) {
      return No(fmt::format("accepted all the same: {} leaves {} mm in height, {} mm in width",
                            door, WholeMillimetres(spare->height_m),
                            WholeMillimetres(spare->width_m)));
    }
  }
  return std::nullopt;
}

const std::set<std::string_view>& AlwaysComputed(Occasion occasion) {
  static const std::set<std::string_view> before_motion = {"counts-balance", "doors-in-service",
                                                           "ground-free",    "no-tags",
                                                           "no-yard-hold",   "shift-running"};
  static const std::set<std::string_view> at_first_motion = {"doors-in-service", "ground-free",
                                                             "no-tags",          "no-yard-hold",
                                                             "shift-running",    "start-window"};
  static const std::set<std::string_view> at_close = {"counts-balance"};
  switch (occasion) {
    case Occasion::kRelease:
      return before_motion;
    case Occasion::kFirstMotion:
      return at_first_motion;
    case Occasion::kClose:
      break;
  }
  return at_close;
}

}  // namespace chockwise::history
