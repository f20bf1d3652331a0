// The least clearance under a machine that goes up a ramp onto a deck, ridden along its outline.
//
//   Outcome<RampRidden> ridden = RideRamp({.machine = dozer, .deck_height = Inches(36),
//                                          .ramp_length = Feet(12), .reading_error = ...});
//   if (!ridden) return tl::unexpected(ridden.error());
//   ramp.ridden_clearance = ridden->clearance;     // and JudgeRamp goes by it
//
// Threads: values.
#pragma once

#include <optional>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"
#include "services/fit/ride.h"

namespace chockwise::fit {

/// Over the ground before it, the ramp and the deck behind it, deck and ground parallel.
struct RampRide {
  const RidingMachine& machine;
  Metres deck_height;         // above 0
  Metres ramp_length;         // along the slope, which is 50 % at most: kSteepestGround
  Metres reading_error = {};  // of the outline's heights and of the deck's
};

enum class RampEnd { kToe, kTop };

struct RampRidden {
  Metres clearance;  // what is surely left under it: the lesser of the two below, less the error
  Metres error;
  RampEnd at = RampEnd::kTop;  // where the lesser is
  Metres by_ride;
  std::optional<Metres> by_forms = {};  // of a machine of one unit
};

/// The ride is exact, and so it may find more than the closed forms of JudgeRamp do: those round
/// toward caution. With the outline of one unit they are applied to every point of it (A·x(L−x)/L
/// over the crest for a point x behind the front axle, A·overhang ahead of the front axle and
/// behind the rear one) and the lesser counts, so that a machine whose belly, nose and tail are as
/// low everywhere is judged no less carefully than by them. What they leave out, the ride finds:
/// the outline between the readings, a trailer, and how far the readings may be off.
///
/// Units: metres. Domain: as RideOver; a deck lower than the ramp is long. Gaps are measured square
/// to deck and ground, however these slope.
/// Error: of the ride as TightSpot::error; for the closed forms the same is taken off. Where the
/// ramp is longer than the machine and it does not ground, by_ride·cos φ is at most by_forms +
/// A·L/32 + A·r·tan(φ/2), with r the wheel's radius and φ the ramp's own angle: so much do the
/// closed forms round.
Outcome<RampRidden> RideRamp(const RampRide& ramp);

/// Where the belly is read along a machine on two axles, or on tracks between their ends.
struct BellyOnAxles {
  const std::vector<OutlinePoint>& belly;  // front to rear
  Metres front_axle, rear_axle;            // behind the front
};
struct LeastByForms {
  Metres clearance;
  RampEnd at = RampEnd::kTop;
};
/// The closed forms on every point of an outline. `change` is the tangent of the ramp's own angle,
/// above 0; the axles are apart. Exact on straight pieces: below 1e-14 of the numbers compared.
LeastByForms LeastOverBreaks(const BellyOnAxles& machine, Grade change);

}  // namespace chockwise::fit
