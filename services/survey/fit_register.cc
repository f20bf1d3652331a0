#include "services/survey/fit_register.h"

#include <fmt/format.h>

#include <algorithm>
#include <map>
#include <set>
#include <utility>

#include "services/survey/answers.h"
#include "services/survey/fit_register_door.h"
#include "services/survey/machines.h"
#include "services/survey/rules_asked.h"
#include "services/survey/train.h"
#include "services/survey/turning.h"

namespace chockwise::survey {
namespace {

using fit::Metres;

std::string WhyNot(const NoAnswer& error) { return error.input + " " + error.problem; }

/// Each machine with what it carries today and with all that it was ever measured with.
std::map<std::string, std::set<std::string>> AttachmentsOf(const yard::Yard& yard) {
  std::map<std::string, std::set<std::string>> of;
  for (const auto& [id, machine] : yard.machines) of[id.value()].insert(machine.attachment);
  for (const yard::Measurement& reading : yard.measurements.all()) {
    const auto machine = of.find(reading.subject);
    if (machine != of.end()) machine->second.insert(reading.attachment);
  }
  return of;
}

Outcome<PassingMachine> PassingOf(Readings& readings, const yard::Machine& machine) {
  auto riding = Riding(readings, machine);
  if (!riding) return tl::unexpected(riding.error());
  auto turning = Turning(readings, machine);
  if (!turning) return tl::unexpected(turning.error());
  const auto length = TrainLength(readings, machine);
  if (!length) return tl::unexpected(length.error());
  // In line: an upper structure that slews in a door is another question.
  turning->upper.reset();
  const auto bounce = BounceOf(machine);
  if (!bounce) return tl::unexpected(bounce.error());
  return PassingMachine{.riding = *std::move(riding),
                        .turning = *std::move(turning),
                        .bounce = *bounce,
                        .length = *length};
}

std::optional<fit::Instant> OldestOf(const std::vector<fit::Input>& inputs) {
  std::optional<fit::Instant> oldest;
  for (const fit::Input& input : inputs) {
    if (input.when && (!oldest || *input.when < *oldest)) oldest = input.when;
  }
  return oldest;
}

/// The stricter of both ways about.
RegisterNeeds NeedsOf(const Asked& asked, const RegisterAsked& what) {
  const auto side = [&](fit::Travel travel) {
    return SideAskedFor(asked.yard.rules, "keeps-clear", travel, what.needed_each_side);
  };
  const SideAsked ahead = side(fit::Travel::kForwards), back = side(fit::Travel::kReversing);
  const SideAsked& more = back.value > ahead.value ? back : ahead;
  return {.each_side = more.value, .side_told = InputOf(more, asked.units)};
}

void Judge(const DoorPassed& passed, const RegisterNeeds& needs, FitRow& row) {
  row.above = passed.above.margin;
  row.each_side = passed.beside.margin;
  row.below = passed.below.margin;
  const auto fails = [&](const PassedAt& spot) {
    row.fits = Fits::kNo;
    row.why = fmt::format("{}: {}", spot.way, spot.at);
  };
  if (passed.cannot_turn) return fails(*passed.cannot_turn);
  if (*row.above <= Metres()) return fails(passed.above);
  if (*row.each_side <= Metres()) return fails(passed.beside);
  if (!fit::AtLeast(*row.below, needs.below)) return fails(passed.below);
  row.fits = Fits::kGo;
  if (fit::AtLeast(*row.each_side, needs.each_side)) return;
  fails(passed.beside);
  row.fits = Fits::kTight;
}

void Count(const FitRow& row, FitRegister& all) {
  switch (row.fits) {
    case Fits::kGo:
      ++all.go;
      return;
    case Fits::kTight:
      ++all.tight;
      return;
    case Fits::kNo:
      ++all.no;
      return;
    case Fits::kUnknown:
      ++all.unknown;
      return;
  }
}

}  // namespace

struct RegisterParts::Doors {
  struct Door {
    std::string id;
    Outcome<DoorWays> ways;
    std::vector<fit::Input> inputs;
    std::optional<fit::Instant> oldest;
  };
  std::vector<Door> all;
};

RegisterParts::RegisterParts(const Asked& asked, const RegisterAsked& what)
    : asked_(asked), needs_(NeedsOf(asked, what)) {
  const auto attachments = AttachmentsOf(asked.yard);
  size_t most = 0;
  for (const auto& [id, all] : attachments) most = std::max(most, all.size());
  yards_.assign(most, asked.yard);
  for (const auto& [id, machine] : asked.yard.machines) {
    // It passes behind what tows it, in that one's rows, with what it carries today.
    if (!machine.towed_by.empty()) continue;
    size_t yard = 0;
    for (const std::string& with : attachments.at(id.value())) {
      yard::Machine& carrying = yards_[yard].machines.at(id);
      carrying.attachment = with;
      machines_.push_back({.yard = yard++, .machine = &carrying});
    }
  }
  auto doors = std::make_unique<Doors>();
  for (const auto& [id, door] : asked.yard.doors) {
    Readings readings(asked.yard, asked.when);
    auto ways = WaysThrough(readings, door);
    doors->all.push_back({.id = id.value(),
                          .ways = std::move(ways),
                          .inputs = readings.inputs(),
                          .oldest = OldestOf(readings.inputs())});
  }
  doors_ = std::move(doors);
}

RegisterParts::~RegisterParts() = default;

size_t RegisterParts::parts() const { return machines_.size(); }
size_t RegisterParts::rows_of_part() const { return doors_->all.size(); }

RegisterParts::Part RegisterParts::PartOf(size_t part) const {
  const yard::Machine* machine = machines_[part].machine;
  const std::string& id = machine->id.value();
  const std::string& attachment = machine->attachment;
  Readings readings(yards_[machines_[part].yard], asked_.when);
  const auto passing = PassingOf(readings, *machine);
  Part made{.rows = {},
            .behind = {.of = id, .attachment = attachment, .inputs = readings.inputs()}};
  const auto oldest = OldestOf(made.behind.inputs);
  for (const Doors::Door& door : doors_->all) {
    FitRow row;
    row.machine = id;
    row.attachment = attachment;
    row.door = door.id;
    if (!passing || !door.ways) {
      row.why = WhyNot(passing ? door.ways.error() : passing.error());
    } else if (const auto passed = Pass(*passing, *door.ways, needs_.each_side); !passed) {
      row.why = WhyNot(NoAnswerOf(passed.error(), id));
    } else {
      Judge(*passed, needs_, row);
    }
    row.oldest = oldest && door.oldest ? std::min(oldest, door.oldest) : std::nullopt;
    made.rows.push_back(std::move(row));
  }
  return made;
}

FitRegister RegisterParts::Whole(std::vector<Part> parts) const {
  FitRegister all;
  all.as_of = asked_.when.now;
  all.needs = needs_;
  all.rows.reserve(machines_.size() * rows_of_part());
  for (Part& part : parts) {
    for (FitRow& row : part.rows) {
      Count(row, all);
      all.rows.push_back(std::move(row));
    }
    all.machines.push_back(std::move(part.behind));
  }
  for (const Doors::Door& door : doors_->all)
    all.doors.push_back({.of = door.id, .attachment = "", .inputs = door.inputs});
  return all;
}

FitRegister RegisterOf(const Asked& asked, const std::function<void(Progress)>& progress,
                       const RegisterAsked& what) {
  const RegisterParts parts(asked, what);
  const size_t of = parts.parts() * parts.rows_of_part();
  std::vector<RegisterParts::Part> made;
  for (size_t part = 0; part < parts.parts(); ++part) {
    made.push_back(parts.PartOf(part));
    progress({.done = made.size() * parts.rows_of_part(), .of = of});
  }
  return parts.Whole(std::move(made));
}

}  // namespace chockwise::survey
