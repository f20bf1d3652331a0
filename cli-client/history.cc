// What happened: moves, one move's time line, refusals, counts.

#include <fmt/format.h>
#include <fmt/ranges.h>

#include <ctime>
#include <memory>
#include <optional>

#include "cli-client/render_history.h"
#include "cli-client/times.h"
#include "cli-client/verbs.h"
#include "cli-client/words.h"

namespace chockwise::cli {
namespace {

using Histories = v1::HistoryService::Stub;

struct Filters {
  std::vector<std::string> kinds, states;
  std::string machine, carrier, person, place, door, since, until, gate, move;
  bool refusals = false;
  bool stops = false;
  bool loading = false;
  int64_t limit = 50;
  std::optional<int64_t> entry;
};

/// The yard's now: a rehearsal's clock is not this device's.
tl::expected<Timestamp, ExitCode> YardNow(Cli& cli) {
  auto name = cli.YardName();
  if (!name) return tl::unexpected(name.error());
  v1::GetYardRequest request;
  request.set_name(*name);
  auto yard = cli.Fetch<v1::YardService::Stub, v1::GetYardRequest, v1::Yard>(
      cli.session().yards(), &v1::YardService::Stub::GetYard, request);
  if (!yard) return tl::unexpected(yard.error());
  return yard->time();
}

/// Parent and window, which every question here has.
template <class Request>
tl::expected<void, ExitCode> SetScope(Cli& cli, const Filters& filters, Request& request) {
  auto yard = cli.YardName();
  if (!yard) return tl::unexpected(yard.error());
  request.set_parent(*yard);
  if (filters.since.empty() && filters.until.empty()) return {};
  auto now = YardNow(cli);
  if (!now) return tl::unexpected(now.error());
  const auto set = [&](const std::string& text, const char* flag,
                       Timestamp* into) -> tl::expected<void, ExitCode> {
    if (text.empty()) return {};
    auto time = ReadTime(text, *now);
    if (!time) return tl::unexpected(cli.Usage(fmt::format("{}: {}", flag, time.error())));
    *into = *time;
    return {};
  };
  if (!filters.since.empty()) {
    if (auto done = set(filters.since, "--since", request.mutable_from_time()); !done) return done;
  }
  if (!filters.until.empty()) {
    if (auto done = set(filters.until, "--until", request.mutable_to_time()); !done) return done;
  }
  return {};
}

tl::expected<void, ExitCode> SetStates(Cli& cli, const Filters& filters,
                                       v1::ListMoveRecordsRequest& request) {
  for (const std::string& text : filters.states) {
    std::string name = "MOVE_STATE_" + text;
    for (char& c : name) c = c == '-' ? '_' : c >= 'a' && c <= 'z' ? static_cast<char>(c - 32) : c;
    v1::MoveState state = v1::MOVE_STATE_UNSPECIFIED;
    if (!v1::MoveState_Parse(name, &state)) {
      return tl::unexpected(cli.Usage(
          fmt::format("--state {}: no such state; give requested, released, under-way, held, "
                      "stopped, parked, closed, withdrawn, refused or left-standing",
                      text)));
    }
    request.add_states(state);
  }
  return {};
}

/// Kinds that need a carrier are the ones that load and unload.
tl::expected<void, ExitCode> SetLoadingKinds(Cli& cli, v1::ListMoveRecordsRequest& request) {
  v1::GetYardRequest about;
  about.set_name(request.parent());
  auto yard = cli.Fetch<v1::YardService::Stub, v1::GetYardRequest, v1::Yard>(
      cli.session().yards(), &v1::YardService::Stub::GetYard, about);
  if (!yard) return tl::unexpected(yard.error());
  for (const v1::KindSummary& kind : yard->kinds()) {
    if (kind.needs_carrier()) request.add_kinds(kind.kind());
  }
  if (request.kinds().empty())
    return tl::unexpected(cli.Usage("--loading: this yard has no kind of move with a carrier"));
  return {};
}

/// Pages until `limit` rows are there; what lies beyond is said.
template <class Request, class Response, class Rows>
tl::expected<Response, ExitCode> Collect(
    Cli& cli, grpc::Status (Histories::*method)(grpc::ClientContext*, const Request&, Response*),
    Request request, int64_t limit, Rows rows) {
  Response all;
  for (;;) {
    const int64_t left = limit - rows(all)->size();
    request.set_page_size(static_cast<int32_t>(std::min<int64_t>(left, 200)));
    auto page = cli.Fetch<Histories, Request, Response>(cli.session().history(), method, request);
    if (!page) return page;
    rows(all)->MergeFrom(*rows(*page));
    all.set_next_page_token(page->next_page_token());
    all.set_as_of_entry(page->as_of_entry());
    all.set_lag_entries(page->lag_entries());
    if (page->next_page_token().empty() || rows(all)->size() >= limit) return all;
    request.set_page_token(page->next_page_token());
  }
}

ExitCode HistoryMoves(Cli& cli, const Filters& filters) {
  v1::ListMoveRecordsRequest request;
  if (auto done = SetScope(cli, filters, request); !done) return done.error();
  if (auto done = SetStates(cli, filters, request); !done) return done.error();
  for (const std::string& kind : filters.kinds) request.add_kinds(kind);
  if (filters.loading) {
    if (auto done = SetLoadingKinds(cli, request); !done) return done.error();
  }
  request.set_machine(filters.machine);
  request.set_carrier(filters.carrier);
  request.set_person(filters.person);
  request.set_place(filters.place);
  request.set_door(filters.door);
  request.set_with_refusals(filters.refusals);
  request.set_with_stops(filters.stops);
  auto all = Collect(cli, &Histories::ListMoveRecords, request, filters.limit,
                     [](v1::ListMoveRecordsResponse& page) { return page.mutable_records(); });
  if (!all) return all.error();
  cli.Show(*all, [&] { return MoveRecordsScreen(*all, cli.style); });
  return ExitCode::kOk;
}

/// The refusal that is this entry of the ledger. They come newest first, so what is older than it
/// need not be asked for.
ExitCode OneRefusal(Cli& cli, int64_t entry) {
  v1::ListRefusalsRequest request;
  auto yard = cli.YardName();
  if (!yard) return yard.error();
  request.set_parent(*yard);
  request.set_page_size(200);
  do {
    auto page = cli.Fetch<Histories, v1::ListRefusalsRequest, v1::ListRefusalsResponse>(
        cli.session().history(), &Histories::ListRefusals, request);
    if (!page) return page.error();
    for (const v1::RefusalRecord& refusal : page->refusals()) {
      if (refusal.entry() != entry) continue;
      cli.Show(refusal, [&] { return RefusalScreen(refusal, cli.style); });
      return ExitCode::kOk;
    }
    const bool passed = !page->refusals().empty() && page->refusals().rbegin()->entry() < entry;
    request.set_page_token(passed ? "" : page->next_page_token());
  } while (!request.page_token().empty());
  return cli.Say(LocalNo(grpc::StatusCode::NOT_FOUND,
                         fmt::format("entry {} is no refusal of a release or a close", entry)));
}

ExitCode HistoryRefusals(Cli& cli, const Filters& filters) {
  if (filters.entry) return OneRefusal(cli, *filters.entry);
  v1::ListRefusalsRequest request;
  if (auto done = SetScope(cli, filters, request); !done) return done.error();
  for (const std::string& kind : filters.kinds) request.add_kinds(kind);
  request.set_gate_id(filters.gate);
  request.set_machine(filters.machine);
  request.set_person(filters.person);
  request.set_place(filters.place);
  request.set_door(filters.door);
  auto all = Collect(cli, &Histories::ListRefusals, request, filters.limit,
                     [](v1::ListRefusalsResponse& page) { return page.mutable_refusals(); });
  if (!all) return all.error();
  cli.Show(*all, [&] { return RefusalsScreen(*all, cli.style); });
  return ExitCode::kOk;
}

ExitCode HistoryMove(Cli& cli, const std::string& move) {
  auto name = cli.Below("moves", move);
  if (!name) return name.error();
  v1::GetMoveRecordRequest request;
  request.set_name(*name);
  return cli.Read<Histories, v1::GetMoveRecordRequest, v1::MoveTimeLine>(
      cli.session().history(), &Histories::GetMoveRecord, request, {},
      [&](const v1::MoveTimeLine& line) { return TimeLineScreen(line, cli.style); });
}

ExitCode HistorySummary(Cli& cli, const Filters& filters) {
  v1::SummariseMovesRequest request;
  if (auto done = SetScope(cli, filters, request); !done) return done.error();
  for (const std::string& kind : filters.kinds) request.add_kinds(kind);
  const std::time_t now = std::time(nullptr);
  std::tm local{};
  localtime_r(&now, &local);
  request.set_utc_offset_minutes(static_cast<int32_t>(local.tm_gmtoff / 60));
  return cli.Read<Histories, v1::SummariseMovesRequest, v1::MovesSummary>(
      cli.session().history(), &Histories::SummariseMoves, request, {},
      [&](const v1::MovesSummary& summary) { return SummaryScreen(summary, cli.style); });
}

void AddWindow(CLI::App* verb, Filters& filters) {
  verb->add_option("--since", filters.since,
                   "From then on: 14:00, 2026-11-24, \"2026-11-24 14:00\", or ago: 2h, 3d");
  verb->add_option("--until", filters.until, "Before then; written as --since");
  verb->add_option("--kind", filters.kinds, "Only this kind; may be given again");
}

void AddWhoAndWhere(CLI::App* verb, Filters& filters) {
  verb->add_option("--machine", filters.machine, "Only this unit number");
  verb->add_option("--person", filters.person,
                   "Only moves this person asked for, drove or spotted");
  verb->add_option("--place", filters.place, "Only from or to this place");
  verb->add_option("--door", filters.door, "Only through this door");
  verb->add_option("--limit", filters.limit, "At most so many")
      ->check(CLI::Range(int64_t{1}, int64_t{100'000}))
      ->capture_default_str();
}

}  // namespace

void AddHistoryVerbs(Registry& registry) {
  auto filters = std::make_shared<Filters>();
  CLI::App* history = registry.Add(kForLeads, "history", "What happened: moves, refusals, counts");
  history->require_subcommand(1);

  CLI::App* moves = history->add_subcommand("moves", "Moves, newest first");
  AddWindow(moves, *filters);
  AddWhoAndWhere(moves, *filters);
  moves->add_flag("--loading", filters->loading, "Only loading onto and unloading off a carrier");
  moves->add_option("--carrier", filters->carrier, "Only onto or off this carrier");
  moves->add_option("--state", filters->states,
                    "Only moves that stand or ended so: closed, refused, stopped, ...");
  moves->add_flag("--refusals", filters->refusals, "Only moves with a refused release or close");
  moves->add_flag("--stops", filters->stops, "Only moves that were stopped");
  registry.Does(moves, [filters](Cli& cli) { return HistoryMoves(cli, *filters); });

  CLI::App* move = history->add_subcommand("move", "One move from the asking to its end");
  move->add_option("number", filters->move, "Number of the move")->required();
  registry.Does(move, [filters](Cli& cli) { return HistoryMove(cli, filters->move); });

  CLI::App* refusals =
      history->add_subcommand("refusals", "Releases and closes that were refused, a line each");
  AddWindow(refusals, *filters);
  AddWhoAndWhere(refusals, *filters);
  refusals->add_option("--entry", filters->entry, "The refusal of that entry, every gate in full");
  refusals->add_option("--gate", filters->gate, "Only where this gate was not clear");
  registry.Does(refusals, [filters](Cli& cli) { return HistoryRefusals(cli, *filters); });

  CLI::App* summary = history->add_subcommand("summary", "Counts over a window of time");
  AddWindow(summary, *filters);
  registry.Does(summary, [filters](Cli& cli) { return HistorySummary(cli, *filters); });
}

}  // namespace chockwise::cli
