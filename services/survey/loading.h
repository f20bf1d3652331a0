// A machine goes up onto a carrier, and a forklift goes into a trailer at a dock: whether it grips
// and clears, and whether what it goes onto stays where it is and bears it.
//
//   Outcome<PartedAnswer> climbs = ClimbsOnto(asked, {.machine = dozer, .carrier = lowboy});
//   Outcome<PartedAnswer> enters = EntersTrailer(asked, {.forklift = lift, .trailer = box, ...});
//
// Two questions, because other people ask them about other things: a forklift climbs no ramp, a
// lowboy has no dock board, and what nobody has read of the one must not refuse the other. Threads:
// values.
#pragma once

#include <array>
#include <optional>
#include <string_view>

#include "services/fit/loading_dock.h"
#include "services/fit/loading_ramp.h"
#include "services/fit/stopping.h"
#include "services/survey/parts.h"
#include "services/survey/survey.h"

namespace chockwise::survey {

struct OntoCarrier {
  yard::MachineId machine;
  yard::MachineId carrier;
  std::optional<yard::PlaceId> at = {};  // where the carrier stands; unset: as the register says
  /// Unset: what was tried on the carrier's ramps, "ramp-grip", or wet steel on steel.
  std::optional<double> ramp_friction = {};
  /// Under the carrier. Unset: what was tried at its place, "ground-grip", or wet ground that
  /// nobody knows.
  std::optional<fit::Surface> surface = {};
};

/// Grip on the ramp, the ground it clears at the ramp's top and toe, the deck's capacity, the
/// carrier's brakes against its push, and the trailer's tail under its weight.
///
/// Where its "belly-clearance" is read along it, its outline is ridden over ground, ramp and deck;
/// else the closed forms take it to be as low everywhere as at its lowest.
///
/// The place's long-slope counts against both: uphill for the climb, downhill for the push. The
/// push is W·tan θ, as on a ramp without friction: never less than what it is. Its whole weight is
/// taken to stand on the trailer's rear end, and what that lifts off the coupling is taken off the
/// braked wheels, while what it adds to the trailer's own is not counted. No chock helps.
Outcome<PartedAnswer> ClimbsOnto(const Asked& asked, const OntoCarrier& what);

enum class Trailer { kOnItsLegs, kCoupled };
enum class NoseStands { kNone, kUnderNose };

struct IntoTrailer {
  yard::MachineId forklift;
  yard::MachineId trailer;
  yard::PlaceId dock;
  fit::Kilograms load = {};  // on its forks; 0 for none
  fit::Metres load_length = {};
  Trailer coupled = Trailer::kOnItsLegs;
  NoseStands stands = NoseStands::kNone;
  std::optional<fit::Kilograms> nose = {};  // cargo left there; unset: nobody has looked
};

/// What it lifts, what the dock board, the dock's floor and the trailer's bear, and whether the
/// trailer tips at either end.
///
/// On its legs the forklift is taken to go to the front wall, where the cargo lies, and at the rear
/// its whole weight to stand over the end. Stands under the nose are asked to take all of both and
/// what the trailer itself lays on its coupling; they stand no farther back than that. Cargo that
/// nobody looked for is not clear, with stands or without. A trailer on its legs tips at the tail
/// as a coupled one does: pin and legs lose the same share. Each reading is taken to be off against
/// it by as much as it may be; what is clear only as read is undecided.
Outcome<PartedAnswer> EntersTrailer(const Asked& asked, const IntoTrailer& what);

inline constexpr std::array<std::string_view, 4> kClimbSources = {
    fit::kRampSources[0], fit::kRampSources[1], fit::kDockSources[0], fit::kDockSources[2]};
inline constexpr std::array<std::string_view, 2> kClimbAssumptions = {
    "ramp and deck are straight, carry the machine and do not shift; no jack or ramp lifts a "
    "wheel; "
    "its outline is not read along it, so closed forms take it to be as low as at its lowest",
    "friction as tried wet, or the caller's word; it climbs straight, with no jerk and no chocks"};

inline constexpr std::array<std::string_view, 2> kRiddenClimbAssumptions = {
    "ramp and deck are straight, carry the machine and do not shift; no jack or ramp lifts a "
    "wheel; "
    "its outline is ridden as it was read along it, and no less carefully than by the closed forms",
    kClimbAssumptions[1]};

}  // namespace chockwise::survey
