// The whole command line: reads arguments, finds the verb, runs it, gives the exit code. Tests call
// Run in their own process.
//
//   Io io{.in = std::cin, .out = std::cout, .err = std::cerr, ...};
//   return static_cast<int>(Run({"show", "14"}, io));
//
// Never throws; prints no stack traces. Threads: one run at a time uses its streams.
#pragma once

#include <CLI/CLI.hpp>
#include <memory>
#include <string>
#include <vector>

#include "cli-client/cli.h"
#include "cli-client/verbs.h"

namespace chockwise::cli {

/// Arguments without the program's name.
ExitCode Run(const std::vector<std::string>& arguments, Io io);

/// The tree of verbs with the options that all share, bound to `options`.
void BuildTree(CLI::App& app, Registry& registry, GlobalOptions& options);

/// Help of the app or of one of its verbs, 80 columns wide.
std::string HelpText(const CLI::App& app, const Style& style);

/// A completion script for "bash" or "zsh", read off the tree.
std::string CompletionScript(const CLI::App& root, const std::string& shell);

}  // namespace chockwise::cli
