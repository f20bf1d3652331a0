// Words that stand for a value, as people type them: read, or refused with all that would be right.
//
//   constexpr Words<fit::Running, 2> kRunnings = {{{"car-tyres", ...}, {"steel-tracks", ...}}};
//   const auto running = Word("--running", text, kRunnings);
//
// Threads: values.
#pragma once

#include <fmt/format.h>

#include <array>
#include <string>
#include <string_view>
#include <utility>

#include "services/survey/readings.h"

namespace chockwise::survey {

/// What somebody typed and nobody can read.
inline NoAnswer Mistyped(std::string input, std::string problem, std::string right) {
  return {.sort = NoAnswer::Sort::kMistyped,
          .input = std::move(input),
          .problem = std::move(problem),
          .right = std::move(right)};
}

template <class Value, size_t n>
using Words = std::array<std::pair<std::string_view, Value>, n>;

template <class Value, size_t n>
Outcome<Value> Word(const std::string& name, const std::string& text,
                    const Words<Value, n>& words) {
  std::string right;
  for (const auto& [word, value] : words) {
    if (word == text) return value;
    right += (right.empty() ? "" : ", ") + std::string(word);
  }
  return tl::unexpected(
      Mistyped(name, fmt::format("is '{}', which is none of them", text), "write one of " + right));
}

}  // namespace chockwise::survey
