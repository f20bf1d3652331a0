// measurements.csv: what was measured, on what, by whom and when.
#include <fmt/format.h>

#include <cmath>
#include <tuple>

#include "services/yard/csv.h"
#include "services/yard/dates.h"
#include "services/yard/draft.h"
#include "services/yard/limits.h"
#include "services/yard/plane.h"
#include "services/yard/quantities.h"

namespace chockwise::yard {
namespace {

enum Column : size_t { kWhat, kValue, kUnit, kWith, kBy, kWhen, kAt };
const Columns kColumns = {.required = {"what", "value", "unit", "with", "by", "when"},
                          .optional = {"at"}};

class MeasurementReader {
 public:
  MeasurementReader(Draft& draft, Notes& notes) : draft_(draft), notes_(notes) {}

  void Read(const CsvRow& row) {
    row_ = &row;
    Measurement reading{.attachment = row.cells[kWith], .by = PersonId(row.cells[kBy])};
    const size_t complaints_before = notes_.count();
    const QuantityRow* quantity = ReadWhat(reading);
    ReadValue(quantity, reading);
    ReadAt(quantity, reading);
    ReadWith(quantity, reading);
    ReadBy(reading);
    if (const auto when = ReadDateOrTime(row.cells[kWhen])) {
      reading.when = *when;
    } else {
      Complain("when", Quoted(row.cells[kWhen]) + " is not a date or time",
               "write 2026-11-24 or 2026-11-24T07:30:00-06:00 (RFC 3339)");
    }
    if (notes_.count() > complaints_before) return;
    RefuseSecondReading(reading);
    taken_.push_back(std::move(reading));
  }

  Measurements Taken() && { return Measurements(std::move(taken_)); }

 private:
  void Complain(std::string_view field, std::string problem, std::string_view right) {
    notes_.Add({.line = row_->line,
                .where = row_->cells[kWhat],
                .field = std::string(field),
                .problem = std::move(problem),
                .right = std::string(right)});
  }

  const Mentioned& SubjectsOf(Subject subject) const {
    switch (subject) {
      case Subject::kDoor:
        return draft_.doors;
      case Subject::kMachine:
        return draft_.machines;
      case Subject::kPlace:
        return draft_.places;
      case Subject::kLane:
        return draft_.lanes;
      case Subject::kOverhead:
        return draft_.overheads;
      case Subject::kArea:
        return draft_.areas;
    }
    return draft_.doors;
  }

  const QuantityRow* ReadWhat(Measurement& reading) {
    const std::string& what = row_->cells[kWhat];
    const size_t space = what.find_first_of(" \t");
    if (space == std::string::npos) {
      Complain("what", Quoted(what) + " is not a thing and a quantity",
               "write \"door-3 clear-height\", \"TH-07 mass\"");
      return nullptr;
    }
    reading.subject = what.substr(0, space);
    reading.quantity = Trim(std::string_view(what).substr(space));
    const QuantityRow* quantity = FindQuantity(reading.quantity);
    if (quantity == nullptr) {
      Complain("what", Quoted(reading.quantity) + " is not a quantity that is measured",
               KnownNames(reading.quantity, QuantityNames()));
      return nullptr;
    }
    const Mentioned& subjects = SubjectsOf(quantity->subject);
    if (subjects.Dangles(reading.subject)) {
      Complain("what",
               fmt::format("{} is measured on {}, and {} is none", reading.quantity,
                           SubjectName(quantity->subject), Quoted(reading.subject)),
               KnownNames(reading.subject, Names(subjects.ids)));
    }
    return quantity;
  }

  void ReadValue(const QuantityRow* quantity, Measurement& reading) {
    const std::string& unit = row_->cells[kUnit];
    reading.as_written = unit.empty() ? row_->cells[kValue] : row_->cells[kValue] + " " + unit;
    const auto value = ReadMeasuredValue(reading.as_written);
    if (!value) {
      Complain("value", value.error(), "");
      return;
    }
    reading.value = *value;
    if (quantity == nullptr) return;
    if (!HasDimension(*quantity, *value)) {
      Complain("value", fmt::format("{} is {}", Quoted(reading.as_written), DimensionName(*value)),
               fmt::format("{} is {}", quantity->name, DimensionName(quantity->least)));
    } else if (!IsWithinBounds(*quantity, *value)) {
      Complain("value", Quoted(reading.as_written) + " is out of range",
               fmt::format("{}: {}", quantity->name, quantity->bounds));
    }
  }

