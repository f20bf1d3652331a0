// The spotter: take the role, hand it back, lift one's own stop. Their gates are walked with
// `walk`.

#include <fmt/format.h>

#include <memory>
#include <utility>

#include "cli-client/verbs.h"
#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

using Moves = v1::MoveService::Stub;

/// The move a spotter means without naming one: where they are named, else any that still looks for
/// a spotter.
tl::expected<std::string, ExitCode> MoveToSpot(Cli& cli, const std::string& given) {
  if (!given.empty()) return cli.FindMove(given, Part::kSpotter);
  auto me = cli.Me();
  if (!me) return tl::unexpected(me.error());
  auto moves = cli.OpenMoves({});
  if (!moves) return tl::unexpected(moves.error());
  std::vector<std::string> mine;
  std::string list;
  for (const v1::Move& move : *moves) {
    const bool named = move.spotter() == me->person();
    const bool unnamed = move.spotter().empty() && move.driver() != me->person();
    if (move.spotter_accepted() || !(named || unnamed)) continue;
    mine.push_back(move.name());
    list +=
        fmt::format("{}{} ({})", list.empty() ? "" : ", ", LastPart(move.name()), move.machine());
  }
  if (mine.size() == 1) return mine.front();
  if (mine.empty())
    return tl::unexpected(
        cli.Say(LocalNo(grpc::StatusCode::NOT_FOUND, "no open move waits for you to spot")));
  return tl::unexpected(
      cli.Usage(fmt::format("several moves wait for a spotter: {}; say which", list)));
}

ExitCode Leave(Cli& cli, const std::string& move) {
  auto name = cli.FindMove(move, Part::kSpotter);
  if (!name) return name.error();
  v1::LeaveSpottingRequest request;
  request.set_name(*name);
  return cli.Write<Moves, v1::LeaveSpottingRequest, v1::Receipt>(
      cli.session().moves(), &Moves::LeaveSpotting, request,
      {.heading = "NOT TAKEN", .move = LastPart(*name)}, [&](const v1::Receipt& receipt) {
        Lines lines = ReceiptScreen(receipt, cli.style);
        Append(lines, Wrap("You do not spot it any more. Tell the driver face to face: both palms "
                           "down, machine stopped first.",
                           {.width = cli.style.width}));
        return lines;
      });
}

}  // namespace

ExitCode Accept(Cli& cli, const std::string& move, std::string unit) {
  auto name = MoveToSpot(cli, move);
  if (!name) return name.error();
  auto read = Needed(cli, std::move(unit), "Unit number, as you read it on the machine", "--unit");
  if (!read) return read.error();
  v1::AcceptSpottingRequest request;
  request.set_name(*name);
  request.set_machine(*read);
  return cli.Write<Moves, v1::AcceptSpottingRequest, v1::Receipt>(
      cli.session().moves(), &Moves::AcceptSpotting, request,
      {.heading = "NOT TAKEN", .move = LastPart(*name)}, [&](const v1::Receipt& receipt) {
        Lines lines = ReceiptScreen(receipt, cli.style);
        Append(lines,
               Wrap(fmt::format(
                        "You spot this machine and nothing else. Your gates: chockwise walk {}",
                        LastPart(*name)),
                    {.width = cli.style.width}));
        return lines;
      });
}

ExitCode Restart(Cli& cli, const std::string& move) {
  auto name = cli.FindMove(move, Part::kAny);
  if (!name) return name.error();
  v1::AllowRestartRequest request;
  request.set_name(*name);
  return cli.Write<Moves, v1::AllowRestartRequest, v1::Receipt>(
      cli.session().moves(), &Moves::AllowRestart, request,
      {.heading = "STAYS STOPPED", .move = LastPart(*name)}, [&](const v1::Receipt& receipt) {
        Lines lines = ReceiptScreen(receipt, cli.style);
        lines.emplace_back(
            "It may be made ready again: feet and eyes first, every looked-at gate anew.");
        return lines;
      });
}

void AddSpotterVerbs(Registry& registry) {
  struct Arguments {
    std::string move, unit;
  };
  auto arguments = std::make_shared<Arguments>();

  CLI::App* accept = registry.Add(kForSpotters, "accept", "Take the spotter's role");
  accept->add_option("move", arguments->move, "Move number; left out: the one that waits for you");
  accept->add_option("--unit", arguments->unit,
                     "Unit number as read on the machine; asked for on a terminal");
  registry.Does(accept,
                [arguments](Cli& cli) { return Accept(cli, arguments->move, arguments->unit); });

  CLI::App* leave = registry.Add(kForSpotters, "leave-spotting",
                                 "Hand the spotter's role back; a move under way stops");
  leave->add_option("move", arguments->move, kMyMoveHelp);
  registry.Does(leave, [arguments](Cli& cli) { return Leave(cli, arguments->move); });

  CLI::App* restart = registry.Add(kForSpotters, "restart",
                                   "Whoever stopped it, or a lead: it may be made ready again");
  restart->add_option("move", arguments->move, kMoveHelp)->required();
  registry.Does(restart, [arguments](Cli& cli) { return Restart(cli, arguments->move); });
}

}  // namespace chockwise::cli
