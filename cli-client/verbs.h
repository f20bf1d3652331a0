// The verbs, person by person. Each file registers its verbs in the CLI11 tree: names, arguments
// and help live beside the code that they call, and completion and help are read off the tree.
//
//   Registry registry(app);
//   AddDriverVerbs(registry);
//   app.parse(...);
//   if (registry.chosen()) registry.chosen()->run(cli);
//
// Threads: one.
#pragma once

#include <CLI/CLI.hpp>
#include <functional>
#include <optional>
#include <string>

#include "cli-client/cli.h"

namespace chockwise::cli {

using Verb = std::function<ExitCode(Cli&)>;

/// Whether a verb talks to a server.
enum class Needs { kServer, kNothing };

struct Chosen {
  Needs needs = Needs::kServer;
  Verb run;
};

class Registry {
 public:
  explicit Registry(CLI::App& app) : app_(app) {}

  CLI::App& app() { return app_; }
  /// A verb of its own, under a heading of the help.
  CLI::App* Add(const std::string& heading, const std::string& name, const std::string& help);
  /// What it does when it was typed.
  void Does(CLI::App* verb, Verb run, Needs needs = Needs::kServer);
  const std::optional<Chosen>& chosen() const { return chosen_; }

 private:
  CLI::App& app_;
  std::optional<Chosen> chosen_;
};

inline const std::string kForAll = "Anyone";
inline const std::string kForDrivers = "Driver";
inline const std::string kForSpotters = "Spotter";
inline const std::string kForLeads = "Yard lead";
inline const std::string kForDesks = "Safety lead and desk";

inline constexpr const char* kMoveHelp = "Move number, or the unit number of its machine";
inline constexpr const char* kMyMoveHelp =
    "Move number, or unit number; left out: your one open move";

void AddStopVerb(Registry& registry);
void AddShowVerbs(Registry& registry);
void AddDriverVerbs(Registry& registry);
void AddMotionVerbs(Registry& registry);
void AddSpotterVerbs(Registry& registry);
void AddLeadVerbs(Registry& registry);
void AddMoveLeadVerbs(Registry& registry);
void AddDeskVerbs(Registry& registry);
void AddLedgerVerbs(Registry& registry);
void AddHistoryVerbs(Registry& registry);
void AddOfflineVerbs(Registry& registry);
void AddFitVerbs(Registry& registry);
void AddHelpVerbs(Registry& registry);

// Called by guided mode too.
ExitCode Stop(Cli& cli, const std::string& given, v1::StopCause cause, const std::string& text);
ExitCode ShowMove(Cli& cli, const std::string& move, Extent extent);
ExitCode AskForMove(Cli& cli, v1::RequestMoveRequest request);
ExitCode Release(Cli& cli, const std::string& move);
ExitCode Moving(Cli& cli, const std::string& move, std::string unit);
ExitCode Held(Cli& cli, const std::string& move, std::string stop);
ExitCode Parked(Cli& cli, const std::string& move);
ExitCode Close(Cli& cli, const std::string& move);
ExitCode RefuseMove(Cli& cli, const std::string& move, const std::string& reason);
ExitCode Withdraw(Cli& cli, const std::string& move, std::string reason);
ExitCode Breakdown(Cli& cli, const std::string& move, std::string text);
ExitCode Accept(Cli& cli, const std::string& move, std::string unit);
ExitCode Restart(Cli& cli, const std::string& move);
ExitCode Board(Cli& cli);
ExitCode Walk(Cli& cli, const std::string& move);
ExitCode Guided(Cli& cli);

/// The value, or what is typed at the prompt; a complaint naming `flag` where nobody can be asked.
tl::expected<std::string, ExitCode> Needed(Cli& cli, std::string value, const std::string& prompt,
                                           const std::string& flag);

}  // namespace chockwise::cli
