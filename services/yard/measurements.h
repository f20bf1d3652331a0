// What was measured on a yard, in the order of its file, and found by what was measured.
//
//   const Measurement* height = yard.measurements.Latest("door-3", "clear-height", "");
//   if (height == nullptr) Refuse();  // unknown is not zero. Law 2.
//
// Time: a question costs O(log n) in the readings. Threads: immutable; share it freely.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "services/fit/instant.h"
#include "services/fit/quantity.h"
#include "services/yard/ids.h"

namespace chockwise::yard {

/// What a number was measured in. Text with a unit on the way in, SI inside.
using MeasuredValue =
    std::variant<fit::Metres, fit::Kilograms, fit::Grade, fit::Decibels, fit::MetresPerSecond,
                 fit::Angle, fit::Volts, fit::Lux, fit::Pascals>;

/// The number in the SI unit of its dimension. Only for values of one dimension to be compared.
double InSi(const MeasuredValue& value);

/// One reading. The last by time counts; the earlier ones stay to be shown.
struct Measurement {
  std::string subject = {};            // id of a door, place, lane, machine
  std::string quantity = {};           // "clear-height", "carried-height", "carried-width", "mass",
                                       // "deck-capacity", "cross-slope", ...
  std::string attachment = {};         // the machine's attachment when it was taken; empty for none
  std::optional<fit::Metres> at = {};  // where along it, from its front or start; unset: as a whole
  MeasuredValue value = {};
  std::string as_written = {};  // "13 ft 6 in"
  PersonId by = {};
  fit::Instant when = {};
};

class Measurements {
 public:
  Measurements() = default;
  explicit Measurements(std::vector<Measurement> in_file_order);

  /// In file order.
  const std::vector<Measurement>& all() const { return all_; }

  /// The latest reading of a quantity of the whole thing with that attachment, or null.
  const Measurement* Latest(std::string_view subject, std::string_view quantity,
                            std::string_view attachment) const;
  /// The latest reading at every spot along the thing where there is one, in order of the spots.
  std::vector<const Measurement*> LatestAlong(std::string_view subject, std::string_view quantity,
                                              std::string_view attachment) const;

 private:
  struct Sought;
  /// Where in `sorted_` the readings of one quantity of one thing with one attachment are.
  struct Range {
    std::vector<size_t>::const_iterator first, last;
  };
  Range Of(const Sought& sought) const;

  std::vector<Measurement> all_;
  std::vector<size_t>
      sorted_;  // into all_; by thing, quantity, attachment, spot (none first), time
};

}  // namespace chockwise::yard
