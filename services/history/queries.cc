#include "services/history/queries.h"

#include <fmt/format.h>

#include <algorithm>
#include <charconv>
#include <optional>

#include "services/history/move_fold.h"
#include "services/history/page_token.h"
#include "services/history/snapshot.h"
#include "services/history/time_line.h"
#include "services/ledger/status.h"

namespace chockwise::history {
namespace {

/// "door/d" and the like narrow the moves through the tables beside them.
constexpr std::string_view kOfPerson =
    "number IN (SELECT number FROM move_people WHERE person = ?)";
constexpr std::string_view kThroughDoor =
    "number IN (SELECT number FROM move_doors WHERE door = ?)";

void AddPlace(const std::string& place, Filter& filter) {
  if (!place.empty()) filter.Add("(from_place = ? OR to_place = ?)", {place, place});
}

absl::StatusOr<Filter> FilterFor(const v1::ListMoveRecordsRequest& request) {
  CW_RETURN_IF_ERROR(CheckTexts({{"machine", request.machine()},
                                 {"carrier", request.carrier()},
                                 {"person", request.person()},
                                 {"place", request.place()},
                                 {"door", request.door()}}));
  auto kinds = KindValues(request.kinds());
  if (!kinds.ok()) return kinds.status();
  if (request.states_size() > kMaxFilterValues) {
    return absl::InvalidArgumentError(
        fmt::format("states: {} are given, at most {}", request.states_size(), kMaxFilterValues));
  }
  std::vector<Filter::Value> states;
  for (int state : request.states()) states.emplace_back(static_cast<int64_t>(state));
  Filter filter;
  filter.AddAny("kind", *std::move(kinds));
  filter.AddText("machine = ?", request.machine());
  filter.AddText("carrier = ?", request.carrier());
  filter.AddText(kOfPerson, request.person());
  AddPlace(request.place(), filter);
  filter.AddText(kThroughDoor, request.door());
  filter.AddAny("state", std::move(states));
  CW_RETURN_IF_ERROR(AddWindow("request_us", WindowOf(request), filter));
  if (request.with_refusals()) filter.Add("refusals > 0", {});
  if (request.with_stops()) filter.Add("stops > 0", {});
  return filter;
}

absl::StatusOr<Filter> FilterFor(const v1::ListRefusalsRequest& request) {
  CW_RETURN_IF_ERROR(CheckTexts({{"gate_id", request.gate_id()},
                                 {"machine", request.machine()},
                                 {"person", request.person()},
                                 {"place", request.place()},
                                 {"door", request.door()}}));
  auto kinds = KindValues(request.kinds());
  if (!kinds.ok()) return kinds.status();
  Filter filter;
  filter.AddText("entry IN (SELECT entry FROM refusal_gates WHERE gate = ?)", request.gate_id());
  filter.AddAny("kind", *std::move(kinds));
  filter.AddText("machine = ?", request.machine());
  filter.AddText("person = ?", request.person());
  AddPlace(request.place(), filter);
  filter.AddText(kThroughDoor, request.door());
  CW_RETURN_IF_ERROR(AddWindow("time_us", WindowOf(request), filter));
  return filter;
}

v1::RefusalRecord RefusalOf(const Snapshot& snapshot, int64_t number, const v1::Entry& entry,
                            const v1::MoveRecord& move) {
  v1::RefusalRecord refusal;
  refusal.set_entry(number);
  *refusal.mutable_time() = ToTimestamp(entry.time_us());
  refusal.set_person(entry.person());
  refusal.set_move(fmt::format("yards/{}/moves/{}", snapshot.yard, entry.move()));
  refusal.set_kind(move.kind());
  refusal.set_machine(move.machine());
  refusal.set_phase(entry.has_close_refused() ? v1::PHASE_CLOSE_OUT
                                              : entry.release_refused().phase());
  *refusal.mutable_gates() =
      entry.has_close_refused() ? entry.close_refused().gates() : entry.release_refused().gates();
  return refusal;
}

std::optional<int64_t> MoveNumber(const std::string& name, const std::string& yard) {
  const std::string prefix = fmt::format("yards/{}/moves/", yard);
  int64_t number = 0;
  if (!name.starts_with(prefix)) return std::nullopt;
  const char* end = name.data() + name.size();
  const auto result = std::from_chars(name.data() + prefix.size(), end, number);
  if (result.ec != std::errc() || result.ptr != end || number < 1) return std::nullopt;
  return number;
}

/// Hands over up to a page of rows, the list's number in their first column. The last number shown
/// where there are more rows.
template <class Take>
absl::StatusOr<std::optional<int64_t>> ReadRows(ledger::Statement& statement, int page_size,
                                                const Take& take) {
  int64_t last = 0;
  for (int rows = 0;; ++rows) {
    auto row = statement.Step();
    if (!row.ok()) return row.status();
    if (!*row) return std::nullopt;
    if (rows == page_size) return last;
    last = statement.Integer(0);
    CW_RETURN_IF_ERROR(take());
  }
}

template <class Response>
void SetProgress(const Progress& progress, Response& response) {
  response.set_as_of_entry(progress.as_of_entry);
  response.set_lag_entries(progress.lag_entries);
}

}  // namespace

absl::StatusOr<v1::ListMoveRecordsResponse> Queries::ListMoveRecords(
    const v1::ListMoveRecordsRequest& request) const {
  auto snapshot = Snapshot::Open(options_);
  if (!snapshot.ok()) return snapshot.status();
  CW_RETURN_IF_ERROR(snapshot->CheckParent(request.parent()));
  auto page_size = PageSize(request.page_size());
  if (!page_size.ok()) return page_size.status();
  auto filter = FilterFor(request);
  if (!filter.ok()) return filter.status();
  auto before = ReadPageToken(request.page_token(), request, snapshot->ledger_id);
  if (!before.ok()) return before.status();
  if (*before) filter->Add("number < ?", {**before});
  auto statement = snapshot->database.Prepare(
      fmt::format("SELECT number, record FROM moves{} ORDER BY number DESC LIMIT {}",
                  filter->Where(), *page_size + 1));
  if (!statement.ok()) return statement.status();
  filter->Bind(*statement);
  v1::ListMoveRecordsResponse response;
  SetProgress(snapshot->progress, response);
  const auto more = ReadRows(*statement, *page_size, [&] {
    response.add_records()->ParseFromString(std::string(statement->Bytes(1)));
    return absl::OkStatus();
  });
  if (!more.ok()) return more.status();
  if (*more) response.set_next_page_token(MakePageToken(**more, request, snapshot->ledger_id));
  return response;
}

absl::StatusOr<v1::ListRefusalsResponse> Queries::ListRefusals(
    const v1::ListRefusalsRequest& request) const {
  auto snapshot = Snapshot::Open(options_);
  if (!snapshot.ok()) return snapshot.status();
  CW_RETURN_IF_ERROR(snapshot->CheckParent(request.parent()));
  auto page_size = PageSize(request.page_size());
  if (!page_size.ok()) return page_size.status();
  auto filter = FilterFor(request);
  if (!filter.ok()) return filter.status();
  auto before = ReadPageToken(request.page_token(), request, snapshot->ledger_id);
  if (!before.ok()) return before.status();
  if (*before) filter->Add("entry < ?", {**before});
  auto statement = snapshot->database.Prepare(
      fmt::format("SELECT entry, record FROM refusals JOIN moves ON moves.number = refusals.move{} "
                  "ORDER BY entry DESC LIMIT {}",
                  filter->Where(), *page_size + 1));
  if (!statement.ok()) return statement.status();
  filter->Bind(*statement);
  v1::ListRefusalsResponse response;
  SetProgress(snapshot->progress, response);
  const auto more = ReadRows(*statement, *page_size, [&]() -> absl::Status {
    auto entry = snapshot->EntryAt(statement->Integer(0));
    if (!entry.ok()) return entry.status();
    v1::MoveRecord move;
    move.ParseFromString(std::string(statement->Bytes(1)));
    *response.add_refusals() = RefusalOf(*snapshot, statement->Integer(0), *entry, move);
    return absl::OkStatus();
  });
  if (!more.ok()) return more.status();
  if (*more) response.set_next_page_token(MakePageToken(**more, request, snapshot->ledger_id));
  return response;
}

absl::StatusOr<v1::MoveTimeLine> Queries::GetMoveRecord(
    const v1::GetMoveRecordRequest& request) const {
  auto snapshot = Snapshot::Open(options_);
  if (!snapshot.ok()) return snapshot.status();
  const std::optional<int64_t> number = MoveNumber(request.name(), snapshot->yard);
  const absl::Status unknown = absl::NotFoundError(
      fmt::format("no move \"{}\" up to entry {}; give yards/{}/moves/{{number}}", request.name(),
                  snapshot->progress.as_of_entry, snapshot->yard));
  if (!number) return unknown;
  auto time_line = BuildTimeLine(*snapshot, *number);
  if (!time_line.ok()) return time_line.status();
  if (time_line->record().name().empty()) return unknown;
  SetProgress(snapshot->progress, *time_line);
  return time_line;
}

absl::StatusOr<v1::MovesSummary> Queries::SummariseMoves(
    const v1::SummariseMovesRequest& request) const {
  auto snapshot = Snapshot::Open(options_);
  if (!snapshot.ok()) return snapshot.status();
  CW_RETURN_IF_ERROR(snapshot->CheckParent(request.parent()));
  constexpr int kMostOffset = 840;
  if (std::abs(int64_t{request.utc_offset_minutes()}) > kMostOffset) {
    return absl::InvalidArgumentError(fmt::format("utc_offset_minutes: it is {}; give -{} to {}",
                                                  request.utc_offset_minutes(), kMostOffset,
                                                  kMostOffset));
  }
  auto kinds = KindValues(request.kinds());
  if (!kinds.ok()) return kinds.status();
  Filter filter;
  filter.AddAny("kind", *std::move(kinds));
  CW_RETURN_IF_ERROR(AddWindow("request_us", WindowOf(request), filter));
  auto summary = BuildSummary(*snapshot, filter, request.utc_offset_minutes());
  if (!summary.ok()) return summary.status();
  SetProgress(snapshot->progress, *summary);
  return summary;
}

}  // namespace chockwise::history
