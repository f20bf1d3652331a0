// Stopping: first, biggest, no questions. Law 5.

#include <fmt/format.h>

#include <array>
#include <memory>

#include "cli-client/verbs.h"
#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

struct CauseName {
  const char* name;
  v1::StopCause cause;
};
constexpr std::array<CauseName, 4> kCauses{{
    {"called", v1::STOP_CAUSE_CALLED},
    {"lost-sight", v1::STOP_CAUSE_LOST_SIGHT},
    {"signal", v1::STOP_CAUSE_SIGNAL_NOT_UNDERSTOOD},
    {"contact", v1::STOP_CAUSE_CONTACT},
}};

bool IsDigits(const std::string& text) {
  return text.find_first_not_of("0123456789") == std::string::npos;
}

/// What may be meant. A bare number may be a move or a unit: both are stopped, since the wrong
/// guess would stop neither.
tl::expected<std::vector<std::string>, ExitCode> Meant(Cli& cli, const std::string& given) {
  std::vector<std::string> names;
  if (given.empty()) {
    auto me = cli.Me();
    if (!me) return tl::unexpected(me.error());
    v1::ListMovesRequest filter;
    filter.set_person(me->person());
    auto moves = cli.OpenMoves(filter);
    if (!moves) return tl::unexpected(moves.error());
    for (const v1::Move& move : *moves) names.push_back(move.name());
    return names;
  }
  if (given.starts_with("yards/")) return std::vector<std::string>{given};
  for (const char* collection : {"moves", "machines"}) {
    if (std::string_view(collection) == "moves" && !IsDigits(given)) continue;
    auto name = cli.Below(collection, given);
    if (!name) return tl::unexpected(name.error());
    names.push_back(*name);
  }
  return names;
}

Lines Stopped(const v1::Receipt& receipt, const Style& style) {
  Lines lines = ReceiptScreen(receipt, style);
  lines.emplace_back("Brake set, everybody stays where they are. Looked-at gates are stale.");
  lines.push_back(Cut(fmt::format("You or a yard lead may let it restart: chockwise restart {}",
                                  LastPart(receipt.name())),
                      style.width));
  return lines;
}

}  // namespace

ExitCode Stop(Cli& cli, const std::string& given, v1::StopCause cause, const std::string& text) {
  auto names = Meant(cli, given);
  if (!names) return names.error();
  if (names->empty()) {
    return cli.Say(
        LocalNo(grpc::StatusCode::NOT_FOUND,
                "no open move of yours; say which: chockwise stop MOVE, or chockwise stop UNIT"));
  }
  std::optional<grpc::Status> failure;
  bool any = false;
  std::string request_id = cli.RequestId();
  for (const std::string& name : *names) {
    v1::StopMoveRequest request;
    request.set_name(name);
    request.set_cause(cause);
    request.set_text(text);
    request.set_request_id(request_id);
    // One id belongs to one request.
    request_id = NewRequestId();
    v1::Receipt receipt;
    const grpc::Status status = cli.session().Call(
        cli.session().moves(), &v1::MoveService::Stub::StopMove, request, receipt);
    if (status.ok()) {
      any = true;
      cli.Show(receipt, [&] { return Stopped(receipt, cli.style); });
    } else if (!failure || status.error_code() != grpc::StatusCode::NOT_FOUND) {
      failure = status;  // that there is no such unit says less than what went wrong
    }
  }
  if (any || !failure) return ExitCode::kOk;
  if (!cli.options.json)
    cli.PrintLine("NOT STOPPED BY THIS CALL. Stop it by hand, voice and horn NOW.");
  return cli.Say(ReadNo(*failure), {.heading = "STOP NOT RECORDED"});
}

void AddStopVerb(Registry& registry) {
  struct Arguments {
    std::string which, cause = "called";
    std::vector<std::string> words;
  };
  auto arguments = std::make_shared<Arguments>();
  CLI::App* stop =
      registry.Add(kForAll, "stop", "STOP a move now: by its number, its unit, or all of yours");
  stop->add_option("which", arguments->which,
                   "Move number or unit number; left out: every open move of yours");
  stop->add_option("words", arguments->words, "Why, in your words");
  std::vector<std::string> names;
  for (const CauseName& row : kCauses) names.emplace_back(row.name);
  stop->add_option("--cause", arguments->cause,
                   "called, lost-sight, signal (not understood) or contact")
      ->check(CLI::IsMember(names));
  registry.Does(stop, [arguments](Cli& cli) {
    v1::StopCause cause = v1::STOP_CAUSE_CALLED;
    for (const CauseName& row : kCauses) {
      if (arguments->cause == row.name) cause = row.cause;
    }
    return Stop(cli, arguments->which, cause, CLI::detail::join(arguments->words, " "));
  });
}

}  // namespace chockwise::cli