  /// Where along the thing it was measured.
  void ReadAt(const QuantityRow* quantity, Measurement& reading) {
    const std::string& text = row_->cells[kAt];
    if (quantity != nullptr && text.empty() != (quantity->spot == Spot::kNone) &&
        quantity->spot != Spot::kEither) {
      Complain("at",
               text.empty() ? fmt::format("is empty, and {} is of one spot", quantity->name)
                            : fmt::format("{} is of the whole of it", quantity->name),
               text.empty() ? "the length from its front: 6 ft 2 in" : "leave it empty");
    }
    if (text.empty()) return;
    const auto value = ReadMeasuredValue(text);
    if (!value || !std::holds_alternative<fit::Metres>(*value)) {
      Complain("at", value ? Quoted(text) + " is not a length" : value.error(),
               value ? "the length from its front: 6 ft 2 in" : "");
      return;
    }
    reading.at = std::get<fit::Metres>(*value);
  }

  void ReadWith(const QuantityRow* quantity, const Measurement& reading) {
    if (reading.attachment.empty()) return;
    if (quantity != nullptr && quantity->subject != Subject::kMachine) {
      Complain("with", fmt::format("{} carries no attachment", SubjectName(quantity->subject)),
               "leave it empty");
    } else if (!IsLine(reading.attachment, kAttachmentCharacters)) {
      Complain("with", Quoted(reading.attachment) + " is too long or not one line",
               fmt::format("the machine's attachment, 1 to {} characters, or empty for none",
                           kAttachmentCharacters));
    }
  }

  void ReadBy(const Measurement& reading) {
    const std::string& by = reading.by.value();
    if (by.empty()) {
      Complain("by", "is empty", "the id of who measured, from people.csv");
    } else if (draft_.people.Dangles(by)) {
      Complain("by", Quoted(by) + " is not in people.csv",
               KnownNames(by, Names(draft_.people.ids)));
    }
  }

  /// Of two readings at one instant nobody can say which one counts.
  void RefuseSecondReading(const Measurement& reading) {
    const auto [first, fresh] = lines_.emplace(
        std::tuple(reading.subject, reading.quantity, reading.attachment, reading.at, reading.when),
        row_->line);
    if (fresh) return;
    Complain("when",
             fmt::format("line {} has a reading of the same at the same time", first->second),
             "give the later one its time, or leave one out");
  }

  Draft& draft_;
  Notes& notes_;
  const CsvRow* row_ = nullptr;
  std::vector<Measurement> taken_;
  std::map<
      std::tuple<std::string, std::string, std::string, std::optional<fit::Metres>, fit::Instant>,
      int>
      lines_;
};

/// The map may say what a door nominally is; the tape then finds slips of the pen in either.
void CompareWithNominal(const Draft& draft, Notes& notes) {
  for (const auto& [door, openings] : draft.nominal) {
    for (const auto& [quantity, nominal] : openings) {
      const Measurement* taped = draft.yard.measurements.Latest(door, quantity, "");
      if (taped == nullptr) continue;
      const double apart_m = std::abs((std::get<fit::Metres>(taped->value) - nominal).metres());
      if (apart_m <= kNominalM) continue;
      notes.Add(
          {.where = door,
           .field = quantity,
           .problem = fmt::format("the tape says {}, the map says {}", Quoted(taped->as_written),
                                  fit::Text(nominal, fit::UnitSystem::kSi, fit::Rounding::kDown)),
           .right = fmt::format("they may differ by {} m: tape it again, or correct the map",
                                kNominalM)});
    }
  }
}

/// A lane that its door's opening does not hold goes through the wall beside it.
void CompareWithLanes(const Draft& draft, Notes& notes) {
  const auto text = [](fit::Metres length) {
    return fit::Text(length, fit::UnitSystem::kSi, fit::Rounding::kDown);
  };
  for (const auto& [id, door] : draft.yard.doors) {
    const auto lane = draft.yard.lanes.find(door.lane);
    const Measurement* taped = draft.yard.measurements.Latest(id.value(), "clear-width", "");
    if (lane == draft.yard.lanes.end() || taped == nullptr) continue;
    const fit::Metres off = OffDoor(door, lane->second);
    // A door drawn farther off is no door of that lane: the map's reader has complained.
    if (off < std::get<fit::Metres>(taped->value) / 2 || off.metres() > kOnLaneM) continue;
    notes.Add({.where = id.value(),
               .field = "clear-width",
               .problem = fmt::format("lane {} passes {} from the middle of an opening of {}",
                                      door.lane.value(), text(off), Quoted(taped->as_written)),
               .right = "draw the door where it is, and the lane through it"});
  }
}

}  // namespace

void ReadMeasurements(std::string_view bytes, Draft& draft, Notes& notes) {
  const auto text = ReadText(bytes, kYardBytes, notes);
  const Table table = text ? ReadTable(*text, kColumns, notes) : Table{.complete = false};
  MeasurementReader reader(draft, notes);
  for (const CsvRow& row : table.rows) reader.Read(row);
  draft.yard.measurements = std::move(reader).Taken();
  CompareWithNominal(draft, notes);
  CompareWithLanes(draft, notes);
}

}  // namespace chockwise::yard
