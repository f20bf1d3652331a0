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

/// An answer as it is shown, kept and printed.
struct Answer {
  Verdict verdict = Verdict::kUndecided;
  std::string line;  // a verb and a number: "GO UNDER: 9 in to spare"
  std::vector<Input> inputs;
  std::vector<std::string> sources;      // of the formula and of the thresholds
  std::vector<std::string> assumptions;  // at most two lines
};

}  // namespace chockwise::fit
