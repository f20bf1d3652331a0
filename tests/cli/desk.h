// The desk at the scenario's yard.
#pragma once

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

}  // namespace chockwise::cli
