#include "services/ledger/audit.h"

#include <fmt/format.h>

#include <algorithm>
#include <limits>

#include "services/ledger/limits.h"
#include "services/ledger/status.h"

namespace chockwise::ledger {
namespace {

// Somebody's word on the root of the first `size` entries.
struct Mark {
  uint64_t size = 0;
  Digest root{};
  std::string name;
  bool is_signed = false;
  bool reached = false;
  bool fits_bytes = false;   // the root over the entries' bytes as they are
  bool fits_leaves = false;  // the root over the hashes kept beside them
};

std::string EntriesFromTo(uint64_t first, uint64_t last) {
  return first == last ? fmt::format("entry {}", first)
                       : fmt::format("entries {} to {}", first, last);
}

class Auditor {
 public:
  Auditor(StoreReader& store, const AuditInputs& inputs) : store_(store), inputs_(inputs) {}

  AuditResult Run() {
    ReadCheckpoints();
    ReadHead();
    ReadTrusted();
    std::ranges::stable_sort(marks_, {}, &Mark::size);
    ReadEntries();
    JudgeAlteredRows();
    JudgeMarks();
    JudgeIdentity();
    return Finish();
  }

 private:
  void Find(FindingKind kind, std::string sentence) {
    FindAt(kind, std::nullopt, std::nullopt, std::move(sentence));
  }
  void FindAt(FindingKind kind, std::optional<uint64_t> first, std::optional<uint64_t> last,
              std::string sentence) {
    report_.findings.push_back({kind, first, last, std::move(sentence)});
  }
  void AddMark(Mark mark) { marks_.push_back(std::move(mark)); }

  void FindInCheckpoint(std::string sentence);
  uint64_t Vouched() const;
  std::string Before(uint64_t seq) const;
  void ReadCheckpoints();
  void JudgeCheckpointRow(const CheckpointRow& row, SignatureScope scope);
  void ReadHead();
  void ReadTrusted();
  void ReadEntries();
  absl::Status TakeRow(const EntryRow& row);
  void CompareMarks();
  void JudgeAlteredRows();
  void JudgeAlteredRow(uint64_t seq);
  void JudgeMarks();
  void JudgeForgedRange(uint64_t vouched, const Mark& mark);
  void JudgeShort();
  void JudgeIdentity();
  AuditResult Finish();

