// The wires of a way: how near the machine comes to each as it rides, pitch and bounce included.
//
//   const auto wires = WiresOf(asked, trip, fit::Travel::kForwards);
//   for (const JudgedWire& wire : wires->judged) ... wire.clearance.verdict
//
// The map knows wires by the lane that they hang over, and not where they go on to. So a wire whose
// place is near the way may cross it, and counts as if it did. Threads: values.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/power_lines.h"
#include "services/survey/survey.h"

namespace chockwise::survey {

struct JudgedWire {
  std::string id;
  fit::Metres along;             // of the way, where it hangs or comes nearest
  fit::LineClearance clearance;  // of the least gap over all poses of the ride, straight or aslant
};

struct WiresOfWay {
  std::vector<JudgedWire> judged;  // by their ids; empty: the map has none over the way or near it
  std::vector<fit::Input> inputs;
};
Outcome<WiresOfWay> WiresOf(const Asked& asked, const Trip& trip, fit::Travel travel);

inline constexpr std::array<std::string_view, 2> kWiresOfWayAssumptions = {
    "every wire is live; 20 ft for an unknown voltage holds up to 350 kV; above 1,000 kV, or on a "
    "tall tower of unknown voltage, the utility says",
    "only wires that the map hangs over a lane are known; one near the way counts as over it; a "
    "line that runs beside the lanes is looked for on foot"};

}  // namespace chockwise::survey
