// What a yard lead does with single moves: accept a gate, name a spotter, free the ground.

#include <fmt/format.h>

#include <memory>

#include "cli-client/verbs.h"
#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

using Moves = v1::MoveService::Stub;

template <class Request>
ExitCode WriteMove(Cli& cli,
                   grpc::Status (Moves::*method)(grpc::ClientContext*, const Request&,
                                                 v1::Receipt*),
                   const std::string& move, Request request) {
  auto name = cli.FindMove(move, Part::kAny);
  if (!name) return name.error();
  request.set_name(*name);
  return cli.Write<Moves, Request, v1::Receipt>(
      cli.session().moves(), method, std::move(request),
      {.heading = "NOT TAKEN", .move = LastPart(*name)},
      [&](const v1::Receipt& receipt) { return ReceiptScreen(receipt, cli.style); });
}

ExitCode ClearGround(Cli& cli, const std::string& move, const std::string& place) {
  // The move has ended, so no list of open moves holds it: only its number or full name finds it.
  auto name = cli.Below("moves", move);
  if (!name) return name.error();
  v1::ClearGroundRequest request;
  request.set_name(*name);
  request.set_place(place);
  return cli.Write<v1::YardService::Stub, v1::ClearGroundRequest, v1::Receipt>(
      cli.session().yards(), &v1::YardService::Stub::ClearGround, request,
      {.heading = "NOT TAKEN", .move = LastPart(*name)},
      [&](const v1::Receipt& receipt) { return ReceiptScreen(receipt, cli.style); });
}

}  // namespace

void AddMoveLeadVerbs(Registry& registry) {
  struct Arguments {
    std::string move, gate, control, reason, spotter, place;
  };
  auto arguments = std::make_shared<Arguments>();

  CLI::App* accept = registry.Add(kForLeads, "accept-gate",
                                  "Accept a gate as it stands, where the rules let a lead");
  accept->add_option("move", arguments->move, kMoveHelp)->required();
  accept->add_option("gate", arguments->gate, "Id of the gate")->required();
  accept->add_option("--control", arguments->control, "One of the gate's controls")->required();
  accept->add_option("--reason", arguments->reason, "Why it is accepted")->required();
  accept->footer("No hard gate can be accepted by anyone.");
  registry.Does(accept, [arguments](Cli& cli) {
    v1::AcceptGateRequest request;
    request.set_gate_id(arguments->gate);
    request.set_control(arguments->control);
    request.set_reason(arguments->reason);
    return WriteMove(cli, &Moves::AcceptGate, arguments->move, request);
  });

  CLI::App* name = registry.Add(kForLeads, "name-spotter",
                                "Name who is to spot; on a named move it is a swap (drivers too)");
  name->add_option("move", arguments->move, kMoveHelp)->required();
  name->add_option("spotter", arguments->spotter, "Id of the person")->required();
  registry.Does(name, [arguments](Cli& cli) {
    v1::NameSpotterRequest request;
    request.set_spotter(arguments->spotter);
    return WriteMove(cli, &Moves::NameSpotter, arguments->move, request);
  });

  CLI::App* ground =
      registry.Add(kForLeads, "clear-ground", "A machine left standing is off its ground");
  ground->add_option("move", arguments->move, "Number of the move that ended there")->required();
  ground->add_option("place", arguments->place, "Id of the place where the machine stands now")
      ->required();
  registry.Does(ground, [arguments](Cli& cli) {
    return ClearGround(cli, arguments->move, arguments->place);
  });
}

}  // namespace chockwise::cli
