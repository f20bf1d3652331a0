// Answers the questions of HistoryService from the projection and the ledger.
//
// Messages in, messages out; who may ask, and the wire, are the server's. Errors: INVALID_ARGUMENT
// names the field and what would be right; NOT_FOUND: no such yard or move; UNAVAILABLE: the
// projection is being made anew, ask again; DATA_LOSS: the ledger is damaged.
//
// Safe from any thread: each answer opens the projection and a reader of the ledger for itself
// (together below a millisecond) and sees one state of the projection throughout.
//
//   Queries queries({.projection_path = "north.history",
//                    .open_reader = [&] { return ledger->NewReader(); }});
//   auto page = queries.ListMoveRecords(request);
#pragma once

#include <absl/status/statusor.h>

#include <functional>
#include <memory>
#include <string>

#include "chockwise/v1/history.pb.h"
#include "services/ledger/reader.h"

namespace chockwise::history {

inline constexpr int kDefaultPageSize = 50;
inline constexpr int kMaxPageSize = 200;
/// Entries of a time line, and filters of one request.
inline constexpr int kMaxTimeLineEntries = 2000;
inline constexpr int kMaxFilterValues = 100;
/// Longest id in a filter, in bytes; longer ones name nothing.
inline constexpr size_t kMaxFilterBytes = 80;

struct QueriesOptions {
  std::string projection_path;
  std::function<absl::StatusOr<std::unique_ptr<ledger::Reader>>()> open_reader;
};

class Queries {
 public:
  explicit Queries(QueriesOptions options) : options_(std::move(options)) {}

  absl::StatusOr<v1::ListMoveRecordsResponse> ListMoveRecords(
      const v1::ListMoveRecordsRequest& request) const;
  absl::StatusOr<v1::MoveTimeLine> GetMoveRecord(const v1::GetMoveRecordRequest& request) const;
  absl::StatusOr<v1::ListRefusalsResponse> ListRefusals(
      const v1::ListRefusalsRequest& request) const;
  /// Reads every move of the window: about a second per 100,000 moves.
  absl::StatusOr<v1::MovesSummary> SummariseMoves(const v1::SummariseMovesRequest& request) const;

 private:
  const QueriesOptions options_;
};

}  // namespace chockwise::history
