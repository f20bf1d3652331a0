#include "services/ledger/ledger.h"

#include <fmt/format.h>

#include <algorithm>
#include <filesystem>

#include "services/ledger/limits.h"
#include "services/ledger/status.h"

namespace chockwise::ledger {
namespace {

absl::Status CheckOptions(const LedgerOptions& options) {
  if (options.database_path.empty() || options.head_path.empty()) {
    return absl::InvalidArgumentError(
        "a ledger needs a path for its database and one for its head");
  }
  if (!options.key) return absl::InvalidArgumentError("a ledger needs a signing key");
  return CheckYardName(options.yard);
}

std::string Absolute(const std::string& path) {
  std::error_code error;
  const std::filesystem::path absolute = std::filesystem::absolute(path, error);
  return error ? path : absolute.string();
}

std::string_view OtherKindAdvice(LedgerKind found) {
  switch (found) {
    case LedgerKind::kReal:
      return "it records real movements, and was to be opened as a REHEARSAL. A rehearsal never "
             "writes into a real "
             "yard's ledger: give it a file of its own";
    case LedgerKind::kRehearsal:
      return "it is a REHEARSAL, and was to be opened as real. A rehearsal is never a record of "
             "real movements: give "
             "the yard a file of its own";
  }
  return "";
}

}  // namespace

Ledger::Ledger(LedgerOptions options, FileLock lock)
    : options_(std::move(options)), lock_(std::move(lock)) {}

Ledger::~Ledger() {
  // After a failure the files stay as they are: the next opening reads them, and they may be
  // evidence.
  if (store_ != nullptr && head_writer_ != nullptr && health().ok()) store_->LeaveTidy();
}

absl::StatusOr<std::unique_ptr<Ledger>> Ledger::Open(LedgerOptions options, const Replay& replay) {
  CW_RETURN_IF_ERROR(CheckOptions(options));
  if (options.mode == OpenMode::kExisting && !FileExists(options.database_path) &&
      !FileExists(options.head_path)) {
    return absl::NotFoundError(fmt::format("there is no ledger at {}", options.database_path));
  }
  absl::StatusOr<FileLock> lock = FileLock::Acquire(options.database_path + ".lock");
  if (!lock.ok()) return lock.status();
  std::unique_ptr<Ledger> ledger(new Ledger(std::move(options), *std::move(lock)));
  absl::StatusOr<HeadReading> head = ReadHeadFile(ledger->options_.head_path);
  if (!head.ok() && !absl::IsNotFound(head.status())) return head.status();
  if (head.ok()) ledger->head_reading_ = *head;
  CW_RETURN_IF_ERROR(ledger->OpenStore());
  absl::StatusOr<StoreState> state = ledger->store_->State();
  if (!state.ok())
    return ledger->DataLoss(fmt::format("The database cannot be read: {}.", Words(state.status())));
  absl::Status opened;
  switch (*state) {
    case StoreState::kEmpty:
      opened = ledger->Create();
      break;
    case StoreState::kLedger:
      opened = ledger->OpenExisting(replay);
      break;
    case StoreState::kSomething:
      opened = ledger->DataLoss("The database holds tables, but not those of a ledger.");
      break;
  }
  if (!opened.ok()) return opened;
  return ledger;
}

absl::Status Ledger::OpenStore() {
  const HeadReading* head = head_reading_ ? &*head_reading_ : nullptr;
  const bool was_acknowledged = head != nullptr && (!head->head || head->head->size > 0);
  if (was_acknowledged && !FileExists(options_.database_path)) {
    return DataLoss("The database is gone, and the head remembers a ledger.");
  }
  absl::StatusOr<std::unique_ptr<SqliteStore>> store =
      SqliteStore::Open({.path = options_.database_path,
                         .mode = options_.mode,
                         .page_bytes = options_.page_bytes,
                         .vfs = options_.vfs});
  if (!store.ok()) return store.status();
  store_ = *std::move(store);
  if (options_.wrap_store) store_ = options_.wrap_store(std::move(store_));
  return absl::OkStatus();
}

absl::Status Ledger::Create() {
  if (head_reading_ && (!head_reading_->head || head_reading_->head->size > 0)) {
    return DataLoss("The database is empty, and the head remembers a ledger.");
  }
  Identity identity{
      .yard = options_.yard, .kind = options_.kind, .created_micros = options_.now_micros};
  absl::StatusOr<LedgerId> id = options_.id_if_new ? *options_.id_if_new : NewLedgerId();
  if (!id.ok()) return id.status();
  identity.id = *id;
  CW_RETURN_IF_ERROR(
      AdoptHead(HeadFile::Create(options_.head_path, {.id = identity.id, .root = EmptyRoot()})));
  // If we die here: a head of size 0 and no tables; the next opening creates again.
  const std::string genesis = GenesisBytes(identity);
  const Digest leaf = LeafHash(genesis);
  CW_RETURN_IF_ERROR(store_->Create(MetaFor(identity), {.bytes = genesis, .leaf = leaf}));
  // If we die here: the genesis is in and the head says 0; the next opening finds one entry after
  // the head.
  tree_.Append(leaf, blocks_.get());
  SetHead({.id = identity.id, .size = 1, .root = tree_.Root()});
  report_ = {
      .created = true, .identity = identity, .entries = 1, .unsigned_entries = 1, .notes = {}};
  return WriteHead(head());
}

absl::Status Ledger::OpenExisting(const Replay& replay) {
  CW_RETURN_IF_ERROR(CheckIdentity());
  CW_RETURN_IF_ERROR(CheckHeadIsThere());
  AuditResult audit = Audit(*store_, {.key = &options_.key->Public(),
                                      .head = head_reading_ ? &*head_reading_ : nullptr,
                                      .signatures = SignatureScope::kLatest,
                                      .replay = replay,
                                      .blocks = blocks_.get()});
  if (!audit.report.sound()) {
    const size_t more = audit.report.findings.size() - 1;
    return DataLoss(
        audit.report.findings.front().sentence +
        (more == 0 ? "" : fmt::format(" There {} {} more.", more == 1 ? "is" : "are", more)));
  }
  CW_RETURN_IF_ERROR(audit.replay_status);
  return BeginWriting(audit);
}

// Mistakes of configuration are named before the file is judged, so that they do not look like
// damage.
absl::Status Ledger::CheckIdentity() {
  std::optional<Identity> found;
  const absl::Status ended = absl::CancelledError();
  store_
      ->Scan(0,
             [&](const EntryRow& row) {
               if (row.seq == 0) found = ParseGenesis(row.bytes);
               return ended;
             })
      .IgnoreError();
  if (!found) return absl::OkStatus();  // The audit says what is wrong with it.
  if (found->kind != options_.kind) {
    return absl::FailedPreconditionError(fmt::format("the ledger {} cannot be opened: {}",
                                                     options_.database_path,
                                                     OtherKindAdvice(found->kind)));
  }
  if (found->yard != options_.yard) {
    return absl::FailedPreconditionError(
        fmt::format("the ledger {} is of yard \"{}\", not of \"{}\"", options_.database_path,
                    found->yard, options_.yard));
  }
  absl::StatusOr<std::vector<CheckpointRow>> rows = store_->ReadCheckpoints();
  if (!rows.ok() || rows->empty()) return absl::OkStatus();
  absl::StatusOr<Checkpoint> latest = ParseCheckpoint(rows->back().text);
  if (!latest.ok() || latest->key == options_.key->Public().raw()) return absl::OkStatus();
  return absl::FailedPreconditionError(fmt::format(
      "the ledger {} is signed with the key {}, and the key given is {}: give the yard's own key",
      options_.database_path, ToHex(latest->key), options_.key->Public().Name()));
}

absl::Status Ledger::CheckHeadIsThere() {
  const bool readable = head_reading_ && head_reading_->head;
  if (readable) return absl::OkStatus();
  if (options_.missing_head == MissingHead::kRebuild) {
    report_.notes.push_back("The head was missing or unreadable and is begun anew, as asked.");
    head_reading_.reset();
    return absl::OkStatus();
  }
  if (head_reading_) return DataLoss("Neither slot of the head file can be read.");
  return absl::FailedPreconditionError(
      fmt::format("the head file {} is missing, so nothing can tell whether the ledger {} lost its "
                  "last entries. Is its disk "
                  "mounted? If the head is lost: verify the ledger against a checkpoint kept "
                  "elsewhere (`chockwise ledger "
                  "verify`), then open once with the head to be rebuilt",
                  Absolute(options_.head_path), Absolute(options_.database_path)));
}

absl::Status Ledger::BeginWriting(const AuditResult& audit) {
  const VerifyReport& found = audit.report;
  tree_ = audit.tree;
  report_.identity = *found.identity;
  report_.entries = found.entries;
  report_.checkpoints = found.checkpoints;
  report_.unsigned_entries = found.unsigned_entries;
  report_.notes.insert(report_.notes.end(), found.notes.begin(), found.notes.end());
  const Head now{.id = found.identity->id,
                 .size = found.entries,
                 .root = found.root,
                 .checkpoints = found.checkpoints};
  SetHead(now);
  // A writer that was killed may have left rows that were written and never synced. Replay has
  // shown them, and somebody may soon be told of them, so they are put on disk first.
  CW_RETURN_IF_ERROR(store_->FoldLog());
  if (head_reading_) {
    report_.entries_after_head = found.entries - head_reading_->head->size;
    CW_RETURN_IF_ERROR(AdoptHead(HeadFile::Open(options_.head_path)));
  } else {
    CW_RETURN_IF_ERROR(AdoptHead(HeadFile::Create(options_.head_path, now)));
  }
  return WriteHead(now);
}

absl::Status Ledger::AdoptHead(absl::StatusOr<std::unique_ptr<HeadFile>> head_file) {
  if (!head_file.ok()) return head_file.status();
  head_writer_ = *std::move(head_file);
  if (options_.wrap_head) head_writer_ = options_.wrap_head(std::move(head_writer_));
  return absl::OkStatus();
}

absl::StatusOr<Head> Ledger::Append(std::span<const std::string> entries) {
  CW_RETURN_IF_ERROR(health());
  if (entries.empty()) return head();
  if (entries.size() > kMaxBatchEntries) {
    return absl::InvalidArgumentError(fmt::format("a batch of {} entries; at most {} go in one",
                                                  entries.size(), kMaxBatchEntries));
  }
  std::vector<NewEntry> rows;
  rows.reserve(entries.size());
  for (const std::string& entry : entries) {
    if (entry.size() > kMaxEntryBytes) {
      return absl::InvalidArgumentError(
          fmt::format("entry {} of the batch has {} bytes; at most {}", rows.size(), entry.size(),
                      kMaxEntryBytes));
    }
    rows.push_back({.bytes = entry, .leaf = LeafHash(entry)});
  }
  const uint64_t first = tree_.size();
  if (absl::Status stored = store_->Append(first, rows); !stored.ok()) {
    return Poison(fmt::format("recording entries {} to {}", first, first + rows.size() - 1),
                  stored);
  }
  // If we die here: rows are in, nobody was told; replay finds them after the head and answers the
  // repeat.
  for (const NewEntry& row : rows) tree_.Append(row.leaf, blocks_.get());
  Head now = head();
  now.size = tree_.size();
  now.root = tree_.Root();
  SetHead(now);
  return now;
}

absl::Status Ledger::WriteHead(const Head& head) {
  CW_RETURN_IF_ERROR(health());
  if (absl::Status written = head_writer_->Write(head); !written.ok())
    return Poison("writing the head", written);
  // If we die here: the entries are in and the head says so; nobody was told, a repeat is answered.
  return absl::OkStatus();
}

absl::StatusOr<Checkpoint> Ledger::SignCheckpoint(int64_t time_micros) {
  CW_RETURN_IF_ERROR(health());
  Head now = head();
  absl::StatusOr<Checkpoint> checkpoint = ledger::SignCheckpoint({.id = now.id,
                                                                  .yard = report_.identity.yard,
                                                                  .kind = report_.identity.kind,
                                                                  .number = now.checkpoints,
                                                                  .size = now.size,
                                                                  .root = now.root,
                                                                  .time_micros = time_micros},
                                                                 *options_.key);
  if (!checkpoint.ok()) return checkpoint.status();
  if (absl::Status stored = store_->AppendCheckpoint(now.checkpoints, CheckpointText(*checkpoint));
      !stored.ok()) {
    return Poison(fmt::format("storing checkpoint {}", now.checkpoints), stored);
  }
  // If we die here: the checkpoint is in, and the head counts one less; the next opening counts it.
  ++now.checkpoints;
  SetHead(now);
  CW_RETURN_IF_ERROR(WriteHead(now));
  return checkpoint;
}

absl::StatusOr<std::unique_ptr<Reader>> Ledger::NewReader() const {
  return Reader::Open(options_.database_path, blocks_);
}

Head Ledger::head() const {
  std::lock_guard lock(mutex_);
  return head_;
}

absl::Status Ledger::health() const {
  std::lock_guard lock(mutex_);
  return failure_;
}

void Ledger::SetHead(const Head& head) {
  std::lock_guard lock(mutex_);
  head_ = head;
}

absl::Status Ledger::Poison(std::string_view doing, const absl::Status& cause) {
  std::lock_guard lock(mutex_);
  if (failure_.ok()) {
    failure_ = absl::UnavailableError(
        fmt::format("the ledger {} stopped when {} failed ({}). Open it again and replay",
                    options_.database_path, doing, Words(cause)));
  }
  return absl::UnavailableError(
      fmt::format("{} failed: {}. Whether it is on disk is unknown and it is not tried again; "
                  "nobody may be told yes",
                  doing, Words(cause)));
}

absl::Status Ledger::DataLoss(const std::string& what) const {
  return absl::DataLossError(fmt::format(
      "{} Nothing was changed. Stop here and do not start again on these files. 1. Copy them to "
      "another disk as they "
      "are: {}, the same with -wal, and {}. 2. Run `chockwise ledger verify` on the copy: it names "
      "what is wrong. 3. "
      "Put back the last good copy of the ledger, and enter by hand from the paper what it lacks.",
      what, Absolute(options_.database_path), Absolute(options_.head_path)));
}

}  // namespace chockwise::ledger
