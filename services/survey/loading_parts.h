// What loading onto a carrier and driving into a trailer have in common. Private to the room.
#pragma once

#include "services/survey/answers.h"
#include "services/survey/reading_errors.h"

namespace chockwise::survey {

struct TailFound {
  Part part;
  fit::Kilograms lifted;  // off the coupling
};
struct TailLoad {
  const yard::MachineId& trailer;
  fit::Kilograms load;
  Lean lean;  // of the trailer's readings
};
/// A trailer's tail with all of `load` over its rear end.
Outcome<TailFound> TailUnder(Readings& readings, const TailLoad& what, fit::UnitSystem units);

}  // namespace chockwise::survey
