// The yard's readings made into the questions of fit, and its results into answers that say what
// they stood on. One function a question; the gates, the desk and the nightly register ask the same
// ones.
//
//   const Asked asked{.yard = yard, .when = {.now = now, .max_age = fit::Days(365)}};
//   Outcome<fit::Answer> under = GoesUnder(asked, {.machine = id, .from = from, .to = to},
//                                           fit::Travel::kForwards);
//   if (!under) Show(under.error().Text());          // unknown is not clear: law 2
//
// Pure: reads the yard it is given, no clock, no files. Threads: values.
#pragma once

#include <optional>
#include <string>
#include <variant>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/kinematics.h"
#include "services/fit/ride.h"
#include "services/fit/securement.h"
#include "services/fit/sun.h"
#include "services/survey/deck.h"
#include "services/survey/parts.h"
#include "services/survey/readings.h"
#include "services/survey/way.h"

namespace chockwise::survey {

struct Asked {
  const yard::Yard& yard;
  When when;
  fit::UnitSystem units = fit::UnitSystem::kUs;
  fit::ClockAhead clock = {};  // by which times of day are told; left out: UTC
};

/// A machine that goes from a place to a place.
struct Trip {
  yard::MachineId machine;
  yard::PlaceId from, to;
  std::vector<yard::LaneId> by = {};  // in the order of travel; empty: the shortest way
};

/// What the ride along a whole route found, with what drew it.
struct RiddenWay {
  Way way;
  fit::RidingMachine machine;
  fit::RideAllowances allow;
  fit::Travel travel = fit::Travel::kForwards;
  fit::Ride ride;
  std::vector<fit::Input> inputs;
};
/// Which end leads decides how it pitches under a header and over a crest: a machine that reverses
/// faces against its way, its trailer ahead of it.
Outcome<RiddenWay> RideOf(const Asked& asked, const Trip& trip, fit::Travel travel);
/// The question that `ridden` answers, for the poses of its spots.
fit::RideQuestion QuestionOf(const RiddenWay& ridden);

/// Under every door, canopy, beam and pipe of the way, pitch and bounce included. A wire is none of
/// them: it may be passed under by inches and kill.
Outcome<fit::Answer> GoesUnder(const Asked& asked, const Trip& trip, fit::Travel travel);
/// Over every sill, hump, toe and crest of the way.
Outcome<fit::Answer> ClearsGround(const Asked& asked, const Trip& trip, fit::Travel travel);
/// The mass against what every lane of the way is rated for.
Outcome<fit::Answer> GroundCarries(const Asked& asked, const Trip& trip);

/// The horn of the machine at a place whose noise was measured, this far from it.
struct HornAsked {
  yard::MachineId machine;
  yard::PlaceId place;
  fit::Metres distance;
};
Outcome<fit::Answer> HornIsHeard(const Asked& asked, const HornAsked& horn);
/// Likewise its reverse alarm, whose level was read 2 m behind it.
Outcome<fit::Answer> AlarmIsHeard(const Asked& asked, const HornAsked& alarm);

/// Every wire that the map hangs over the way or near it, from all poses of the ride.
Outcome<fit::Answer> WiresAreClear(const Asked& asked, const Trip& trip, fit::Travel travel);

/// The machine on the carrier's deck: where its centre of mass is, behind the deck's front, or
/// where somebody has seen it stand.
struct OnDeck {
  yard::MachineId machine;
  yard::MachineId carrier;
  std::variant<fit::Metres, StoodAt> at;
};
Outcome<fit::Answer> AxlesCarry(const Asked& asked, const OnDeck& what);

/// Where it would have to stand, for either end first. Clear says that there is such a place and
/// nothing more: whoever has stood it there tapes the place, and AxlesCarry is asked about that.
struct ForDeck {
  yard::MachineId machine;
  yard::MachineId carrier;
};
Outcome<fit::Answer> AxlesHavePlace(const Asked& asked, const ForDeck& what);

/// How steeply and how far aside all direct ties pull, seen from above: those of the front forward,
/// those of the rear backward, half of them to each side.
struct Pull {
  fit::Angle below_level;
  fit::Angle aside;
  double friction = 0;  // between machine and deck
};

/// A binder or anchor point that a tie does not name is as strong as the carrier's weakest, which
/// is a reading of the carrier; without a carrier it is unknown.
struct TiedDown {
  yard::MachineId machine;
  std::optional<yard::MachineId> carrier = {};
  std::vector<fit::Tie> ties;
  fit::Restraint articulation = fit::Restraint::kUnknown;
  fit::Restraint accessories = fit::Restraint::kUnknown;
};
Outcome<fit::Answer> LoadHolds(const Asked& asked, const TiedDown& what);
/// The same, and where somebody has looked at the angles, the forces of 49 CFR 393.102 too.
Outcome<PartedAnswer> TiesHold(const Asked& asked, const TiedDown& what,
                               const std::optional<Pull>& pull);

}  // namespace chockwise::survey
