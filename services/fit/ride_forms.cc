#include "services/fit/ride_forms.h"

#include <fmt/format.h>

#include <cmath>
#include <optional>

namespace chockwise::fit {
namespace {

using Problem = std::optional<Unusable>;

Problem CheckBreak(Grade change) {
  if (change > Grade() && change <= Percent(50)) return std::nullopt;
  return Unusable{"grade change", fmt::format("is {:.4g} %", change.percent()),
                  "above 0, up to 50 %"};
}

Problem CheckLength(const char* name, Metres length) {
  if (length > Metres() && length <= InMetres(60)) return std::nullopt;
  return Unusable{name, fmt::format("is {:.6g} m", length.metres()), "above 0, up to 60 m"};
}

Problem CheckFromZero(const char* name, Metres length, Metres most) {
  if (length >= Metres() && length <= most) return std::nullopt;
  return Unusable{name, fmt::format("is {:.6g} m", length.metres()),
                  fmt::format("0 to {:.6g} m", most.metres())};
}

Problem FirstOf(Problem a, Problem b) { return a ? a : b; }

}  // namespace

Outcome<Metres> BreakOffset(const BreakUnderMachine& at) {
  return BreakOffsetAt({.grade_change = at.grade_change,
                        .wheelbase = at.wheelbase,
                        .behind_front_axle = at.wheelbase / 2});
}

Outcome<Metres> BreakOffsetAt(const BreakAtPoint& at) {
  auto problem = FirstOf(CheckBreak(at.grade_change), CheckLength("wheelbase", at.wheelbase));
  problem = FirstOf(
      problem, CheckFromZero("break behind the front axle", at.behind_front_axle, at.wheelbase));
  if (problem) return tl::unexpected(*problem);
  return at.grade_change.rise_over_run() * (at.behind_front_axle / at.wheelbase) *
         (at.wheelbase - at.behind_front_axle);
}

Outcome<Grade> GreatestBreak(const BellyOverBreak& at) {
  const auto problem =
      FirstOf(CheckLength("clearance", at.clearance), CheckLength("wheelbase", at.wheelbase));
  if (problem) return tl::unexpected(*problem);
  return RiseOverRun(4 * (at.clearance / at.wheelbase));
}

Outcome<Angle> BreakoverAngle(const BellyOverBreak& at) {
  const auto problem =
      FirstOf(CheckLength("clearance", at.clearance), CheckLength("wheelbase", at.wheelbase));
  if (problem) return tl::unexpected(*problem);
  return Radians(2 * std::atan(2 * (at.clearance / at.wheelbase)));
}

Outcome<Metres> CurveOffset(const CurveUnderMachine& at) {
  auto problem = FirstOf(CheckBreak(at.grade_change), CheckLength("wheelbase", at.wheelbase));
  problem = FirstOf(problem, CheckFromZero("curve length", at.curve_length, InMetres(10'000)));
  if (problem) return tl::unexpected(*problem);
  const double change = at.grade_change.rise_over_run();
  if (at.curve_length >= at.wheelbase) {
    return change * at.wheelbase * (at.wheelbase / at.curve_length) / 8;
  }
  return change * (2 * at.wheelbase - at.curve_length) / 8;
}

Outcome<Metres> CrestOffset(const CircleUnderMachine& at) {
  const auto problem = CheckLength("wheelbase", at.wheelbase);
  if (problem) return tl::unexpected(*problem);
  if (at.radius < at.wheelbase / 2 || at.radius > InMetres(1e6)) {
    return tl::unexpected(Unusable{"crest radius", fmt::format("is {:.6g} m", at.radius.metres()),
                                   "half the wheelbase or more, up to 1000 km"});
  }
  // (L/2)² / (R + √(R² − (L/2)²)): no cancellation on a wide crest.
  const double r = at.radius.metres();
  const double half = at.wheelbase.metres() / 2;
  return InMetres(half * half / (r + std::sqrt((r - half) * (r + half))));
}

Outcome<Metres> OverhangRise(const OverhangAtBreak& at) {
  const auto problem = FirstOf(CheckBreak(at.grade_change), CheckLength("overhang", at.overhang));
  if (problem) return tl::unexpected(*problem);
  return at.grade_change.rise_over_run() * at.overhang;
}

Outcome<Metres> SignHeight(const SignedClearance& at) {
  auto problem = CheckLength("measured clearance", at.measured);
  problem = FirstOf(problem, CheckFromZero("buffer", at.buffer, InMetres(0.5)));
  if (problem) return tl::unexpected(*problem);
  if (at.measured <= at.buffer) {
    return tl::unexpected(Unusable{"measured clearance", "is no more than the buffer",
                                   "a clearance above the buffer"});
  }
  // A millionth of an inch is binary noise, not a missing inch.
  return Inches(std::floor((at.measured - at.buffer).inches() + 1e-6));
}

}  // namespace chockwise::fit
