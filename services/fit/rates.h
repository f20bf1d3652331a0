// How often something happens, and what so few cases leave open. Without its interval a rate over
// few moves is noise that somebody will act on.
//
//   Outcome<Interval> share = ShareInterval({.times = 12, .of = 40});     // 0.181 to 0.454
//   Outcome<Interval> count = CountInterval({.events = 3});               // 0.619 to 8.767
//   ShareText(12, 40);                                   // "12 of 40: 30 % (18 to 46 %)"
//
// Threads: values.
#pragma once

#include <cstdint>
#include <string>

#include "services/fit/answer.h"

namespace chockwise::fit {

/// Fewer events than this are told as a count alone. Common practice; the safety lead's to set.
inline constexpr int64_t kFewestForARate = 5;
inline constexpr double kConfidence = 0.95;

struct Interval {
  double low = 0;
  double high = 0;
};

struct Proportion {
  int64_t times = 0;                // 0 to `of`
  int64_t of = 0;                   // 1 to 1e12
  double confidence = kConfidence;  // two-sided, 0.5 to 0.9999
};

/// The share that `times` of `of` may stand for: Wilson's score interval, which stays within 0 to 1
/// and does not shrink to nothing at either end. Independent cases of one kind are supposed.
///
/// Units: shares. Error: below 1e-12. Unusable: "times", "of", "confidence". Source: Newcombe,
/// Statistics in Medicine 17 (1998), method 3 (from memory).
Outcome<Interval> ShareInterval(const Proportion& seen);

struct Events {
  int64_t events = 0;               // 0 to 1e9
  double confidence = kConfidence;  // two-sided, 0.5 to 0.9999
};

/// The number of events that so many may stand for, over the same time or moves: Garwood's exact
/// interval of a Poisson count. No event leaves 0 to 3.689 open.
///
/// Units: events. Error: below 1e-9 of each end. Unusable: "events", "confidence". Source:
/// L = chi2(a/2; 2k) / 2, U = chi2(1 - a/2; 2k + 2) / 2: Garwood, Biometrika 28 (1936) (from
/// memory).
Outcome<Interval> CountInterval(const Events& seen);

/// "12 of 40: 30 % (18 to 46 %)", the interval rounded outward; "3 of 40" below kFewestForARate.
/// What is not usable is told as the two numbers alone.
std::string ShareText(int64_t times, int64_t of);

/// "12 in 160 moves: 75 per 1,000 (38 to 132)"; "3 in 160 moves" below kFewestForARate.
std::string RateText(int64_t events, int64_t moves);

}  // namespace chockwise::fit
