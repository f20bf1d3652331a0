#include "services/server/clock.h"

#include <gtest/gtest.h>

namespace chockwise::server {
namespace {

using fit::Duration;
using fit::Hours;
using fit::Instant;
using fit::Seconds;

struct FakeReadings {
  Instant wall = Instant::FromMicros(1'795'500'000'000'000);
  Duration steady = Seconds(1'000);
  void Pass(Duration by) {
    wall = wall + by;
    steady = steady + by;
  }
  ClockReadings Readings() {
    return {.wall = [this] { return wall; }, .steady = [this] { return steady; }};
  }
};

TEST(WallClock, Law7AStepEitherWayIsToldOnce) {
  FakeReadings fake;
  WallClock clock(fake.Readings());
  fake.Pass(Hours(5));
  EXPECT_FALSE(clock.TakeStep()) << "time that both clocks saw pass is no step";
  fake.wall = fake.wall + Seconds(3);
  EXPECT_EQ(clock.TakeStep(), Seconds(3));
  EXPECT_FALSE(clock.TakeStep());
  fake.wall = fake.wall - Hours(1);
  EXPECT_EQ(clock.TakeStep(), Seconds(-3'600));
}

TEST(WallClock, ASlowCorrectionIsNoStep) {
  FakeReadings fake;
  WallClock clock(fake.Readings());
  for (int i = 0; i < 100; ++i) {
    fake.Pass(Seconds(1));
    fake.wall = fake.wall + Duration::FromMicros(500);  // 500 ppm, the most that time services slew
    EXPECT_FALSE(clock.TakeStep());
  }
}

TEST(WallClock, NobodyMovesIt) {
  WallClock clock;
  EXPECT_EQ(clock.Advance(Seconds(1)).code(), absl::StatusCode::kFailedPrecondition);
}

TEST(RehearsalClock, GoesOnWithSteadyTimeAndByWhatItIsAdvanced) {
  FakeReadings fake;
  const Instant start = Instant::FromMicros(1'000'000'000'000);
  RehearsalClock clock(start, fake.Readings());
  EXPECT_EQ(clock.Now(), start);
  fake.steady = fake.steady + Seconds(7);
  fake.wall = fake.wall + Hours(9);  // the wall is nothing to it
  EXPECT_EQ(clock.Now(), start + Seconds(7));
  ASSERT_TRUE(clock.Advance(Hours(2)).ok());
  EXPECT_EQ(clock.Now(), start + Seconds(7) + Hours(2));
  EXPECT_EQ(clock.Advance(Duration()).code(), absl::StatusCode::kInvalidArgument);
  EXPECT_EQ(clock.Advance(Seconds(-1)).code(), absl::StatusCode::kInvalidArgument);
}

TEST(RehearsalClock, StandsStillWhileNobodyServesIt) {
  FakeReadings fake;
  RehearsalClock clock(fake.wall, fake.Readings());
  const Instant last_entry = Instant::FromMicros(77'000'000);
  clock.ContinueFrom(last_entry);
  EXPECT_EQ(clock.Now(), last_entry);
}

}  // namespace
}  // namespace chockwise::server
