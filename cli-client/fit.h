// What the verbs of `chockwise fit` share: the yard's folder instead of a server, the instant that
// is asked about, and how an answer is shown.
//
//   FitVerb(registry, fit, "under", "...", [](const survey::Asked& asked) { return ...; });
//
// Threads: one.
#pragma once

#include <functional>
#include <memory>
#include <string>

#include "cli-client/verbs.h"
#include "services/survey/survey.h"

namespace chockwise::cli {

/// What every verb of `fit` takes.
struct FitOptions {
  std::string folder = ".";
  std::string units = "us";
  std::string max_age = "365 days";
  std::string now;  // empty: this machine's clock
};

using FitQuestion = std::function<survey::Outcome<fit::Answer>(const survey::Asked&)>;

/// Reads the yard's folder, asks, and shows the answer. Exit code 0 only for clear.
ExitCode AnswerFit(Cli& cli, const FitOptions& options, const FitQuestion& question);

/// Shows an answer, or why there is none: a line for the driver, then what it stood on.
ExitCode ShowFit(Cli& cli, const survey::Outcome<fit::Answer>& answer);

/// A length with its unit as it was typed: "20 m", "6 ft 2 in". Refused by name otherwise.
survey::Outcome<fit::Metres> LengthArgument(const std::string& name, const std::string& text);

}  // namespace chockwise::cli
