// Machines that nearly touch, against a slow reference in long double: a ride must never be called
// clear where the reference meets a conflict.

#include <gtest/gtest.h>

#include <cmath>
#include <cstdio>
#include <random>

#include "services/fit/ride.h"
#include "tests/fit/ride_reference.h"
#include "tests/fit/ride_scenes.h"

namespace chockwise::fit {
namespace {

constexpr int kShards = 21;  // half of all pass over, half below: over 100,000 of each
#if defined(__SANITIZE_ADDRESS__) || defined(__SANITIZE_THREAD__)
constexpr int kCasesPerShard = 200;
#else
constexpr int kCasesPerShard = 10'000;
#endif

constexpr RideAllowances kAllow = {.bounce = kBounceOnTyres};

struct Tally {
  int clear = 0;
  int conflict = 0;
  int undecided = 0;
  double worst_above_m = 0;  // of what we met, above what the reference met
  double largest_error_m = 0;

  void Count(const TightSpot& spot, long double reference) {
    (spot.verdict == Verdict::kClear      ? clear
     : spot.verdict == Verdict::kConflict ? conflict
                                          : undecided) += 1;
    worst_above_m = std::max(worst_above_m, spot.gap.metres() - static_cast<double>(reference));
    largest_error_m = std::max(largest_error_m, spot.error.metres());
  }
};

/// The lane with the machine facing along it: the reference knows no other.
LaneProfile AsFaced(const Scene& scene) {
  LaneProfile lane = scene.lane;
  if (scene.facing == Facing::kAlong) return lane;
  std::reverse(lane.ground.begin(), lane.ground.end());
  for (ProfilePoint& point : lane.ground) point.along = -point.along;
  for (LaneSill& sill : lane.sills) {
    std::swap(sill.from, sill.to);
    sill.from = -sill.from;
    sill.to = -sill.to;
  }
  for (Overhead& over : lane.overheads) {
    std::swap(over.from, over.to);
    over.from = -over.from;
    over.to = -over.to;
  }
  return lane;
}

enum class Way { kOver, kBelow };

/// Brings a margin to `off` by moving what is over the machine, or the machine's whole bottom;
/// false where that cannot be.
bool Approach(Scene& scene, const Ride& ride, Way way, Metres off) {
  if (way == Way::kOver) {
    Metres& clear_height = scene.lane.overheads[0].clear_height;
    clear_height = clear_height - ride.overheads[0].margin + off;
    return clear_height > Metres();
  }
  const Metres lower = ride.below.margin - off;
  for (RidingUnit& unit : scene.machine.units) {
    for (OutlinePoint& point : unit.bottom) {
      point.height -= lower;
      if (point.height <= Metres()) return false;
    }
  }
  return true;
}

class RideNearTouch : public testing::TestWithParam<int> {};

TEST_P(RideNearTouch, NeverClearWhereTheReferenceMeetsAConflict) {
  Tally over;
  Tally below;
  for (int i = 0; i < kCasesPerShard; ++i) {
    const uint64_t seed = static_cast<uint64_t>(GetParam()) * 1'000'000 + static_cast<uint64_t>(i);
    Scene scene = RandomScene(seed);
    std::mt19937_64 engine(seed);
    const double off =
        std::pow(10, std::uniform_real_distribution<double>(-7, -2)(engine)) * (i % 4 < 2 ? 1 : -1);
    const auto far = RideOver({scene.machine, scene.lane, kAllow, scene.facing});
    if (!far) continue;
    const Way way = i % 2 == 1 ? Way::kOver : Way::kBelow;
    if (!Approach(scene, *far, way, InMetres(off))) continue;
    const auto near = RideOver({scene.machine, scene.lane, kAllow, scene.facing});
    ASSERT_TRUE(near) << seed << ": " << near.error().input << " " << near.error().problem;
    const LaneProfile lane = AsFaced(scene);
    SlowRide slow(scene.machine, lane);
    const SlowGap met = way == Way::kOver ? slow.LeastOver(0) : slow.LeastBelow();
    const TightSpot& spot = way == Way::kOver ? near->overheads[0] : near->below;
    const Metres allowance = way == Way::kOver ? kAllow.bounce : kAllow.needed_clearance;
    const long double margin = met.gap - allowance.metres();
    ASSERT_FALSE(spot.verdict == Verdict::kClear && margin < 0)
        << seed << ": clear with " << spot.margin.metres() << " m, error " << spot.error.metres()
        << ", reference " << static_cast<double>(margin) << " m at "
        << static_cast<double>(met.lead);
    ASSERT_GE(static_cast<double>(met.gap), (spot.gap - spot.error).metres()) << seed;
    (way == Way::kOver ? over : below).Count(spot, met.gap);
  }
  for (const auto& [name, tally] : {std::pair("over", over), std::pair("below", below)}) {
    std::printf(
        "%s: %d clear, %d conflict, %d undecided; ours above the reference's by up to %.3g m, "
        "largest error %.3g m\n",
        name, tally.clear, tally.conflict, tally.undecided, tally.worst_above_m,
        tally.largest_error_m);
    EXPECT_GT(tally.clear, 0);
    EXPECT_GT(tally.conflict, 0);
  }
}

INSTANTIATE_TEST_SUITE_P(Shards, RideNearTouch, testing::Range(0, kShards));

}  // namespace
}  // namespace chockwise::fit
