// machines.csv and people.csv.
#include <fmt/format.h>

#include "services/yard/csv.h"
#include "services/yard/dates.h"
#include "services/yard/draft.h"
#include "services/yard/limits.h"
#include "services/yard/register_trains.h"

namespace chockwise::yard {
namespace {

constexpr std::string_view kDateRight = "write it as YYYY-MM-DD";
constexpr std::string_view kIdRight = "1 to 40 characters of a-z, A-Z, 0-9 and '-'";

/// One row while it is read: its complaints carry the row's line and id.
class Row {
 public:
  Row(const CsvRow& row, Notes& notes) : row_(row), notes_(notes) {}

  const std::string& At(size_t column) const { return row_.cells[column]; }
  int line() const { return row_.line; }
  void Complain(std::string_view field, std::string problem, std::string_view right) const {
    notes_.Add({.line = row_.line,
                .where = row_.cells.front(),
                .field = std::string(field),
                .problem = std::move(problem),
                .right = std::string(right)});
  }
  std::string Line(size_t column, std::string_view field, size_t most) const {
    if (!IsLine(At(column), most)) {
      Complain(
          field,
          At(column).empty() ? "is empty" : Quoted(At(column)) + " is too long or not one line",
          fmt::format("1 to {} characters", most));
    }
    return At(column);
  }
  /// Takes the row's id into `mentioned`. False after a complaint that leaves the row without a
  /// usable id.
  bool TakeId(Mentioned& mentioned) const {
    const std::string& id = At(0);
    if (!IsId(id)) {
      mentioned.complete = false;
      Complain("id", id.empty() ? "is empty" : Quoted(id) + " is not an id", kIdRight);
      return false;
    }
    if (mentioned.ids.insert(id).second) return true;
    mentioned.complete = false;  // one of the two rows may be meant for another id
    Complain("id", Quoted(id) + " stands twice", "give each its own, or leave one row out");
    return false;
  }

