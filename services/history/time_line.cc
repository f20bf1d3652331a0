#include "services/history/time_line.h"

#include <fmt/format.h>

#include <map>
#include <optional>
#include <set>
#include <tuple>

#include "services/history/move_fold.h"
#include "services/history/recorded_yard.h"
#include "services/history/words.h"
#include "services/ledger/status.h"

namespace chockwise::history {
namespace {

using E = v1::Entry;

absl::StatusOr<v1::MoveRecord> RecordOf(Snapshot& snapshot, int64_t move) {
  auto statement = snapshot.database.Prepare("SELECT record FROM moves WHERE number = ?");
  if (!statement.ok()) return statement.status();
  statement->Bind(1, move);
  auto row = statement->Step();
  if (!row.ok()) return row.status();
  v1::MoveRecord record;
  if (*row) record.ParseFromString(std::string(statement->Bytes(0)));
  return record;
}

absl::Status AddNumbers(ledger::Statement& statement, std::set<int64_t>& numbers) {
  while (true) {
    auto row = statement.Step();
    if (!row.ok()) return row.status();
    if (!*row) return absl::OkStatus();
    numbers.insert(statement.Integer(0));
  }
}

/// The move's own entries, and those about the yard, its doors and its machines while it was open.
absl::StatusOr<std::set<int64_t>> NumbersOf(Snapshot& snapshot, int64_t move,
                                            const v1::MoveRecord& record) {
  std::set<int64_t> numbers;
  auto own = snapshot.database.Prepare("SELECT entry FROM move_entries WHERE move = ?");
  if (!own.ok()) return own.status();
  own->Bind(1, move);
  CW_RETURN_IF_ERROR(AddNumbers(*own, numbers));
  std::set<std::string> subjects = {"yard", "machine/" + record.machine()};
  if (!record.carrier().empty()) subjects.insert("machine/" + record.carrier());
  for (const std::string& stop : record.stops()) subjects.insert("door/" + stop);
  auto beside = snapshot.database.Prepare(
      "SELECT entry FROM yard_entries WHERE subject = ? AND entry BETWEEN ? AND ?");
  if (!beside.ok()) return beside.status();
  const int64_t end = record.has_end_time() ? record.last_entry() : snapshot.progress.as_of_entry;
  for (const std::string& subject : subjects) {
    ledger::StatementGuard guard(*beside);
    beside->BindText(1, subject);
    beside->Bind(2, record.first_entry());
    beside->Bind(3, end);
    CW_RETURN_IF_ERROR(AddNumbers(*beside, numbers));
  }
  return numbers;
}

/// Follows the entries of one move and notes each release with what it stood on.
class Releases {
 public:
  explicit Releases(Snapshot& snapshot) : snapshot_(snapshot) {}

  absl::Status Take(int64_t number, const E& entry, v1::MoveTimeLine& time_line) {
    switch (entry.what_case()) {
      case E::kMoveRequested:
        driver_ = entry.move_requested().driver();
        break;
      case E::kDriverSwapped:
        driver_ = entry.driver_swapped().driver();
        break;
      case E::kSpottingAccepted:
        spotter_ = entry.spotting_accepted().spotter();
        break;
      case E::kSpottingLeft:
        spotter_.clear();
        break;
      case E::kGateConfirmed:
        TakeWord(entry);
        break;
      case E::kReleased:
        return Begin(number, entry, *time_line.add_releases());
      case E::kMoveBegun:
        if (live_) *Last(time_line).mutable_begin_time() = ToTimestamp(entry.time_us());
        live_ = false;
        break;
      case E::kReleaseVoided:
        Void(entry, entry.release_voided().reason(), time_line);
        break;
        // clang-format off
      // Whatever else ends a release that nobody has used.
    case E::kMoveStopped: case E::kMoveRefused: case E::kMoveWithdrawn: case E::kBrokeDown:
    case E::kRestarted:
        // clang-format on
      case E::kClockStepped:
        Void(entry, Words(entry), time_line);
        break;
        // clang-format off
    case E::kSpotterNamed: case E::kGateAccepted: case E::kReleaseRefused: case E::kMoveHeld:
    case E::kMoveParked: case E::kMoveClosed: case E::kRestartAllowed: case E::kDriverAway:
    case E::kGatesStaled: case E::kCloseRefused: case E::kShiftBegun: case E::kShiftEnded:
    case E::kYardHeld: case E::kHoldLifted: case E::kDoorReported: case E::kDoorReturned:
    case E::kTagHung: case E::kTagCleared: case E::kInspectionRecorded: case E::kGroundCleared:
    case E::kPutDown: case E::kYardLoaded: case E::kTokenIssued: case E::kTokenRevoked:
    case E::WHAT_NOT_SET: break;
        // clang-format on
    }
    return absl::OkStatus();
  }

