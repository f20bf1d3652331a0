// The quantities that a yard measures: of what, in which dimension, and between which bounds a
// reading is believed.
#pragma once

#include <array>
#include <span>
#include <string>
#include <string_view>
#include <vector>

#include "services/yard/yard.h"

namespace chockwise::yard {

enum class Subject { kDoor, kMachine, kPlace, kLane, kOverhead, kArea };
inline constexpr std::array kAllSubjects = {Subject::kDoor,  Subject::kOverhead, Subject::kLane,
                                            Subject::kPlace, Subject::kArea,     Subject::kMachine};

/// Whether a quantity is of one spot along its thing: the outline's height 6 ft behind the front.
enum class Spot { kNone, kOne, kEither };

struct QuantityRow {
  std::string_view name;
  Subject subject;
  MeasuredValue least;  // of the quantity's dimension; a reading below it is a complaint
  MeasuredValue most;
  std::string_view bounds;  // the same two, as people read them
  Spot spot = Spot::kNone;
};

/// The row of a quantity, or null.
const QuantityRow* FindQuantity(std::string_view name);

/// Every row, those that belong together side by side.
std::span<const QuantityRow> Quantities();
std::vector<std::string> QuantityNames();

/// "a door", "a machine", ...
std::string_view SubjectName(Subject subject);

/// "a length", "a mass", "a grade", "a level", "a speed".
std::string_view DimensionName(const MeasuredValue& value);

/// Whether a value is of the quantity's dimension and between its bounds.
bool HasDimension(const QuantityRow& row, const MeasuredValue& value);
bool IsWithinBounds(const QuantityRow& row, const MeasuredValue& value);

}  // namespace chockwise::yard
