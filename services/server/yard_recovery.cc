// How a yard begins, ends, and begins again after something could not be written.
#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>

#include "services/server/failure.h"
#include "services/server/status_mapping.h"
#include "services/server/yard_writer.h"

namespace chockwise::server {
namespace {

using std::chrono::steady_clock;

constexpr std::chrono::milliseconds kFirstRetry{1'000};
constexpr std::chrono::milliseconds kLongestRetry{30'000};

// What a person can do while the ledger cannot be written: the trade's own signals need no server.
constexpr const char* kByHand =
    "nothing is recorded meanwhile: stop by voice and hand, and move nothing";

bool IsForPeople(const absl::Status& status) {
  return absl::IsDataLoss(status) || absl::IsFailedPrecondition(status) || absl::IsNotFound(status);
}

}  // namespace

absl::StatusOr<std::unique_ptr<YardWriter>> YardWriter::Start(Options options) {
  absl::StatusOr<std::unique_ptr<Rebuilt>> rebuilt = Rebuild(options.ledger);
  if (!rebuilt.ok()) return rebuilt.status();
  if ((*rebuilt)->state.yard == nullptr) {
    const std::string& trouble = (*rebuilt)->state.version.trouble;
    return absl::FailedPreconditionError(
        trouble.empty()
            ? fmt::format("the ledger {} has no yard in it; make it with `chockwised init`",
                          options.ledger.database_path)
            : fmt::format("this build cannot read the yard that is in force: {}", trouble));
  }
  options.clock->ContinueFrom((*rebuilt)->state.last_time);
  std::unique_ptr<YardWriter> writer(new YardWriter(std::move(options), *std::move(rebuilt)));
  if (absl::Status begun = writer->BeginServing(); !begun.ok()) return begun;
  for (const std::string& note : writer->open_report_.notes) {
    LogEvent(*writer->options_.logger, Severity::kWarning,
             fmt::format("event=ledger_opened note=\"{}\"", note));
  }
  writer->thread_ = std::thread([raw = writer.get()] { raw->Run(); });
  writer->ticker_ = std::thread([raw = writer.get()] {
    std::unique_lock lock(raw->ticker_mutex_);
    while (!raw->ticker_wake_.wait_for(lock, kTickPeriod, [raw] { return raw->ticker_stop_; }))
      raw->mailbox_.Nudge();
  });
  return writer;
}

YardWriter::YardWriter(Options options, std::unique_ptr<Rebuilt> rebuilt)
    : options_(std::move(options)),
      log_(options_.logger, rebuilt->ledger->identity().yard),
      mailbox_(options_.most_waiting),
      identity_(rebuilt->ledger->identity()),
      open_report_(rebuilt->ledger->open_report()),
      rebuilt_(std::move(rebuilt)),
      completer_({
          .write_head =
              [this](const ledger::Head& head) { return rebuilt_->ledger->WriteHead(head); },
          .acknowledged =
              [this](int64_t entries) { acknowledged_.store(entries, std::memory_order_release); },
          .failed = [this] { mailbox_.Nudge(); },
          .identities = options_.identities,
          .watchers = options_.watchers,
          .log = &log_,
      }) {}

YardWriter::~YardWriter() { Drain(); }

void YardWriter::Drain() {
  if (!thread_.joinable()) return;
  Enter(Phase::kDraining,
        absl::UnavailableError("the service is shutting down; ask again when it is back"));
  mailbox_.Close();
  thread_.join();
  {
    const std::lock_guard lock(ticker_mutex_);
    ticker_stop_ = true;
  }
  ticker_wake_.notify_all();
  ticker_.join();
  const std::lock_guard lock(ledger_mutex_);
  reader_.reset();
  if (rebuilt_ != nullptr) rebuilt_->ledger.reset();
}

void YardWriter::Post(std::unique_ptr<Job> job) {
  job->posted = steady_clock::now();
  const Phase phase = phase_.load(std::memory_order_acquire);
  const bool stop = job->lane() == Job::Lane::kStop;
  // A stop waits for the rebuilt yard, which takes it first; everything else is asked again by its
  // caller.
  const bool taken = phase == Phase::kServing || (phase == Phase::kRecovering && stop);
  absl::Status posted = taken ? mailbox_.Post(std::move(job)) : health();
  if (!posted.ok()) job->Fail(posted);
}

absl::Status YardWriter::health() const {
  const std::lock_guard lock(phase_mutex_);
  return reason_;
}

void YardWriter::Enter(Phase phase, absl::Status reason) {
  {
    const std::lock_guard lock(phase_mutex_);
    if (phase_ == Phase::kDraining) return;
    phase_.store(phase, std::memory_order_release);
    reason_ = std::move(reason);
  }
  if (options_.serving_changed) options_.serving_changed(phase == Phase::kServing);
}

absl::StatusOr<std::unique_ptr<ledger::Reader>> YardWriter::NewReader() const {
  const std::lock_guard lock(ledger_mutex_);
  if (rebuilt_ == nullptr || rebuilt_->ledger == nullptr)
    return absl::UnavailableError("the ledger is closed");
  return rebuilt_->ledger->NewReader();
}

/// Law 7: whatever the ledger left released or under way is taken back before anybody is served.
absl::Status YardWriter::BeginServing() {
  absl::StatusOr<std::unique_ptr<ledger::Reader>> reader = NewReader();
  if (!reader.ok()) return reader.status();
  reader_ = *std::move(reader);
  batch_ = {};
  entries_used_ = 0;
  entries_bytes_ = 0;
  wishes_.clear();
  batch_first_ = static_cast<int64_t>(rebuilt_->ledger->head().size);
  unsigned_entries_ = static_cast<int64_t>(rebuilt_->ledger->open_report().unsigned_entries);
  latest_checkpoint_.reset();
  last_checkpoint_ = steady_clock::now();
  turn_begins_ = steady_clock::now();
  v1::Command restart;
  restart.mutable_restart();
  Record(restart);
  if (absl::Status appended = AppendEntries(); !appended.ok()) return appended;
  const ledger::Head head = rebuilt_->ledger->head();
  if (absl::Status written = rebuilt_->ledger->WriteHead(head); !written.ok()) return written;
  acknowledged_.store(static_cast<int64_t>(head.size), std::memory_order_release);
  options_.identities->Reset(rebuilt_->state);
  log_.Write(batch_.notes);
  Enter(Phase::kServing, absl::OkStatus());
  options_.watchers->NoteAll(rebuilt_->state, now(), batch_.news);
  options_.watchers->Send(batch_.news);
  batch_ = {};
  return absl::OkStatus();
}

void YardWriter::Recover(const absl::Status& why) {
  Enter(Phase::kRecovering,
        absl::UnavailableError("the yard is being rebuilt from its ledger; ask again in a moment"));
  LogEvent(*options_.logger, Severity::kError,
           fmt::format("event=commit_failed yard={} why=\"{}\"", identity_.yard, Why(why)));
  completer_.WaitIdle();
  FailTaken(health());
  for (std::chrono::milliseconds wait = kFirstRetry;; wait = std::min(wait * 2, kLongestRetry)) {
    const absl::Status reopened = Reopen();
    if (reopened.ok()) return;
    LogEvent(*options_.logger, Severity::kError,
             fmt::format("event=yard_down yard={} why=\"{}\"", identity_.yard, Why(reopened)));
    Enter(Phase::kDown,
          absl::UnavailableError(fmt::format("the yard is down; {}. {}", kByHand, Why(reopened))));
    if (!StayDown(reopened, wait)) return;
    Enter(Phase::kRecovering, health());
  }
}

absl::Status YardWriter::Reopen() {
  {
    const std::lock_guard lock(ledger_mutex_);
    reader_.reset();
    rebuilt_->ledger.reset();
  }
  ledger::LedgerOptions options = options_.ledger;
  options.mode = ledger::OpenMode::kExisting;
  absl::StatusOr<std::unique_ptr<Rebuilt>> rebuilt = Rebuild(options);
  if (!rebuilt.ok()) return rebuilt.status();
  {
    const std::lock_guard lock(ledger_mutex_);
    rebuilt_ = *std::move(rebuilt);
  }
  completer_.Resume();
  return BeginServing();
}

// Fails whatever comes meanwhile. False: the service ends.
bool YardWriter::StayDown(const absl::Status& why, std::chrono::milliseconds wait) {
  const auto until = steady_clock::now() + wait;
  while (IsForPeople(why) || steady_clock::now() < until) {
    FailTaken(health());
    taken_ = mailbox_.Take(std::move(taken_));  // the ticker's nudges come by
    next_ordinary_ = 0;
    if (taken_.closed) {
      closed_ = true;
      return false;
    }
  }
  FailTaken(health());
  return true;
}

void YardWriter::FailTaken(const absl::Status& why) {
  for (std::unique_ptr<Job>& job : taken_.stops) job->Fail(why);
  for (; next_ordinary_ < taken_.ordinary.size(); ++next_ordinary_)
    taken_.ordinary[next_ordinary_]->Fail(why);
  taken_.stops.clear();
  taken_.ordinary.clear();
  next_ordinary_ = 0;
  for (const std::unique_ptr<Job>& job : mailbox_.TakeOrdinary()) job->Fail(why);
}

}  // namespace chockwise::server
