// One machine through one door, all ways that it may go: what the register's rows are made of.
// Private to the register.
//
// Threads: values.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "services/fit/ride.h"
#include "services/fit/swept_path.h"
#include "services/survey/readings.h"
#include "services/survey/way.h"

namespace chockwise::survey {

/// The lane of a door, laid out from one of its ends. All that is over and across it but this door
/// is left out.
struct DoorWay {
  Way way;
  std::string from;  // the place
};
struct DoorWays {
  std::vector<DoorWay> both;  // from either end
};
Outcome<DoorWays> WaysThrough(Readings& readings, const yard::Door& door);

struct PassingMachine {
  fit::RidingMachine riding;
  fit::TurningMachine turning;
  fit::Metres bounce;
  fit::Metres length;
};

/// The least margin of one sort, less its error: which way it goes then, and at what.
struct PassedAt {
  fit::Metres margin;
  std::string way;  // "reversing from s1-bay-1"
  std::string at;   // "door-1 left jamb"
};

struct DoorPassed {
  PassedAt above, beside, below;
  std::optional<PassedAt> cannot_turn;  // what it lacks, in words; its margin says nothing
};

/// Unusable: as RideOver() and Sweep().
fit::Outcome<DoorPassed> Pass(const PassingMachine& machine, const DoorWays& door,
                              fit::Metres needed_each_side);

}  // namespace chockwise::survey
