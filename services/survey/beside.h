// What stands beside a way, as what a swept path is held against. Private to the room.
//
// Threads: values.
#pragma once

#include <vector>

#include "services/fit/swept_path.h"
#include "services/survey/way.h"

namespace chockwise::survey {

/// The jambs of its doors, and its obstacles. Left and right are as the driver has them, like the
/// corners of the machine.
std::vector<fit::SideObstacle> BesideWay(const Way& way, fit::Travel travel);

}  // namespace chockwise::survey