  StoreReader& store_;
  const AuditInputs& inputs_;
  VerifyReport report_;
  CompactTree tree_;
  // Over the stored hashes; from the first row where they differ.
  std::optional<CompactTree> stored_tree_;
  std::vector<uint64_t> altered_;
  uint64_t altered_count_ = 0;
  std::vector<Mark> marks_;
  size_t next_mark_ = 0;
  std::vector<Checkpoint> checkpoints_;  // those with a good text and signature
  uint64_t next_number_ = 0;
  uint64_t checkpoint_findings_ = 0;
  bool strange_row_ = false;
  std::optional<Identity> identity_;
  bool broken_off_ = false;
  absl::Status replay_status_;
};

// One lost checkpoint must not bury a lost entry under a thousand sentences.
void Auditor::FindInCheckpoint(std::string sentence) {
  if (++checkpoint_findings_ > kMaxNamedFaults) return;
  Find(FindingKind::kCheckpointAltered, std::move(sentence));
}

// Entries before this are those that a good signature was given for, as far as the walk has come.
uint64_t Auditor::Vouched() const {
  uint64_t vouched = 0;
  for (const Mark& mark : marks_) {
    if (mark.is_signed && mark.fits_bytes) vouched = std::max(vouched, mark.size);
  }
  return vouched;
}

// What can still be relied on before entry `seq`. Fitting one's own hash is no witness: both may be
// forged.
std::string Auditor::Before(uint64_t seq) const {
  const bool witnessed = std::ranges::any_of(marks_, [&](const Mark& mark) {
    return (mark.fits_bytes && mark.size >= seq) || (mark.fits_leaves && mark.size > seq);
  });
  if (seq > 0 && witnessed) {
    return fmt::format(" Before it, {} {} unharmed.", EntriesFromTo(0, seq - 1),
                       seq == 1 ? "is" : "are");
  }
  const uint64_t vouched = std::min(Vouched(), seq);
  if (vouched == 0) return "";
  return fmt::format(" The first {} entries are under a good signature.", vouched);
}

void Auditor::ReadCheckpoints() {
  absl::StatusOr<std::vector<CheckpointRow>> rows = store_.ReadCheckpoints();
  if (!rows.ok()) {
    Find(FindingKind::kUnreadable,
         fmt::format("The stored checkpoints cannot be read: {}.", Words(rows.status())));
    return;
  }
  report_.checkpoints = rows->size();
  for (const CheckpointRow& row : *rows) {
    const bool latest = &row == &rows->back();
    JudgeCheckpointRow(row, latest ? SignatureScope::kAll : inputs_.signatures);
  }
}

void Auditor::JudgeCheckpointRow(const CheckpointRow& row, SignatureScope scope) {
  const auto expected = static_cast<int64_t>(next_number_++);
  if (row.number != expected) {
    FindInCheckpoint(
        fmt::format("Where checkpoint {} should stand is number {}: checkpoints were "
                    "dropped or exchanged.",
                    expected, row.number));
    next_number_ = row.number < 0 ? 0 : static_cast<uint64_t>(row.number) + 1;
  }
  absl::StatusOr<Checkpoint> checkpoint = ParseCheckpoint(row.text);
  if (!checkpoint.ok()) {
    FindInCheckpoint(
        fmt::format("The text of checkpoint {} was changed: it cannot be read.", row.number));
    return;
  }
  if (scope == SignatureScope::kAll) {
    if (absl::Status signature = VerifyCheckpoint(*checkpoint, *inputs_.key); !signature.ok()) {
      FindInCheckpoint(
          fmt::format("Checkpoint {} is not to be trusted: {}.", row.number, Words(signature)));
      return;
    }
  }
  if (static_cast<int64_t>(checkpoint->number) != row.number) {
    FindInCheckpoint(
        fmt::format("In the place of checkpoint {} stands checkpoint {}: checkpoints "
                    "were dropped or exchanged.",
                    row.number, checkpoint->number));
  }
  AddMark({.size = checkpoint->size,
           .root = checkpoint->root,
           .name = fmt::format("checkpoint {}", checkpoint->number),
           .is_signed = true});
  checkpoints_.push_back(*std::move(checkpoint));
}

void Auditor::ReadHead() {
  if (inputs_.head == nullptr) return;
  const HeadReading& reading = *inputs_.head;
  if (!reading.head) {
    Find(
        FindingKind::kHead,
        "Neither slot of the head file can be read, so it cannot say how far the ledger had come.");
    return;
  }
  if (reading.damaged_slots > 0) {
    report_.notes.push_back(
        "One of the two slots of the head file cannot be read: a write that was cut off, or "
        "damage. The other is good.");
  }
  if (reading.head->checkpoints > report_.checkpoints) {
    Find(FindingKind::kCheckpointMissing,
         fmt::format("The head was written when {} checkpoints were stored, and {} are: the later "
                     "ones are lost.",
                     reading.head->checkpoints, report_.checkpoints));
  }
  if (reading.head->size == 0) return;
  AddMark({.size = reading.head->size, .root = reading.head->root, .name = "the head"});
}

void Auditor::ReadTrusted() {
  if (inputs_.trusted == nullptr) return;
  if (absl::Status signature = VerifyCheckpoint(*inputs_.trusted, *inputs_.key); !signature.ok()) {
    Find(FindingKind::kCheckpointAltered,
         fmt::format("The trusted checkpoint that was given cannot be trusted: {}.",
                     Words(signature)));
    return;
  }
  AddMark({.size = inputs_.trusted->size,
           .root = inputs_.trusted->root,
           .name = fmt::format("the trusted checkpoint {}", inputs_.trusted->number),
           .is_signed = true});
}

void Auditor::ReadEntries() {
  CompareMarks();
  const absl::Status scanned = store_.Scan(std::numeric_limits<int64_t>::min(),
                                           [this](const EntryRow& row) { return TakeRow(row); });
  if (!scanned.ok() && !broken_off_ && replay_status_.ok()) {
    broken_off_ = true;
    FindAt(FindingKind::kUnreadable, tree_.size(), std::nullopt,
           fmt::format("The file cannot be read from entry {} on: {}.{}", tree_.size(),
                       Words(scanned), Before(tree_.size())));
  }
}

// Errors only break the scan off; what they mean is kept in the members.
absl::Status Auditor::TakeRow(const EntryRow& row) {
  const uint64_t seq = tree_.size();
  if (row.seq < 0) {
    if (!strange_row_) {
      Find(FindingKind::kEntryAltered,
           fmt::format("There is a row numbered {}; entries count from 0.", row.seq));
    }
    strange_row_ = true;
    return absl::OkStatus();
  }
  const auto found = static_cast<uint64_t>(row.seq);
  if (found != seq) {
    broken_off_ = true;
    FindAt(FindingKind::kEntriesMissing, seq, found > seq ? found - 1 : seq,
           fmt::format("Entry {} is missing: the next in the file is {}. What comes after cannot "
                       "be judged.{}",
                       seq, found, Before(seq)));
    return absl::CancelledError();
  }
  const Digest leaf = LeafHash(row.bytes);
  Digest stored{};
  if (row.leaf.size() == stored.size()) std::copy(row.leaf.begin(), row.leaf.end(), stored.begin());
  if (stored != leaf) {
    if (!stored_tree_) stored_tree_ = tree_;
    if (++altered_count_ <= kMaxNamedFaults) altered_.push_back(seq);
  }
  tree_.Append(leaf, inputs_.blocks);
  if (stored_tree_) stored_tree_->Append(stored);
  if (seq == 0) identity_ = ParseGenesis(row.bytes);
  CompareMarks();
  if (seq == 0 || !inputs_.replay || altered_count_ > 0) return absl::OkStatus();
  replay_status_ = inputs_.replay(seq, row.bytes);
  return replay_status_;
}

void Auditor::CompareMarks() {
  for (; next_mark_ < marks_.size() && marks_[next_mark_].size == tree_.size(); ++next_mark_) {
    Mark& mark = marks_[next_mark_];
    mark.reached = true;
    mark.fits_bytes = mark.root == tree_.Root();
    mark.fits_leaves = stored_tree_ ? mark.root == stored_tree_->Root() : mark.fits_bytes;
  }
}

void Auditor::JudgeAlteredRows() {
  for (uint64_t seq : altered_) JudgeAlteredRow(seq);
  if (altered_count_ > altered_.size()) {
    Find(FindingKind::kEntryAltered,
         fmt::format("{} more entries do not fit the hashes kept beside them.",
                     altered_count_ - altered_.size()));
  }
}

void Auditor::JudgeAlteredRow(uint64_t seq) {
  const auto vouches = [&](bool Mark::*fits) {
    return std::ranges::find_if(marks_,
                                [&](const Mark& mark) { return mark.size > seq && mark.*fits; });
  };
  const std::string before = seq == altered_.front() ? Before(seq) : "";
  if (const auto mark = vouches(&Mark::fits_bytes); mark != marks_.end()) {
    FindAt(FindingKind::kLeafAltered, seq, seq,
           fmt::format("The hash kept beside entry {} was changed. The entry itself is as "
                       "recorded: {} vouches for it.{}",
                       seq, mark->name, before));
  } else if (const auto other = vouches(&Mark::fits_leaves); other != marks_.end()) {
    FindAt(FindingKind::kEntryAltered, seq, seq,
           fmt::format(
               "Entry {} is not what was recorded: its bytes were changed after {} was written.{}",
               seq, other->name, before));
  } else {
    FindAt(
        FindingKind::kEntryAltered, seq, seq,
        fmt::format("Entry {} does not fit the hash kept beside it: one of the two was changed.{}",
                    seq, before));
  }
}

void Auditor::JudgeMarks() {
  const uint64_t vouched = Vouched();
  bool range_named = false;
  for (const Mark& mark : marks_) {
    if (!mark.reached || mark.fits_bytes) continue;
    if (mark.size <= vouched) {
      const std::string sentence = fmt::format(
          "The root in {} is not the root of its {} entries, though a signed checkpoint "
          "vouches for these: {} is wrong, or is of another ledger.",
          mark.name, mark.size, mark.name);
      mark.is_signed ? FindInCheckpoint(sentence) : Find(FindingKind::kHead, sentence);
    } else if (!mark.fits_leaves && !range_named) {
      range_named = true;
      JudgeForgedRange(vouched, mark);
    }
  }
  if (!broken_off_ && replay_status_.ok()) JudgeShort();
}

// Bytes and hash changed together leave no trace but the root: the range is what two witnesses
// leave between them.
void Auditor::JudgeForgedRange(uint64_t vouched, const Mark& mark) {
  const std::string which =
      vouched + 1 == mark.size
          ? fmt::format("Entry {}", vouched)
          : fmt::format("At least one of {}", EntriesFromTo(vouched, mark.size - 1));
  const std::string before =
      vouched == 0 ? "" : fmt::format(" The {} before are under a good signature.", vouched);
  FindAt(FindingKind::kEntryAltered, vouched, mark.size - 1,
         fmt::format("{} is not what was recorded, and the hash beside it was changed to fit: {} "
                     "vouches for another root.{}",
                     which, mark.name, before));
}

void Auditor::JudgeShort() {
  if (marks_.empty() || marks_.back().size <= tree_.size()) return;
  const Mark& mark = marks_.back();
  const uint64_t count = tree_.size();
  FindAt(FindingKind::kEntriesMissing, count, mark.size - 1,
         fmt::format("The ledger holds {} entries, but {} was written after {}: {} {} missing.",
                     count, mark.name, mark.size, EntriesFromTo(count, mark.size - 1),
                     mark.size - count == 1 ? "is" : "are"));
}

void Auditor::JudgeIdentity() {
  if (!identity_) {
    // Where the rows broke off before entry 0, that was said.
    if (!broken_off_ || tree_.size() > 0) {
      FindAt(FindingKind::kGenesis, 0, 0,
             tree_.size() > 0
                 ? "Entry 0 does not say whose ledger this is: it is not a genesis."
                 : "The ledger holds no entry, not even the one that says whose it is.");
    }
    return;
  }
  absl::StatusOr<Meta> meta = store_.ReadMeta();
  if (!meta.ok()) {
    Find(FindingKind::kUnreadable,
         fmt::format("The meta table cannot be read: {}.", Words(meta.status())));
  } else if (*meta != MetaFor(*identity_)) {
    Find(FindingKind::kGenesis, fmt::format("The meta table does not say what entry 0 says (a {} "
                                            "ledger of yard \"{}\"): it was changed. Entry "
                                            "0 counts.",
                                            KindName(identity_->kind), identity_->yard));
  }
  for (const Checkpoint& checkpoint : checkpoints_) {
    if (checkpoint.id == identity_->id && checkpoint.yard == identity_->yard &&
        checkpoint.kind == identity_->kind) {
      continue;
    }
    FindInCheckpoint(fmt::format(
        "Checkpoint {} is of another ledger than entry 0 says: yard \"{}\", {}, id {}.",
        checkpoint.number, checkpoint.yard, KindName(checkpoint.kind), ToHex(checkpoint.id)));
  }
  const HeadReading* head = inputs_.head;
  if (head != nullptr && head->head && head->head->id != identity_->id) {
    Find(FindingKind::kHead,
         fmt::format("The head file is of another ledger: id {}, and entry 0 says {}.",
                     ToHex(head->head->id), ToHex(identity_->id)));
  }
  if (inputs_.trusted != nullptr && inputs_.trusted->id != identity_->id) {
    Find(FindingKind::kGenesis,
         fmt::format("The trusted checkpoint is of ledger {}, and this file is ledger {}.",
                     ToHex(inputs_.trusted->id), ToHex(identity_->id)));
  }
}

AuditResult Auditor::Finish() {
  if (checkpoint_findings_ > kMaxNamedFaults) {
    Find(FindingKind::kCheckpointAltered, fmt::format("{} more checkpoints are not in order.",
                                                      checkpoint_findings_ - kMaxNamedFaults));
  }
  // Findings about entries come first, the earliest first; the rest keeps its order.
  std::ranges::stable_sort(report_.findings, [](const Finding& a, const Finding& b) {
    constexpr uint64_t kNone = std::numeric_limits<uint64_t>::max();
    return a.first_seq.value_or(kNone) < b.first_seq.value_or(kNone);
  });
  report_.identity = identity_;
  report_.entries = tree_.size();
  report_.root = tree_.Root();
  const uint64_t vouched = Vouched();
  report_.unsigned_entries = tree_.size() - std::min(vouched, tree_.size());
  for (const Checkpoint& checkpoint : checkpoints_) {
    if (checkpoint.size == vouched) report_.latest_checkpoint = checkpoint;
  }
  const HeadReading* head = inputs_.head;
  if (head != nullptr && head->head && head->head->size < tree_.size()) {
    report_.notes.push_back(fmt::format(
        "{} after the head: recorded, but the writer stopped before it had told anybody.",
        EntriesFromTo(head->head->size, tree_.size() - 1)));
  }
  return {.report = std::move(report_),
          .tree = std::move(tree_),
          .replay_status = std::move(replay_status_)};
}

}  // namespace

std::string_view FindingKindName(FindingKind kind) {
  switch (kind) {
    case FindingKind::kUnreadable:
      return "UNREADABLE";
    case FindingKind::kEntriesMissing:
      return "ENTRIES_MISSING";
    case FindingKind::kEntryAltered:
      return "ENTRY_ALTERED";
    case FindingKind::kLeafAltered:
      return "LEAF_ALTERED";
    case FindingKind::kGenesis:
      return "GENESIS";
    case FindingKind::kCheckpointAltered:
      return "CHECKPOINT_ALTERED";
    case FindingKind::kCheckpointMissing:
      return "CHECKPOINT_MISSING";
    case FindingKind::kHead:
      return "HEAD";
  }
  return "";
}

std::string VerifyReport::Text() const {
  std::string text;
  if (identity) {
    text += fmt::format("{} ledger of yard \"{}\", id {}\n", KindName(identity->kind),
                        identity->yard, ToHex(identity->id));
  }
  text += fmt::format("entries {}, root {}\n", entries, ToHex(root));
  text += fmt::format("checkpoints {}; not yet under a signature: {} entries\n", checkpoints,
                      unsigned_entries);
  for (const std::string& note : notes) text += fmt::format("note: {}\n", note);
  for (const Finding& finding : findings) {
    text += fmt::format("WRONG ({}): {}\n", FindingKindName(finding.kind), finding.sentence);
  }
  text += sound() ? "SOUND\n" : "NOT SOUND\n";
  return text;
}

AuditResult Audit(StoreReader& store, const AuditInputs& inputs) {
  return Auditor(store, inputs).Run();
}

Meta MetaFor(const Identity& identity) {
  return {{"format", "1"},
          {"id", ToHex(identity.id)},
          {"yard", identity.yard},
          {"kind", std::string(KindName(identity.kind))},
          {"created_micros", std::to_string(identity.created_micros)}};
}

}  // namespace chockwise::ledger
