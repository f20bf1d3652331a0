#include "services/moves/computations.h"

#include <fmt/format.h>

#include <chrono>
#include <functional>
#include <optional>
#include <variant>

#include "services/fit/door_margin.h"
#include "services/moves/decide.h"

namespace chockwise::moves {
namespace {

using Parameters = google::protobuf::Map<std::string, std::string>;

ComputedFinding Clear(std::string reason = "") {
  return {v1::GATE_STATE_CLEAR, std::move(reason), false};
}
ComputedFinding NotClear(std::string reason) {
  return {v1::GATE_STATE_NOT_CLEAR, std::move(reason), false};
}
ComputedFinding NotAsked(std::string reason) {
  return {v1::GATE_STATE_NOT_ASKED, std::move(reason), false};
}
ComputedFinding Stale(std::string reason) {
  return {v1::GATE_STATE_STALE, std::move(reason), false};
}

std::string DateText(Instant instant) {
  using namespace std::chrono;
  const sys_time<microseconds> time{microseconds(instant.micros())};
  const year_month_day date{floor<days>(time)};
  return fmt::format("{:04}-{:02}-{:02}", static_cast<int>(date.year()),
                     static_cast<unsigned>(date.month()), static_cast<unsigned>(date.day()));
}

/// The last day on which an authorisation that ends at `until` still holds.
std::string LastDay(Instant until) { return DateText(until - Duration::FromMicros(1)); }

// --- People
// ---------------------------------------------------------------------------------------------------------

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
ComputedFinding DriverAuthorised(const Sight& sight, const Parameters&) {
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
    return NotClear(fmt::format("{} is not authorised for a {}", driver, machine->machine_class));
  }
  if (sight.now >= authorised->second) {
    return NotClear(fmt::format("{}'s authorisation for a {} ended on {}", driver,
                                machine->machine_class, LastDay(authorised->second)));
  }
  if (std::string duty = OtherDuty(sight, sight.move.driver); !duty.empty())
    return NotClear(std::move(duty));
  return Clear(fmt::format("{} until {}", driver, LastDay(authorised->second)));
}

/// Law 4: two people, and one spotter serves one machine.
ComputedFinding SpotterBound(const Sight& sight, const Parameters&) {
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

// --- The machine
// ----------------------------------------------------------------------------------------------------

const MachineState* FindMachineState(const Sight& sight, const MachineId& machine) {
  const auto found = sight.state.machines.find(machine);
  return found == sight.state.machines.end() ? nullptr : &found->second;
}

/// Source: 29 CFR 1910.178(q)(7) at least daily and after each shift of round-the-clock use;
/// 1926.601(b)(14) each shift.
ComputedFinding InspectionThisShift(const Sight& sight, const Parameters&) {
  const std::string& unit = sight.move.machine.value();
  const MachineState* machine = FindMachineState(sight, sight.move.machine);
  if (machine == nullptr || !machine->inspected)
    return NotAsked(fmt::format("{} has no inspection without a defect", unit));
  if (!sight.state.shift) return Stale("no shift runs");
  if (*machine->inspected < sight.state.shift->begin) {
    return Stale(fmt::format("{} was last inspected before this shift", unit));
  }
  return Clear();
}

/// Source: 30 CFR 56.14100(c), 56.14105: tagged out until the hazard is gone.
ComputedFinding NoTags(const Sight& sight, const Parameters&) {
  for (const MachineId& id : {sight.move.machine, sight.move.carrier}) {
    if (id.empty()) continue;
    const MachineState* machine = FindMachineState(sight, id);
    if (machine == nullptr) return NotClear(fmt::format("{} is not in the register", id.value()));
    if (machine->tags.empty()) continue;
    const Tag& tag = machine->tags.front();
    return NotClear(fmt::format("tag {} on {} by {}: {}", tag.number, id.value(),
                                tag.person.value(), tag.text));
  }
  return Clear();
}

// --- The ground
// -----------------------------------------------------------------------------------------------------

int MachinesStandingAt(const Sight& sight, const PlaceId& place) {
  int standing = 0;
  for (const auto& [id, machine] : sight.state.machines) {
    if (machine.place == place && id != sight.move.machine) ++standing;
  }
  return standing;
}

/// Law 6: all of it or none of it.
ComputedFinding GroundFree(const Sight& sight, const Parameters&) {
  for (const std::string& ground : sight.move.way->ground) {
    const auto taken = sight.state.taken.find(ground);
    if (taken != sight.state.taken.end() && taken->second != sight.move.number) {
      return NotClear(fmt::format("{} is held by move {}", ground, taken->second));
    }
    if (!ground.starts_with("place/")) continue;
    const PlaceId place(ground.substr(6));
    if (place == sight.move.from) continue;
    // The carrier is where the machine is to go: it stands there by intent.
    const bool carrier_there = !sight.move.carrier.empty() && place == sight.move.to;
    const auto known = sight.yard.places.find(place);
    if (known == sight.yard.places.end())
      return NotClear(fmt::format("{} is not on the map", ground));
    const int room =
        known->second.capacity - MachinesStandingAt(sight, place) + (carrier_there ? 1 : 0);
    if (room < 1) return NotClear(fmt::format("{} is full", ground));
  }
  return Clear();
}

ComputedFinding DoorsInService(const Sight& sight, const Parameters&) {
  for (const std::string& door : sight.move.way->doors) {
    const auto out = sight.state.doors_out.find(DoorId(door));
    if (out != sight.state.doors_out.end()) {
      return NotClear(fmt::format("{} is out of service: {} ({})", door, out->second.text,
                                  out->second.reported_by.value()));
    }
  }
  return Clear();
}

ComputedFinding NoYardHold(const Sight& sight, const Parameters&) {
  if (!sight.state.hold) return Clear();
  return NotClear(fmt::format("the yard is held by {}: {}", sight.state.hold->person.value(),
                              sight.state.hold->reason));
}

// --- Time
// -----------------------------------------------------------------------------------------------------------

ComputedFinding ShiftRunning(const Sight& sight, const Parameters&) {
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
ComputedFinding Attended(const Sight& sight, const Parameters&) {
  if (sight.move.unattended) {
    return NotClear(fmt::format("{} was 25 ft or more away from {}, or out of its sight",
                                sight.move.driver.value(), sight.move.machine.value()));
  }
  return Clear();
}

ComputedFinding StartWindow(const Sight& sight, const Parameters&) {
  if (sight.move.state == v1::MOVE_STATE_RELEASED && sight.move.release &&
      sight.now > sight.move.release->start_by) {
    return Stale("the start window has ended");
  }
  return Clear();
}

// --- Counts
// ---------------------------------------------------------------------------------------------------------

/// Law 9, at the end: whatever this move put down has been counted in again.
ComputedFinding CountsBalance(const Sight& sight, const Parameters&, v1::Phase phase) {
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

// --- Measurements
// ---------------------------------------------------------------------------------------------------

/// A reading that may be relied on, or why there is none. Law 2.
tl::expected<const yard::Measurement*, ComputedFinding> Reading(const Sight& sight,
                                                                std::string_view subject,
                                                                std::string_view quantity,
                                                                std::string_view attachment,
                                                                Duration max_age) {
  const yard::Measurement* reading = sight.yard.Latest(subject, quantity, attachment);
  if (reading == nullptr) {
    const std::string with = attachment.empty() ? "" : fmt::format(" with {}", attachment);
    return tl::unexpected(NotClear(
        fmt::format("{} {}{} is unknown: nobody has measured it", subject, quantity, with)));
  }
  if (reading->when > sight.now) {
    return tl::unexpected(
        NotClear(fmt::format("{} {}: the reading is dated {}, which is still to come", subject,
                             quantity, DateText(reading->when))));
  }
  if (sight.now - reading->when > max_age) {
    return tl::unexpected(
        Stale(fmt::format("{} {} was measured on {} and counts for {} days", subject, quantity,
                          DateText(reading->when), max_age.micros() / fit::Days(1).micros())));
  }
  return reading;
}

// Parameters were checked when the rules were loaded; the fallbacks only keep these functions
// total.
Duration AgeParameter(const Parameters& parameters) {
  const auto text = parameters.find("max_age");
  return text == parameters.end() ? Duration() : yard::ReadAge(text->second).value_or(Duration());
}

fit::Metres LengthParameter(const Parameters& parameters, const char* name) {
  const auto text = parameters.find(name);
  if (text == parameters.end()) return fit::Metres();
  const auto value = yard::ReadMeasuredValue(text->second);
  return value && std::holds_alternative<fit::Metres>(*value) ? std::get<fit::Metres>(*value)
                                                              : fit::Metres();
}

std::string WordParameter(const Parameters& parameters, const char* name) {
  const auto text = parameters.find(name);
  return text == parameters.end() ? "" : text->second;
}

std::string BothUnits(fit::Metres length) {
  return fmt::format("{} ({})", Text(length, fit::UnitSystem::kUs, fit::Rounding::kDown),
                     Text(length, fit::UnitSystem::kSi, fit::Rounding::kDown));
}

ComputedFinding MarginAtDoor(const Sight& sight, const std::string& door,
                             const yard::Machine& machine, const Parameters& parameters) {
  const Duration max_age = AgeParameter(parameters);
  const auto opening_height = Reading(sight, door, "clear-height", "", max_age);
  const auto opening_width = Reading(sight, door, "clear-width", "", max_age);
  const auto height =
      Reading(sight, machine.id.value(), "carried-height", machine.attachment, max_age);
  const auto width =
      Reading(sight, machine.id.value(), "carried-width", machine.attachment, max_age);
  for (const auto* reading : {&opening_height, &opening_width, &height, &width}) {
    if (!*reading) return reading->error();
  }
  // The readers hold each quantity to its dimension, so these are lengths.
  const fit::DoorMargin margin = fit::MarginInDoor({
      .clear_height = std::get<fit::Metres>((*opening_height)->value),
      .clear_width = std::get<fit::Metres>((*opening_width)->value),
      .carried_height = std::get<fit::Metres>((*height)->value),
      .carried_width = std::get<fit::Metres>((*width)->value),
      .bounce = LengthParameter(parameters, "bounce"),
  });
  const std::string spare = fmt::format("{}: {} above, {} across", door, BothUnits(margin.height),
                                        BothUnits(margin.width));
  if (margin.height <= fit::Metres() || margin.width <= fit::Metres()) {
    return NotClear(fmt::format(
        "does not fit {} (opening {} x {}, machine {} x {} and {} of bounce)", spare,
        (*opening_height)->as_written, (*opening_width)->as_written, (*height)->as_written,
        (*width)->as_written, BothUnits(LengthParameter(parameters, "bounce"))));
  }
  const fit::Metres wanted_height = LengthParameter(parameters, "height_margin");
  const fit::Metres wanted_width = LengthParameter(parameters, "width_margin");
  if (margin.height < wanted_height || margin.width < wanted_width) {
    ComputedFinding tight =
        NotClear(fmt::format("tight at {}; {} above and {} across are asked for", spare,
                             BothUnits(wanted_height), BothUnits(wanted_width)));
    tight.lead_may_accept = true;
    return tight;
  }
  return Clear(fmt::format("to spare at {}", spare));
}

/// Source: 29 CFR 1910.178(m)(8) sufficient headroom; the margins themselves are common practice.
ComputedFinding DoorMargins(const Sight& sight, const Parameters& parameters) {
  const yard::Machine* machine = sight.yard.FindMachine(sight.move.machine.value());
  if (machine == nullptr)
    return NotClear(fmt::format("{} is not in the register", sight.move.machine.value()));
  std::string clear, tight;
  for (const std::string& door : sight.move.way->doors) {
    ComputedFinding finding = MarginAtDoor(sight, door, *machine, parameters);
    if (finding.state == v1::GATE_STATE_CLEAR) {
      clear += (clear.empty() ? "" : "; ") + finding.reason;
    } else if (finding.lead_may_accept) {
      tight += (tight.empty() ? "" : "; ") + finding.reason;
    } else {
      return finding;
    }
  }
  if (!tight.empty()) {
    ComputedFinding finding = NotClear(tight);
    finding.lead_may_accept = true;
    return finding;
  }
  return Clear(clear.empty() ? "no door on the way" : clear);
}

/// The ids a "subject" parameter means for this move.
std::vector<std::string> SubjectsOf(const Sight& sight, const std::string& subject) {
  if (subject == "machine") return {sight.move.machine.value()};
  if (subject == "carrier") return {sight.move.carrier.value()};
  if (subject == "from-place") return {sight.move.from.value()};
  if (subject == "to-place") return {sight.move.to.value()};
  if (subject == "route-lanes") return sight.move.way->lanes;
  return {};
}

std::string AttachmentOf(const Sight& sight, const std::string& subject) {
  const yard::Machine* machine = sight.yard.FindMachine(subject);
  return machine == nullptr ? "" : machine->attachment;
}

/// Compares two values of one dimension: negative, zero or positive; unset where the dimensions
/// differ.
std::optional<int> Compare(const yard::MeasuredValue& a, const yard::MeasuredValue& b) {
  if (a.index() != b.index()) return std::nullopt;
  return a < b ? -1 : (b < a ? 1 : 0);
}

ComputedFinding MeasuredWithin(const Sight& sight, const Parameters& parameters) {
  const std::string quantity = WordParameter(parameters, "quantity");
  const std::string subject_word = WordParameter(parameters, "subject");
  const std::vector<std::string> subjects = SubjectsOf(sight, subject_word);
  if (subjects.empty())
    return NotClear(
        fmt::format("the rules name no subject this build knows: \"{}\"", subject_word));
  std::string shown;
  for (const std::string& subject : subjects) {
    const auto reading =
        Reading(sight, subject, quantity, AttachmentOf(sight, subject), AgeParameter(parameters));
    if (!reading) return reading.error();
    for (const char* bound : {"at_most", "at_least"}) {
      const std::string text = WordParameter(parameters, bound);
      if (text.empty()) continue;
      const auto limit = yard::ReadMeasuredValue(text);
      const std::optional<int> order = limit ? Compare((*reading)->value, *limit) : std::nullopt;
      const bool within =
          order && (std::string_view(bound) == "at_most" ? *order <= 0 : *order >= 0);
      if (!within) {
        return NotClear(fmt::format(
            "{} {} is {}; {} {} is asked for", subject, quantity, (*reading)->as_written,
            std::string_view(bound) == "at_most" ? "at most" : "at least", text));
      }
    }
    shown += fmt::format("{}{} {} {}", shown.empty() ? "" : ", ", subject, quantity,
                         (*reading)->as_written);
  }
  return Clear(shown);
}

ComputedFinding MassWithinCapacity(const Sight& sight, const Parameters& parameters) {
  const std::string& machine = sight.move.machine.value();
  const std::string& carrier = sight.move.carrier.value();
  if (carrier.empty()) return NotClear("no carrier is named");
  const auto mass =
      Reading(sight, machine, "mass", AttachmentOf(sight, machine), AgeParameter(parameters));
  if (!mass) return mass.error();
  const auto capacity = Reading(sight, carrier, "deck-capacity", AttachmentOf(sight, carrier),
                                AgeParameter(parameters));
  if (!capacity) return capacity.error();
  const std::string numbers = fmt::format("{} weighs {}, {} carries {}", machine,
                                          (*mass)->as_written, carrier, (*capacity)->as_written);
  const std::optional<int> order = Compare((*mass)->value, (*capacity)->value);
  return order && *order <= 0 ? Clear(numbers) : NotClear(numbers);
}

// --- The table
// ------------------------------------------------------------------------------------------------------

struct Known {
  yard::Computation takes;
  std::function<ComputedFinding(const Sight&, const Parameters&, v1::Phase)> run;
};

using Plain = ComputedFinding (*)(const Sight&, const Parameters&);

Known WithoutPhase(yard::Computation takes, Plain run) {
  return {std::move(takes), [run](const Sight& sight, const Parameters& parameters, v1::Phase) {
            return run(sight, parameters);
          }};
}

const std::map<std::string, Known, std::less<>>& Table() {
  using yard::ParameterKind;
  static const auto* table = new std::map<std::string, Known, std::less<>>{
      {"driver-authorised", WithoutPhase({}, DriverAuthorised)},
      {"spotter-bound", WithoutPhase({}, SpotterBound)},
      {"inspection-this-shift", WithoutPhase({}, InspectionThisShift)},
      {"no-tags", WithoutPhase({}, NoTags)},
      {"ground-free", WithoutPhase({}, GroundFree)},
      {"doors-in-service", WithoutPhase({}, DoorsInService)},
      {"no-yard-hold", WithoutPhase({}, NoYardHold)},
      {"shift-running", WithoutPhase({}, ShiftRunning)},
      {"attended", WithoutPhase({}, Attended)},
      {"start-window", WithoutPhase({}, StartWindow)},
      {"counts-balance", {{}, CountsBalance}},
      {"door-margins",
       WithoutPhase({.parameters = {{"height_margin", ParameterKind::kLength},
                                    {"width_margin", ParameterKind::kLength},
                                    {"bounce", ParameterKind::kLength},
                                    {"max_age", ParameterKind::kAge}},
                     .required = {"height_margin", "width_margin", "bounce", "max_age"}},
                    DoorMargins)},
      {"measured", WithoutPhase({.parameters = {{"subject", ParameterKind::kWord},
                                                {"quantity", ParameterKind::kWord},
                                                {"at_most", ParameterKind::kQuantity},
                                                {"at_least", ParameterKind::kQuantity},
                                                {"max_age", ParameterKind::kAge}},
                                 .required = {"subject", "quantity", "max_age"}},
                                MeasuredWithin)},
      {"mass-within-capacity",
       WithoutPhase({.parameters = {{"max_age", ParameterKind::kAge}}, .required = {"max_age"}},
                    MassWithinCapacity)},
  };
  return *table;
}

}  // namespace

ComputedFinding Compute(const Sight& sight, const v1::Computed& computed, v1::Phase phase) {
  const auto known = Table().find(computed.computation());
  if (known == Table().end()) {
    return NotClear(
        fmt::format("this build does not know the computation \"{}\"", computed.computation()));
  }
  return known->second.run(sight, computed.parameters(), phase);
}

const yard::Computations& KnownComputations() {
  static const auto* computations = [] {
    auto* all = new yard::Computations;
    for (const auto& [name, known] : Table()) (*all)[name] = known.takes;
    return all;
  }();
  return *computations;
}

}  // namespace chockwise::moves
