// The yard lead and the yard: board, doors, tags, shift, hold, inspections, the yard's files.

#include <fmt/format.h>

#include <cstdint>
#include <ctime>
#include <memory>
#include <utility>

#include "cli-client/times.h"
#include "cli-client/verbs.h"
#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

using Yards = v1::YardService::Stub;

tl::expected<v1::Yard, ExitCode> GetYard(Cli& cli) {
  auto name = cli.YardName();
  if (!name) return tl::unexpected(name.error());
  v1::GetYardRequest request;
  request.set_name(*name);
  v1::Yard yard;
  const grpc::Status status =
      cli.session().Call(cli.session().yards(), &Yards::GetYard, request, yard);
  if (!status.ok()) return tl::unexpected(cli.Say(ReadNo(status)));
  return yard;
}

ExitCode ShowYard(Cli& cli, Lines (*screen)(const v1::Yard&, const Style&)) {
  auto yard = GetYard(cli);
  if (!yard) return yard.error();
  cli.Show(*yard, [&] { return screen(*yard, cli.style); });
  return ExitCode::kOk;
}

template <class Request>
ExitCode WriteYard(Cli& cli,
                   grpc::Status (Yards::*method)(grpc::ClientContext*, const Request&,
                                                 v1::Receipt*),
                   const tl::expected<std::string, ExitCode>& name, Request request) {
  if (!name) return name.error();
  request.set_name(*name);
  return cli.Write<Yards, Request, v1::Receipt>(
      cli.session().yards(), method, std::move(request), {.heading = "NOT TAKEN"},
      [&](const v1::Receipt& receipt) { return ReceiptScreen(receipt, cli.style); });
}

ExitCode BeginShift(Cli& cli, const std::string& title, const std::string& until) {
  // The yard's clock counts, not this device's: they differ in a rehearsal and on a bad device.
  auto yard = GetYard(cli);
  if (!yard) return yard.error();
  auto end = NextTimeOfDay(until, yard->time());
  if (!end) return cli.Usage("--until: " + end.error());
  v1::BeginShiftRequest request;
  request.set_title(title);
  *request.mutable_end_time() = *end;
  return WriteYard(cli, &Yards::BeginShift, cli.YardName(), request);
}

ExitCode WatchYard(Cli& cli, int events) {
  auto name = cli.YardName();
  if (!name) return name.error();
  if (auto me = cli.Me(); !me) return me.error();
  cli.PrintBanner();
  v1::WatchYardRequest request;
  request.set_name(*name);
  const auto context = cli.session().StreamContext();
  const auto reader = cli.session().yards().WatchYard(context.get(), request);
  v1::YardEvent event;
  int seen = 0;
  while (reader->Read(&event)) {
    if (cli.options.json) {
      cli.PrintJson(ToJson(event));
    } else {
      cli.Print({EventLine(event, cli.style)});
    }
    if (++seen == events) {
      context->TryCancel();
      (void)reader->Finish();
      return ExitCode::kOk;
    }
  }
  const grpc::Status status = reader->Finish();
  return status.ok() ? ExitCode::kOk : cli.Say(ReadNo(status));
}

/// The hold first, everything else about it after: which moves it stopped, and how it ends.
ExitCode HoldYard(Cli& cli, const std::string& reason) {
  auto name = cli.YardName();
  if (!name) return name.error();
  v1::HoldYardRequest request;
  request.set_name(*name);
  request.set_reason(reason);
  auto receipt = cli.Record<Yards, v1::HoldYardRequest, v1::Receipt>(
      cli.session().yards(), &Yards::HoldYard, request, {.heading = "YARD NOT HELD"});
  if (!receipt) return receipt.error();
  if (cli.options.json) {
    cli.PrintJson(ToJson(*receipt));
    return ExitCode::kOk;
  }
  v1::ListMovesRequest stopped;
  stopped.set_parent(*name);
  stopped.add_states(v1::MOVE_STATE_STOPPED);
  stopped.set_page_size(200);
  v1::ListMovesResponse list;
  HeldView view{.receipt = *receipt, .stopped = std::nullopt};
  // The hold stands whether or not what it stopped can be listed.
  if (cli.session()
          .Call(cli.session().moves(), &v1::MoveService::Stub::ListMoves, stopped, list)
          .ok())
    view.stopped.emplace(list.moves().begin(), list.moves().end());
  cli.Show(*receipt, [&] { return HeldScreen(view, cli.style); });
  return ExitCode::kOk;
}

Lines KindsScreen(const v1::Yard& yard, const Style& style) {
  Lines lines;
  for (const v1::KindSummary& kind : yard.kinds()) {
    const std::string carrier = kind.needs_carrier() ? " (with a carrier)" : "";
    lines.push_back(
        Cut(Clean(style, fmt::format("  {}  {}{}", Padded(kind.kind(), 30), kind.title(), carrier)),
            style.width));
  }
  return lines;
}

