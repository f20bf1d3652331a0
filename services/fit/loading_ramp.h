// Up a ramp onto a carrier or out of a pit: how steep it is, whether the machine grips, whether it
// grounds at the ramp's top or toe, whether the carrier stays where it is, and what a winch pulls.
//
//   Outcome<RampClimb> climb = JudgeRamp({.deck_height = Inches(36), .ramp_length = Feet(8),
//                                         .friction = kSteelOnWetSteel, ...});
//   DriversLine(*climb, UnitSystem::kUs);    // "TOO STEEP: 40.5 %, grips to 6.6 %. WINCH"
//
// Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// Lower end of what is typical for wet steel on steel, 0.10 to 0.15 (common practice: test it).
inline constexpr double kSteelOnWetSteel = 0.10;
/// A climb uses no more than the friction over this (default: the safety lead's to set).
inline constexpr double kGripReserve = 1.5;
/// Kept under the belly and the nose (default: the safety lead's to set).
inline constexpr Metres kBellyReserve = Inches(1);
/// What a machine on wheels needs to be towed on the level, as a share of its weight (common
/// practice for firm ground).
inline constexpr double kRollingShare = 0.05;

struct Ramp {
  Metres deck_height;
  Metres ramp_length;  // along the slope
  double friction = 0;
  Metres wheelbase;            // or the length of track on the ground
  Metres belly_clearance;      // under the lowest point between the axles, as it stands
  Metres nose_overhang;        // ahead of the front axle; 0 where the wheels are foremost
  Metres nose_clearance = {};  // under the nose; not looked at without overhang
  Metres tail_overhang;        // behind the rear axle; it drops as the machine climbs
  Metres tail_clearance = {};
  Grade ground = {};  // under the carrier, in the direction of the climb: uphill is positive
  /// Least clearance under the machine where it was ridden over the ramp's own profile; replaces
  /// the closed forms at top and toe.
  std::optional<Metres> ridden_clearance = {};
};

enum class RampTrouble { kNone, kGrip, kTop, kToe };

struct RampClimb {
  Verdict verdict = Verdict::kUndecided;
  RampTrouble worst = RampTrouble::kNone;  // of what is not clear: grip before top before toe
  Angle angle;                             // of the ramp to the level
  Grade grade;                             // its tangent
  Grade grips_to;                          // friction over the reserve
  Metres top_margin;                 // belly clearance beyond the break at the top and the reserve
  std::optional<Metres> toe_margin;  // of nose and tail at the toe, the less; none without them
};

/// θ = asin(H / length) + atan(ground); grips if tan θ <= μ / 1.5. At the top A·L/4, at the toe
/// A·overhang of nose and of tail, with A the tangent of the ramp's own angle to deck and ground.
///
/// Domain: height above 0 and below the ramp's length; θ within ±60 degrees; lengths up to 100 ft.
/// A·L/4 is at most an eighth more than the exact L/2·tan(φ/2) up to 35 degrees, on the careful
/// side. Error: below 1e-14 of the numbers compared. Source: statics; geometry of a grade break.
Outcome<RampClimb> JudgeRamp(const Ramp& ramp);

struct CarrierHold {
  double friction = 0;      // of the braked wheels on the ground
  Kilograms braked_weight;  // on the braked wheels; wheels that a ramp or jack lifts hold nothing
  Kilograms weight;         // of the whole carrier with what is on it
  Newtons push;             // of the machine that climbs, along the ground
  Grade grade = {};         // downhill in the direction of the push is positive
};

struct HeldAgainst {
  Verdict verdict = Verdict::kUndecided;
  Newtons holds;
  Newtons pushes;
  Newtons margin;
};

/// μ·W_braked >= push / cos θ + W·tan θ. Domain: friction to 1.5; weights to 500,000 lb, the braked
/// part no more than the whole; push to 500,000 lbf; grade ±30 %. Source: statics.
Outcome<HeldAgainst> JudgeCarrierHold(const CarrierHold& carrier);

struct Tow {
  Kilograms weight;
  Grade grade;                        // uphill is positive
  double rolling = kRollingShare;     // more in mud or with a dead drive
  std::optional<Newtons> rated = {};  // of the weakest of winch, line and hooks
};

struct TowPull {
  Verdict verdict = Verdict::kUndecided;  // kUndecided where no rating is known
  Newtons pull;                           // to move it
  Newtons hold_back;                      // to keep it from running; 0 on the level and uphill
  std::optional<Newtons> margin;
};

/// Pull W·(rolling + grade), never below W·rolling; hold back W·|grade| where it runs downhill,
/// with nothing taken off for rolling. On the careful side of W·(rolling·cos θ + sin θ).
/// Domain: weight to 500,000 lb, grade ±100 %, rolling 0.01 to 1. Source: common practice.
Outcome<TowPull> PullToTow(const Tow& tow);

std::string DriversLine(const RampClimb& climb, UnitSystem system);
std::string DriversLine(const HeldAgainst& held, UnitSystem system);
std::string DriversLine(const TowPull& pull, UnitSystem system);

inline constexpr std::array<std::string_view, 2> kRampSources = {
    "statics of a slope; geometry of a grade break (A·L/4 at the crest, A·overhang at the toe)",
    "reserves of 1.5 on grip and 1 in under the machine: default, the safety lead's to set"};
inline constexpr std::array<std::string_view, 2> kRampAssumptions = {
    "ramp and deck are straight, carry the machine and do not shift; the deck is not sprung up",
    "friction is the caller's word: wet, icy or greasy surfaces are tried before the climb"};

}  // namespace chockwise::fit
