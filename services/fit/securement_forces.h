// An engineer's extra to the count of 49 CFR 393.106: whether tie-downs at these angles, at no more
// than their working load limits, hold the load against the decelerations of 393.102(a)(2).
//
//   Outcome<HeldForces> held = JudgeForces({.weight = Pounds(26'400), .friction = 0.3, .ties =
//   {...}});
//
// Complying with 393.104 to 393.136 is deemed to meet 393.102 by itself, so this never clears what
// the count does not. Threads: values.
#pragma once

#include <array>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// Shares of g that the working load limits must hold (393.102(a)(2)), each applied by itself, and
/// the downward force as a share of the weight (393.102(b)). 0.8 and 0.5 are against breaking
/// strength (393.102(a)(1)) and are not for working loads.
inline constexpr double kForwardShare = 0.435;
inline constexpr double kRearwardShare = 0.5;
inline constexpr double kSidewaysShare = 0.25;
inline constexpr double kDownwardShare = 0.2;

struct AngledTie {
  Kilograms limit;  // of its weakest part
  /// Which way it pulls the load, seen from above: 0 toward the front, 90 degrees to the left.
  Angle heading = {};
  Angle below_level = {};  // how steeply it runs down from the load, 0 to 90 degrees
  int count = 1;
};

struct ForcesOnLoad {
  Kilograms weight;
  double friction = 0;  // between load and deck, 0 to 0.5: 393.108(g) credits a mat with no more
  std::vector<AngledTie> ties = {};
};

enum class Push { kForward, kRearward, kLeft, kRight, kUpward };

struct HeldForce {
  Push push = Push::kForward;
  Kilograms held;
  Kilograms needed;
  Kilograms margin;
};

struct HeldForces {
  Verdict verdict = Verdict::kUndecided;
  std::array<HeldForce, 5> pushes;  // in the order of Push
  HeldForce worst;                  // least margin
  Kilograms error;                  // of the arithmetic
};

/// Against each push: Σ limit·cos β·cos(angle to the push) over the ties that pull the other way,
/// and friction on the weight and on those ties' downward pull.
///
/// Units: SI. Domain: weight up to 500,000 lb, at least one tie. An upper bound of what the ties do
/// together: it takes all that oppose a push to reach their limits at once and the load not to
/// turn. Error: below 1e-14 of the weight and the limits. Source: statics of a rigid load.
Outcome<HeldForces> JudgeForces(const ForcesOnLoad& load);

/// "HOLDS: 1,200 lb to spare" or "WILL SHIFT forward: SHORT 900 lb".
std::string DriversLine(const HeldForces& held, UnitSystem system);

inline constexpr std::array<std::string_view, 1> kForcesSources = {
    "49 CFR 393.102(a)(2), (b), read in a public mirror; statics of a rigid load"};
inline constexpr std::array<std::string_view, 2> kForcesAssumptions = {
    "all ties that oppose a push reach their working load limits together",
    "the load neither turns nor tips; friction is the caller's word"};

}  // namespace chockwise::fit
