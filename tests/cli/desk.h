// The desk at the scenario's yard, and what it printed.
#pragma once

#include <nlohmann/json.hpp>
#include <sstream>
#include <string>
#include <vector>

#include "tests/cli/fake_server.h"

namespace chockwise::cli {

/// At noon of the scenario's day.
inline std::vector<std::string> OnTheYard(std::vector<std::string> arguments) {
  arguments.insert(arguments.begin(), "fit");
  const std::vector<std::string> yard = {"--folder", "../../scenario/yard", "--now",
                                         "2026-11-24T12:00:00Z"};
  arguments.insert(arguments.end(), yard.begin(), yard.end());
  return arguments;
}

inline nlohmann::json AsJson(std::vector<std::string> typed) {
  typed.emplace_back("--json");
  return nlohmann::json::parse(RunCli(typed, RunSetting{}).out);
}

/// By whom an input of the answer was said.
inline std::string By(const nlohmann::json& answer, const std::string& name) {
  for (const nlohmann::json& input : answer.at("inputs"))
    if (input.at("name") == name) return input.value("by", "default");
  return "not told";
}

/// However it was wrapped and padded.
inline std::string OnOneLine(const std::string& text) {
  std::string joined;
  std::istringstream words(text);
  for (std::string word; words >> word;) joined += (joined.empty() ? "" : " ") + word;
  return joined;
}

}  // namespace chockwise::cli
