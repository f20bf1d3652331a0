#include <fmt/format.h>

#include <array>

#include "services/yard/draft.h"
#include "services/yard/limits.h"
#include "services/yard/rules.h"

namespace chockwise::yard {
namespace {

constexpr std::array<std::string_view, 6> kFiles = {
    "base rules", "map.geojson", "machines.csv", "people.csv", "measurements.csv", "rules.txtpb"};

void SortAndLimit(Complaints& complaints) {
  const auto rank = [](const Complaint& complaint) {
    return std::pair(std::ranges::find(kFiles, complaint.file) - kFiles.begin(), complaint.line);
  };
  std::ranges::stable_sort(complaints, {}, rank);
  if (complaints.size() <= kComplaints) return;
  const size_t more = complaints.size() - (kComplaints - 1);
  complaints.resize(kComplaints - 1);
  complaints.push_back({.file = complaints.back().file,
                        .problem = fmt::format("there are {} more complaints", more),
                        .right = "mend these first and read the files again"});
}

/// Each file may be within its limit and all of them together not.
void CheckBytesTogether(const YardFiles& files, Complaints& complaints) {
  struct File {
    const char* name;
    size_t bytes;
  };
  const std::array<File, 5> all{{{"map.geojson", files.map_geojson.size()},
                                 {"machines.csv", files.machines_csv.size()},
                                 {"people.csv", files.people_csv.size()},
                                 {"measurements.csv", files.measurements_csv.size()},
                                 {"rules.txtpb", files.rules_txtpb.size()}}};
  size_t together = 0;
  for (const File& file : all) together += file.bytes;
  const File& largest = *std::ranges::max_element(all, {}, &File::bytes);
  if (together <= kYardBytes || largest.bytes > kYardBytes) return;
  Notes(largest.name, complaints)
      .Add({.problem =
                fmt::format("the yard's files together hold {} bytes, most of them here", together),
            .right = fmt::format("a yard is at most {} bytes", kYardBytes)});
}

/// A class that no machine has and no kind moves is a slip of the pen: the person would wait for a
/// machine forever.
void CheckAuthorisedClasses(const Draft& draft, Notes& notes) {
  std::set<std::string> classes;
  for (const auto& [id, machine] : draft.yard.machines) classes.insert(machine.machine_class);
  for (const auto& kind : draft.yard.rules.kinds()) {
    classes.insert(kind.machine_classes().begin(), kind.machine_classes().end());
    classes.insert(kind.carrier_classes().begin(), kind.carrier_classes().end());
  }
  for (const auto& [id, person] : draft.yard.people) {
    for (const auto& [machine_class, until] : person.may_drive) {
      if (classes.contains(machine_class)) continue;
      notes.Add(
          {.line = draft.person_lines.at(id.value()),
           .where = id.value(),
           .field = "may-drive",
           .problem = Quoted(machine_class) + " is the class of no machine and no kind of move",
           .right = KnownNames(machine_class, Names(classes))});
    }
  }
}

/// The map is read before people.csv.
void CheckSurveyor(const Draft& draft, Notes& map) {
  if (!draft.yard.survey || !draft.people.Dangles(draft.yard.survey->by.value())) return;
  const std::string& by = draft.yard.survey->by.value();
  map.Add({.field = "survey",
           .problem = Quoted(by) + " is not in people.csv",
           .right = KnownNames(by, Names(draft.people.ids))});
}

}  // namespace

tl::expected<Yard, Complaints> ReadYard(const YardFiles& files, std::string_view base_rules_txtpb,
                                        const Computations& known) {
  Complaints complaints;
  Draft draft;
  const auto notes = [&](std::string_view file) { return Notes(std::string(file), complaints); };
  Notes map = notes("map.geojson");
  Notes machines = notes("machines.csv");
  Notes people = notes("people.csv");
  Notes measurements = notes("measurements.csv");
  CheckBytesTogether(files, complaints);
  ReadMap(files.map_geojson, draft, map);
  ReadMachines(files.machines_csv, draft, machines);
  ReadPeople(files.people_csv, draft, people);
  CheckSurveyor(draft, map);
  ReadMeasurements(files.measurements_csv, draft, measurements);
  ReadRules(files.rules_txtpb, base_rules_txtpb, known, draft, complaints);
  if (draft.machines.complete && !draft.yard.rules.yard_id().empty())
    CheckAuthorisedClasses(draft, people);
  if (complaints.empty()) return std::move(draft.yard);
  SortAndLimit(complaints);
  return tl::unexpected(std::move(complaints));
}

}  // namespace chockwise::yard
