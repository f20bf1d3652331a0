// Whether the inputs of a formula lie where it holds. The first one that does not is named, with
// what is wrong and what would be right. Law 2.
//
//   InputCheck check;
//   check.Positive("wheelbase", at.wheelbase, UpTo{Feet(200)})
//       .NotNegative("overhang", at.overhang, UpTo{Feet(100)});
//   if (check.failed()) return tl::unexpected(check.error());
//
// Threads: values.
#pragma once

#include <fmt/format.h>

#include <optional>
#include <string>
#include <string_view>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// The largest value that is still believed; above it somebody mistook the unit.
template <class Value>
struct UpTo {
  Value most;
};
template <class Value>
UpTo(Value) -> UpTo<Value>;

template <class Value>
struct Span {
  Value least;
  Value most;
};
template <class Value>
Span(Value, Value) -> Span<Value>;

class InputCheck {
 public:
  /// 0 < value <= most. A ratio that is not a number is out of every range.
  template <class Value>
  InputCheck& Positive(std::string_view input, Value value, UpTo<Value> limit) {
    if (!(value > Value{}) || !(value <= limit.most)) {
      Fail(input, Shown(value), fmt::format("above 0, up to {}", Shown(limit.most)));
    }
    return *this;
  }
  /// 0 <= value <= most.
  template <class Value>
  InputCheck& NotNegative(std::string_view input, Value value, UpTo<Value> limit) {
    if (!(value >= Value{}) || !(value <= limit.most)) {
      Fail(input, Shown(value), fmt::format("0 or more, up to {}", Shown(limit.most)));
    }
    return *this;
  }
  /// least <= value <= most.
  template <class Value>
  InputCheck& Between(std::string_view input, Value value, Span<Value> span) {
    if (!(value >= span.least) || !(value <= span.most)) {
      Fail(input, Shown(value), fmt::format("{} to {}", Shown(span.least), Shown(span.most)));
    }
    return *this;
  }
  /// For any other condition: keeps `wrong` unless something is wrong already.
  InputCheck& Refuse(Unusable wrong) {
    if (!error_) error_ = std::move(wrong);
    return *this;
  }

  bool failed() const { return error_.has_value(); }
  const Unusable& error() const { return *error_; }

 private:
  template <class Unit>
  static std::string Shown(Quantity<Unit> value) {
    const std::string us = Text(value, UnitSystem::kUs, Rounding::kDown);
    const std::string si = Text(value, UnitSystem::kSi, Rounding::kDown);
    return us == si ? us : fmt::format("{} ({})", us, si);
  }
  static std::string Shown(double ratio) { return fmt::format("{:g}", ratio); }
  static std::string Shown(int count) { return fmt::format("{}", count); }
  void Fail(std::string_view input, const std::string& value, std::string right) {
    if (!error_) error_ = Unusable{std::string(input), "is " + value, std::move(right)};
  }

  std::optional<Unusable> error_;
};

}  // namespace chockwise::fit
