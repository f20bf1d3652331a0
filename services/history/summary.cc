// Counts over moves: the tallies that the follower kept of each, added up.
#include <algorithm>
#include <map>
#include <vector>

#include "services/history/move_fold.h"
#include "services/history/time_line.h"

namespace chockwise::history {
namespace {

constexpr int64_t kMicrosPerMinute = 60'000'000;
constexpr int64_t kMinutesPerDay = 24 * 60;

int HourOf(int64_t time_us, int utc_offset_minutes) {
  const int64_t minutes = time_us / kMicrosPerMinute + utc_offset_minutes;
  const int64_t of_day = (minutes % kMinutesPerDay + kMinutesPerDay) % kMinutesPerDay;
  return static_cast<int>(of_day / 60);
}

void SetMedian(std::vector<int64_t>& spans_us, v1::MovesSummary& summary) {
  if (spans_us.empty()) return;
  auto middle = spans_us.begin() + static_cast<std::ptrdiff_t>((spans_us.size() - 1) / 2);
  std::ranges::nth_element(spans_us, middle);
  google::protobuf::Duration& median = *summary.mutable_median_request_to_begin();
  median.set_seconds(*middle / 1'000'000);
  median.set_nanos(static_cast<int32_t>(*middle % 1'000'000 * 1000));
}

void Sort(v1::MovesSummary& summary) {
  std::ranges::sort(*summary.mutable_kinds(), {},
                    [](const v1::KindCount& kind) { return kind.kind(); });
  std::ranges::sort(*summary.mutable_stops(), {},
                    [](const v1::StopCount& stop) { return stop.cause(); });
  std::ranges::sort(*summary.mutable_count_mismatches(), {},
                    [](const v1::CountMismatch& count) { return count.item(); });
  std::ranges::sort(*summary.mutable_gates(), [](const v1::GateCount& a, const v1::GateCount& b) {
    return a.kept_back() != b.kept_back() ? a.kept_back() > b.kept_back()
                                          : a.gate_id() < b.gate_id();
  });
}

}  // namespace

absl::StatusOr<v1::MovesSummary> BuildSummary(Snapshot& snapshot, const Filter& filter,
                                              int utc_offset_minutes) {
  auto statement = snapshot.database.Prepare("SELECT tally, record FROM moves" + filter.Where());
  if (!statement.ok()) return statement.status();
  filter.Bind(*statement);
  v1::MovesSummary summary;
  v1::MovesSummary tally;
  v1::MoveRecord record;
  std::map<int, int64_t> hours;
  std::vector<int64_t> spans_us;
  while (true) {
    auto row = statement->Step();
    if (!row.ok()) return row.status();
    if (!*row) break;
    const std::string_view tally_bytes = statement->Bytes(0);
    const std::string_view record_bytes = statement->Bytes(1);
    if (!tally.ParseFromArray(tally_bytes.data(), static_cast<int>(tally_bytes.size())) ||
        !record.ParseFromArray(record_bytes.data(), static_cast<int>(record_bytes.size()))) {
      return absl::UnavailableError(
          "the history's file is damaged; delete it, and it is read anew from the ledger");
    }
    AddTally(tally, summary);
    const int64_t request_us = ToMicros(record.request_time());
    ++hours[HourOf(request_us, utc_offset_minutes)];
    if (record.has_begin_time()) spans_us.push_back(ToMicros(record.begin_time()) - request_us);
  }
  for (const auto& [hour, moves] : hours) {
    v1::HourCount& count = *summary.add_hours();
    count.set_hour(hour);
    count.set_moves(moves);
  }
  SetMedian(spans_us, summary);
  Sort(summary);
  return summary;
}

}  // namespace chockwise::history
