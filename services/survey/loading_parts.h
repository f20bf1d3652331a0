// What loading onto a carrier and driving into a trailer have in common. Private to the room.
#pragma once

#include <string_view>
#include <vector>

#include "services/survey/answers.h"

namespace chockwise::survey {

template <class Quantity>
struct Wanted {
  std::string_view subject;
  std::string_view quantity;
  Quantity* into;
};

/// Each in order, up to the first that is not known.
template <class Quantity>
Outcome<void> ReadAll(Readings& readings, const std::vector<Wanted<Quantity>>& all) {
  for (const Wanted<Quantity>& one : all) {
    const auto value = readings.Of<Quantity>(one.subject, one.quantity);
    if (!value) return tl::unexpected(value.error());
    *one.into = *value;
  }
  return {};
}

struct TailFound {
  Part part;
  fit::Kilograms lifted;  // off the coupling
};
/// A trailer's tail with all of `load` over its rear end.
Outcome<TailFound> TailUnder(Readings& readings, const yard::MachineId& trailer,
                             fit::Kilograms load, fit::UnitSystem units);

}  // namespace chockwise::survey
