#include "services/history/follower.h"

#include <fmt/format.h>
#include <sys/stat.h>

#include "services/history/recorded_yard.h"
#include "services/ledger/limits.h"
#include "services/ledger/merkle.h"
#include "services/ledger/status.h"

namespace chockwise::history {
namespace {

using E = v1::Entry;

uint64_t InodeOf(const std::string& path) {
  struct stat found {};
  return stat(path.c_str(), &found) == 0 ? found.st_ino : 0;
}

/// What a yard-wide entry is about; empty where no move cares.
std::string SubjectOf(const E& entry) {
  static const std::set<E::WhatCase> whole_yard = {E::kShiftBegun,  E::kShiftEnded, E::kYardHeld,
                                                   E::kHoldLifted,  E::kYardLoaded, E::kRestarted,
                                                   E::kClockStepped};
  if (whole_yard.contains(entry.what_case())) return "yard";
  if (entry.has_door_reported()) return "door/" + entry.door_reported().door();
  if (entry.has_door_returned()) return "door/" + entry.door_returned().door();
  if (entry.has_tag_hung()) return "machine/" + entry.tag_hung().machine();
  if (entry.has_tag_cleared()) return "machine/" + entry.tag_cleared().machine();
  if (entry.has_inspection_recorded()) return "machine/" + entry.inspection_recorded().machine();
  if (entry.has_put_down()) return "machine/" + entry.put_down().machine();
  return "";
}

}  // namespace

/// Made once for each open file, by their text.
struct Follower::Statements {
  ledger::Database& database;
  std::map<std::string, ledger::Statement, std::less<>> made = {};

