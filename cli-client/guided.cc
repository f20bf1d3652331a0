// Guided mode: who are you today, what is open, and the few next steps by number. For people;
// scripts use the plain verbs. When the wheels turn it leaves. Law 10.

#include <fmt/format.h>

#include <algorithm>
#include <charconv>

#include "cli-client/steps.h"
#include "cli-client/verbs.h"
#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

constexpr std::size_t kMovesOffered = 8;

/// What the person does today; the register may give them more roles than one.
enum class Hat { kDriver, kSpotter, kLead };

/// A line of a menu and what it does; the key is typed.
struct Offer {
  std::string text;
  std::function<ExitCode()> run;
};

enum class Next { kStay, kLeave };

class Guide {
 public:
  Guide(Cli& cli, v1::Identity me) : cli_(cli), me_(std::move(me)) {}

  ExitCode Run() {
    cli_.ClearScreen();
    cli_.PrintBanner();
    cli_.PrintLine(Clean(cli_.style, fmt::format("{} ({})", me_.title(), me_.person())));
    if (!ChooseHat()) return ExitCode::kOk;
    while (Home() == Next::kStay) {
    }
    return last_;
  }

 private:
  bool ChooseHat() {
    std::vector<Hat> hats;
    std::vector<Offer> offers;
    const auto offer = [&](Hat hat, std::string text) {
      hats.push_back(hat);
      offers.push_back({std::move(text), nullptr});
    };
    if (HasRole(me_, "driver")) offer(Hat::kDriver, "driver");
    if (HasRole(me_, "spotter")) offer(Hat::kSpotter, "spotter");
    if (HasRole(me_, "yard-lead") || HasRole(me_, "safety-lead")) offer(Hat::kLead, "lead");
    if (hats.size() == 1) hat_ = hats.front();
    if (hats.size() < 2) return true;
    cli_.PrintLine("Who are you today?");
    const auto chosen = Choose(offers);
    if (!chosen) return false;
    hat_ = hats[*chosen];
    return true;
  }

  /// The number typed, less one. Unset: end of input or q. STOP is heard at every prompt.
  std::optional<std::size_t> Choose(const std::vector<Offer>& offers) {
    for (std::size_t i = 0; i < offers.size(); ++i) {
      cli_.PrintLine(
          Cut(Clean(cli_.style, fmt::format("  {}  {}", i + 1, offers[i].text)), cli_.style.width));
    }
    for (;;) {
      const auto typed = cli_.Ask("Number, stop, or q to leave > ");
      if (!typed || *typed == "q") return std::nullopt;
      if (*typed == "stop" || *typed == "STOP") {
        last_ = Stop(cli_, "", v1::STOP_CAUSE_CALLED, "");
        continue;
      }
      std::size_t number = 0;
      const auto [end, error] =
          std::from_chars(typed->data(), typed->data() + typed->size(), number);
      const bool whole = error == std::errc() && end == typed->data() + typed->size();
      if (whole && number >= 1 && number <= offers.size()) return number - 1;
      cli_.PrintLine(fmt::format("Type a number from 1 to {}.", offers.size()));
    }
  }

  /// What was answered stays on the screen until it was read.
  Next Pause() {
    const auto typed = cli_.Ask("Enter to go on, stop, or q to leave > ");
    if (!typed || *typed == "q") return Next::kLeave;
    if (*typed == "stop" || *typed == "STOP") last_ = Stop(cli_, "", v1::STOP_CAUSE_CALLED, "");
    return Next::kStay;
  }

  bool Concerns(const v1::Move& move) const {
    switch (hat_) {
      case Hat::kDriver:
        return move.driver() == me_.person();
      case Hat::kSpotter:
        return move.spotter() == me_.person() ||
               (move.spotter().empty() && move.driver() != me_.person());
      case Hat::kLead:
        return true;
    }
    return true;
  }

  Next Home() {
    auto moves = cli_.OpenMoves({});
    if (!moves) {
      last_ = moves.error();
      return Next::kLeave;
    }
    std::erase_if(*moves, [&](const v1::Move& move) { return !Concerns(move); });
    cli_.PrintLine("");
    cli_.PrintLine(moves->empty() ? "No open moves for you." : "Your open moves:");
    std::vector<Offer> offers;
    for (const v1::Move& move : *moves) {
      if (offers.size() == kMovesOffered) break;
      offers.push_back({fmt::format("{}  {}  {}  {} > {}", LastPart(move.name()),
                                    PlainTag(cli_.style, move.state()), move.machine(),
                                    move.from_place(), move.to_place()),
                        nullptr});
    }
    const std::size_t move_offers = offers.size();
    if (hat_ == Hat::kDriver) offers.push_back({"Ask for a move", [this] { return AskGuided(); }});
    if (hat_ == Hat::kLead) offers.push_back({"The board", [this] { return Board(cli_); }});
    offers.push_back({"Look again", nullptr});
    const auto chosen = Choose(offers);
    if (!chosen) return Next::kLeave;
    if (*chosen < move_offers) return OneMove((*moves)[*chosen].name());
    if (!offers[*chosen].run) return Next::kStay;
    last_ = offers[*chosen].run();
    return last_ == ExitCode::kServerAway ? Next::kLeave : Pause();
  }

