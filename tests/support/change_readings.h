// A yard with its readings changed.
#pragma once

#include <utility>
#include <vector>

#include "services/yard/yard.h"

namespace chockwise::yard {

/// With every reading as `change` leaves it.
template <class Change>
void ChangeReadings(Yard& yard, const Change& change) {
  std::vector<Measurement> readings = yard.measurements.all();
  for (Measurement& reading : readings) change(reading);
  yard.measurements = Measurements(std::move(readings));
}

/// With these taken after all others.
inline void AddReadings(Yard& yard, const std::vector<Measurement>& more) {
  std::vector<Measurement> readings = yard.measurements.all();
  readings.insert(readings.end(), more.begin(), more.end());
  yard.measurements = Measurements(std::move(readings));
}

/// Without those of which `is_lost` is true.
template <class IsLost>
void LoseReadings(Yard& yard, const IsLost& is_lost) {
  std::vector<Measurement> readings = yard.measurements.all();
  std::erase_if(readings, is_lost);
  yard.measurements = Measurements(std::move(readings));
}

}  // namespace chockwise::yard
