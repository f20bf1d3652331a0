// Computations that read the measurements. A reading counts only if it is there, was taken with
// today's attachment, and is young enough: unknown is not clear (law 2).

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <string>
#include <variant>
#include <vector>

#include "services/fit/door_margin.h"
#include "services/moves/findings.h"

namespace chockwise::moves {
namespace {

/// A reading that may be relied on, or why there is none. Law 2.
tl::expected<const yard::Measurement*, ComputedFinding> Reading(const Sight& sight,
                                                                std::string_view subject,
                                                                std::string_view quantity,
                                                                std::string_view attachment,
                                                                Duration max_age) {
  const yard::Measurement* reading = sight.yard.measurements.Latest(subject, quantity, attachment);
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

std::string AttachmentOf(const Sight& sight, const std::string& subject) {
  const yard::Machine* machine = sight.yard.FindMachine(subject);
  return machine == nullptr ? "" : machine->attachment;
}

std::string BothUnits(fit::Metres length, fit::Rounding rounding = fit::Rounding::kDown) {
  return fmt::format("{} ({})", Text(length, fit::UnitSystem::kUs, rounding),
                     Text(length, fit::UnitSystem::kSi, rounding));
}

/// "9 in (0.22 m)", or what is missing: "7 in (0.18 m) short".
std::string Spare(fit::Metres margin) {
  if (margin >= fit::Metres()) return BothUnits(margin);
  return BothUnits(fit::Metres() - margin, fit::Rounding::kUp) + " short";
}

/// The highest or widest of a machine and all that it tows. One of them unmeasured refuses. Law 2.
tl::expected<const yard::Measurement*, ComputedFinding> MostOfTrain(const Sight& sight,
                                                                    const yard::Machine& machine,
                                                                    std::string_view quantity,
                                                                    Duration max_age) {
  auto most = Reading(sight, machine.id.value(), quantity, machine.attachment, max_age);
  for (const MachineId& unit : machine.tows) {
    if (!most) break;
    const auto reading =
        Reading(sight, unit.value(), quantity, AttachmentOf(sight, unit.value()), max_age);
    if (!reading || yard::InSi((*reading)->value) > yard::InSi((*most)->value)) most = reading;
  }
  return most;
}

ComputedFinding MarginAtDoor(const Sight& sight, const std::string& door,
                             const yard::Machine& machine, const yard::Parameters& parameters) {
  const Duration max_age = yard::AgeParameter(parameters);
  const auto opening_height = Reading(sight, door, "clear-height", "", max_age);
  const auto opening_width = Reading(sight, door, "clear-width", "", max_age);
  const auto height = MostOfTrain(sight, machine, "carried-height", max_age);
  const auto width = MostOfTrain(sight, machine, "carried-width", max_age);
  for (const auto* reading : {&opening_height, &opening_width, &height, &width}) {
    if (!*reading) return reading->error();
  }
  // The readers hold each quantity to its dimension, so these are lengths.
  const fit::DoorMargin margin = fit::MarginInDoor({
      .clear_height = std::get<fit::Metres>((*opening_height)->value),
      .clear_width = std::get<fit::Metres>((*opening_width)->value),
      .carried_height = std::get<fit::Metres>((*height)->value),
      .carried_width = std::get<fit::Metres>((*width)->value),
      .bounce = yard::LengthParameter(parameters, "bounce"),
  });
  const std::string spare =
      fmt::format("{}: {} above, {} across", door, Spare(margin.height), Spare(margin.width));
  // Nothing to spare is no margin, and what is less than a nanometre more is binary noise.
  if (fit::AtLeast(fit::Metres(), margin.height) || fit::AtLeast(fit::Metres(), margin.width)) {
    return NotClear(fmt::format(
        "does not fit {} (opening {} x {}, machine {} x {} and {} of bounce)", spare,
        (*opening_height)->as_written, (*opening_width)->as_written, (*height)->as_written,
        (*width)->as_written, BothUnits(yard::LengthParameter(parameters, "bounce"))));
  }
  const fit::Metres wanted_height = yard::LengthParameter(parameters, "height_margin");
  const fit::Metres wanted_width = yard::LengthParameter(parameters, "width_margin");
  if (!fit::AtLeast(margin.height, wanted_height) || !fit::AtLeast(margin.width, wanted_width)) {
    ComputedFinding tight =
        NotClear(fmt::format("tight at {}; {} above and {} across are asked for", spare,
                             BothUnits(wanted_height), BothUnits(wanted_width)));
    tight.lead_may_accept = true;
    return tight;
  }
  return Clear(fmt::format("to spare at {}", spare));
}

/// The ids a "subject" parameter means for this move.
std::vector<std::string> SubjectsOf(const Sight& sight, const std::string& subject) {
  if (subject == "machine") {
    std::vector<std::string> units;
    for (const MachineId& unit : UnitsOf(sight)) units.push_back(unit.value());
    return units;
  }
  if (subject == "carrier") return {sight.move.carrier.value()};
  if (subject == "from-place") return {sight.move.from.value()};
  if (subject == "to-place") return {sight.move.to.value()};
  if (subject == "route-lanes") return sight.move.way->lanes;
  return {};
}

/// Whether a value is no more than another; false where the dimensions differ. Two ways to write
/// one value (6 in, 1/2 ft) are one value, although their doubles differ: by a few parts in 1e16.
bool NoMoreThan(const yard::MeasuredValue& a, const yard::MeasuredValue& b) {
  constexpr double kRounding = 1e-12;  // relative; far below any scale or tape
  if (a.index() != b.index()) return false;
  const double low = yard::InSi(a);
  const double high = yard::InSi(b);
  return low <= high + kRounding * std::max(std::abs(low), std::abs(high));
}

}  // namespace

/// The doors that the machine has not passed, in travel order. The one at whose line it stands is
/// still ahead of it, and so is every door that is no stop of the way.
std::vector<std::string> DoorsAhead(const Move& move) {
  const std::vector<std::string>& stops = move.way->stops;
  std::vector<std::string> ahead;
  for (size_t i = 0; i < stops.size(); ++i) {
    const bool behind = static_cast<int32_t>(i) + 1 < move.stops_passed;
    if (!behind && move.way->doors.contains(stops[i])) ahead.push_back(stops[i]);
  }
  for (const std::string& door : move.way->doors) {
    if (std::find(stops.begin(), stops.end(), door) == stops.end()) ahead.push_back(door);
  }
  return ahead;
}

/// Source: 29 CFR 1910.178(m)(8) sufficient headroom; the margins themselves are common practice.
ComputedFinding DoorMargins(const Sight& sight, const yard::Parameters& parameters) {
  const yard::Machine* machine = sight.yard.FindMachine(sight.move.machine.value());
  if (machine == nullptr)
    return NotClear(fmt::format("{} is not in the register", sight.move.machine.value()));
  std::string clear, tight;
  for (const std::string& door : DoorsAhead(sight.move)) {
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
  return Clear(clear.empty() ? "no door ahead" : clear);
}

ComputedFinding MeasuredWithin(const Sight& sight, const yard::Parameters& parameters) {
  const std::string quantity = yard::WordParameter(parameters, "quantity");
  const std::string subject_word = yard::WordParameter(parameters, "subject");
  const std::vector<std::string> subjects = SubjectsOf(sight, subject_word);
  // Whether a bound is of each unit or of all together, the rules do not say.
  const bool bounded = !yard::WordParameter(parameters, "at_most").empty() ||
                       !yard::WordParameter(parameters, "at_least").empty();
  if (subject_word == "machine" && bounded && subjects.size() > 1) {
    return NotClear(fmt::format("{} tows {}, and the rules' bound of {} is of a machine alone",
                                subjects[0], subjects[1], quantity));
  }
  if (subjects.empty())
    return NotClear(
        fmt::format("the rules name no subject this build knows: \"{}\"", subject_word));
  std::string shown;
  for (const std::string& subject : subjects) {
    const auto reading = Reading(sight, subject, quantity, AttachmentOf(sight, subject),
                                 yard::AgeParameter(parameters));
    if (!reading) return reading.error();
    for (const char* bound : {"at_most", "at_least"}) {
      const std::string text = yard::WordParameter(parameters, bound);
      if (text.empty()) continue;
      const auto limit = yard::ReadMeasuredValue(text);
      const bool at_most = std::string_view(bound) == "at_most";
      const bool within = limit && (at_most ? NoMoreThan((*reading)->value, *limit)
                                            : NoMoreThan(*limit, (*reading)->value));
      if (!within) {
        return NotClear(fmt::format("{} {} is {}; {} {} is asked for", subject, quantity,
                                    (*reading)->as_written, at_most ? "at most" : "at least",
                                    text));
      }
    }
    shown += fmt::format("{}{} {} {}", shown.empty() ? "" : ", ", subject, quantity,
                         (*reading)->as_written);
  }
  return Clear(shown);
}

ComputedFinding MassWithinCapacity(const Sight& sight, const yard::Parameters& parameters) {
  const std::string& machine = sight.move.machine.value();
  const std::string& carrier = sight.move.carrier.value();
  if (carrier.empty()) return NotClear("no carrier is named");
  if (const auto units = UnitsOf(sight); units.size() > 1) {
    return NotClear(fmt::format("{} tows {}, and what a train weighs on a deck is not known here",
                                machine, units[1].value()));
  }
  const auto mass =
      Reading(sight, machine, "mass", AttachmentOf(sight, machine), yard::AgeParameter(parameters));
  if (!mass) return mass.error();
  const auto capacity = Reading(sight, carrier, "deck-capacity", AttachmentOf(sight, carrier),
                                yard::AgeParameter(parameters));
  if (!capacity) return capacity.error();
  const std::string numbers = fmt::format("{} weighs {}, {} carries {}", machine,
                                          (*mass)->as_written, carrier, (*capacity)->as_written);
  return NoMoreThan((*mass)->value, (*capacity)->value) ? Clear(numbers) : NotClear(numbers);
}

}  // namespace chockwise::moves