  Next OneMove(const std::string& name) {
    for (;;) {
      v1::GetMoveRequest request;
      request.set_name(name);
      auto move = cli_.Fetch<v1::MoveService::Stub, v1::GetMoveRequest, v1::Move>(
          cli_.session().moves(), &v1::MoveService::Stub::GetMove, request);
      if (!move) {
        last_ = move.error();
        return last_ == ExitCode::kServerAway ? Next::kLeave : Next::kStay;
      }
      const bool in_it = me_.person() == move->driver() || me_.person() == move->spotter();
      const std::vector<Step> steps = NextSteps(*move, me_);
      cli_.PrintLine("");
      // The menu below takes lines of the same screen.
      Style rest = cli_.style;
      rest.height = std::max(12, rest.height - static_cast<int>(steps.size()) - 2);
      cli_.Print(MoveScreen({.move = *move, .me = me_, .steps_shown = 0}, rest));
      std::vector<Offer> offers;
      for (const Step& step : steps)
        offers.push_back({step.title, [this, &name, verb = step.verb] { return Do(verb, name); }});
      offers.push_back({"Back", nullptr});
      const auto chosen = Choose(offers);
      if (!chosen) return Next::kLeave;
      if (*chosen + 1 == offers.size()) return Next::kStay;
      const std::string& verb = steps[*chosen].verb;
      last_ = offers[*chosen].run();
      const bool dark =
          in_it && (verb == "moving" || (verb == "walk" && me_.person() == move->spotter() &&
                                         move->phase() != v1::PHASE_CLOSE_OUT));
      if ((dark && last_ == ExitCode::kOk) || last_ == ExitCode::kServerAway) return Next::kLeave;
      if (Pause() == Next::kLeave) return Next::kLeave;
    }
  }

  ExitCode Do(const std::string& verb, const std::string& name) {
    if (verb == "accept") return Accept(cli_, name, "");
    if (verb == "walk") return Walk(cli_, name);
    if (verb == "release") return Release(cli_, name);
    if (verb == "moving") return Moving(cli_, name, "");
    if (verb == "held") return Held(cli_, name, "");
    if (verb == "parked") return Parked(cli_, name);
    if (verb == "close") return Close(cli_, name);
    if (verb == "restart") return Restart(cli_, name);
    if (verb == "breakdown") return Breakdown(cli_, name, "");
    if (verb == "refuse")
      return RefuseMove(cli_, name, cli_.Ask("Why (may be left empty): ").value_or(""));
    if (verb == "withdraw") return Withdraw(cli_, name, "");
    return Stop(cli_, name, v1::STOP_CAUSE_CALLED, "");
  }

  ExitCode AskGuided() {
    auto yard_name = cli_.YardName();
    if (!yard_name) return yard_name.error();
    v1::GetYardRequest request;
    request.set_name(*yard_name);
    auto yard = cli_.Fetch<v1::YardService::Stub, v1::GetYardRequest, v1::Yard>(
        cli_.session().yards(), &v1::YardService::Stub::GetYard, request);
    if (!yard) return yard.error();
    cli_.PrintLine("What kind of move?");
    std::vector<Offer> kinds;
    for (const v1::KindSummary& kind : yard->kinds()) kinds.push_back({kind.title(), nullptr});
    const auto chosen = Choose(kinds);
    if (!chosen) return ExitCode::kOk;
    const v1::KindSummary& kind = yard->kinds(static_cast<int>(*chosen));
    v1::RequestMoveRequest asked;
    asked.set_kind(kind.kind());
    auto machine = Needed(cli_, "", "Unit number of the machine", "machine");
    if (!machine) return machine.error();
    asked.set_machine(*machine);
    auto to = Needed(cli_, "", "Id of the place it is to go to", "to");
    if (!to) return to.error();
    asked.set_to_place(*to);
    if (kind.needs_carrier()) {
      auto carrier = Needed(cli_, "", "Unit number of the carrier", "carrier");
      if (!carrier) return carrier.error();
      asked.set_carrier(*carrier);
    }
    asked.set_spotter(cli_.Ask("Who spots (id; may be left empty): ").value_or(""));
    return AskForMove(cli_, asked);
  }

  Cli& cli_;
  v1::Identity me_;
  Hat hat_ = Hat::kDriver;
  ExitCode last_ = ExitCode::kOk;
};

}  // namespace

ExitCode Guided(Cli& cli) {
  if (cli.options.json) return cli.Usage("guided mode asks people; scripts use the plain verbs");
  auto me = cli.Me();
  if (!me) return me.error();
  return Guide(cli, *me).Run();
}

}  // namespace chockwise::cli
