// The desk at the scenario's yard, and what it printed.
#pragma once

#include <sstream>
#include <string>
#include <vector>

namespace chockwise::cli {

/// At noon of the scenario's day.
inline std::vector<std::string> OnTheYard(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), "fit");
  const std::vector<std::string> yard = {"--folder", "../../scenario/yard", "--now",
                                         "2026-11-24T12:00:00Z"};
  arguments.insert(arguments.end(), yard.begin(), yard.end());
  return arguments;
}

/// However it was wrapped and padded.
inline std::string OnOneLine(const std::string& text) {
  std::string joined;
  std::istringstream words(text);
  for (std::string word; words >> word;) joined += (joined.empty() ? "" : " ") + word;
  return joined;
}

}  // namespace chockwise::cli