 private:
  static v1::ReleaseRecord& Last(v1::MoveTimeLine& time_line) {
    return *time_line.mutable_releases()->rbegin();
  }

  void Void(const E& entry, const std::string& reason, v1::MoveTimeLine& time_line) {
    if (!live_) return;
    *Last(time_line).mutable_void_time() = ToTimestamp(entry.time_us());
    Last(time_line).set_void_reason(reason);
    live_ = false;
  }

  void TakeWord(const E& entry) {
    const v1::GateConfirmed& what = entry.gate_confirmed();
    for (int party : what.parties()) {
      v1::Word word;
      word.set_party(static_cast<v1::Party>(party));
      word.set_person(entry.person());
      *word.mutable_time() = ToTimestamp(entry.time_us());
      word.set_finding(what.finding());
      word.set_count(what.count());
      word.set_note(what.note());
      words_[{what.gate_id(), what.phase(), party}] = std::move(word);
    }
  }

  absl::Status Begin(int64_t number, const E& entry, v1::ReleaseRecord& record) {
    const v1::Released& released = entry.released();
    record.set_entry(number);
    *record.mutable_release_time() = ToTimestamp(entry.time_us());
    record.set_driver(driver_);
    record.set_spotter(spotter_);
    v1::Release& release = *record.mutable_release();
    release.set_number(released.number());
    release.set_limit(released.limit());
    *release.mutable_release_time() = record.release_time();
    *release.mutable_start_by_time() = ToTimestamp(released.start_by_time_us());
    release.set_yard_version(released.yard_version());
    release.set_yard_digest(released.yard_digest());
    record.set_phase(released.phase());
    live_ = true;
    auto rules = RulesOf(released.yard_version());
    if (!rules.ok()) return rules.status();
    for (const v1::GateBasis& basis : released.gates()) {
      v1::StoodOn& stood_on = *record.add_gates();
      *stood_on.mutable_basis() = basis;
      auto gate = (*rules)->gates.find(basis.gate_id());
      if (gate != (*rules)->gates.end()) {
        stood_on.set_title(gate->second.title);
        stood_on.set_gate_class(gate->second.gate_class);
      }
      const auto first = words_.lower_bound({basis.gate_id(), released.phase(), 0});
      for (auto word = first; word != words_.end(); ++word) {
        if (std::get<0>(word->first) != basis.gate_id() ||
            std::get<1>(word->first) != released.phase())
          break;
        *stood_on.add_words() = word->second;
      }
    }
    return absl::OkStatus();
  }

  absl::StatusOr<const RuleWords*> RulesOf(int64_t version) {
    auto [rules, first] = rules_.try_emplace(version);
    if (!first) return &rules->second;
    auto statement =
        snapshot_.database.Prepare("SELECT entry FROM yard_versions WHERE version = ?");
    if (!statement.ok()) return statement.status();
    statement->Bind(1, version);
    auto row = statement->Step();
    if (!row.ok()) return row.status();
    if (!*row) return &rules->second;
    auto entry = snapshot_.EntryAt(statement->Integer(0));
    if (!entry.ok()) return entry.status();
    if (auto yard = ReadRecordedYard(entry->yard_loaded().files()))
      rules->second = WordsOfRules(yard->rules);
    return &rules->second;
  }

  Snapshot& snapshot_;
  std::string driver_;
  std::string spotter_;
  bool live_ = false;
  std::map<std::tuple<std::string, int, int>, v1::Word> words_;  // gate, phase, party
  std::map<int64_t, RuleWords> rules_;
};

}  // namespace

absl::StatusOr<v1::MoveTimeLine> BuildTimeLine(Snapshot& snapshot, int64_t move) {
  v1::MoveTimeLine time_line;
  auto record = RecordOf(snapshot, move);
  if (!record.ok()) return record.status();
  if (record->name().empty()) return time_line;
  *time_line.mutable_record() = *record;
  auto numbers = NumbersOf(snapshot, move, *record);
  if (!numbers.ok()) return numbers.status();
  Releases releases(snapshot);
  for (int64_t number : *numbers) {
    if (time_line.time_line_size() == kMaxTimeLineEntries) break;
    auto entry = snapshot.EntryAt(number);
    if (!entry.ok()) return entry.status();
    CW_RETURN_IF_ERROR(releases.Take(number, *entry, time_line));
    v1::TimeLineEntry& line = *time_line.add_time_line();
    line.set_entry(number);
    *line.mutable_time() = ToTimestamp(entry->time_us());
    line.set_person(entry->person());
    line.set_move_state(entry->move_state());
    line.set_text(Words(*entry));
    if (entry->has_yard_loaded()) entry->mutable_yard_loaded()->clear_files();
    *line.mutable_data() = *std::move(entry);
  }
  time_line.set_entries_left_out(static_cast<int64_t>(numbers->size()) -
                                 time_line.time_line_size());
  return time_line;
}

}  // namespace chockwise::history
