// Looking at moves: show, list, watch.

#include <fmt/format.h>

#include <memory>

#include "cli-client/steps.h"
#include "cli-client/verbs.h"
#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

ExitCode List(Cli& cli, v1::ListMovesRequest filter) {
  auto moves = cli.OpenMoves(filter);
  if (!moves) return moves.error();
  v1::ListMovesResponse all;
  for (const v1::Move& move : *moves) *all.add_moves() = move;
  cli.Show(all, [&] {
    Lines lines;
    for (const v1::Move& move : *moves) lines.push_back(MoveLine(move, cli.style));
    if (lines.empty()) lines.emplace_back("No open moves.");
    return lines;
  });
  return ExitCode::kOk;
}

bool IsInIt(const v1::Move& move, const v1::Identity& me) {
  return me.person() == move.driver() || me.person() == move.spotter();
}

/// Law 10: while the wheels turn, the screens of driver and spotter are dark; a stop rings.
void ShowChange(Cli& cli, const v1::Move& move, const v1::Identity& me) {
  cli.ClearScreen();
  cli.PrintBanner();
  if (move.state() == v1::MOVE_STATE_UNDER_WAY && IsInIt(move, me)) {
    cli.Print(DarkScreen(cli.style));
    return;
  }
  if (move.state() == v1::MOVE_STATE_STOPPED && cli.io.out_is_terminal) cli.io.out << '\a';
  Style rest = cli.style;
  if (me.rehearsal()) --rest.height;
  cli.Print(MoveScreen({.move = move, .me = me}, rest));
}

ExitCode Watch(Cli& cli, const std::string& given, int changes) {
  auto name = cli.FindMove(given, Part::kEither);
  if (!name) return name.error();
  auto me = cli.Me();
  if (!me) return me.error();
  v1::WatchMoveRequest request;
  request.set_name(*name);
  const auto context = cli.session().StreamContext();
  const auto reader = cli.session().moves().WatchMove(context.get(), request);
  v1::Move move;
  int seen = 0;
  while (reader->Read(&move)) {
    if (cli.options.json) {
      cli.PrintJson(ToJson(move));
    } else {
      ShowChange(cli, move, *me);
    }
    if (++seen == changes) {
      context->TryCancel();
      (void)reader->Finish();
      return ExitCode::kOk;
    }
  }
  const grpc::Status status = reader->Finish();
  return status.ok() ? ExitCode::kOk : cli.Say(ReadNo(status));
}

}  // namespace

ExitCode ShowMove(Cli& cli, const std::string& given, Extent extent) {
  auto name = cli.FindMove(given, Part::kEither);
  if (!name) return name.error();
  auto me = cli.Me();
  if (!me) return me.error();
  v1::GetMoveRequest request;
  request.set_name(*name);
  return cli.Read<v1::MoveService::Stub, v1::GetMoveRequest, v1::Move>(
      cli.session().moves(), &v1::MoveService::Stub::GetMove, request, {.move = LastPart(*name)},
      [&](const v1::Move& move) {
        Style rest = cli.style;
        if (me->rehearsal()) --rest.height;
        return MoveScreen({.move = move, .me = *me, .extent = extent}, rest);
      });
}

void AddShowVerbs(Registry& registry) {
  struct Arguments {
    std::string move, machine, person;
    int changes = 0;
  };
  auto arguments = std::make_shared<Arguments>();

  CLI::App* show = registry.Add(kForAll, "show", "What is missing on a move, and who can clear it");
  show->add_option("move", arguments->move, kMyMoveHelp);
  registry.Does(
      show, [arguments](Cli& cli) { return ShowMove(cli, arguments->move, Extent::kOneScreen); });

  CLI::App* gates = registry.Add(kForAll, "gates",
                                 "Every gate of a move in full, the clear ones too, however long");
  gates->add_option("move", arguments->move, kMyMoveHelp);
  registry.Does(gates,
                [arguments](Cli& cli) { return ShowMove(cli, arguments->move, Extent::kAll); });

  CLI::App* list = registry.Add(kForAll, "list", "Open moves, one a line");
  list->add_option("--machine", arguments->machine, "Only of this unit number");
  list->add_option("--person", arguments->person, "Only of this driver or spotter");
  registry.Does(list, [arguments](Cli& cli) {
    v1::ListMovesRequest filter;
    filter.set_machine(arguments->machine);
    filter.set_person(arguments->person);
    return List(cli, filter);
  });

  CLI::App* watch = registry.Add(
      kForAll, "watch", "Shows a move at every change, until it ends; dark while you move");
  watch->add_option("move", arguments->move, kMyMoveHelp);
  watch->add_option("--changes", arguments->changes, "Leave after so many; 0: when the move ends")
      ->check(CLI::NonNegativeNumber);
  registry.Does(watch,
                [arguments](Cli& cli) { return Watch(cli, arguments->move, arguments->changes); });
}

}  // namespace chockwise::cli
