// One structured line for each decision, on standard error:
//
//   time=2026-11-24T23:28:52.123456Z level=info yard=north person=ada verb=confirm move=17
//   outcome=OK entry=812 micros=340
//
// `time` is the yard's, `micros` runs from the posting of the call to its answer; `entry` is
// missing where nothing was recorded. Secrets and free text never reach it.
//
// Lines are made by the completer and written by a thread of the logging library; where standard
// error is read too slowly the oldest lines are dropped, never a decision held up.
#pragma once

#include <grpcpp/support/status.h>

#include <chrono>
#include <memory>
#include <span>
#include <string>
#include <vector>

#include "chockwise/v1/entries.pb.h"
#include "services/fit/instant.h"

namespace spdlog {
class logger;
}

namespace chockwise::server {

struct DecisionNote {
  std::string person;  // empty: the system
  v1::Command::VerbCase verb = v1::Command::VERB_NOT_SET;
  int64_t move = 0;  // 0: none
  grpc::StatusCode outcome = grpc::StatusCode::OK;
  int64_t entry = -1;  // -1: nothing was recorded
  bool repeat = false;
  fit::Instant time;
  std::chrono::steady_clock::time_point posted;
};

class DecisionLog {
 public:
  DecisionLog(std::shared_ptr<spdlog::logger> logger, std::string yard);

  /// All lines of a batch, as one message to the logger. `instead` replaces the outcomes where the
  /// batch failed as a whole.
  void Write(std::span<const DecisionNote> notes, grpc::StatusCode instead = grpc::StatusCode::OK);

 private:
  const std::shared_ptr<spdlog::logger> logger_;
  const std::string yard_;
};

/// "confirm": the name of the verb's field.
const std::string& VerbName(v1::Command::VerbCase verb);

/// "2026-11-24T23:28:52.123456Z" (RFC 3339), with as many digits as the instant has.
std::string Rfc3339(fit::Instant time);

enum class Severity { kInfo, kWarning, kError };
/// A line about the service itself: time (the wall's), level, and `text`, which begins with
/// "event=".
void LogEvent(spdlog::logger& logger, Severity severity, const std::string& text);

/// The server's logger: asynchronous, to standard error, the oldest lines dropped when the queue is
/// full. `level`: trace, debug, info, warn, error or off.
std::shared_ptr<spdlog::logger> MakeLogger(const std::string& level);

}  // namespace chockwise::server
