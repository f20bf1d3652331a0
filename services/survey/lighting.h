// Light enough for driver, spotter and walkers: daylight or lamps where a trip begins and ends and
// along its lanes, and the low sun ahead on them.
//
//   Outcome<FoundLight> found = LightOnTrip(asked, {.machine = id, .from = from, .to = to});
//   Show(found->parted.answer.line);                 // "GLARE AHEAD on cross-way: 12.1 deg off"
//   if (!found->glare.empty()) AskSomebodyToLook();
//
// Glare is not darkness. Where the sun stands is known to a hundredth of a degree; whether cloud, a
// wall or a tree stands before it, only people see. So a lane that heads into a low sun makes an
// answer undecided, never a conflict, and undecided is not clear (law 2): somebody looks. Ahead is
// the direction of travel, also of a machine that backs: in mirrors or over the shoulder the driver
// looks where it goes, and the spotter's signals are there, against the light. Threads: values.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "services/survey/parts.h"
#include "services/survey/survey.h"

namespace chockwise::survey {

/// A lane with the sun low ahead, where it comes nearest to the lane's heading.
struct SunAhead {
  std::string lane;  // empty: the heading that was asked about
  fit::Angle off;
};

struct FoundLight {
  PartedAnswer parted;
  fit::Verdict light = fit::Verdict::kUndecided;  // of daylight and lamps, whatever glares
  std::vector<SunAhead> glare;                    // in the order of travel
};

/// At both ends, where vehicles and people mix, and along the lanes between them, whose lamps must
/// have been read once the daylight does not do. The machine is
/// not asked, so it may be left out. A bend is passed in a moment: what counts is how the straight
/// pieces of the lanes head.
Outcome<FoundLight> LightOnTrip(const Asked& asked, const Trip& trip);

struct LightThere {
  yard::PlaceId place;
  std::optional<fit::Angle> heading = {};  // clockwise from north; unset: nothing heads anywhere
};
Outcome<FoundLight> LightAtPlace(const Asked& asked, const LightThere& what);

/// Whether somebody who looked at that instant had before them what glares now: the sun stood low
/// ahead on every lane on which it does. False: it has come into the way since.
bool GlaredAlready(const Asked& asked, const Trip& trip, fit::Instant looked);

}  // namespace chockwise::survey
