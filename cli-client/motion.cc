// From "the wheels turn" to "closed". Between moving and stopped nothing here asks for a hand or an
// eye. Law 10.

#include <fmt/format.h>

#include <memory>
#include <utility>

#include "cli-client/verbs.h"
#include "cli-client/words.h"
#include "services/fit/quantity.h"
#include "services/yard/yard.h"

namespace chockwise::cli {
namespace {

using Moves = v1::MoveService::Stub;

NoFacts About(const std::string& heading, const std::string& name) {
  return {.heading = heading, .move = LastPart(name)};
}

/// A length with its unit, as millimetres. Law 2: a bare number says nothing.
tl::expected<int64_t, std::string> LengthMm(const std::string& text) {
  auto value = yard::ReadMeasuredValue(text);
  if (!value) return tl::unexpected(value.error());
  const auto* metres = std::get_if<fit::Metres>(&*value);
  if (metres == nullptr)
    return tl::unexpected<std::string>("\"" + text +
                                       "\" is no length; give one such as \"30 ft\" or \"9 m\"");
  return fit::CeilMillimetres(*metres);  // farther away is the careful side
}

ExitCode Away(Cli& cli, const std::string& move, const std::string& distance, bool in_view) {
  auto name = cli.FindMove(move, Part::kEither);
  if (!name) return name.error();
  auto length = LengthMm(distance);
  if (!length) return cli.Usage("--distance: " + length.error());
  v1::ReportAwayRequest request;
  request.set_name(*name);
  request.set_distance_mm(*length);
  request.set_in_view(in_view);
  return cli.Write<Moves, v1::ReportAwayRequest, v1::Receipt>(
      cli.session().moves(), &Moves::ReportAway, request, About("NOT TAKEN", *name),
      [&](const v1::Receipt& receipt) { return ReceiptScreen(receipt, cli.style); });
}

void AddAway(Registry& registry) {
  struct Arguments {
    std::string move, distance;
    bool in_view = false, out_of_sight = false;
  };
  auto arguments = std::make_shared<Arguments>();
  CLI::App* away = registry.Add(kForDrivers, "away", "Say how far the driver is from the machine");
  away->add_option("move", arguments->move, kMyMoveHelp);
  away->add_option("--distance", arguments->distance,
                   "From driver to machine, with its unit: \"30 ft\", \"9 m\"")
      ->required();
  CLI::Option* in_view =
      away->add_flag("--in-view", arguments->in_view, "The driver has the machine in view");
  away->add_flag("--out-of-sight", arguments->out_of_sight, "The driver has not")
      ->excludes(in_view);
  registry.Does(away, [arguments](Cli& cli) {
    if (!arguments->in_view && !arguments->out_of_sight)
      return cli.Usage("say --in-view or --out-of-sight");
    return Away(cli, arguments->move, arguments->distance, arguments->in_view);
  });
}

Lines WithHint(const v1::Receipt& receipt, const std::string& hint, const Style& style) {
  Lines lines = ReceiptScreen(receipt, style);
  Append(lines, Wrap(hint, {.width = style.width}));
  return lines;
}

}  // namespace

ExitCode Moving(Cli& cli, const std::string& move, std::string unit) {
  auto name = cli.FindMove(move, Part::kDriver);
  if (!name) return name.error();
  auto read = Needed(cli, std::move(unit), "Unit number, as you read it at the seat", "--unit");
  if (!read) return read.error();
  v1::BeginMoveRequest request;
  request.set_name(*name);
  request.set_machine(*read);
  auto receipt = cli.Record<Moves, v1::BeginMoveRequest, v1::Receipt>(
      cli.session().moves(), &Moves::BeginMove, request, About("DO NOT MOVE", *name));
  if (!receipt) return receipt.error();
  if (!cli.options.json) cli.ClearScreen();
  cli.Show(*receipt, [&] { return DarkScreen(cli.style); });
  return ExitCode::kOk;
}

ExitCode Held(Cli& cli, const std::string& move, std::string stop) {
  auto name = cli.FindMove(move, Part::kEither);
  if (!name) return name.error();
  auto read =
      Needed(cli, std::move(stop), "Which stop do you stand at, as it is painted there", "--at");
  if (!read) return read.error();
  v1::HoldMoveRequest request;
  request.set_name(*name);
  request.set_stop(*read);
  const std::string hint = fmt::format(
      "The release has ended here. The next stretch needs fresh words: chockwise walk {}",
      LastPart(*name));
  return cli.Write<Moves, v1::HoldMoveRequest, v1::Receipt>(
      cli.session().moves(), &Moves::HoldMove, request, About("NOT TAKEN", *name),
      [&](const v1::Receipt& receipt) { return WithHint(receipt, hint, cli.style); });
}

ExitCode Parked(Cli& cli, const std::string& move) {
  auto name = cli.FindMove(move, Part::kDriver);
  if (!name) return name.error();
  v1::ParkMoveRequest request;
  request.set_name(*name);
  const std::string number = LastPart(*name);
  const std::string hint =
      fmt::format("It is not over when the wheels stop: chockwise walk {}, then chockwise close {}",
                  number, number);
  return cli.Write<Moves, v1::ParkMoveRequest, v1::Receipt>(
      cli.session().moves(), &Moves::ParkMove, request, About("NOT TAKEN", *name),
      [&](const v1::Receipt& receipt) { return WithHint(receipt, hint, cli.style); });
}

ExitCode Close(Cli& cli, const std::string& move) {
  auto name = cli.FindMove(move, Part::kDriver);
  if (!name) return name.error();
  v1::CloseMoveRequest request;
  request.set_name(*name);
  NoFacts facts = About("NOT CLOSED", *name);
  facts.again = "chockwise close " + LastPart(*name);
  return cli.Write<Moves, v1::CloseMoveRequest, v1::Receipt>(
      cli.session().moves(), &Moves::CloseMove, request, facts,
      [&](const v1::Receipt& receipt) { return ReceiptScreen(receipt, cli.style); });
}

ExitCode Breakdown(Cli& cli, const std::string& move, std::string text) {
  auto name = cli.FindMove(move, Part::kEither);
  if (!name) return name.error();
  auto what = Needed(cli, std::move(text), "What broke", "WORDS");
  if (!what) return what.error();
  v1::ReportBreakdownRequest request;
  request.set_name(*name);
  request.set_text(*what);
  return cli.Write<Moves, v1::ReportBreakdownRequest, v1::Receipt>(
      cli.session().moves(), &Moves::ReportBreakdown, request, About("NOT TAKEN", *name),
      [&](const v1::Receipt& receipt) {
        return WithHint(receipt,
                        "Brake, chocks, cones, hazard lights. The ground stays blocked until a "
                        "yard lead clears it.",
                        cli.style);
      });
}

void AddMotionVerbs(Registry& registry) {
  struct Arguments {
    std::string move, unit, stop;
    std::vector<std::string> words;
  };
  auto arguments = std::make_shared<Arguments>();

  CLI::App* moving = registry.Add(kForDrivers, "moving",
                                  "The wheels are about to turn; then the screen goes dark");
  moving->add_option("move", arguments->move, kMyMoveHelp);
  moving->add_option("--unit", arguments->unit,
                     "Unit number as read at the seat; asked for on a terminal");
  moving->footer("Never use a device while driving or spotting. This program leaves, on purpose.");
  registry.Does(moving,
                [arguments](Cli& cli) { return Moving(cli, arguments->move, arguments->unit); });

  CLI::App* held =
      registry.Add(kForDrivers, "held", "It stands braked at a hold point (spotters too)");
  held->add_option("move", arguments->move, kMyMoveHelp);
  held->add_option("--at", arguments->stop,
                   "Id of the stop, as painted there; asked for on a terminal");
  registry.Does(held,
                [arguments](Cli& cli) { return Held(cli, arguments->move, arguments->stop); });

  CLI::App* parked = registry.Add(kForDrivers, "parked", "It stands where it was to go");
  parked->add_option("move", arguments->move, kMyMoveHelp);
  registry.Does(parked, [arguments](Cli& cli) { return Parked(cli, arguments->move); });

  CLI::App* close = registry.Add(kForDrivers, "close", "Close the move after its close-out");
  close->add_option("move", arguments->move, kMyMoveHelp);
  registry.Does(close, [arguments](Cli& cli) { return Close(cli, arguments->move); });

  AddAway(registry);

  CLI::App* breakdown = registry.Add(kForDrivers, "breakdown", "It broke down where it stands");
  breakdown->add_option("move", arguments->move, kMoveHelp)->required();
  breakdown->add_option("words", arguments->words, "What broke, in your words");
  registry.Does(breakdown, [arguments](Cli& cli) {
    return Breakdown(cli, arguments->move, CLI::detail::join(arguments->words, " "));
  });
}

}  // namespace chockwise::cli
