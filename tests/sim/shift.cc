#include "tests/sim/shift.h"

#include <fmt/format.h>
#include <google/protobuf/io/coded_stream.h>
#include <google/protobuf/io/zero_copy_stream_impl_lite.h>

#include <algorithm>
#include <cstdlib>
#include <fstream>
#include <iostream>
#include <sstream>

#include "services/ledger/sha256.h"
#include "services/moves/apply.h"
#include "services/moves/decide.h"
#include "tests/sim/digest.h"

namespace chockwise::sim {
namespace {

constexpr size_t kLastSaid = 30;
constexpr int kStepsBetweenReplays = 500;

std::string FileText(const std::string& name) {
  std::ifstream file("../../scenario/yard/" + name, std::ios::binary);
  if (!file) {
    std::cerr << "cannot read scenario/yard/" << name << " from here\n";
    std::abort();
  }
  std::ostringstream text;
  text << file.rdbuf();
  return text.str();
}

/// Monday morning, 2026-11-16T06:00:00Z.
moves::Instant Morning() { return moves::Instant::FromMicros(1'794'808'800'000'000); }

/// The same bytes each time, also of a yard's files, which are a map.
std::string BytesOf(const v1::Entry& entry) {
  std::string bytes;
  {
    google::protobuf::io::StringOutputStream out(&bytes);
    google::protobuf::io::CodedOutputStream coded(&out);
    coded.SetSerializationDeterministic(true);
    entry.SerializeToCodedStream(&coded);
  }
  return bytes;
}

/// The measurements without one quantity: somebody lost a sheet.
std::string Without(const std::string& measurements, const std::string& quantity) {
  std::istringstream lines(measurements);
  std::string kept;
  for (std::string line; std::getline(lines, line);) {
    if (line.find(" " + quantity + ",") == std::string::npos) kept += line + "\n";
  }
  return kept;
}

}  // namespace

yard::YardFiles ScenarioFiles() {
  return {.map_geojson = FileText("map.geojson"),
          .machines_csv = FileText("machines.csv"),
          .people_csv = FileText("people.csv"),
          .measurements_csv = FileText("measurements.csv"),
          .rules_txtpb = FileText("rules.txtpb")};
}

v1::Command LoadOf(const yard::YardFiles& files, const std::string& person) {
  v1::Command command;
  command.set_person(person);
  std::map<std::string, std::string> by_name = {
      {"map.geojson", files.map_geojson}, {"machines.csv", files.machines_csv},
      {"people.csv", files.people_csv},   {"measurements.csv", files.measurements_csv},
      {"rules.txtpb", files.rules_txtpb}, {"base_rules.txtpb", std::string(yard::BaseRulesText())}};
  std::string all;
  for (const auto& [name, bytes] : by_name) {
    all += name + '\0';
    for (int shift = 56; shift >= 0; shift -= 8)
      all += static_cast<char>((bytes.size() >> shift) & 0xff);
    all += bytes;
    (*command.mutable_load_yard()->mutable_files())[name] = bytes;
  }
  command.mutable_load_yard()->set_digest(ledger::ToHex(ledger::Sha256({all})));
  return command;
}

moves::YardState Replayed(const std::vector<std::string>& ledger) {
  moves::YardState state;
  v1::Entry entry;
  for (const std::string& bytes : ledger) {
    entry.ParseFromString(bytes);
    moves::Apply(state, entry);
  }
  return state;
}

void Coverage::Add(const Coverage& other) {
  for (const auto& [gate, times] : other.gates_not_clear) gates_not_clear[gate] += times;
  for (const auto& [what, times] : other.happened) happened[what] += times;
}

Shift::Shift(const ShiftOptions& options)
    : options_(options), random_(options.seed), true_files_(ScenarioFiles()), now_(Morning()) {}

bool Shift::Play() {
  Give(LoadOf(true_files_, "wren"));
  for (int step = 1; step <= options_.steps && trouble_.empty(); ++step) {
    Step();
    if (step % kStepsBetweenReplays == 0) CompareReplayed();
  }
  if (trouble_.empty()) CompareReplayed();
  return trouble_.empty();
}

void Shift::Step() {
  if (Chance(100)) {  // the service looks at its clock
    v1::Command tick;
    tick.mutable_tick();
    Give(tick);
  }
  if (Chance(4)) Pass(300, 1'800);
  if (Chance(12)) return YardAffairs();
  if (files_spoiled_ && Chance(10)) return Reload();  // the sheet is found again
  const bool few = state_.moves.size() < 3 || (state_.moves.size() < 7 && Chance(15));
  if (few && Chance(500)) return AskForMove();
  if (state_.moves.empty()) return Pass(5, 60);
  if (!state_.moves.contains(focus_) || Chance(15)) focus_ = AnyOf(state_.moves).first;
  Pass(1, 3);
  const Move move = state_.moves.at(focus_);
  // What is released or under way is so for a step or two: the same bad luck is to find it there.
  const bool goes = move.state == v1::MOVE_STATE_RELEASED || move.state == v1::MOVE_STATE_UNDER_WAY;
  if (goes && Chance(60)) return YardAffairs();
  if (Chance(goes ? 150 : 11)) return Mishap(move);
  if (goes && Chance(60)) return Slip(move);
  if (goes && Chance(40)) return Pass(60, 420);  // everybody waits for somebody
  const bool waits = move.state == v1::MOVE_STATE_PARKED || move.state == v1::MOVE_STATE_HELD;
  if (waits && Chance(80)) return Impatience(move);
  if (Chance(40)) return Slip(move);
  if (Chance(20)) return Impatience(move);
  Progress(move);
}

void Shift::Pass(int64_t least_seconds, int64_t most_seconds) {
  const auto span = static_cast<uint64_t>(most_seconds - least_seconds + 1);
  now_ = now_ + fit::Seconds(least_seconds + static_cast<int64_t>(Below(span)));
}

bool Shift::Give(v1::Command command) {
  if (!trouble_.empty()) return false;
  if (!command.person().empty()) {
    std::string id(16, '\0');
    ++request_;
    for (int i = 0; i < 8; ++i)
      id[static_cast<size_t>(i)] = static_cast<char>((request_ >> (8 * i)) & 0xff);
    command.set_request_id(id);
    command.set_request_digest(id);
  }
  NoteAsked(command);
  const moves::Outcome<moves::Entries> outcome = moves::Decide(state_, command, now_);
  v1::Command shown = command;
  shown.clear_request_id();
  shown.clear_request_digest();
  if (shown.has_load_yard()) shown.mutable_load_yard()->clear_files();
  last_said_.push_back(
      fmt::format("{} {} -> {}", now_.micros() / 1'000'000, shown.ShortDebugString(),
                  outcome ? fmt::format("{} entries", outcome->size()) : outcome.error().problem));
  if (last_said_.size() > kLastSaid) last_said_.pop_front();
  if (!outcome) {
    NoteRefused(command, outcome.error());
    return false;
  }
  NoteEntries(command, *outcome);
  Record(*outcome);
  return true;
}

void Shift::Record(const moves::Entries& entries) {
  for (const v1::Entry& entry : entries) {
    ledger_.push_back(BytesOf(entry));
    moves::Apply(state_, entry);
    auditor_.Take(static_cast<int64_t>(ledger_.size()), ledger_.back());
  }
  const std::vector<history::AuditFinding>& findings = auditor_.FindingsSoFar();
  if (findings.empty()) return;
  std::string what = "the audit found:\n";
  for (const history::AuditFinding& finding : findings) {
    what += fmt::format("  entry {} move {}: {} {}: {}\n", finding.entry, finding.move,
                        finding.rule, finding.gate_id, finding.sentence);
  }
  Fail(what);
}

void Shift::CompareReplayed() {
  const std::string lived = FullText(state_);
  const std::string rebuilt = FullText(Replayed(ledger_));
  if (lived == rebuilt) return;
  const auto [a, b] = std::mismatch(lived.begin(), lived.end(), rebuilt.begin(), rebuilt.end());
  const auto at = static_cast<size_t>(a - lived.begin());
  const size_t from = at > 200 ? at - 200 : 0;
  Fail(fmt::format("the state rebuilt from {} entries is not the one lived:\n...{}\n...{}\n",
                   ledger_.size(), lived.substr(from, 400), rebuilt.substr(from, 400)));
}

/// The service dies and comes back: what it knows then is what the entries say.
void Shift::Restart() {
  CompareReplayed();
  state_ = Replayed(ledger_);
  v1::Command restart;
  restart.mutable_restart();
  Give(restart);
  for (const auto& [number, move] : state_.moves) {
    const bool may_go = move.state == v1::MOVE_STATE_RELEASED ||
                        move.state == v1::MOVE_STATE_UNDER_WAY || move.release;
    if (may_go) Fail(fmt::format("law 7: move {} came back released", number));
  }
}

void Shift::Fail(std::string what) {
  if (!trouble_.empty()) return;
  trouble_ = fmt::format(
      "seed {} after {} entries: {}play it again with CHOCKWISE_SEED={}; the last that was said:\n",
      options_.seed, ledger_.size(), what, options_.seed);
  for (const std::string& said : last_said_) trouble_ += "  " + said + "\n";
}

void Shift::YardAffairs() {
  Pass(1, 3);  // two things said in one microsecond are in no order that times could tell
  const std::string lead = Chance(900) ? "dov" : AnyPerson();
  v1::Command command = Says(lead);
  const std::string yard = "yards/" + state_.yard->id;
  switch (Below(9)) {
    case 0:
      command.mutable_end_shift()->set_name(yard);
      break;
    case 1: {
      v1::BeginShiftRequest& begin = *command.mutable_begin_shift();
      begin.set_name(yard);
      begin.set_title("next shift");
      begin.mutable_end_time()->set_seconds(now_.micros() / 1'000'000 +
                                            3'600 * static_cast<int64_t>(1 + Below(5)));
      break;
    }
    case 2:
      command.set_person(AnyPerson());
      command.mutable_hold_yard()->set_name(yard);
      command.mutable_hold_yard()->set_reason("smoke");
      break;
    case 3: {
      command.set_person(AnyPerson());
      const auto& door = AnyOf(state_.yard->doors).first.value();
      command.mutable_report_door()->set_name(yard + "/doors/" + door);
      command.mutable_report_door()->set_report(Chance(500) ? v1::DOOR_REPORT_MOVED
                                                            : v1::DOOR_REPORT_FAULTY);
      break;
    }
    case 4:
      return Restart();
    case 5:
      command = v1::Command();
      command.mutable_clock_step()->set_by_us(Chance(500) ? -60'000'000 : 90'000'000);
      break;
    case 6:
    case 7:
      return Reload();
    case 8:
      if (state_.left_standing.empty()) return Pass(60, 600);
      command.mutable_clear_ground()->set_name(
          fmt::format("{}/moves/{}", yard, AnyOf(state_.left_standing).first));
      command.mutable_clear_ground()->set_place(AnyOf(state_.yard->places).first.value());
      break;
  }
  Give(command);
}

void Shift::Reload() {
  yard::YardFiles files = true_files_;
  if (!files_spoiled_ || Chance(300)) {
    // What is taped together is on one sheet.
    static const std::vector<std::vector<std::string>> sheets = {{"carried-height"},
                                                                 {"carried-width"},
                                                                 {"carried-length"},
                                                                 {"mass"},
                                                                 {"belly-clearance"},
                                                                 {"deck-height", "deck-capacity"},
                                                                 {"cross-slope", "long-slope"},
                                                                 {"clear-height", "clear-width"},
                                                                 {"grade"}};
    for (const std::string& quantity : AnyOf(sheets))
      files.measurements_csv = Without(files.measurements_csv, quantity);
  }
  const bool spoils = files.measurements_csv != true_files_.measurements_csv;
  if (Give(LoadOf(files, Chance(900) ? "petra" : AnyPerson()))) files_spoiled_ = spoils;
}

std::string Shift::AnyPerson() { return AnyOf(state_.yard->people).first.value(); }

v1::Command Shift::Says(const std::string& person) const {
  v1::Command command;
  command.set_person(person);
  return command;
}

std::string Shift::NameOf(const Move& move) const {
  return fmt::format("yards/{}/moves/{}", state_.yard->id, move.number);
}

std::string Shift::MachineNameOf(const Move& move) const {
  return fmt::format("yards/{}/machines/{}", state_.yard->id, move.machine.value());
}

}  // namespace chockwise::sim
