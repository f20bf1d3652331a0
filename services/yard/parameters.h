// What a rule tells a computation. Checked when the rules were loaded, so that the fallbacks only
// keep these total.
//
// Threads: pure functions.
#pragma once

#include <google/protobuf/map.h>

#include <optional>
#include <string>
#include <variant>

#include "services/fit/instant.h"
#include "services/fit/quantity.h"
#include "services/yard/yard.h"

namespace chockwise::yard {

using Parameters = google::protobuf::Map<std::string, std::string>;

/// Empty where it is left out.
std::string WordParameter(const Parameters& parameters, const char* name);

/// How long a reading counts: "max_age". Zero where it is left out.
fit::Duration AgeParameter(const Parameters& parameters);

/// Unset where it is left out or of another sort.
template <class Quantity>
std::optional<Quantity> ParameterIfThere(const Parameters& parameters, const char* name) {
  const auto value = ReadMeasuredValue(WordParameter(parameters, name));
  if (!value || !std::holds_alternative<Quantity>(*value)) return std::nullopt;
  return std::get<Quantity>(*value);
}

/// Zero where they are left out or of another sort.
inline fit::Metres LengthParameter(const Parameters& parameters, const char* name) {
  return ParameterIfThere<fit::Metres>(parameters, name).value_or(fit::Metres());
}
inline fit::Grade GradeParameter(const Parameters& parameters, const char* name) {
  return ParameterIfThere<fit::Grade>(parameters, name).value_or(fit::Grade());
}

}  // namespace chockwise::yard
