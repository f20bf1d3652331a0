#include "services/yard/register_trains.h"

#include <fmt/format.h>

#include <algorithm>

#include "services/yard/limits.h"

namespace chockwise::yard {
namespace {

class TrainReader {
 public:
  TrainReader(const std::vector<RegisterRow>& rows, Draft& draft, Notes& notes)
      : rows_(rows), draft_(draft), notes_(notes) {}

  void Read(const RegisterRow& row) {
    const auto units = Split(row.tows, ';');
    if (units.empty()) return;
    row_ = &row;
    Machine& machine = draft_.yard.machines.at(row.id);
    if (machine.steering && !MayTow(*machine.steering)) {
      Complain(fmt::format("{} steers by {}, and nothing is towed so here", row.id.value(),
                           SteeringName(*machine.steering)),
               "a machine that steers by front-axle, all-wheel or articulated, or leave it empty");
      return;
    }
    if (units.size() > kTowed) {
      Complain(fmt::format("names {} units", units.size()),
               fmt::format("at most {} hang behind one machine", kTowed));
      return;
    }
    for (const std::string_view unit : units) Hang(machine, std::string(unit));
  }

 private:
  void Complain(std::string problem, std::string right) {
    notes_.Add({.line = row_->line,
                .where = row_->id.value(),
                .field = "tows",
                .problem = std::move(problem),
                .right = std::move(right)});
  }

  void Hang(Machine& machine, const std::string& unit) {
    const auto found = draft_.yard.machines.find(MachineId(unit));
    if (found == draft_.yard.machines.end()) {
      if (unit.empty() || draft_.machines.Dangles(unit)) {
        Complain(Quoted(unit) + " is not a unit number in machines.csv",
                 unit.empty() ? "write DL-961; FT-962, front to rear, or leave it empty"
                              : KnownNames(unit, Names(draft_.machines.ids)));
      }
      return;
    }
    Machine& towed = found->second;
    if (towed.id == machine.id) {
      Complain(unit + " is this machine itself", "name what hangs behind it");
    } else if (towed.towed_by == machine.id) {
      Complain(unit + " stands twice", "name each unit once, front to rear");
    } else if (!towed.towed_by.empty()) {
      Complain(fmt::format("{} is towed by {} already", unit, towed.towed_by.value()),
               "name it behind the one that tows it today");
    } else if (TowsToo(towed.id)) {
      Complain(unit + " tows units of its own",
               "name the whole train, front to rear, at the machine that pulls it");
    } else if (towed.steering) {
      Complain(fmt::format("{} steers by {}, and what is towed does not steer", unit,
                           SteeringName(*towed.steering)),
               "leave the steering of a dolly or trailer empty");
    } else if (towed.place != machine.place) {
      Complain(fmt::format("{} stands at {}, not at {}", unit, towed.place.value(),
                           machine.place.value()),
               "one place for the whole train");
    } else {
      towed.towed_by = machine.id;
      machine.tows.push_back(towed.id);
    }
  }

  bool TowsToo(const MachineId& id) const {
    return std::ranges::any_of(
        rows_, [&](const RegisterRow& row) { return row.id == id && !Trim(row.tows).empty(); });
  }

  const std::vector<RegisterRow>& rows_;
  Draft& draft_;
  Notes& notes_;
  const RegisterRow* row_ = nullptr;
};

}  // namespace

void HangTrains(const std::vector<RegisterRow>& rows, Draft& draft, Notes& notes) {
  TrainReader reader(rows, draft, notes);
  for (const RegisterRow& row : rows) reader.Read(row);
}

}  // namespace chockwise::yard
