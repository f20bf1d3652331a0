#include "services/server/yard_writer.h"

#include <fmt/format.h>
#include <spdlog/spdlog.h>

#include <algorithm>

#include "services/ledger/limits.h"
#include "services/moves/decide.h"
#include "services/moves/names.h"
#include "services/server/failure.h"
#include "services/server/status_mapping.h"

namespace chockwise::server {
namespace {

using std::chrono::steady_clock;

/// However many entries there are, signing does not take the writer's time more often than this.
constexpr std::chrono::milliseconds kLeastCheckpointPeriod{1'000};

absl::Status Unknown() {
  return absl::UnavailableError(
      "what you asked may or may not be recorded: send the same request with the same request_id "
      "again");
}

// The move that a command names; 0 where it names none.
int64_t MoveIn(const v1::Command& command, const std::string& yard_id) {
  const google::protobuf::Reflection* reflection = command.GetReflection();
  const google::protobuf::FieldDescriptor* verb = reflection->GetOneofFieldDescriptor(
      command, v1::Command::descriptor()->FindOneofByName("verb"));
  if (verb == nullptr) return 0;
  const google::protobuf::FieldDescriptor* name = verb->message_type()->FindFieldByName("name");
  if (name == nullptr) return 0;
  const google::protobuf::Message& request = reflection->GetMessage(command, verb);
  return moves::NumberIn(request.GetReflection()->GetString(request, name), yard_id, "moves")
      .value_or(0);
}

}  // namespace

// --- Turns ---------------------------------------------------------------------------------------

void YardWriter::Run() {
  while (TakeJobs()) {
    LookAtTime();
    GiveTurns();
    absl::Status committed = Commit();
    if (committed.ok() && completer_.failed())
      committed = absl::UnavailableError("the head could not be written");
    if (!committed.ok()) Recover(committed);
  }
  // Without new entries there is nothing to sign, and after a failure nothing that could be
  // trusted.
  if (unsigned_entries_ > 0 && rebuilt_->ledger != nullptr && rebuilt_->ledger->health().ok()) {
    if (absl::Status last = SignCheckpoint(); !last.ok()) {
      LogEvent(*options_.logger, Severity::kError,
               fmt::format("event=last_checkpoint_failed why=\"{}\"", Why(last)));
    }
  }
  completer_.WaitIdle();
}

bool YardWriter::TakeJobs() {
  if (closed_) return false;
  if (next_ordinary_ < taken_.ordinary.size()) {
    taken_.stops = mailbox_.TakeStops();
    return true;
  }
  taken_ = mailbox_.Take(std::move(taken_));
  next_ordinary_ = 0;
  return !taken_.closed;
}

void YardWriter::LookAtTime() {
  turn_begins_ = steady_clock::now();
  if (const std::optional<fit::Duration> step = options_.clock->TakeStep()) {
    v1::Command command;  // Law 7: before anything is judged by the new time.
    command.mutable_clock_step()->set_by_us(step->micros());
    Record(command);
  }
  const moves::YardState& state = rebuilt_->state;
  if (turn_begins_ >= next_tick_ && (!state.live.empty() || state.shift)) {
    next_tick_ = turn_begins_ + kTickPeriod;
    v1::Command command;
    command.mutable_tick();
    Record(command);
  }
}

void YardWriter::GiveTurns() {
  for (std::unique_ptr<Job>& job : taken_.stops) GiveTurn(std::move(job));
  taken_.stops.clear();
  while (next_ordinary_ < taken_.ordinary.size()) {
    if (entries_used_ >= kMaxBatchEntries || entries_bytes_ >= kMaxBatchBytes) return;
    if (mailbox_.stops_wait()) {
      // Law 5: a stop that comes now is decided now, and is committed without what waits behind it.
      for (std::unique_ptr<Job>& job : mailbox_.TakeStops()) GiveTurn(std::move(job));
      return;
    }
    GiveTurn(std::move(taken_.ordinary[next_ordinary_++]));
  }
}

void YardWriter::GiveTurn(std::unique_ptr<Job> job) {
  absl::Status dropped;
  if (job->lane() == Job::Lane::kOrdinary && job->deadline < std::chrono::system_clock::now()) {
    dropped = absl::DeadlineExceededError(
        "the deadline passed while the call waited; nothing was recorded");
  } else {
    turn_begins_ = job->posted;
    job->Work(*this);
  }
  batch_.rides.push_back({.job = std::move(job), .dropped = std::move(dropped)});
}

// --- Judging -------------------------------------------------------------------------------------

Verdict YardWriter::Record(const v1::Command& command) {
  std::optional<Verdict> verdict = Recall(command);
  if (!verdict) verdict = Judge(command);
  Note(command, *verdict);
  return *std::move(verdict);
}

Verdict YardWriter::Judge(const v1::Command& command) {
  const fit::Instant at = now();
  moves::Outcome<moves::Entries> outcome = moves::Decide(rebuilt_->state, command, at);
  if (!outcome) return std::move(outcome.error());
  if (outcome->empty()) return moves::Refusal{};  // a tick that found nothing due
  const int64_t first = batch_first_ + static_cast<int64_t>(entries_used_);
  if (!Serialise(*outcome)) {
    return moves::RefuseExhausted(
               fmt::format("this needs more than the {} bytes that one entry of the ledger holds",
                           ledger::kMaxEntryBytes),
               "Make it smaller: a yard's files together, mostly the map.")
        .value();
  }
  int64_t number = first;
  for (const v1::Entry& entry : *outcome) {
    rebuilt_->Take(entry, number++);
    if (std::optional<IdentityChange> change = IdentityChangeOf(rebuilt_->state, entry)) {
      batch_.identity_changes.push_back(*std::move(change));
    }
    checkpoint_wanted_ |= entry.has_shift_ended();
  }
  options_.watchers->NoteEntries(rebuilt_->state, *outcome, first, at, batch_.news);
  return Recorded{.entry = std::move(outcome->front()), .number = first, .repeat = false};
}

// False, with nothing kept, where an entry is larger than the ledger takes: better now than when it
// is applied.
bool YardWriter::Serialise(const moves::Entries& entries) {
  const size_t used_before = entries_used_;
  for (const v1::Entry& entry : entries) {
    if (entries_used_ == entries_.size()) entries_.emplace_back();
    std::string& bytes = entries_[entries_used_++];
    bytes.clear();
    if (!entry.AppendToString(&bytes) || bytes.size() > ledger::kMaxEntryBytes) {
      entries_used_ = used_before;
      return false;
    }
    entries_bytes_ += bytes.size();
  }
  return true;
}

std::optional<Verdict> YardWriter::Recall(const v1::Command& command) {
  if (command.request_id().empty()) return std::nullopt;
  const std::optional<RequestMemory::Found> found =
      rebuilt_->memory.Find({.person = command.person(),
                             .request_id = command.request_id(),
                             .digest = command.request_digest()});
  if (!found) return std::nullopt;
  if (!found->same_body) {
    return moves::RefuseField(
               "request_id", "was used before for another request; make a new one for each request")
        .value();
  }
  absl::StatusOr<v1::Entry> entry = RecordedEntry(found->entry);
  if (!entry.ok()) return entry.status();
  return Recorded{.entry = *std::move(entry), .number = found->entry, .repeat = true};
}

absl::StatusOr<v1::Entry> YardWriter::RecordedEntry(int64_t number) {
  v1::Entry entry;
  if (number >= batch_first_) {
    const std::string& bytes = entries_[static_cast<size_t>(number - batch_first_)];
    if (entry.ParseFromString(bytes)) return entry;
  } else {
    absl::StatusOr<std::vector<ledger::Entry>> read =
        reader_->Read(static_cast<uint64_t>(number), 1);
    if (!read.ok())
      return absl::UnavailableError(
          fmt::format("your first answer cannot be read: {}", Why(read.status())));
    if (read->size() == 1 && entry.ParseFromString(read->front().bytes)) return entry;
  }
  return absl::UnavailableError(
      fmt::format("your first answer is entry {} and cannot be read", number));
}

std::optional<int64_t> YardWriter::EntryOfVersion(int64_t version) const {
  const auto found = rebuilt_->entry_of_version.find(version);
  if (found == rebuilt_->entry_of_version.end()) return std::nullopt;
  return found->second;
}

void YardWriter::Note(const v1::Command& command, const Verdict& verdict) {
  DecisionNote note{.person = command.person(),
                    .verb = command.verb_case(),
                    .move = 0,
                    .outcome = grpc::StatusCode::OK,
                    .entry = -1,
                    .repeat = false,
                    .time = now(),
                    .posted = turn_begins_};
  if (const auto* recorded = std::get_if<Recorded>(&verdict)) {
    const v1::Entry& entry = recorded->entry;
    if (entry.has_release_refused() || entry.has_close_refused())
      note.outcome = grpc::StatusCode::FAILED_PRECONDITION;
    note.move = entry.move();
    note.entry = recorded->number;
    note.repeat = recorded->repeat;
  } else {
    if (command.has_tick()) return;  // nothing was due
    note.move = MoveIn(command, identity_.yard);
    const auto* refusal = std::get_if<moves::Refusal>(&verdict);
    note.outcome =
        refusal != nullptr ? CodeOf(refusal->kind) : CodeOf(std::get<absl::Status>(verdict).code());
  }
  batch_.notes.push_back(std::move(note));
}

// --- Committing ----------------------------------------------------------------------------------

absl::Status YardWriter::Commit() {
  if (batch_.empty()) return CheckpointDue() ? SignCheckpoint() : absl::OkStatus();
  const bool appended = entries_used_ > 0;
  absl::Status committed = AppendEntries();
  if (committed.ok() && !wishes_.empty()) committed = SignCheckpoint();
  if (committed.ok()) {
    // If we die here: the batch is in the database, the head does not know it and nobody was told;
    // a repeat finds it.
    batch_.head = rebuilt_->ledger->head();
    batch_.has_head = appended;
  } else {
    batch_.failure = Unknown();
  }
  wishes_.clear();
  completer_.Hand(std::exchange(batch_, {}));
  if (committed.ok() && CheckpointDue()) committed = SignCheckpoint();
  return committed;
}

absl::Status YardWriter::AppendEntries() {
  std::span<const std::string> left(entries_.data(), entries_used_);
  while (!left.empty()) {
    // One command may leave more than the ledger takes at once, when a yard full of moves is held:
    // then in several.
    const size_t count = std::min(left.size(), ledger::kMaxBatchEntries);
    absl::StatusOr<ledger::Head> head = rebuilt_->ledger->Append(left.first(count));
    if (!head.ok()) return head.status();
    left = left.subspan(count);
  }
  batch_first_ += static_cast<int64_t>(entries_used_);
  unsigned_entries_ += static_cast<int64_t>(entries_used_);
  entries_used_ = 0;
  entries_bytes_ = 0;
  return absl::OkStatus();
}

bool YardWriter::CheckpointDue() const {
  if (unsigned_entries_ == 0) return false;
  if (checkpoint_wanted_) return true;
  const auto since = steady_clock::now() - last_checkpoint_;
  if (unsigned_entries_ >= options_.checkpoints.entries) return since >= kLeastCheckpointPeriod;
  return since >= options_.checkpoints.period;
}

absl::Status YardWriter::SignCheckpoint() {
  if (unsigned_entries_ > 0 || !latest_checkpoint_) {
    absl::StatusOr<ledger::Checkpoint> checkpoint =
        rebuilt_->ledger->SignCheckpoint(now().micros());
    if (!checkpoint.ok()) return checkpoint.status();
    // If we die here: the checkpoint is stored; it says no more than the tree does.
    latest_checkpoint_ = *std::move(checkpoint);
    unsigned_entries_ = 0;
    checkpoint_wanted_ = false;
    last_checkpoint_ = steady_clock::now();
  }
  for (ledger::Checkpoint* wish : wishes_) *wish = *latest_checkpoint_;
  return absl::OkStatus();
}

}  // namespace chockwise::server