Lines PlacesScreen(const v1::Yard& yard, const Style& style) {
  Lines lines;
  for (const v1::PlaceStatus& place : yard.places()) {
    lines.push_back(
        Cut(Clean(style, fmt::format("  {}  {}", Padded(place.place(), 24), place.title())),
            style.width));
  }
  return lines;
}

void AddLooks(Registry& registry) {
  struct Arguments {
    int events = 0;
  };
  auto arguments = std::make_shared<Arguments>();
  registry.Does(registry.Add(kForLeads, "board",
                             "What moves, what waits and for whom, doors, tags, shift, hold"),
                Board);
  registry.Does(registry.Add(kForLeads, "doors", "Every door: free, taken, out of service"),
                [](Cli& cli) { return ShowYard(cli, DoorsScreen); });
  registry.Does(registry.Add(kForLeads, "tags", "Do-not-move tags that hang, and who hung them"),
                [](Cli& cli) { return ShowYard(cli, TagsScreen); });
  registry.Does(registry.Add(kForLeads, "machines",
                             "Every machine: where it stands, inspection, tags, what is put down"),
                [](Cli& cli) { return ShowYard(cli, MachinesScreen); });
  registry.Does(registry.Add(kForLeads, "people", "Who may ask, drive or spot, and who spots now"),
                [](Cli& cli) { return ShowYard(cli, PeopleScreen); });
  registry.Does(registry.Add(kForAll, "kinds", "Kinds of move"),
                [](Cli& cli) { return ShowYard(cli, KindsScreen); });
  registry.Does(registry.Add(kForAll, "places", "Places that a machine can be moved to"),
                [](Cli& cli) { return ShowYard(cli, PlacesScreen); });
  CLI::App* watch =
      registry.Add(kForLeads, "watch-yard", "What happens on the yard, a line each, from now on");
  watch->add_option("--events", arguments->events, "Leave after so many; 0: never")
      ->check(CLI::NonNegativeNumber);
  registry.Does(watch, [arguments](Cli& cli) { return WatchYard(cli, arguments->events); });
}

void AddShiftAndHold(Registry& registry) {
  struct Arguments {
    std::string title = "shift", until;
    std::vector<std::string> reason;
  };
  auto arguments = std::make_shared<Arguments>();
  CLI::App* shift = registry.Add(kForLeads, "shift", "Open or end a shift");
  shift->require_subcommand(1);
  CLI::App* begin = shift->add_subcommand("begin", "Open a shift; the one before ends");
  begin->add_option("--until", arguments->until, "When it ends by the clock on the wall: 14:00")
      ->required();
  begin->add_option("--title", arguments->title, "What people call it")->capture_default_str();
  registry.Does(
      begin, [arguments](Cli& cli) { return BeginShift(cli, arguments->title, arguments->until); });
  registry.Does(shift->add_subcommand("end", "End the running shift; no release crosses it"),
                [](Cli& cli) {
                  return WriteYard(cli, &Yards::EndShift, cli.YardName(), v1::EndShiftRequest{});
                });

  CLI::App* hold = registry.Add(
      kForAll, "hold", "HOLD the whole yard: every release is taken back, what moves stops");
  hold->add_option("reason", arguments->reason, "Why");
  registry.Does(hold, [arguments](Cli& cli) {
    return HoldYard(cli, CLI::detail::join(arguments->reason, " "));
  });
  registry.Does(registry.Add(kForLeads, "lift-hold", "Lift the hold on the yard"), [](Cli& cli) {
    return WriteYard(cli, &Yards::LiftHold, cli.YardName(), v1::LiftHoldRequest{});
  });
}

void AddDoor(Registry& registry) {
  struct Arguments {
    std::string door;
    std::vector<std::string> text;
  };
  struct Row {
    const char* name;
    const char* help;
    v1::DoorReport report;
  };
  CLI::App* door = registry.Add(kForAll, "door", "Say what a door does, or give it back");
  door->require_subcommand(1);
  for (const Row& row :
       {Row{"moved", "It moved while it should have stayed", v1::DOOR_REPORT_MOVED},
        Row{"faulty", "It is broken, or will not stay", v1::DOOR_REPORT_FAULTY}}) {
    auto arguments = std::make_shared<Arguments>();
    CLI::App* report = door->add_subcommand(row.name, row.help);
    report->add_option("door", arguments->door, "Id of the door")->required();
    report->add_option("text", arguments->text, "What it did");
    registry.Does(report, [arguments, what = row.report](Cli& cli) {
      v1::ReportDoorRequest request;
      request.set_report(what);
      request.set_text(CLI::detail::join(arguments->text, " "));
      return WriteYard(cli, &Yards::ReportDoor, cli.Below("doors", arguments->door), request);
    });
  }
  auto arguments = std::make_shared<Arguments>();
  CLI::App* give_back =
      door->add_subcommand("return", "A yard lead has looked at it and gives it back");
  give_back->add_option("door", arguments->door, "Id of the door")->required();
  registry.Does(give_back, [arguments](Cli& cli) {
    return WriteYard(cli, &Yards::ReturnDoor, cli.Below("doors", arguments->door),
                     v1::ReturnDoorRequest{});
  });
}

