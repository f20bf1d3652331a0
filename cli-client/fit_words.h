// Words that stand for a value on the command line of the desk: read, or refused with all that
// would be right.
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

#include "services/fit/stopping.h"
#include "services/survey/readings.h"

namespace chockwise::cli {

inline survey::NoAnswer Off(std::string input, std::string problem, std::string right) {
  return {.sort = survey::NoAnswer::Sort::kUnusable,
          .input = std::move(input),
          .problem = std::move(problem),
          .right = std::move(right)};
}

template <class Value, size_t n>
using Words = std::array<std::pair<std::string_view, Value>, n>;

template <class Value, size_t n>
survey::Outcome<Value> Word(const std::string& name, const std::string& text,
                            const Words<Value, n>& words) {
  std::string right;
  for (const auto& [word, value] : words) {
    if (word == text) return value;
    right += (right.empty() ? "" : ", ") + std::string(word);
  }
  return tl::unexpected(
      Off(name, fmt::format("is '{}', which is none of them", text), "write one of " + right));
}

/// What wheels and chocks stand on.
inline constexpr Words<fit::Surface, 9> kSurfaces = {{{"dry-concrete", fit::Surface::kDryConcrete},
                                                      {"wet-concrete", fit::Surface::kWetConcrete},
                                                      {"dry-asphalt", fit::Surface::kDryAsphalt},
                                                      {"wet-asphalt", fit::Surface::kWetAsphalt},
                                                      {"gravel", fit::Surface::kGravel},
                                                      {"wet-grass", fit::Surface::kWetGrass},
                                                      {"snow", fit::Surface::kSnow},
                                                      {"ice", fit::Surface::kIce},
                                                      {"wet-unknown", fit::Surface::kWetUnknown}}};

}  // namespace chockwise::cli
