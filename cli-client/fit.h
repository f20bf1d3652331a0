// What the verbs of `chockwise fit` share: the yard's folder instead of a server, the instant that
// is asked about, and how an answer is shown.
//
//   CLI::App* verb = AddFitVerb(fit, *a, "light", "Is there light enough at a place?");
//   registry.Does(verb, [a](Cli& cli) { return AnswerFit(cli, *a, ...); }, Needs::kNothing);
//
// Threads: one.
#pragma once

#include <functional>
#include <memory>
#include <optional>
#include <string>

#include "cli-client/verbs.h"
#include "services/survey/parts.h"
#include "services/survey/survey.h"
#include "services/survey/taken_way.h"

namespace chockwise::cli {

/// What every verb of `fit` takes.
struct FitOptions {
  std::string folder = ".";
  std::string units = "us";
  std::string max_age = "365 days";
  std::string now;  // empty: this machine's clock
};

/// What every verb about a trip takes.
struct TripOptions : FitOptions {
  std::string machine, from, to;
  std::optional<std::string> by;  // "cross-way,ready-way"
};

using FitQuestion = std::function<survey::Outcome<fit::Answer>(const survey::Asked&)>;

/// Reads the yard's folder, asks, and shows the answer. Exit code 0 only for clear.
ExitCode AnswerFit(Cli& cli, const FitOptions& options, const FitQuestion& question);
/// The same, with every part of it.
using PartsQuestion = std::function<survey::Outcome<survey::PartedAnswer>(const survey::Asked&)>;
ExitCode AnswerParts(Cli& cli, const FitOptions& options, const PartsQuestion& question);

/// Reads the yard's folder and hands it on, with the instant and the units that were asked for.
ExitCode WithYard(Cli& cli, const FitOptions& options,
                  const std::function<ExitCode(const survey::Asked&)>& use);

/// A verb of `fit` with the options of FitOptions.
CLI::App* AddFitVerb(CLI::App* parent, FitOptions& options, const std::string& name,
                     const std::string& help);

/// A verb of `fit` about a trip, with the options of TripOptions.
CLI::App* AddTripVerb(CLI::App* parent, TripOptions& options, const std::string& name,
                      const std::string& help);
void AddBy(CLI::App* verb, std::optional<std::string>& by);

/// The trip as it was typed: without lanes, unless --by names them.
survey::Trip TypedTrip(const TripOptions& options);
std::vector<yard::LaneId> LanesTyped(const std::optional<std::string>& by);

/// The answer, with the lanes that it is about and why these.
survey::Outcome<fit::Answer> Told(survey::Outcome<fit::Answer> answer,
                                  const survey::TakenWay& taken);

fit::UnitSystem UnitsOf(const FitOptions& options);

// The verbs of the other files.
void AddWayVerbs(Registry& registry, CLI::App* fit);
void AddFitRegister(Registry& registry, CLI::App* fit);
void AddLightVerb(Registry& registry, CLI::App* fit);
void AddLoadVerbs(Registry& registry, CLI::App* fit);
void AddNoiseVerb(Registry& registry, CLI::App* fit);
void AddPullVerb(Registry& registry, CLI::App* fit);
void AddRiskVerbs(Registry& registry, CLI::App* fit);
void AddStandingVerbs(Registry& registry, CLI::App* fit);
void AddStopVerb(Registry& registry, CLI::App* fit);

/// Who says so: who measured it and when; "as asked", "gate fits-path" or "default".
std::string WhenceOf(const fit::Input& input);

/// Shows an answer, or why there is none: a line for the driver, then what it stood on.
ExitCode ShowFit(Cli& cli, const survey::Outcome<fit::Answer>& answer);

/// The same for what is no verdict, with a list below its line: answered is exit code 0, whatever
/// the answer says.
struct Found {
  fit::Answer answer;  // its verdict is not shown
  std::string list_name;
  std::vector<std::string> list;
};
ExitCode ShowFound(Cli& cli, const survey::Outcome<Found>& found);
/// The same, with a line of every part behind the worst one's.
ExitCode ShowParts(Cli& cli, const survey::Outcome<survey::PartedAnswer>& answer);

/// A length with its unit as it was typed: "20 m", "6 ft 2 in". Refused by name otherwise.
survey::Outcome<fit::Metres> LengthArgument(const std::string& name, const std::string& text);
/// Likewise "5 mph", "-8 %", "2,000 lb" and "90 deg".
survey::Outcome<fit::MetresPerSecond> SpeedArgument(const std::string& name,
                                                    const std::string& text);
survey::Outcome<fit::Grade> GradeArgument(const std::string& name, const std::string& text);
survey::Outcome<fit::Kilograms> MassArgument(const std::string& name, const std::string& text);
survey::Outcome<fit::Angle> AngleArgument(const std::string& name, const std::string& text);

/// What an argument is read into, unless it was left out.
template <class Value>
using Reader = survey::Outcome<Value> (*)(const std::string&, const std::string&);
template <class Value>
survey::Outcome<std::optional<Value>> IfGiven(Reader<Value> read, const std::string& name,
                                              const std::string& text) {
  if (text.empty()) return std::nullopt;
  const auto value = read(name, text);
  if (!value) return tl::unexpected(value.error());
  return std::optional<Value>(*value);
}

}  // namespace chockwise::cli
