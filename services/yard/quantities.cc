#include "services/yard/quantities.h"

#include <algorithm>
#include <array>

namespace chockwise::yard {
namespace {

using fit::Feet;
using fit::Inches;
using fit::InDecibels;
using fit::Percent;
using fit::Pounds;

// The bounds catch slips of the pen and of the unit, not unusual machines. Common practice: from
// the smallest pallet truck to the largest machine that still travels a yard. Slopes are steepness,
// without a sign: "at most 2 %" must hold whichever way the ground falls.
const std::array<QuantityRow, 16> kQuantities = {{
    {"clear-height", Subject::kDoor, Feet(2), Feet(60), "2 ft to 60 ft (0.61 m to 18.28 m)"},
    {"clear-width", Subject::kDoor, Feet(2), Feet(120), "2 ft to 120 ft (0.61 m to 36.57 m)"},
    {"sill-height", Subject::kDoor, Inches(0), Feet(2), "0 in to 2 ft (0 m to 0.60 m)"},
    {"carried-height", Subject::kMachine, Feet(1), Feet(60), "1 ft to 60 ft (0.31 m to 18.28 m)"},
    {"carried-width", Subject::kMachine, Feet(1), Feet(40), "1 ft to 40 ft (0.31 m to 12.19 m)"},
    {"carried-length", Subject::kMachine, Feet(1), Feet(200), "1 ft to 200 ft (0.31 m to 60.96 m)"},
    {"mass", Subject::kMachine, Pounds(100), Pounds(1'000'000),
     "100 lb to 1,000,000 lb (46 kg to 453,592 kg)"},
    {"deck-capacity", Subject::kMachine, Pounds(100), Pounds(1'000'000),
     "100 lb to 1,000,000 lb (46 kg to 453,592 kg)"},
    {"deck-height", Subject::kMachine, Inches(2), Feet(8), "2 in to 8 ft (0.06 m to 2.43 m)"},
    {"belly-clearance", Subject::kMachine, Inches(0.5), Feet(8),
     "1/2 in to 8 ft (0.02 m to 2.43 m)"},
    {"horn-level-2m", Subject::kMachine, InDecibels(50), InDecibels(140), "50 dB to 140 dB"},
    {"perimeter", Subject::kMachine, Feet(4), Feet(500), "4 ft to 500 ft (1.22 m to 152.40 m)"},
    {"cross-slope", Subject::kPlace, Percent(0), Percent(50), "0 % to 50 %, without a sign"},
    {"long-slope", Subject::kPlace, Percent(0), Percent(50), "0 % to 50 %, without a sign"},
    {"grade", Subject::kLane, Percent(0), Percent(50), "0 % to 50 %, without a sign"},
    {"width", Subject::kLane, Feet(2), Feet(200), "2 ft to 200 ft (0.61 m to 60.96 m)"},
}};

}  // namespace

const QuantityRow* FindQuantity(std::string_view name) {
  const auto row = std::ranges::find(kQuantities, name, &QuantityRow::name);
  return row == kQuantities.end() ? nullptr : &*row;
}

std::vector<std::string> QuantityNames() {
  std::vector<std::string> names;
  for (const QuantityRow& row : kQuantities) names.emplace_back(row.name);
  return names;
}

std::string_view SubjectName(Subject subject) {
  switch (subject) {
    case Subject::kDoor:
      return "a door";
    case Subject::kMachine:
      return "a machine";
    case Subject::kPlace:
      return "a place";
    case Subject::kLane:
      return "a lane";
  }
  return "";
}

std::string_view DimensionName(const MeasuredValue& value) {
  struct Namer {
    std::string_view operator()(fit::Metres) const { return "a length"; }
    std::string_view operator()(fit::Kilograms) const { return "a mass"; }
    std::string_view operator()(fit::Grade) const { return "a grade in %"; }
    std::string_view operator()(fit::Decibels) const { return "a level in dB"; }
    std::string_view operator()(fit::MetresPerSecond) const { return "a speed"; }
  };
  return std::visit(Namer(), value);
}

bool HasDimension(const QuantityRow& row, const MeasuredValue& value) {
  return row.least.index() == value.index();
}

bool IsWithinBounds(const QuantityRow& row, const MeasuredValue& value) {
  return row.least <= value && value <= row.most;
}
}  // namespace chockwise::yard
