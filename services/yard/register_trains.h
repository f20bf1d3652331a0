// The column "tows" of machines.csv: what hangs behind a machine, front to rear. Private to the
// room.
//
// A unit is towed by one machine, whose row names the whole train; so no unit that is towed names
// units of its own, and there is no circle. Threads: values.
#pragma once

#include <string>
#include <vector>

#include "services/yard/draft.h"

namespace chockwise::yard {

struct RegisterRow {
  int line = 0;
  MachineId id = {};
  std::string tows = {};  // the cell: unit numbers with ';' between
};

/// Hangs every unit that may be towed behind the machine that names it, and complains of the rest.
/// `rows` are those of the draft's machines.
void HangTrains(const std::vector<RegisterRow>& rows, Draft& draft, Notes& notes);

}  // namespace chockwise::yard
