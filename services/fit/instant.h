// Points in time and lengths of time, as two different types. Both are whole microseconds: they go
// to the ledger and the wire unchanged.
//
//   Instant asked = Instant::FromMicros(1'795'561'200'000'000);
//   if (now - asked > Minutes(5)) { ... }
//
// Nobody here reads a clock: instants enter as arguments.
#pragma once

#include <compare>
#include <cstdint>

namespace chockwise::fit {

/// A length of time, in microseconds; may be negative.
class Duration {
 public:
  constexpr Duration() = default;
  static constexpr Duration FromMicros(int64_t micros) { return Duration(micros); }
  constexpr int64_t micros() const { return micros_; }
  constexpr auto operator<=>(const Duration&) const = default;
  constexpr Duration operator+(Duration other) const { return Duration(micros_ + other.micros_); }
  constexpr Duration operator-(Duration other) const { return Duration(micros_ - other.micros_); }

 private:
  explicit constexpr Duration(int64_t micros) : micros_(micros) {}
  int64_t micros_ = 0;
};

constexpr Duration Seconds(int64_t n) { return Duration::FromMicros(n * 1'000'000); }
constexpr Duration Minutes(int64_t n) { return Seconds(n * 60); }
constexpr Duration Hours(int64_t n) { return Minutes(n * 60); }
constexpr Duration Days(int64_t n) { return Hours(n * 24); }

/// A point in time: microseconds since 1970-01-01T00:00:00Z, leap seconds not counted (as POSIX
/// does).
class Instant {
 public:
  constexpr Instant() = default;
  static constexpr Instant FromMicros(int64_t micros) { return Instant(micros); }
  constexpr int64_t micros() const { return micros_; }
  constexpr auto operator<=>(const Instant&) const = default;
  constexpr Instant operator+(Duration span) const { return Instant(micros_ + span.micros()); }
  constexpr Instant operator-(Duration span) const { return Instant(micros_ - span.micros()); }
  constexpr Duration operator-(Instant other) const {
    return Duration::FromMicros(micros_ - other.micros_);
  }

 private:
  explicit constexpr Instant(int64_t micros) : micros_(micros) {}
  int64_t micros_ = 0;
};

}  // namespace chockwise::fit
