// Whether a machine stays where it is put: brakes on a grade, chocks, and the tip to the side.
//
//   Outcome<HoldOnGrade> hold = JudgeHold({.grade = Percent(8), .friction = 0.35,
//                                          .braked_share = 0.6, .weight = Pounds(26'400)});
//   DriversLine(*hold, UnitSystem::kUs);       // "BRAKES HOLD: grade 8.0 %, grip to 21.0 %"
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

struct Parked {
  Grade grade;  // of the ground, along the machine; uphill and downhill alike
  double friction = 0;
  double braked_share = 0;  // of the weight that stands on braked wheels: 1 where all brake
  Kilograms weight;
  /// The steepest grade that the parking brake itself holds, where its maker or a test says. 49 CFR
  /// 571.121 asks 20 % of new air-braked vehicles (from memory).
  std::optional<Grade> brake_holds = {};
};

struct HoldOnGrade {
  Verdict verdict = Verdict::kUndecided;
  Angle angle;
  Grade grade;     // without its sign
  Grade holds_to;  // the lesser of grip and brake
  Grade margin;
  Newtons pull;      // W·sin θ, down the slope
  Newtons pressing;  // W·cos θ, on the ground
};

/// Holds if μ·k > tan θ. Domain: grade ±100 %, friction to 1.5, share above 0 to 1, weight to
/// 500,000 lb. Error: below 1e-15. Source: statics of a slope.
Outcome<HoldOnGrade> JudgeHold(const Parked& parked);

struct ChockedWheel {
  Metres diameter;
  Metres contact_height;      // where the chock touches the wheel, above the ground
  double chock_friction = 0;  // of the chock on the ground
  Grade grade;
  double chocked_share = 0;  // of the weight that stands on chocked wheels
};

struct ChockHold {
  Verdict verdict = Verdict::kUndecided;
  Angle contact;        // of the contact from the wheel's lowest point
  double to_climb = 0;  // push over load at which the wheel climbs the chock
  double to_slide = 0;  // push over load at which the chock slides: its friction
  double demand = 0;    // push over load that the grade makes
  double margin = 0;    // of the lesser
};

/// To climb √(2·R·h − h²) / (R − h); to slide μ; demand tan θ / share.
///
/// Domain: contact height above 0 and below the wheel's radius; a rigid wheel. An upper bound: the
/// chock is taken to carry the whole load of its wheel when it slides, and no brake helps.
/// Source: statics of a rigid wheel against a step.
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
    "statics of a slope, of a wheel against a step, and of a tip about the downhill wheels",
    "29 CFR 1926.600(a)(3)(ii), 30 CFR 56.14207: brake set and chocked on inclines",
    "reserve of 1.5 to the side: default, the safety lead's to set"};
inline constexpr std::array<std::string_view, 2> kStandingAssumptions = {
    "rigid wheels and springs; friction is the caller's word; brakes hold for as long as it stands",
    "weight as stated, with attachment and load; the ground does not give"};

}  // namespace chockwise::fit