void AddTagAndInspect(Registry& registry) {
  struct Arguments {
    std::string machine, defect;
    std::vector<std::string> text;
    int64_t tag = 0;
    bool nothing = false;
  };
  auto arguments = std::make_shared<Arguments>();
  CLI::App* tag =
      registry.Add(kForAll, "tag", "Hang a do-not-move tag on a machine, or take yours off");
  tag->require_subcommand(1);
  CLI::App* hang =
      tag->add_subcommand("hang", "Hang a tag; a move of that machine stops or loses its release");
  hang->add_option("machine", arguments->machine, "Unit number")->required();
  hang->add_option("text", arguments->text, "Why it must not move")->required();
  registry.Does(hang, [arguments](Cli& cli) {
    v1::HangTagRequest request;
    request.set_text(CLI::detail::join(arguments->text, " "));
    return WriteYard(cli, &Yards::HangTag, cli.Below("machines", arguments->machine), request);
  });
  CLI::App* clear = tag->add_subcommand("clear", "Take a tag off: only who hung it");
  clear->add_option("machine", arguments->machine, "Unit number")->required();
  clear->add_option("number", arguments->tag, "Number of the tag")->required();
  registry.Does(clear, [arguments](Cli& cli) {
    v1::ClearTagRequest request;
    request.set_tag(arguments->tag);
    return WriteYard(cli, &Yards::ClearTag, cli.Below("machines", arguments->machine), request);
  });

  CLI::App* inspect =
      registry.Add(kForDrivers, "inspect", "Record the pre-use inspection of a machine");
  inspect->add_option("machine", arguments->machine, "Unit number")->required();
  CLI::Option* defect =
      inspect->add_option("--defect", arguments->defect, "What is wrong; it hangs a tag");
  inspect->add_flag("--nothing", arguments->nothing, "Looked at, and nothing is wrong")
      ->excludes(defect);
  registry.Does(inspect, [arguments](Cli& cli) {
    // Saying nothing is not saying "nothing".
    if (!arguments->nothing && arguments->defect.empty())
      return cli.Usage("say --nothing, or --defect TEXT");
    v1::RecordInspectionRequest request;
    request.set_defect(arguments->defect);
    return WriteYard(cli, &Yards::RecordInspection, cli.Below("machines", arguments->machine),
                     request);
  });
}

void AddPutDown(Registry& registry) {
  struct Arguments {
    std::string machine, item;
    std::int64_t count = 0;
  };
  auto arguments = std::make_shared<Arguments>();
  CLI::App* put = registry.Add(
      kForDrivers, "put-down",
      "Say how many chocks, cones or the like stand at a machine; fewer takes a second person");
  put->add_option("machine", arguments->machine, "Unit number")->required();
  put->add_option("item", arguments->item, "What: chocks, cones, people, ...")->required();
  put->add_option("count", arguments->count, "How many stand there now, in all")
      ->required()
      ->check(CLI::NonNegativeNumber);
  registry.Does(put, [arguments](Cli& cli) {
    v1::RecordPutDownRequest request;
    request.set_item(arguments->item);
    request.set_count(arguments->count);
    return WriteYard(cli, &Yards::RecordPutDown, cli.Below("machines", arguments->machine),
                     request);
  });
}

}  // namespace

ExitCode Board(Cli& cli) {
  auto yard = GetYard(cli);
  if (!yard) return yard.error();
  v1::ListMovesRequest with_gates;
  with_gates.set_view(v1::MOVE_VIEW_FULL);
  auto moves = cli.OpenMoves(with_gates);
  if (!moves) return moves.error();
  if (cli.options.json) {
    v1::ListMovesResponse list;
    for (const v1::Move& move : *moves) *list.add_moves() = move;
    cli.PrintJson(fmt::format(R"({{"yard":{},"openMoves":{}}})", ToJson(*yard), ToJson(list)));
    return ExitCode::kOk;
  }
  cli.Show(*yard, [&] { return BoardScreen({.yard = *yard, .moves = *moves}, cli.style); });
  return ExitCode::kOk;
}

void AddLeadVerbs(Registry& registry) {
  AddLooks(registry);
  AddShiftAndHold(registry);
  AddDoor(registry);
  AddTagAndInspect(registry);
  AddPutDown(registry);
  registry.Does(
      registry.Add(kForLeads, "reload", "The server reads the yard's folder again"), [](Cli& cli) {
        return WriteYard(cli, &Yards::ReloadYard, cli.YardName(), v1::ReloadYardRequest{});
      });
}

}  // namespace chockwise::cli
