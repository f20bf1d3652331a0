// What time it is, behind one seam: the wall, a rehearsal's own time, or whatever a test says.
//
// The wall clock of a machine can be set, by a person or by a network; steady time cannot. Where
// the two disagree by more than kClockStepMicros since the last look, the clock has stepped, and
// what was released on its word is not released any more (law 7). Whoever decides commands looks
// first:
//
//   if (std::optional<fit::Duration> step = clock.TakeStep()) Record(ClockStep, *step);
//   fit::Instant now = clock.Now();
//
// All clocks here are safe from any thread.
#pragma once

#include <absl/status/status.h>

#include <atomic>
#include <chrono>
#include <functional>
#include <memory>
#include <mutex>
#include <optional>

#include "services/fit/instant.h"

namespace chockwise::server {

class Clock {
 public:
  virtual ~Clock() = default;
  virtual fit::Instant Now() const = 0;
  /// How far the clock moved by itself since the last look, where it did; tells it once.
  virtual std::optional<fit::Duration> TakeStep() = 0;
  /// Told once, after the ledger was read: the time of its last entry.
  virtual void ContinueFrom(fit::Instant last_entry) = 0;
  /// FAILED_PRECONDITION on a clock that nobody may move.
  virtual absl::Status Advance(fit::Duration by) = 0;
};

/// Readings of the two clocks that a WallClock compares; a test gives its own.
struct ClockReadings {
  std::function<fit::Instant()> wall;
  std::function<fit::Duration()> steady;  // since any fixed moment
};

/// The machine's own.
ClockReadings MachineReadings();

class WallClock final : public Clock {
 public:
  explicit WallClock(ClockReadings readings = MachineReadings());
  fit::Instant Now() const override;
  std::optional<fit::Duration> TakeStep() override;
  void ContinueFrom(fit::Instant) override {}  // the wall goes on while a service is down
  absl::Status Advance(fit::Duration by) override;

 private:
  const ClockReadings readings_;
  std::mutex mutex_;
  fit::Instant wall_;  // at the last look
  fit::Duration steady_;
};

/// Starts at `start` and goes on as steady time does, plus what it is advanced by. It stands still
/// while nobody serves the rehearsal.
class RehearsalClock final : public Clock {
 public:
  explicit RehearsalClock(fit::Instant start, ClockReadings readings = MachineReadings());
  fit::Instant Now() const override;
  std::optional<fit::Duration> TakeStep() override { return std::nullopt; }
  void ContinueFrom(fit::Instant last_entry) override;
  absl::Status Advance(fit::Duration by) override;

 private:
  const ClockReadings readings_;
  std::atomic<int64_t> offset_micros_;  // from steady time to the rehearsal's
};

/// For tests: moves only when told.
class ManualClock final : public Clock {
 public:
  explicit ManualClock(fit::Instant start) : now_micros_(start.micros()) {}
  fit::Instant Now() const override { return fit::Instant::FromMicros(now_micros_.load()); }
  std::optional<fit::Duration> TakeStep() override;
  void ContinueFrom(fit::Instant) override {}
  absl::Status Advance(fit::Duration by) override;
  /// The clock jumps, and says so at the next look.
  void Step(fit::Duration by);

 private:
  std::atomic<int64_t> now_micros_;
  std::atomic<int64_t> step_micros_{0};
};

}  // namespace chockwise::server
