// One state of the projection with the ledger behind it, for the time of one answer. Private to the
// room; one thread.
#pragma once

#include <absl/status/statusor.h>

#include <cstdint>
#include <memory>
#include <string>
#include <string_view>
#include <variant>
#include <vector>

#include "chockwise/v1/entries.pb.h"
#include "services/history/projection.h"
#include "services/history/queries.h"

namespace chockwise::history {

struct Snapshot {
  ledger::Database database;
  std::unique_ptr<ledger::Reader> reader;
  std::string yard;
  std::string ledger_id;
  Progress progress;

  static absl::StatusOr<Snapshot> Open(const QueriesOptions& options);

  /// NOT_FOUND unless the name is "yards/{yard}" of this ledger.
  absl::Status CheckParent(const std::string& parent) const;

  /// An entry of the ledger. DATA_LOSS where it is not there or does not read.
  absl::StatusOr<v1::Entry> EntryAt(int64_t number) const;
};

/// The conditions of a SELECT, all of which must hold, with their values.
class Filter {
 public:
  using Value = std::variant<int64_t, std::string>;

  /// A condition with one '?' for each value.
  void Add(std::string_view condition, std::vector<Value> values);
  /// "column IN (?, …)"; nothing where there are no values.
  void AddAny(std::string_view column, std::vector<Value> values);
  /// Only where the text is not empty.
  void AddText(std::string_view condition, const std::string& text);

  /// "" or " WHERE a AND b".
  std::string Where() const;
  void Bind(ledger::Statement& statement) const;
  /// The values of further '?' behind the conditions begin here.
  int next_index() const { return static_cast<int>(values_.size()) + 1; }

 private:
  std::vector<std::string> conditions_;
  std::vector<Value> values_;
};

/// The kinds of a request as values. INVALID_ARGUMENT where there are too many or one is too long.
absl::StatusOr<std::vector<Filter::Value>> KindValues(
    const google::protobuf::RepeatedPtrField<std::string>& kinds);

struct FieldText {
  std::string_view field;
  const std::string& text;
};
/// INVALID_ARGUMENT where a filter is longer than any id.
absl::Status CheckTexts(std::initializer_list<FieldText> texts);

struct Window {
  const google::protobuf::Timestamp* from = nullptr;  // null: no bound
  const google::protobuf::Timestamp* to = nullptr;
};
template <class Request>
Window WindowOf(const Request& request) {
  return {.from = request.has_from_time() ? &request.from_time() : nullptr,
          .to = request.has_to_time() ? &request.to_time() : nullptr};
}
/// INVALID_ARGUMENT where one of them is no time, or to_time is not after from_time.
absl::Status AddWindow(std::string_view column, const Window& window, Filter& filter);

/// 0 is the default; more than the most is cut. INVALID_ARGUMENT below 0.
absl::StatusOr<int> PageSize(int asked);

}  // namespace chockwise::history
