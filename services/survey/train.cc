#include "services/survey/train.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/survey/answers.h"
#include "services/survey/machines.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

/// A reading of the machine and of every unit behind it.
template <class Quantity>
Outcome<std::vector<Quantity>> OfAll(Readings& readings, const yard::Machine& machine,
                                     const char* quantity) {
  std::vector<Quantity> all;
  const auto first = readings.Of<Quantity>(machine.id.value(), quantity);
  if (!first) return tl::unexpected(first.error());
  all.push_back(*first);
  for (const yard::MachineId& unit : machine.tows) {
    const auto value = readings.Of<Quantity>(unit.value(), quantity);
    if (!value) return tl::unexpected(value.error());
    all.push_back(*value);
  }
  return all;
}

Outcome<Metres> MostOfAll(Readings& readings, const yard::Machine& machine, const char* quantity) {
  const auto all = OfAll<Metres>(readings, machine, quantity);
  if (!all) return tl::unexpected(all.error());
  return *std::ranges::max_element(*all);
}

/// The hindmost axle of the machine's own row, behind its front.
Outcome<Metres> LastAxleOf(Readings& readings, const yard::Machine& machine) {
  const std::string& id = machine.id.value();
  Metres front, wheelbase;
  const auto read =
      ReadAll<Metres>(readings, {{id, "front-overhang", &front}, {id, "wheelbase", &wheelbase}});
  if (!read) return tl::unexpected(read.error());
  const auto to_axle = ToAxleOfOwnTrailer(readings, machine);
  if (!to_axle) return tl::unexpected(to_axle.error());
  if (!*to_axle) return front + wheelbase;
  const auto offset = readings.Of<Metres>(id, "coupling-offset");
  if (!offset) return tl::unexpected(offset.error());
  return front + wheelbase - *offset + **to_axle;
}

/// Its parts make its length, its hitch lies on the unit before, and its axles behind those of
/// that.
Outcome<void> IsWhole(Readings& readings, const TowedUnit& unit, const std::string& before,
                      Metres length_before) {
  const auto carried = readings.Of<Metres>(unit.machine->id.value(), "carried-length");
  if (!carried) return tl::unexpected(carried.error());
  if (auto agrees = LengthAgrees(*unit.machine, *carried, unit.length()); !agrees) return agrees;
  if (unit.hitch_behind + unit.to_axle > Metres() && unit.hitch_behind + length_before > Metres())
    return {};
  return tl::unexpected(NoAnswer{
      .sort = NoAnswer::Sort::kUnusable,
      .input = "hitch-behind-axle of " + before,
      .problem = fmt::format("puts {} under the unit that pulls it", unit.machine->id.value()),
      .right = "measure it again: behind the axle is above 0"});
}

/// "DL-961, FT-962".
std::string TowedText(const yard::Machine& machine) {
  std::string text;
  for (const yard::MachineId& unit : machine.tows)
    text += (text.empty() ? "" : ", ") + unit.value();
  return text;
}

}  // namespace

Outcome<std::vector<TowedUnit>> TowedUnits(Readings& readings, const yard::Machine& machine) {
  std::vector<TowedUnit> units;
  if (machine.tows.empty()) return units;
  const auto last_axle = LastAxleOf(readings, machine);
  if (!last_axle) return tl::unexpected(last_axle.error());
  std::string before = machine.id.value();
  Metres length_before = *last_axle;
  for (const yard::MachineId& id : machine.tows) {
    TowedUnit unit{.machine = readings.yard().FindMachine(id.value()),
                   .hitch_behind = {},
                   .front = {},
                   .to_axle = {},
                   .rear = {}};
    const auto read =
        ReadAll<Metres>(readings, {{before, "hitch-behind-axle", &unit.hitch_behind},
                                   {id.value(), "coupling-to-axle", &unit.to_axle},
                                   {id.value(), "trailer-front-overhang", &unit.front},
                                   {id.value(), "trailer-rear-overhang", &unit.rear}});
    if (!read) return tl::unexpected(read.error());
    if (unit.to_axle <= Metres() || unit.length() <= Metres()) {
      return tl::unexpected(NoAnswer{.sort = NoAnswer::Sort::kUnusable,
                                     .input = "coupling-to-axle of " + id.value(),
                                     .problem = "is not above 0, or the unit has no length",
                                     .right = "measure it again, with both its overhangs"});
    }
    if (auto whole = IsWhole(readings, unit, before, length_before); !whole)
      return tl::unexpected(whole.error());
    length_before = unit.front + unit.to_axle;
    before = id.value();
    units.push_back(unit);
  }
  return units;
}

Outcome<Metres> TrainLength(Readings& readings, const yard::Machine& machine) {
  const auto carried = readings.Of<Metres>(machine.id.value(), "carried-length");
  if (!carried) return tl::unexpected(carried.error());
  if (machine.tows.empty()) return *carried;
  const auto last_axle = LastAxleOf(readings, machine);
  if (!last_axle) return tl::unexpected(last_axle.error());
  const auto units = TowedUnits(readings, machine);
  if (!units) return tl::unexpected(units.error());
  Metres axle = *last_axle, rear = *carried;
  for (const TowedUnit& unit : *units) {
    axle += unit.hitch_behind + unit.to_axle;
    rear = std::max(rear, axle + unit.rear);
  }
  return rear;
}

Outcome<Metres> TrainWidth(Readings& readings, const yard::Machine& machine) {
  return MostOfAll(readings, machine, "carried-width");
}

Outcome<Metres> TrainHeight(Readings& readings, const yard::Machine& machine) {
  return MostOfAll(readings, machine, "carried-height");
}

Outcome<fit::Kilograms> TrainMass(Readings& readings, const yard::Machine& machine) {
  const auto all = OfAll<fit::Kilograms>(readings, machine, "mass");
  if (!all) return tl::unexpected(all.error());
  fit::Kilograms sum;
  for (const fit::Kilograms mass : *all) sum += mass;
  return sum;
}

Outcome<void> TowsNothing(const yard::Machine& machine, std::string_view what) {
  if (machine.tows.empty()) return {};
  return tl::unexpected(NoAnswer{
      .sort = NoAnswer::Sort::kUnusable,
      .input = machine.id.value(),
      .problem = fmt::format("tows {}: {} is not computed for a train", TowedText(machine), what),
      .right = "unhitch it, and take what it tows out of its row in machines.csv"});
}

Outcome<void> HangsBehindNone(const yard::Machine& machine) {
  if (machine.towed_by.empty()) return {};
  return tl::unexpected(NoAnswer{
      .sort = NoAnswer::Sort::kUnusable,
      .input = "machine " + machine.id.value(),
      .problem = fmt::format("hangs behind {} and does not go by itself", machine.towed_by.value()),
      .right = fmt::format("ask about {}, or take it out of that row in machines.csv",
                           machine.towed_by.value())});
}

std::string TrainText(const yard::Machine& machine) {
  if (machine.tows.empty()) return machine.id.value();
  return machine.id.value() + " towing " + TowedText(machine);
}

}  // namespace chockwise::survey
