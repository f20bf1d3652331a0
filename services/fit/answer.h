// What every computation answers: a verdict, how much there is to spare, the numbers it stood on
// and where the formula comes from. A driver reads `line`; an engineer reads the rest.
//
//   Outcome<Stopping> stopping = StoppingDistance({...});
//   if (!stopping) return stopping.error();      // an input is unknown or out of range: refused
//
// Threads: values.
#pragma once

#include <optional>
#include <string>
#include <tl/expected.hpp>
#include <vector>

#include "services/fit/instant.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// kUndecided: closer than the stated error. Undecided is not clear.
enum class Verdict { kClear, kConflict, kUndecided };

/// Clear when the margin exceeds the error bound, conflict when it is below minus the bound.
/// Both in the same unit; the error is not negative.
constexpr Verdict Judge(double margin, double error) {
  if (margin > error) return Verdict::kClear;
  if (margin < -error) return Verdict::kConflict;
  return Verdict::kUndecided;
}

/// The verdict on two things together: one conflict is a conflict, one undecided is undecided.
constexpr Verdict Worse(Verdict a, Verdict b) {
  if (a == Verdict::kConflict || b == Verdict::kConflict) return Verdict::kConflict;
  return a == Verdict::kClear ? b : a;
}

/// Why there is no answer: which input, what is wrong with it, and what would be right. Law 2.
struct Unusable {
  std::string input;    // "wheelbase"
  std::string problem;  // "is 0 ft"
  std::string right;    // "a length above 0"
  bool operator==(const Unusable&) const = default;
};

template <class T>
using Outcome = tl::expected<T, Unusable>;

/// One number that an answer stood on, as people read it.
struct Input {
  std::string name;   // "clear height of door-3"
  std::string value;  // "13 ft 6 in"
  std::string by;     // who measured it; "as asked"; empty where it is a default of the rules
  std::optional<Instant> when;
};

/// The number of an answer's line for other programs, in SI whatever units people read.
struct Spare {
  double value = 0;   // to spare; negative: short
  double error = 0;   // it may be off by so much; 0 where every input counts as off already, or as
                      // it was read
  double needed = 0;  // of it is asked for: 6 in beside a jamb
  std::string unit;   // "m", "kg", "N", "Pa", "dB", "lx"; "1": rise over run, or a share
  bool operator==(const Spare&) const = default;
};
inline Spare SpareOf(Metres margin, Metres error = {}, Metres needed = {}) {
  return {margin.metres(), error.metres(), needed.metres(), "m"};
}
inline Spare SpareOf(Kilograms margin, Kilograms error = {}) {
  return {margin.kilograms(), error.kilograms(), 0, "kg"};
}
inline Spare SpareOf(Newtons margin) { return {margin.newtons(), 0, 0, "N"}; }
inline Spare SpareOf(Pascals margin) { return {margin.pascals(), 0, 0, "Pa"}; }
inline Spare SpareOf(Decibels margin, Decibels error) {
  return {margin.decibels(), error.decibels(), 0, "dB"};
}
inline Spare SpareOf(Lux margin, Lux error) { return {margin.lux(), error.lux(), 0, "lx"}; }
inline Spare SpareOf(Grade margin) { return {margin.rise_over_run(), 0, 0, "1"}; }

/// An answer as it is shown, kept and printed.
struct Answer {
  Verdict verdict = Verdict::kUndecided;
  std::string line;  // a verb and a number: "GO UNDER: 9 in to spare"
  /// Of the number in the line; nullopt where it tells none. The verdict may rest on more.
  std::optional<Spare> spare = {};
  std::vector<Input> inputs;
  std::vector<std::string> sources;      // of the formula and of the thresholds
  std::vector<std::string> assumptions;  // at most two lines
};

}  // namespace chockwise::fit
