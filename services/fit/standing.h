// Whether a machine stays where it is put: brakes on a grade, chocks, and the tip to the side.
//
//   Outcome<HoldOnGrade> hold = JudgeHold({.grade = Percent(8), .friction = 0.35,
//                                          .wheels = {.share = 0.6}, .weight = Pounds(26'400)});
//   DriversLine(*hold, UnitSystem::kUs);       // "BRAKES HOLD: grade 8.0 %, grip to 14.0 %"
//
// Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "services/fit/answer.h"
#include "services/fit/braked_grip.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// Kept against sliding down a grade, as on a ramp and against tipping (common practice; the safety
/// lead's to set). What a brake or a chock was tried on has no reserve taken off: it held there.
inline constexpr double kHoldReserve = 1.5;

struct Parked {
  Grade grade;  // of the ground, along the machine; uphill and downhill alike
  double friction = 0;
  HoldingWheels wheels = {};  // that brake
  Kilograms weight;
  /// The steepest grade that the parking brake itself holds, where its maker or a test says. 49 CFR
  /// 571.121 asks 20 % of new air-braked vehicles (from memory).
  std::optional<Grade> brake_holds = {};
};

struct HoldOnGrade {
  Verdict verdict = Verdict::kUndecided;
  Angle angle;
  Grade grade;      // without its sign
  Grade slides_at;  // where the braked wheels' grip is used up
  Grade holds_to;   // the lesser of that over the reserve, and the brake
  Grade margin;
  Newtons pull;      // W·sin θ, down the slope
  Newtons pressing;  // W·cos θ, on the ground
};

/// Holds if GripOf(μ, wheels) / 1.5 > tan θ: on the grade itself what shifts off the braked wheels
/// is off them. Domain: grade ±100 %, friction to 1.5, share above 0 to 1, weight to 500,000 lb.
/// Error: below 1e-14. Source: statics of a slope.
Outcome<HoldOnGrade> JudgeHold(const Parked& parked);

struct ChockedWheel {
  Metres diameter;
  Metres contact_height;      // where the chock touches the wheel, above the ground
  double chock_friction = 0;  // of chock and wheel on the ground, and of the one on the other
  Grade grade;
  HoldingWheels chocked = {};          // wheels that chocks lie at
  std::optional<Grade> tried_on = {};  // the steepest grade on which chocks alone held it
};

/// On what a chock's verdict rests.
enum class ChockProof { kNone, kShape, kTrial };

struct ChockHold {
  Verdict verdict = Verdict::kUndecided;
  ChockProof proof = ChockProof::kNone;
  Grade grade;          // without its sign
  Angle contact;        // of the contact from the wheel's lowest point, φ
  Angle wedges_to;      // the steepest contact at which the chock wedges, 2·atan μ
  double to_climb = 0;  // push over load at which the wheel climbs the chock
  double holds = 0;   // push over load that its shape proves it to hold; 0 where it proves nothing
  double demand = 0;  // push over load that the grade makes
  std::optional<Grade> tried_on;
};

/// Clear if its shape proves that it holds 1.5 times the demand, or if it was tried on a steeper
/// grade; a conflict if the wheel climbs it; otherwise undecided.
///
/// Statics of a rigid, free wheel and a rigid chock without weight, with the same friction μ = tan
/// λ at the three contacts: load w down and push P forward at the axle, normal N and friction T at
/// the chock, G and F at the ground. No moment about the axle: F = T, backward at the ground. Then
///   P = N·sin φ + T·(1 − cos φ),  w = G + N·cos φ + T·sin φ,
/// and the chock, pushed with N·sin φ − T·cos φ and pressed down with N·cos φ + T·sin φ, stays if
/// tan(φ − atan(T / N)) <= μ. So:
/// - It climbs at G = 0, which makes T = 0: P / w = tan φ = √(2·R·h − h²) / (R − h).
/// - A smooth wheel (T = 0) pushes the chock away whatever the load, unless tan φ <= μ: the chock
/// is
///   pressed down with P / tan φ only, and never with its wheel's whole load short of climbing.
/// - T <= μ·N: it wedges only if φ <= 2·λ. Then, for every T up to μ·N, P / w is at least
///   (sin φ + μ·(1 − cos φ)) / (cos φ + μ·sin φ + 1), where the ground under the wheel still gives
///   T = μ·G.
/// The usual rule, that it slides where μ is less than the demand, takes the chock to carry all of
/// its wheel's load, and promises what no free wheel gives. A tyre folds round a chock and a chock
/// has teeth, which may hold far more than 2·λ: so steeper contacts are undecided, not refused, and
/// a trial decides.
///
/// Demand tan θ / share, the share on the grade; no brake helps. Domain: contact height above 0 and
/// below the wheel's radius. Error: relative, below 1e-14.
Outcome<ChockHold> JudgeChock(const ChockedWheel& wheel);

/// Kept against tipping to the side (default: the safety lead's to set).
inline constexpr double kSideReserve = 1.5;

struct SideLoad {
  Metres track;            // between the outer tracks' or tyres' centres; on three points less
  Metres centre_height;    // of the centre of mass with what it carries
  Grade cross_slope = {};  // without its sign
  double lateral_g = 0;    // in a turn, v² / (r·g), toward the downhill side
};

struct SideTip {
  Verdict verdict = Verdict::kUndecided;
  Angle tips_at;         // on a slope, standing
  double tips_at_g = 0;  // on the level, t / 2h
  Angle demand;          // slope and turn together, as a slope
  Grade margin;          // of tangents, beyond the reserve
};

/// tan θ_tip = t / (2·h); demand θ + atan(a). Clear if tan(demand)·1.5 < t / 2h.
///
/// Domain: track to 30 ft, centre to 40 ft, cross slope to 100 %, up to 1 g. Leaves out tyre and
/// spring give, which lower it by a tenth or more (common practice). Source: statics.
Outcome<SideTip> JudgeSideTip(const SideLoad& side);

std::string DriversLine(const HoldOnGrade& hold, UnitSystem system);
std::string DriversLine(const ChockHold& chock, UnitSystem system);
std::string DriversLine(const SideTip& tip, UnitSystem system);

inline constexpr std::array<std::string_view, 3> kStandingSources = {
    "statics of a slope, of a wheel wedged by a chock, and of a tip about the downhill wheels",
    "29 CFR 1926.600(a)(3)(ii), 30 CFR 56.14207: brake set and chocked on inclines",
    "reserve of 1.5 on grip and to the side: common practice, the safety lead's to set"};
inline constexpr std::array<std::string_view, 2> kStandingAssumptions = {
    "rigid wheels and springs; friction is the caller's word; brakes hold for as long as it stands",
    "weight as stated, with attachment and load; the ground does not give"};

}  // namespace chockwise::fit
