#include "services/server/clock.h"

#include "services/server/limits.h"

namespace chockwise::server {

using fit::Duration;
using fit::Instant;

ClockReadings MachineReadings() {
  using std::chrono::duration_cast;
  using std::chrono::microseconds;
  return {
      .wall =
          [] {
            const auto since = std::chrono::system_clock::now().time_since_epoch();
            return Instant::FromMicros(duration_cast<microseconds>(since).count());
          },
      .steady =
          [] {
            const auto since = std::chrono::steady_clock::now().time_since_epoch();
            return Duration::FromMicros(duration_cast<microseconds>(since).count());
          },
  };
}

WallClock::WallClock(ClockReadings readings)
    : readings_(std::move(readings)), wall_(readings_.wall()), steady_(readings_.steady()) {}

Instant WallClock::Now() const { return readings_.wall(); }

std::optional<Duration> WallClock::TakeStep() {
  const std::lock_guard lock(mutex_);
  const Instant wall = readings_.wall();
  const Duration steady = readings_.steady();
  const Duration step = (wall - wall_) - (steady - steady_);
  wall_ = wall;
  steady_ = steady;
  if (step.micros() > kClockStepMicros || step.micros() < -kClockStepMicros) return step;
  return std::nullopt;
}

absl::Status WallClock::Advance(Duration) {
  return absl::FailedPreconditionError(
      "the wall clock is not ours to move; only a rehearsal's clock is");
}

RehearsalClock::RehearsalClock(Instant start, ClockReadings readings)
    : readings_(std::move(readings)),
      offset_micros_(start.micros() - readings_.steady().micros()) {}

Instant RehearsalClock::Now() const {
  return Instant::FromMicros(readings_.steady().micros() +
                             offset_micros_.load(std::memory_order_relaxed));
}

void RehearsalClock::ContinueFrom(Instant last_entry) {
  offset_micros_.store(last_entry.micros() - readings_.steady().micros(),
                       std::memory_order_relaxed);
}

absl::Status RehearsalClock::Advance(Duration by) {
  if (by <= Duration()) return absl::InvalidArgumentError("a clock is advanced by more than zero");
  offset_micros_.fetch_add(by.micros(), std::memory_order_relaxed);
  return absl::OkStatus();
}

std::optional<Duration> ManualClock::TakeStep() {
  const int64_t step = step_micros_.exchange(0);
  if (step == 0) return std::nullopt;
  return Duration::FromMicros(step);
}

absl::Status ManualClock::Advance(Duration by) {
  if (by <= Duration()) return absl::InvalidArgumentError("a clock is advanced by more than zero");
  now_micros_.fetch_add(by.micros());
  return absl::OkStatus();
}

void ManualClock::Step(Duration by) {
  now_micros_.fetch_add(by.micros());
  step_micros_.fetch_add(by.micros());
}

}  // namespace chockwise::server
