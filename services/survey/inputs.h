// The inputs of an answer that no reading stands behind: what a default says and what whoever asks
// has said. Threads: values.
#pragma once

#include <algorithm>
#include <optional>
#include <string>
#include <utility>
#include <vector>

#include "services/fit/answer.h"

namespace chockwise::survey {

/// A threshold that an answer stood on and nobody measured.
inline fit::Input Default(std::string name, std::string value) {
  return {.name = std::move(name), .value = std::move(value), .by = "", .when = std::nullopt};
}

/// What whoever asks has said, for this question alone.
inline fit::Input AsAsked(std::string name, std::string value) {
  return {
      .name = std::move(name), .value = std::move(value), .by = "as asked", .when = std::nullopt};
}

/// What was worked out on the way to the answer.
inline fit::Input Computed(std::string name, std::string value) {
  return {
      .name = std::move(name), .value = std::move(value), .by = "computed", .when = std::nullopt};
}

/// The one or the other, by whether it was asked for or left out.
template <class Given>
fit::Input AskedOrDefault(const std::optional<Given>& given, std::string name, std::string value) {
  return given ? AsAsked(std::move(name), std::move(value))
               : Default(std::move(name), std::move(value));
}

/// Two parts of an answer may stand on one reading; it is told once.
inline void AddOnce(std::vector<fit::Input>& inputs, const fit::Input& input) {
  const auto same = [&](const fit::Input& other) { return other.name == input.name; };
  if (std::ranges::none_of(inputs, same)) inputs.push_back(input);
}

}  // namespace chockwise::survey
