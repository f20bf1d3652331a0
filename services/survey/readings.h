// The readings that one answer stands on: taken from the yard, refused where they are missing, too
// old or dated in the future, and kept with who measured them and when. Law 2.
//
//   Readings readings(yard, {.now = now, .max_age = fit::Days(365)});
//   auto wheelbase = readings.Of<fit::Metres>(machine, "wheelbase");
//   if (!wheelbase) return tl::unexpected(wheelbase.error());
//   answer.inputs = readings.inputs();
//
// Threads: one answer, one thread.
#pragma once

#include <optional>
#include <set>
#include <string>
#include <string_view>
#include <tl/expected.hpp>
#include <variant>
#include <vector>

#include "services/fit/answer.h"
#include "services/yard/yard.h"

namespace chockwise::survey {

/// Why there is no answer.
struct NoAnswer {
  enum class Sort {
    kUnknown,   // nobody has measured it, or the map does not say
    kStale,     // measured too long ago
    kUnusable,  // measured, and no such machine or ground can be computed with
    kNoSuch,    // a machine or place that the yard's files do not name
    kMistyped,  // what was asked cannot be read
  };
  Sort sort = Sort::kUnknown;
  std::string input;    // "wheelbase of ST-101"
  std::string problem;  // "is unknown: nobody has measured it"
  std::string right;    // "tape it, and enter it in measurements.csv"
  std::string Text() const { return input + " " + problem + "; " + right; }
};

template <class T>
using Outcome = tl::expected<T, NoAnswer>;

inline NoAnswer NoAnswerOf(const fit::Unusable& why, const std::string& of) {
  return {.sort = NoAnswer::Sort::kUnusable,
          .input = of.empty() ? why.input : why.input + " of " + of,
          .problem = why.problem,
          .right = why.right};
}

/// Older readings count only where somebody says so.
inline constexpr fit::Duration kUsualAge = fit::Days(365);

struct When {
  fit::Instant now;
  fit::Duration max_age;  // of a reading; longer than zero
};

class Readings {
 public:
  Readings(const yard::Yard& yard, const When& when) : yard_(yard), when_(when) {}

  /// The latest reading of a whole thing; for a machine that with today's attachment.
  template <class Quantity>
  Outcome<Quantity> Of(std::string_view subject, std::string_view quantity) {
    return Taken<Quantity>(Find(subject, quantity));
  }
  /// The same where it may be left out. A reading that is there must be fresh all the same.
  template <class Quantity>
  Outcome<std::optional<Quantity>> IfThere(std::string_view subject, std::string_view quantity) {
    if (yard_.measurements.Latest(subject, quantity, AttachmentOf(subject)) == nullptr)
      return std::nullopt;
    const Outcome<Quantity> value = Of<Quantity>(subject, quantity);
    if (!value) return tl::unexpected(value.error());
    return std::optional<Quantity>(*value);
  }

  struct Spot {
    fit::Metres at;
    fit::Metres value;
  };
  /// The latest lengths at every spot along a thing, in order; empty where there are none.
  Outcome<std::vector<Spot>> Along(std::string_view subject, std::string_view quantity);

  /// That the map's positions and heights count: somebody took them, and not too long ago.
  Outcome<void> Map();

  /// All that were given so far, in the order in which they were first asked for.
  std::vector<fit::Input> inputs() const;
  const yard::Yard& yard() const { return yard_; }
  fit::Instant now() const { return when_.now; }

 private:
  std::string AttachmentOf(std::string_view subject) const;
  Outcome<const yard::Measurement*> Find(std::string_view subject, std::string_view quantity);
  /// Whether what was measured then counts now.
  Outcome<void> Counts(const std::string& name, fit::Instant when, const std::string& file) const;
  Outcome<const yard::Measurement*> Fresh(const yard::Measurement& reading);
  void Note(const yard::Measurement& reading);

  template <class Quantity>
  Outcome<Quantity> Taken(const Outcome<const yard::Measurement*>& reading) {
    if (!reading) return tl::unexpected(reading.error());
    // The readers of the yard hold each quantity to its dimension.
    return std::get<Quantity>((*reading)->value);
  }

  const yard::Yard& yard_;
  const When when_;
  bool map_given_ = false;
  std::vector<const yard::Measurement*> given_;  // each once
  std::set<const yard::Measurement*> noted_;     // those of given_
};

}  // namespace chockwise::survey
