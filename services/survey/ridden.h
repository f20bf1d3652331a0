// A ride over a way as it is laid out for every question that rides it. Private to the room.
#pragma once

#include <vector>

#include "services/survey/answers.h"
#include "services/survey/survey.h"

namespace chockwise::survey {

/// Machine, ground and allowances, not ridden yet: `ride` is empty.
Outcome<RiddenWay> LayOutRide(Readings& readings, const Laid& laid, const Trip& trip,
                              fit::Travel travel);

/// What every ride stands on besides its readings.
std::vector<fit::Input> DefaultsOf(const RiddenWay& ridden, fit::UnitSystem units);

}  // namespace chockwise::survey
