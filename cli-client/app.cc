#include "cli-client/app.h"

#include <fmt/format.h>

#include <algorithm>
#include <exception>
#include <istream>
#include <ostream>

#include "services/yard/text.h"

namespace chockwise::cli {
namespace {

constexpr const char* kVersion = "chockwise 0.1.0";

void AddGlobalOptions(CLI::App& app, GlobalOptions& options) {
  app.add_option("--server", options.server,
                 "HOST:PORT or unix:PATH; else CHOCKWISE_SERVER, else 127.0.0.1:7443");
  app.add_option("--token-file", options.token_file,
                 "File that holds your token; else CHOCKWISE_TOKEN");
  app.add_option("--yard", options.yard,
                 "Id of the yard; else CHOCKWISE_YARD, else the yard of your token");
  app.add_option("--ca", options.ca_file,
                 "PEM of the authority that signed the server's certificate; else CHOCKWISE_CA");
  app.add_flag("--plaintext", options.plaintext,
               "Without TLS; refused unless the server is on this machine");
  app.add_flag("--json", options.json, "One JSON document a line on standard output, refusals too");
  app.add_option("--timeout", options.timeout_s,
                 "Seconds for a call with all its tries; left out: 5")
      ->check(CLI::Range(0.1, kMostTimeoutS));
  app.add_option("--request-id", options.request_id,
                 "UUID of a write that is asked again, so that it is done once");
  app.add_flag("--no-color", options.no_color, "No colour; NO_COLOR does the same");
  app.set_version_flag("--version", kVersion);
}

ExitCode RunVerb(Cli& cli, const Registry& registry) {
  const std::optional<Chosen>& chosen = registry.chosen();
  if (chosen && chosen->needs == Needs::kNothing) return chosen->run(cli);
  if (!chosen && !cli.Guided()) return cli.Usage("no verb: chockwise --help lists them");
  ExitCode exit = ExitCode::kOk;
  if (!cli.Connect(exit)) return exit;
  return chosen ? chosen->run(cli) : Guided(cli);
}

std::vector<std::string> VerbsOf(const CLI::App& app) {
  std::vector<std::string> names;
  for (const CLI::App* verb : app.get_subcommands([](const CLI::App*) { return true; }))
    names.push_back(verb->get_name());
  return names;
}

/// The word that stands where a verb should: `"undr" is no verb of fit; did you mean "under"?`.
/// Empty where something else is wrong.
std::string WrongVerb(const CLI::App& app, const std::vector<std::string>& arguments) {
  const CLI::App* last = &app;
  auto next = arguments.begin();
  for (; next != arguments.end() && !last->get_subcommands().empty(); ++next) {
    const CLI::App* verb = last->get_subcommands().front();
    if (*next == verb->get_name()) last = verb;
  }
  const std::vector<std::string> verbs = VerbsOf(*last);
  next = std::find_if(next, arguments.end(), [](const auto& word) { return word.front() != '-'; });
  if (verbs.empty() || next == arguments.end() || std::ranges::find(verbs, *next) != verbs.end())
    return "";
  return fmt::format("\"{}\" is no verb of {}; {}", *next, last->get_name(),
                     yard::KnownNames(*next, verbs));
}

ExitCode Parse(CLI::App& app, const std::vector<std::string>& arguments, Cli& cli, bool& go_on) {
  go_on = false;
  try {
    std::vector<std::string> reversed(arguments.rbegin(), arguments.rend());
    app.parse(std::move(reversed));
  } catch (const CLI::CallForHelp&) {
    cli.io.out << app.help() << std::flush;
    return ExitCode::kOk;
  } catch (const CLI::CallForVersion&) {
    cli.io.out << kVersion << std::endl;
    return ExitCode::kOk;
  } catch (const CLI::Error& error) {
    // Whoever asked for JSON gets JSON, whatever else was wrong.
    cli.options.json = std::ranges::find(arguments, "--json") != arguments.end();
    const std::string wrong = WrongVerb(app, arguments);
    return cli.Usage((wrong.empty() ? error.what() : wrong) + "; --help says what would be right");
  }
  go_on = true;
  return ExitCode::kOk;
}

}  // namespace

CLI::App* Registry::Add(const std::string& heading, const std::string& name,
                        const std::string& help) {
  return app_.add_subcommand(name, help)->group(heading);
}

void Registry::Does(CLI::App* verb, Verb run, Needs needs) {
  verb->callback(
      [this, needs, run = std::move(run)] { chosen_ = Chosen{.needs = needs, .run = run}; });
}

void BuildTree(CLI::App& app, Registry& registry, GlobalOptions& options) {
  app.name("chockwise");
  app.description(
      "Releases a machine to move only when every gate is clear, and takes the release back when "
      "anything changes.");
  app.footer(
      "A release is permission to begin. It does not see people: look, horn, eyes on the spotter; "
      "any doubt: stop. "
      "Never use a device while driving or spotting. Local codes, the maker's manual and licensed "
      "practice come first. "
      "More: chockwise help cautions, chockwise help exit-codes.");
  app.fallthrough();
  // At most one verb, so that a word of a text is never taken for a second one.
  app.require_subcommand(0, 1);
  AddGlobalOptions(app, options);
  AddStopVerb(registry);
  AddShowVerbs(registry);
  AddDriverVerbs(registry);
  AddMotionVerbs(registry);
  AddSpotterVerbs(registry);
  AddLeadVerbs(registry);
  AddMoveLeadVerbs(registry);
  AddHistoryVerbs(registry);
  AddDeskVerbs(registry);
  AddLedgerVerbs(registry);
  AddOfflineVerbs(registry);
  AddFitVerbs(registry);
  AddHelpVerbs(registry);
}

ExitCode Run(const std::vector<std::string>& arguments, Io io) {
  CLI::App app;
  Cli cli(std::move(io));
  Registry registry(app);
  // Before the verbs are added: they take it over.
  app.formatter_fn([](const CLI::App* of, const std::string&, CLI::AppFormatMode) {
    return HelpText(*of, Style{});
  });
  BuildTree(app, registry, cli.options);
  cli.Begin();
  bool go_on = false;
  const ExitCode parsed = Parse(app, arguments, cli, go_on);
  if (!go_on) return parsed;
  cli.Begin();  // once more: --no-color was not known before
  try {
    return RunVerb(cli, registry);
  } catch (const std::exception& error) {
    return cli.Say(LocalNo(grpc::StatusCode::INTERNAL, error.what()));
  }
}

}  // namespace chockwise::cli