 private:
  const CsvRow& row_;
  Notes& notes_;
};

enum MachineColumn : size_t {
  kMachineId,
  kMachineName,
  kMachineClass,
  kMachinePlace,
  kAttachment,
  kChocksSet,
  kSteering,
  kTows
};
const Columns kMachineColumns = {
    .required = {"id", "name", "class", "place", "attachment", "chocks"},
    .optional = {"steering", "tows"}};

const std::map<std::string, Steering, std::less<>> kSteeringNames = [] {
  std::map<std::string, Steering, std::less<>> names;
  for (const Steering steering : kAllSteerings) names.emplace(SteeringName(steering), steering);
  return names;
}();

std::optional<Steering> ReadSteering(const Row& row) {
  const std::string& text = row.At(kSteering);
  if (text.empty()) return std::nullopt;
  const auto known = kSteeringNames.find(text);
  if (known != kSteeringNames.end()) return known->second;
  row.Complain("steering", Quoted(text) + " is not a way to steer",
               KnownNames(text, Names(kSteeringNames)) + ", or empty where nobody knows");
  return std::nullopt;
}

int ReadChocks(const Row& row) {
  const std::string& text = row.At(kChocksSet);
  const bool digits = !text.empty() && text.size() <= 3 &&
                      text.find_first_not_of("0123456789") == std::string::npos;
  const int count = digits ? std::stoi(text) : -1;
  if (count >= 0 && count <= kChocks) return count;
  row.Complain("chocks", text.empty() ? "is empty" : Quoted(text) + " is not a number of chocks",
               fmt::format("a whole number from 0 to {}: how many are under it", kChocks));
  return 0;
}

void ReadMachine(const Row& row, Draft& draft, std::vector<RegisterRow>& rows) {
  const bool has_id = row.TakeId(draft.machines);
  Machine machine{.id = MachineId(row.At(kMachineId))};
  if (const auto feature = draft.features.find(row.At(kMachineId));
      feature != draft.features.end()) {
    row.Complain(
        "id",
        fmt::format("{} is the id of a {} on the map", Quoted(feature->first), feature->second),
        "an id must name one thing: give the machine another");
  }
  machine.name = row.Line(kMachineName, "name", kNameCharacters);
  machine.machine_class = row.At(kMachineClass);
  if (!IsWord(machine.machine_class)) {
    row.Complain("class", Quoted(machine.machine_class) + " is not a class",
                 "a word such as service-truck: a-z, 0-9, '-'");
  }
  machine.place = PlaceId(row.At(kMachinePlace));
  if (machine.place.empty()) {
    row.Complain("place", "is empty", "the place on the map where it stands");
  } else if (draft.places.Dangles(machine.place.value())) {
    row.Complain("place", Quoted(machine.place.value()) + " is not a place on the map",
                 KnownNames(machine.place.value(), Names(draft.places.ids)));
  }
  if (!row.At(kAttachment).empty())
    machine.attachment = row.Line(kAttachment, "attachment", kAttachmentCharacters);
  machine.chocks_set = ReadChocks(row);
  machine.steering = ReadSteering(row);
  if (!has_id) return;
  rows.push_back({.line = row.line(), .id = machine.id, .tows = row.At(kTows)});
  draft.yard.machines.emplace(machine.id, machine);
}

/// A train takes the room of one machine: what is towed stands behind what tows it.
void CheckRoom(const std::vector<RegisterRow>& rows, const Draft& draft, Notes& notes) {
  std::map<PlaceId, int> standing;
  for (const RegisterRow& row : rows) {
    const Machine& machine = draft.yard.machines.at(row.id);
    const auto place = draft.yard.places.find(machine.place);
    if (place == draft.yard.places.end() || !machine.towed_by.empty()) continue;
    if (++standing[machine.place] <= place->second.capacity) continue;
    notes.Add({.line = row.line,
               .where = row.id.value(),
               .field = "place",
               .problem = fmt::format("{} is full: it has room for {}", machine.place.value(),
                                      place->second.capacity),
               .right = "another place, or a larger \"capacity\" on the map"});
  }
}

enum PersonColumn : size_t { kPersonId, kPersonName, kRoles, kMayDrive, kMaySpotUntil };
const Columns kPersonColumns = {.required = {"id", "name", "roles", "may-drive", "may-spot-until"}};

const std::map<std::string, Role, std::less<>> kRoleNames = [] {
  std::map<std::string, Role, std::less<>> names;
  for (const Role role : kAllRoles) names.emplace(RoleName(role), role);
  return names;
}();

/// Roles that rows name, whatever else is wrong with them; unset once a row names one that is not
/// known.
using SeenRoles = std::optional<std::set<Role>>;

void ReadRoles(const Row& row, Person& person, SeenRoles& seen) {
  const auto names = Split(row.At(kRoles), ';');
  if (names.empty())
    row.Complain("roles", "is empty",
                 "one or more of " + Listed(Names(kRoleNames)) + ", with ';' between");
  for (const std::string_view name : names) {
    const auto role = kRoleNames.find(name);
    if (role == kRoleNames.end()) {
      row.Complain("roles", Quoted(name) + " is not a role", KnownNames(name, Names(kRoleNames)));
      seen.reset();
    } else if (!person.roles.insert(role->second).second) {
      row.Complain("roles", Quoted(name) + " stands twice", "once is enough");
    }
  }
  if (seen) seen->insert(person.roles.begin(), person.roles.end());
}

/// Authorised through a day: until the first instant of the next one, in UTC.
std::optional<fit::Instant> ReadThrough(const Row& row, std::string_view field,
                                        std::string_view date) {
  const auto day = ReadDate(date);
  if (!day) {
    row.Complain(field, Quoted(date) + " is not a date", kDateRight);
    return std::nullopt;
  }
  return *day + fit::Days(1);
}

void ReadMayDrive(const Row& row, Person& person) {
  constexpr std::string_view kUntil = " until ";
  for (const std::string_view part : Split(row.At(kMayDrive), ';')) {
    const size_t at = part.find(kUntil);
    const std::string_view machine_class = Trim(part.substr(0, at));
    if (at == std::string_view::npos || !IsWord(machine_class)) {
      row.Complain("may-drive", Quoted(part) + " is not a class with a date",
                   "write \"service-truck until 2027-03-01\", with ';' between several");
      continue;
    }
    const auto until = ReadThrough(row, "may-drive", Trim(part.substr(at + kUntil.size())));
    if (until && !person.may_drive.emplace(machine_class, *until).second) {
      row.Complain("may-drive", Quoted(machine_class) + " stands twice",
                   "keep the date that is right");
    }
  }
}

void ReadPerson(const Row& row, Draft& draft, SeenRoles& seen) {
  const bool has_id = row.TakeId(draft.people);
  Person person{.id = PersonId(row.At(kPersonId))};
  person.name = row.Line(kPersonName, "name", kNameCharacters);
  ReadRoles(row, person, seen);
  ReadMayDrive(row, person);
  if (!row.At(kMaySpotUntil).empty()) {
    person.may_spot_until = ReadThrough(row, "may-spot-until", row.At(kMaySpotUntil));
  }
  draft.person_lines.emplace(row.At(kPersonId), row.line());
  if (has_id) draft.yard.people.emplace(person.id, std::move(person));
}

template <class ReadOne>
void ReadRows(std::string_view bytes, const Columns& columns, Mentioned& mentioned, Notes& notes,
              ReadOne read_one) {
  const auto text = ReadText(bytes, kYardBytes, notes);
  const Table table = text ? ReadTable(*text, columns, notes) : Table{.complete = false};
  if (!table.complete) mentioned.complete = false;
  for (const CsvRow& row : table.rows) read_one(Row(row, notes));
}

}  // namespace

void ReadMachines(std::string_view bytes, Draft& draft, Notes& notes) {
  std::vector<RegisterRow> rows;
  ReadRows(bytes, kMachineColumns, draft.machines, notes,
           [&](const Row& row) { ReadMachine(row, draft, rows); });
  HangTrains(rows, draft, notes);
  CheckRoom(rows, draft, notes);
}

void ReadPeople(std::string_view bytes, Draft& draft, Notes& notes) {
  const size_t complaints_before = notes.count();
  SeenRoles seen = std::set<Role>();
  ReadRows(bytes, kPersonColumns, draft.people, notes,
           [&](const Row& row) { ReadPerson(row, draft, seen); });
  const bool rows_missing =
      !draft.people.complete && draft.people.ids.empty() && notes.count() > complaints_before;
  if (!seen || rows_missing) return;
  for (const auto& [role, name] : {std::pair(Role::kYardLead, RoleName(Role::kYardLead)),
                                   std::pair(Role::kSafetyLead, RoleName(Role::kSafetyLead))}) {
    if (seen->contains(role)) continue;
    notes.Add({.field = "roles",
               .problem = fmt::format("nobody is a {}", name),
               .right = fmt::format("give at least one person the role {}", name)});
  }
}

}  // namespace chockwise::yard
