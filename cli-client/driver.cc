// The driver before the wheels turn: ask, confirm, release, and the ways back out.

#include <fmt/format.h>

#include <memory>

#include "cli-client/verbs.h"
#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

using Moves = v1::MoveService::Stub;

NoFacts About(const std::string& heading, const std::string& name) {
  return {.heading = heading, .move = LastPart(name)};
}

ExitCode Confirm(Cli& cli, const std::string& move, v1::ConfirmRequest request) {
  auto name = cli.FindMove(move, Part::kEither);
  if (!name) return name.error();
  request.set_name(*name);
  return cli.Write<Moves, v1::ConfirmRequest, v1::Receipt>(
      cli.session().moves(), &Moves::Confirm, request, About("NOT TAKEN", *name),
      [&](const v1::Receipt& receipt) { return ReceiptScreen(receipt, cli.style); });
}

ExitCode TakeWheel(Cli& cli, const std::string& move, std::string driver) {
  auto name = cli.FindMove(move, Part::kAny);
  if (!name) return name.error();
  if (driver.empty()) {
    auto me = cli.Me();
    if (!me) return me.error();
    driver = me->person();
  }
  v1::SwapDriverRequest request;
  request.set_name(*name);
  request.set_driver(driver);
  return cli.Write<Moves, v1::SwapDriverRequest, v1::Receipt>(
      cli.session().moves(), &Moves::SwapDriver, request, About("NOT TAKEN", *name),
      [&](const v1::Receipt& receipt) { return ReceiptScreen(receipt, cli.style); });
}

void AddConfirm(Registry& registry) {
  struct Arguments {
    std::string move, gate, finding, code, note;
    std::optional<int64_t> count;
  };
  auto arguments = std::make_shared<Arguments>();
  CLI::App* confirm = registry.Add(kForAll, "confirm", "Give your word on one gate");
  confirm->add_option("move", arguments->move, kMoveHelp)->required();
  confirm->add_option("gate", arguments->gate, "Id of the gate")->required();
  confirm->add_option("--finding", arguments->finding, "What is wrong; left out: nothing is");
  confirm->add_option("--count", arguments->count, "The count, where the gate asks for one");
  confirm->add_option("--code", arguments->code, "The code painted where you stand");
  confirm->add_option("--note", arguments->note, "The note, where the gate asks for one");
  registry.Does(confirm, [arguments](Cli& cli) {
    v1::ConfirmRequest request;
    request.set_gate_id(arguments->gate);
    request.set_finding(arguments->finding);
    if (arguments->count) request.set_count(*arguments->count);
    request.set_post_code(arguments->code);
    request.set_note(arguments->note);
    return Confirm(cli, arguments->move, request);
  });
}

void AddAsk(Registry& registry) {
  struct Arguments {
    std::string kind, machine, to, driver, spotter, carrier;
  };
  auto arguments = std::make_shared<Arguments>();
  CLI::App* ask = registry.Add(kForDrivers, "ask", "Ask for a move");
  ask->add_option("kind", arguments->kind, "Kind of move; chockwise kinds lists them")->required();
  ask->add_option("machine", arguments->machine, "Unit number of the machine")->required();
  ask->add_option("to", arguments->to, "Id of the place it is to go to")->required();
  ask->add_option("--driver", arguments->driver, "Who drives; left out: you");
  ask->add_option("--spotter", arguments->spotter, "Who is to spot; may be named later");
  ask->add_option("--carrier", arguments->carrier,
                  "Unit number of the carrier, where the kind needs one");
  registry.Does(ask, [arguments](Cli& cli) {
    v1::RequestMoveRequest asked;
    asked.set_kind(arguments->kind);
    asked.set_machine(arguments->machine);
    asked.set_to_place(arguments->to);
    asked.set_driver(arguments->driver);
    asked.set_spotter(arguments->spotter);
    asked.set_carrier(arguments->carrier);
    return AskForMove(cli, asked);
  });
}

}  // namespace

tl::expected<std::string, ExitCode> Needed(Cli& cli, std::string value, const std::string& prompt,
                                           const std::string& flag) {
  if (!value.empty()) return value;
  if (!cli.Guided())
    return tl::unexpected(cli.Usage(fmt::format("{} is missing: {}", flag, prompt)));
  const auto answer = cli.Ask(prompt + ": ");
  if (!answer || answer->empty())
    return tl::unexpected(
        cli.Usage(fmt::format("nothing was typed for {}; nothing was sent", flag)));
  return *answer;
}

ExitCode AskForMove(Cli& cli, v1::RequestMoveRequest request) {
  auto yard = cli.YardName();
  if (!yard) return yard.error();
  request.set_parent(*yard);
  const NoFacts facts{.heading = "NOT TAKEN", .machine = request.machine()};
  return cli.Write<Moves, v1::RequestMoveRequest, v1::Receipt>(
      cli.session().moves(), &Moves::RequestMove, request, facts, [&](const v1::Receipt& receipt) {
        Lines lines = ReceiptScreen(receipt, cli.style);
        const std::string number = LastPart(receipt.name());
        lines.push_back(fmt::format("  {}  what is missing, and who can clear it",
                                    Padded("chockwise show " + number, 26)));
        lines.push_back(fmt::format("  {}  your own gates, one question at a time",
                                    Padded("chockwise walk " + number, 26)));
        return lines;
      });
}

