#include "services/history/snapshot.h"

#include <fmt/format.h>

#include "services/history/move_fold.h"
#include "services/ledger/status.h"

namespace chockwise::history {
namespace {

/// Years 1 to 9999, as google.protobuf.Timestamp has it.
constexpr int64_t kFirstSecond = -62'135'596'800;
constexpr int64_t kLastSecond = 253'402'300'799;

absl::Status CheckTime(std::string_view field, const google::protobuf::Timestamp& time) {
  const bool right = time.seconds() >= kFirstSecond && time.seconds() <= kLastSecond &&
                     time.nanos() >= 0 && time.nanos() <= 999'999'999;
  if (right) return absl::OkStatus();
  return absl::InvalidArgumentError(
      fmt::format("{}: {} s and {} ns is no time; give one of the years 1 to 9999", field,
                  time.seconds(), time.nanos()));
}

}  // namespace

absl::StatusOr<Snapshot> Snapshot::Open(const QueriesOptions& options) {
  auto database = ReadProjection(options.projection_path);
  if (!database.ok()) return database.status();
  auto reader = options.open_reader();
  if (!reader.ok()) return reader.status();
  Snapshot snapshot{.database = *std::move(database),
                    .reader = *std::move(reader),
                    .yard = {},
                    .ledger_id = {},
                    .progress = {}};
  // The first read fixes what all later ones of this transaction see.
  CW_RETURN_IF_ERROR(snapshot.database.Run("BEGIN"));
  auto yard = ReadMeta(snapshot.database, "yard");
  auto id = ReadMeta(snapshot.database, "ledger_id");
  auto progress = ProgressOf(snapshot.database, *snapshot.reader);
  if (!progress.ok()) return progress.status();
  if (!yard.ok() || !id.ok())
    return absl::UnavailableError("the history is being read anew from the ledger; ask again");
  snapshot.yard = *yard;
  snapshot.ledger_id = *id;
  snapshot.progress = *progress;
  return snapshot;
}

absl::Status Snapshot::CheckParent(const std::string& parent) const {
  if (parent == "yards/" + yard) return absl::OkStatus();
  return absl::NotFoundError(
      fmt::format("no yard \"{}\"; this is the history of yards/{}", parent, yard));
}

absl::StatusOr<v1::Entry> Snapshot::EntryAt(int64_t number) const {
  auto page = reader->Read(static_cast<uint64_t>(number), 1);
  if (!page.ok()) return page.status();
  v1::Entry entry;
  if (page->empty() || !entry.ParseFromString(page->front().bytes)) {
    return absl::DataLossError(
        fmt::format("entry {} does not read: run `chockwise ledger verify`", number));
  }
  return entry;
}

void Filter::Add(std::string_view condition, std::vector<Value> values) {
  conditions_.emplace_back(condition);
  for (Value& value : values) values_.push_back(std::move(value));
}

void Filter::AddAny(std::string_view column, std::vector<Value> values) {
  if (values.empty()) return;
  std::string marks;
  for (size_t i = 0; i < values.size(); ++i) marks += i == 0 ? "?" : ", ?";
  Add(fmt::format("{} IN ({})", column, marks), std::move(values));
}

void Filter::AddText(std::string_view condition, const std::string& text) {
  if (!text.empty()) Add(condition, {text});
}

std::string Filter::Where() const {
  std::string where;
  for (const std::string& condition : conditions_)
    where += (where.empty() ? " WHERE " : " AND ") + condition;
  return where;
}

void Filter::Bind(ledger::Statement& statement) const {
  for (size_t i = 0; i < values_.size(); ++i) {
    const int index = static_cast<int>(i) + 1;
    if (const auto* number = std::get_if<int64_t>(&values_[i])) {
      statement.Bind(index, *number);
    } else {
      statement.BindText(index, std::get<std::string>(values_[i]));
    }
  }
}

absl::StatusOr<std::vector<Filter::Value>> KindValues(
    const google::protobuf::RepeatedPtrField<std::string>& kinds) {
  if (kinds.size() > kMaxFilterValues) {
    return absl::InvalidArgumentError(
        fmt::format("kinds: {} are given, at most {}", kinds.size(), kMaxFilterValues));
  }
  std::vector<Filter::Value> values;
  for (const std::string& kind : kinds) {
    CW_RETURN_IF_ERROR(CheckTexts({{"kinds", kind}}));
    values.emplace_back(kind);
  }
  return values;
}

absl::Status CheckTexts(std::initializer_list<FieldText> texts) {
  for (const FieldText& text : texts) {
    if (text.text.size() <= kMaxFilterBytes) continue;
    return absl::InvalidArgumentError(fmt::format("{}: {} bytes long, ids have at most {}",
                                                  text.field, text.text.size(), kMaxFilterBytes));
  }
  return absl::OkStatus();
}

absl::Status AddWindow(std::string_view column, const Window& window, Filter& filter) {
  if (window.from != nullptr) {
    CW_RETURN_IF_ERROR(CheckTime("from_time", *window.from));
    filter.Add(fmt::format("{} >= ?", column), {ToMicros(*window.from)});
  }
  if (window.to != nullptr) {
    CW_RETURN_IF_ERROR(CheckTime("to_time", *window.to));
    filter.Add(fmt::format("{} < ?", column), {ToMicros(*window.to)});
  }
  if (window.from != nullptr && window.to != nullptr &&
      ToMicros(*window.to) <= ToMicros(*window.from)) {
    return absl::InvalidArgumentError("to_time: it must be after from_time");
  }
  return absl::OkStatus();
}

absl::StatusOr<int> PageSize(int asked) {
  if (asked < 0)
    return absl::InvalidArgumentError(
        fmt::format("page_size: it is {}; give 0 to {}", asked, kMaxPageSize));
  return asked == 0 ? kDefaultPageSize : std::min(asked, kMaxPageSize);
}

}  // namespace chockwise::history
