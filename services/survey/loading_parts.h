// What loading onto a carrier and driving into a trailer have in common. Private to the room.
#pragma once

#include "services/survey/answers.h"

namespace chockwise::survey {

struct TailFound {
  Part part;
  fit::Kilograms lifted;  // off the coupling
};
/// A trailer's tail with all of `load` over its rear end.
Outcome<TailFound> TailUnder(Readings& readings, const yard::MachineId& trailer,
                             fit::Kilograms load, fit::UnitSystem units);

}  // namespace chockwise::survey