  absl::StatusOr<ledger::Statement*> Get(std::string_view sql) {
    auto found = made.find(sql);
    if (found == made.end()) {
      auto statement = database.Prepare(sql);
      if (!statement.ok()) return statement.status();
      found = made.emplace(std::string(sql), *std::move(statement)).first;
    }
    return &found->second;
  }
};

Follower::Follower(FollowerOptions options, std::unique_ptr<ledger::Reader> reader)
    : options_(std::move(options)), reader_(std::move(reader)) {}

Follower::~Follower() { statements_.reset(); }

absl::StatusOr<std::unique_ptr<Follower>> Follower::Open(FollowerOptions options,
                                                         std::unique_ptr<ledger::Reader> reader) {
  if (options.batch_entries < 1 || options.batch_entries > ledger::kMaxReadEntries) {
    return absl::InvalidArgumentError(fmt::format("batch_entries is {}; it must be 1 to {}",
                                                  options.batch_entries, ledger::kMaxReadEntries));
  }
  std::unique_ptr<Follower> follower(new Follower(std::move(options), std::move(reader)));
  CW_RETURN_IF_ERROR(follower->OpenFile());
  return follower;
}

absl::Status Follower::OpenFile() {
  statements_.reset();
  database_.reset();
  rows_.clear();
  rules_ = {};
  auto database = OpenProjection(options_.path, *reader_);
  if (!database.ok()) return database.status();
  database_ = std::make_unique<ledger::Database>(*std::move(database));
  statements_ = std::make_unique<Statements>(*database_);
  file_ = InodeOf(options_.path);
  auto yard = ReadMeta(*database_, "yard");
  if (!yard.ok()) return yard.status();
  yard_ = *yard;
  return LoadRules();
}

bool Follower::FileIsOurs() const { return file_ != 0 && InodeOf(options_.path) == file_; }

/// The rules of the version in force where the projection stands.
absl::Status Follower::LoadRules() {
  rules_ = {};
  auto statement =
      statements_->Get("SELECT entry FROM yard_versions ORDER BY version DESC LIMIT 1");
  if (!statement.ok()) return statement.status();
  ledger::StatementGuard guard(**statement);
  auto row = (*statement)->Step();
  if (!row.ok()) return row.status();
  if (!*row) return absl::OkStatus();
  auto page = reader_->Read(static_cast<uint64_t>((*statement)->Integer(0)), 1);
  if (!page.ok()) return page.status();
  E entry;
  if (page->empty() || !entry.ParseFromString(page->front().bytes)) return absl::OkStatus();
  // A version that does not read leaves titles empty; the audit says that it does not.
  if (auto yard = ReadRecordedYard(entry.yard_loaded().files())) rules_ = WordsOfRules(yard->rules);
  return absl::OkStatus();
}

absl::StatusOr<bool> Follower::Step() {
  if (database_ == nullptr || !FileIsOurs()) CW_RETURN_IF_ERROR(OpenFile());
  auto next = NextEntry(*database_);
  if (!next.ok()) return next.status();
  auto page = reader_->Read(static_cast<uint64_t>(*next), options_.batch_entries);
  if (!page.ok()) return page.status();
  if (page->empty()) return false;
  const absl::Status read = ReadBatch(*page);
  if (!read.ok()) {
    // Nothing of the batch is kept: the file is opened again before the next step.
    statements_.reset();
    database_.reset();
    return read;
  }
  return page->size() == options_.batch_entries;
}

absl::Status Follower::CatchUp() {
  while (true) {
    auto more = Step();
    if (!more.ok()) return more.status();
    if (!*more) return absl::OkStatus();
  }
}

absl::StatusOr<Progress> Follower::progress() {
  if (database_ == nullptr) CW_RETURN_IF_ERROR(OpenFile());
  return ProgressOf(*database_, *reader_);
}

absl::Status Follower::ReadBatch(const std::vector<ledger::Entry>& page) {
  CW_RETURN_IF_ERROR(database_->Run("BEGIN IMMEDIATE"));
  rows_.clear();
  E entry;
  for (const ledger::Entry& bytes : page) {
    // Bytes that do not read are the audit's to find; history goes on behind them.
    if (!entry.ParseFromString(bytes.bytes)) continue;
    CW_RETURN_IF_ERROR(Fold(static_cast<int64_t>(bytes.seq), entry));
  }
  CW_RETURN_IF_ERROR(WriteRows());
  CW_RETURN_IF_ERROR(WriteMeta(*database_, "next_entry", std::to_string(page.back().seq + 1)));
  const ledger::Digest leaf = ledger::LeafHash(page.back().bytes);
  CW_RETURN_IF_ERROR(WriteMeta(*database_, "last_leaf", ledger::AsChars(leaf)));
  return database_->Run("COMMIT");
}

absl::Status Follower::Fold(int64_t number, const E& entry) {
  if (entry.move() != 0) CW_RETURN_IF_ERROR(FoldMove(number, entry));
  return FoldYard(number, entry);
}

absl::Status Follower::FoldMove(int64_t number, const E& entry) {
  auto row = RowOf(entry.move());
  if (!row.ok()) return row.status();
  FoldIntoMove({.yard = yard_, .entry = number, .rules = rules_}, entry, **row);
  auto insert = statements_->Get("INSERT OR IGNORE INTO move_entries(move, entry) VALUES(?, ?)");
  if (!insert.ok()) return insert.status();
  (*insert)->Bind(1, entry.move());
  (*insert)->Bind(2, number);
  CW_RETURN_IF_ERROR((*insert)->Run());
  return entry.has_release_refused() || entry.has_close_refused() ? AddRefusal(number, entry)
                                                                  : absl::OkStatus();
}

absl::Status Follower::FoldYard(int64_t number, const E& entry) {
  const std::string subject = SubjectOf(entry);
  if (entry.move() == 0 && !subject.empty()) {
    CW_RETURN_IF_ERROR(
        Insert("INSERT OR IGNORE INTO yard_entries(subject, entry) VALUES(?, ?)", subject, number));
  }
  if (entry.has_restarted()) return FoldStarts(v1::STOP_CAUSE_SERVICE_RESTARTED);
  if (entry.has_clock_stepped()) return FoldStarts(v1::STOP_CAUSE_CLOCK_STEPPED);
  if (!entry.has_yard_loaded()) return absl::OkStatus();
  auto insert =
      statements_->Get("INSERT OR REPLACE INTO yard_versions(version, entry) VALUES(?, ?)");
  if (!insert.ok()) return insert.status();
  (*insert)->Bind(1, entry.yard_loaded().version());
  (*insert)->Bind(2, number);
  CW_RETURN_IF_ERROR((*insert)->Run());
  return LoadRules();
}

/// Law 7: one entry, and every move that was released or under way stands otherwise.
absl::Status Follower::FoldStarts(v1::StopCause cause) {
  CW_RETURN_IF_ERROR(WriteRows());
  std::vector<int64_t> live;
  auto statement = statements_->Get("SELECT number FROM moves WHERE state IN (?, ?)");
  if (!statement.ok()) return statement.status();
  {
    ledger::StatementGuard guard(**statement);
    (*statement)->Bind(1, v1::MOVE_STATE_RELEASED);
    (*statement)->Bind(2, v1::MOVE_STATE_UNDER_WAY);
    while (true) {
      auto row = (*statement)->Step();
      if (!row.ok()) return row.status();
      if (!*row) break;
      live.push_back((*statement)->Integer(0));
    }
  }
  for (int64_t move : live) {
    auto row = RowOf(move);
    if (!row.ok()) return row.status();
    FoldStart(cause, **row);
  }
  return absl::OkStatus();
}

absl::Status Follower::AddRefusal(int64_t number, const E& entry) {
  auto insert = statements_->Get(
      "INSERT OR REPLACE INTO refusals(entry, move, person, time_us) VALUES(?, ?, ?, ?)");
  if (!insert.ok()) return insert.status();
  (*insert)->Bind(1, number);
  (*insert)->Bind(2, entry.move());
  (*insert)->BindText(3, entry.person());
  (*insert)->Bind(4, entry.time_us());
  CW_RETURN_IF_ERROR((*insert)->Run());
  const auto& gates =
      entry.has_close_refused() ? entry.close_refused().gates() : entry.release_refused().gates();
  for (const v1::UnmetGate& gate : gates) {
    CW_RETURN_IF_ERROR(Insert("INSERT OR IGNORE INTO refusal_gates(gate, entry) VALUES(?, ?)",
                              gate.gate_id(), number));
  }
  return absl::OkStatus();
}

absl::StatusOr<MoveRow*> Follower::RowOf(int64_t move) {
  auto [row, first] = rows_.try_emplace(move);
  if (!first) return &row->second;
  auto statement = statements_->Get("SELECT record, tally, live_phase FROM moves WHERE number = ?");
  if (!statement.ok()) return statement.status();
  ledger::StatementGuard guard(**statement);
  (*statement)->Bind(1, move);
  auto found = (*statement)->Step();
  if (!found.ok()) return found.status();
  if (!*found) return &row->second;
  const std::string_view record = (*statement)->Bytes(0);
  const std::string_view tally = (*statement)->Bytes(1);
  if (!row->second.record.ParseFromArray(record.data(), static_cast<int>(record.size())) ||
      !row->second.tally.ParseFromArray(tally.data(), static_cast<int>(tally.size()))) {
    return absl::DataLossError(
        fmt::format("{}: the row of move {} does not read; delete the file", options_.path, move));
  }
  row->second.live_phase = static_cast<v1::Phase>((*statement)->Integer(2));
  return &row->second;
}

absl::Status Follower::WriteRows() {
  for (auto& [move, row] : rows_) CW_RETURN_IF_ERROR(WriteRow(move, row));
  rows_.clear();
  return absl::OkStatus();
}

absl::Status Follower::WriteRow(int64_t move, MoveRow& row) {
  auto insert = statements_->Get(
      "INSERT OR REPLACE INTO moves(number, kind, machine, carrier, from_place, to_place, state, "
      "live_phase, request_us, "
      "refusals, stops, record, tally) VALUES(?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?, ?)");
  if (!insert.ok()) return insert.status();
  const v1::MoveRecord& record = row.record;
  const std::string record_bytes = record.SerializeAsString();
  const std::string tally_bytes = row.tally.SerializeAsString();
  ledger::Statement& statement = **insert;
  statement.Bind(1, move);
  statement.BindText(2, record.kind());
  statement.BindText(3, record.machine());
  statement.BindText(4, record.carrier());
  statement.BindText(5, record.from_place());
  statement.BindText(6, record.to_place());
  statement.Bind(7, record.state());
  statement.Bind(8, row.live_phase);
  statement.Bind(9, ToMicros(record.request_time()));
  statement.Bind(10, record.refusals());
  statement.Bind(11, record.stops_called());
  statement.BindBlob(12, record_bytes);
  statement.BindBlob(13, tally_bytes);
  CW_RETURN_IF_ERROR(statement.Run());
  for (const std::string& person : row.new_people) {
    CW_RETURN_IF_ERROR(
        Insert("INSERT OR IGNORE INTO move_people(person, number) VALUES(?, ?)", person, move));
  }
  for (const std::string& door : row.new_doors) {
    CW_RETURN_IF_ERROR(
        Insert("INSERT OR IGNORE INTO move_doors(door, number) VALUES(?, ?)", door, move));
  }
  return absl::OkStatus();
}

absl::Status Follower::Insert(const char* sql, std::string_view text, int64_t number) {
  auto insert = statements_->Get(sql);
  if (!insert.ok()) return insert.status();
  (*insert)->BindText(1, text);
  (*insert)->Bind(2, number);
  return (*insert)->Run();
}

}  // namespace chockwise::history