ExitCode Release(Cli& cli, const std::string& move) {
  auto name = cli.FindMove(move, Part::kDriver);
  if (!name) return name.error();
  v1::RequestReleaseRequest request;
  request.set_name(*name);
  NoFacts facts = About("NOT RELEASED", *name);
  facts.again = "chockwise release " + LastPart(*name);
  return cli.Write<Moves, v1::RequestReleaseRequest, v1::Receipt>(
      cli.session().moves(), &Moves::RequestRelease, request, facts,
      [&](const v1::Receipt& receipt) {
        v1::GetMoveRequest about;
        about.set_name(*name);
        v1::Move now;
        // The release stands whether or not the move can be shown beside it.
        (void)cli.session().Call(cli.session().moves(), &Moves::GetMove, about, now);
        Lines lines = ReceiptScreen(receipt, cli.style);
        Append(lines, ReleaseScreen(receipt.release(), now, cli.style));
        lines.push_back(fmt::format("In the seat: chockwise moving {}", LastPart(*name)));
        return lines;
      });
}

ExitCode RefuseMove(Cli& cli, const std::string& move, const std::string& reason) {
  auto name = cli.FindMove(move, Part::kEither);
  if (!name) return name.error();
  v1::RefuseMoveRequest request;
  request.set_name(*name);
  request.set_reason(reason);
  return cli.Write<Moves, v1::RefuseMoveRequest, v1::Receipt>(
      cli.session().moves(), &Moves::RefuseMove, request, About("NOT TAKEN", *name),
      [&](const v1::Receipt& receipt) {
        Lines lines = ReceiptScreen(receipt, cli.style);
        Append(lines, Wrap("Refused, and that is a good catch. The machine is tagged until a yard "
                           "lead who did not ask for "
                           "this move has looked in person.",
                           {.width = cli.style.width}));
        return lines;
      });
}

ExitCode Withdraw(Cli& cli, const std::string& move, std::string reason) {
  auto name = cli.FindMove(move, Part::kDriver);
  if (!name) return name.error();
  auto why = Needed(cli, std::move(reason), "Why is it taken back", "REASON");
  if (!why) return why.error();
  v1::WithdrawMoveRequest request;
  request.set_name(*name);
  request.set_reason(*why);
  return cli.Write<Moves, v1::WithdrawMoveRequest, v1::Receipt>(
      cli.session().moves(), &Moves::WithdrawMove, request, About("NOT TAKEN", *name),
      [&](const v1::Receipt& receipt) { return ReceiptScreen(receipt, cli.style); });
}

void AddDriverVerbs(Registry& registry) {
  AddAsk(registry);
  AddConfirm(registry);
  struct Arguments {
    std::string move, reason, driver;
  };
  auto arguments = std::make_shared<Arguments>();

  CLI::App* walk = registry.Add(
      kForDrivers, "walk", "Walk your own gates, one question at a time (spotters and leads too)");
  walk->add_option("move", arguments->move, kMyMoveHelp);
  registry.Does(walk, [arguments](Cli& cli) { return Walk(cli, arguments->move); });

  CLI::App* release = registry.Add(kForDrivers, "release",
                                   "Ask for the release: permission to begin, up to a limit");
  release->add_option("move", arguments->move, kMyMoveHelp);
  release->footer(
      "A release sees nobody. It is permission to begin when your spotter signals; any doubt: "
      "stop.");
  registry.Does(release, [arguments](Cli& cli) { return Release(cli, arguments->move); });

  CLI::App* refuse =
      registry.Add(kForAll, "refuse", "Driver or spotter refuses the move; no reason needed");
  refuse->add_option("move", arguments->move, kMyMoveHelp);
  refuse->add_option("--reason", arguments->reason, "Why; may be left out");
  registry.Does(refuse, [arguments](Cli& cli) {
    return RefuseMove(cli, arguments->move, arguments->reason);
  });

  CLI::App* withdraw =
      registry.Add(kForDrivers, "withdraw", "Take a move back before the wheels turn");
  withdraw->add_option("move", arguments->move, kMoveHelp)->required();
  withdraw->add_option("--reason", arguments->reason, "Why");
  registry.Does(withdraw, [arguments](Cli& cli) {
    return Withdraw(cli, arguments->move, arguments->reason);
  });

  CLI::App* wheel = registry.Add(kForDrivers, "take-wheel",
                                 "Take over as the driver: engine off, key on the board first");
  wheel->add_option("move", arguments->move, kMoveHelp)->required();
  wheel->add_option("--driver", arguments->driver,
                    "Who takes it, said by a yard lead; left out: you");
  registry.Does(
      wheel, [arguments](Cli& cli) { return TakeWheel(cli, arguments->move, arguments->driver); });
}

}  // namespace chockwise::cli
