// What the law lets a group of consecutive axles weigh: the federal bridge formula with its printed
// rounding, the caps on single axle, tandem and gross, and Washington's table.
//
//   BridgeFormula({.span_ft = 51, .axles = 5})->published_lb     // 80,000; planned_lb is 79,500
//
// Whole feet and whole pounds, since the rule prints these: every result is exact integer
// arithmetic. Sources: 23 U.S.C. 127(a), 23 CFR 658.17, Rev. Code Wash. 46.44.041. Federal limits
// only: states and permits differ. Threads: values.
#pragma once

#include <optional>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// Pounds and kilograms as printed, each rounded on its own.
struct PrintedCap {
  int lb;
  int kg;
};
inline constexpr PrintedCap kSingleAxleCap = {20'000, 9'072};
inline constexpr PrintedCap kTandemCap = {34'000, 15'422};
inline constexpr PrintedCap kGrossCap = {80'000, 36'287};
/// Axles no further apart than this count as one; up to the second they are a tandem.
inline constexpr Metres kSingleAxleSpan = Inches(40);
inline constexpr Metres kTandemSpan = Inches(96);
/// Two tandems in a row carry 34,000 lb each from this span on.
inline constexpr Metres kTandemPairSpan = Feet(36);

struct AxleSet {
  int span_ft = 0;  // between the extreme axles
  int axles = 0;
};

struct BridgeLimit {
  /// 500·(L·N/(N−1) + 12·N + 36) to the nearest 500 lb, ties down: 42,750 is printed as 42,500.
  int published_lb = 0;
  int planned_lb = 0;  // the same, rounded down
};

/// The formula alone, without the caps. Domain: 4 to 200 ft, 2 to 20 axles.
Outcome<BridgeLimit> BridgeFormula(const AxleSet& set);

/// kPublished is the law's own rounding. kPlanned rounds feet and pounds down: a ticket is written
/// with another tape (default: the safety lead's to set).
enum class BridgeRounding { kPlanned, kPublished };

/// Whole feet to enter the formula with: down, or to the nearest with ties down. Between 8 and 9 ft
/// it is 8 either way, as the federal table prints 38,000 and 42,000 lb for "more than 8, less than
/// 9" (from memory).
int FormulaFeet(Metres span, BridgeRounding rounding);

/// Washington's table, which floors where it goes on below the federal table's first row (11 ft and
/// 4 axles: 49,000); nullopt where it prints nothing. Up to 8 ft it is 34,000 lb, the tandem's.
std::optional<int> WashingtonLimitLb(const AxleSet& set);

}  // namespace chockwise::fit
