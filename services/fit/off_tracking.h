// Closed forms of turning: how far rear axles cut in on a steady turn, how far corners swing out,
// how a pulled unit straightens. Short turns never become steady: for those drive the line
// (kinematics.h), these bound it.
//
//   Outcome<SteadyTurn> turn = SteadyTurnOf({.front_axle_radius = Feet(60),
//                                            .lengths = {Feet(18), Feet(36)}});
//   if (turn && turn->state == SteadyState::kSteady) Show(turn->off_tracking);     // 15 ft 6 in
//
// Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

enum class SteadyState {
  kSteady,
  kFoldsTooFar,  // it exists, but a hinge would fold beyond the limit on the way there
  kNone,         // the circle is too small: the units fold up before they run true
};

/// A machine on an endless circle.
struct CircleTurn {
  Metres front_axle_radius = {};     // of the middle of the front axle
  std::vector<Metres> lengths = {};  // wheelbase, then hitch to axle of each trailer; 1 to 11
  /// Of each hitch from the axle before it: ahead of it, or negative, behind. May be fewer than the
  /// trailers: the rest are over the axle.
  std::vector<Metres> hitch_off = {};
  Angle most_fold = Degrees(80);  // common practice; above 0, to 90 deg
};

struct SteadyTurn {
  SteadyState state = SteadyState::kNone;
  Metres rear_axle_radius;  // of the hindmost axle's middle; 0 for kNone
  Metres off_tracking;      // front less rear radius; for kNone the whole front radius
  Angle largest_fold;       // between units; 90 deg for kNone
};

/// r = √(R² − ΣL² + ΣK²), off-tracking R − r.
///
/// Units: metres. Error: of the radius, below 1e-15 R²/r; off-tracking is computed as
/// (ΣL² − ΣK²) / (R + r), so that large circles do not cancel. An upper bound for turns that are
/// too short to become steady, not for an S-bend. Source: Western Highway Institute sum of squares,
/// from the right triangle at each axle; fold by sin = L / hitch radius. Unusable: a radius or
/// length not above 0 or beyond 10 km / 100 m, no length, more hitches than trailers.
Outcome<SteadyTurn> SteadyTurnOf(const CircleTurn& turn);

/// Tractor and semitrailer as the Society of Automotive Engineers' J695 measures it: from the outer
/// front wheel.
struct J695Turn {
  Metres outer_wheel_radius = {};  // tr
  Metres tractor_wheelbase = {};   // wb
  Metres half_front_track = {};    // ht
  Metres kingpin_offset = {};      // ko, of the kingpin from the tractor's rear axle; 0 or more
  Metres trailer_wheelbase = {};   // ka
};

/// √(wb² + q²) − √(ko² + q² − ka²), q = √(tr² − wb²) − ht: nullopt where there is no steady state.
///
/// Source: SAE J695 "Maximum Off Track", graph sheet read in a copy. Error: below 1e-14 m for radii
/// to 1 km.
Outcome<std::optional<Metres>> MaximumOffTrack(const J695Turn& turn);

/// The corners of one rigid unit on a circle.
struct CornerTurn {
  Metres rear_axle_radius = {};  // of its middle, 0 or more
  Metres width = {};             // of the body, above 0
  Metres front_overhang =
      {};  // of the body ahead of the rear axle: wheelbase and overhang, 0 or more
  Metres rear_overhang = {};  // 0 or more
};
struct CornerSwing {
  Metres inner_radius;        // of the inner side at the rear axle; below 0: the centre is under it
  Metres outer_front_radius;  // √((r + w/2)² + front²)
  Metres tail_swing;          // √((r + w/2)² + rear²) − (r + w/2)
};
Outcome<CornerSwing> CornerSwingOf(const CornerTurn& turn);

/// A unit pulled along a straight.
struct StraightPull {
  Angle fold = {};     // at the start, between unit and straight; 0 to 179 deg
  Metres length = {};  // hitch to axle, above 0
  Metres pulled = {};  // 0 or more
};

/// tan(after / 2) = tan(fold / 2) · e^(−pulled / length). Source: the tractrix.
Outcome<Angle> FoldAfter(const StraightPull& pull);

/// A hitch that starts to turn on a circle, unit and tractor in line.
struct CirclePull {
  Metres hitch_radius = {};
  Metres length = {};  // hitch to axle
  Metres pulled = {};  // along the circle
};

/// The angle between the unit and the hitch's course: tan(half) = (1 − E)/(t₊ − t₋E) with
/// t± = R/L ± √(R²/L² − 1), E = exp(−s √(1/L² − 1/R²)); it nears asin(L/R). nullopt where R <= L:
/// it folds on without end. Source: the same equation on a circle.
Outcome<std::optional<Angle>> FoldOnCircle(const CirclePull& pull);

/// How far an axle has come along the straight that its hitch runs on when it is still `aside` of
/// it, having begun square to it: L·arcosh(L/y) − √(L² − y²).
struct TractrixPoint {
  Metres length = {};  // above 0
  Metres aside = {};   // above 0, to the length
};
Outcome<Metres> TractrixWay(const TractrixPoint& point);

std::string DriversLine(const SteadyTurn& turn, UnitSystem system);  // "CUTS IN 4 ft 9 in"

inline constexpr std::array<std::string_view, 2> kOffTrackingSources = {
    "Western Highway Institute sum of squares (from memory)", "SAE J695 graph sheet, in a copy"};
inline constexpr std::array<std::string_view, 2> kOffTrackingAssumptions = {
    "an endless circle: too much for a short turn, too little for an S-bend",
    "no slip; the middle of an axle group turns as one axle"};

}  // namespace chockwise::fit
