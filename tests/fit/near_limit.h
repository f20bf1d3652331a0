// Random numbers on and about a limit, and the verdicts there held against a long double.
#pragma once

#include <gtest/gtest.h>

#include <cmath>
#include <random>

#include "services/fit/answer.h"

namespace chockwise::fit {

inline constexpr int kNearLimitCases = 100'000;

class Dice {
 public:
  explicit Dice(uint64_t seed = 20261125) : engine_(seed) {}
  double Between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(engine_);
  }
  size_t Below(size_t n) { return static_cast<size_t>(engine_() % n); }
  /// 1 and up to `steps` roundings more or less.
  double Near(int steps) {
    return 1 + std::uniform_int_distribution<int>(-steps, steps)(engine_) * 0x1p-52;
  }
  /// 1, and half of the time up to `steps` roundings, otherwise 1e-15 to 1e-6, more or less.
  double NearOrBeside(int steps) { return Below(2) == 0 ? Near(steps) : 1 + Hair(-15, -6); }
  /// So many powers of ten, to either side.
  double Hair(double least, double most) {
    return std::pow(10.0, Between(least, most)) * (Below(2) == 0 ? 1 : -1);
  }

 private:
  std::mt19937_64 engine_;
};

/// Never clear where the reference says conflict, and the other way round.
class NearLimitTally {
 public:
  int clear = 0, conflict = 0, undecided = 0;
  /// `noise`: what the rule takes for binary noise, in the margin's unit.
  void Add(Verdict verdict, long double true_margin, long double noise = 0) {
    switch (verdict) {
      case Verdict::kClear:
        ASSERT_GE(true_margin, -noise);
        ++clear;
        return;
      case Verdict::kConflict:
        ASSERT_LE(true_margin, noise);
        ++conflict;
        return;
      case Verdict::kUndecided:
        ++undecided;
        return;
    }
  }
  void ExpectBoth() const {
    EXPECT_GT(clear, kNearLimitCases / 100);
    EXPECT_GT(conflict, kNearLimitCases / 100);
    EXPECT_GE(clear + conflict + undecided, kNearLimitCases * 9 / 10);
  }
  void ExpectAllKinds() const {
    ExpectBoth();
    EXPECT_GT(undecided, kNearLimitCases / 100);
  }
};

}  // namespace chockwise::fit
