#include "tests/moves/story/story.h"

#include <fmt/format.h>

#include <algorithm>
#include <fstream>
#include <sstream>
#include <stdexcept>

#include "services/moves/apply.h"
#include "services/moves/decide.h"
#include "services/moves/describe.h"
#include "services/moves/parties.h"
#include "tests/moves/story/digest.h"
#include "tests/moves/story/invariants.h"

namespace chockwise::moves {
namespace {

std::string ReadFile(const std::string& path) {
  std::ifstream in(path, std::ios::binary);
  if (!in) throw std::runtime_error("cannot read " + path);
  std::ostringstream bytes;
  bytes << in.rdbuf();
  return bytes.str();
}

const char* KindWord(RefusalKind kind) {
  switch (kind) {
    case RefusalKind::kInvalid:
      return "INVALID_ARGUMENT";
    case RefusalKind::kNotFound:
      return "NOT_FOUND";
    case RefusalKind::kNotAllowed:
      return "PERMISSION_DENIED";
    case RefusalKind::kPrecondition:
      return "FAILED_PRECONDITION";
    case RefusalKind::kExhausted:
      return "RESOURCE_EXHAUSTED";
  }
  return "?";
}

v1::BeginShiftRequest DayShift(const std::string& yard) {
  v1::BeginShiftRequest request;
  request.set_name(YardName(yard));
  request.set_title("day");
  request.mutable_end_time()->set_seconds((kNoon + fit::Hours(10)).micros() / 1'000'000);
  return request;
}

/// The code painted where people stand in this phase.
std::string CodeAt(const YardState& state, const Move& move, v1::Phase phase) {
  if (phase == v1::PHASE_CLOSE_OUT) return state.yard->places.at(move.to).post_code;
  if (phase == v1::PHASE_START) return state.yard->places.at(move.from).post_code;
  const std::string& stop = move.way->stops.at(static_cast<size_t>(move.stops_passed - 1));
  const auto door = state.yard->doors.find(DoorId(stop));
  if (door != state.yard->doors.end()) return door->second.post_code;
  return state.yard->hold_points.at(yard::HoldPointId(stop)).post_code;
}

}  // namespace

yard::YardFiles ReadYardFolder(const std::string& folder) {
  const std::string path = std::string(CHOCKWISE_SOURCES) + "/" + folder + "/";
  return {.map_geojson = ReadFile(path + "map.geojson"),
          .machines_csv = ReadFile(path + "machines.csv"),
          .people_csv = ReadFile(path + "people.csv"),
          .measurements_csv = ReadFile(path + "measurements.csv"),
          .rules_txtpb = ReadFile(path + "rules.txtpb")};
}

v1::Command CommandBy(const std::string& person, const google::protobuf::Message& request) {
  v1::Command command;
  command.set_person(person);
  const google::protobuf::OneofDescriptor* verbs = command.GetDescriptor()->FindOneofByName("verb");
  for (int i = 0; i < verbs->field_count(); ++i) {
    const google::protobuf::FieldDescriptor* verb = verbs->field(i);
    if (verb->message_type() != request.GetDescriptor()) continue;
    command.GetReflection()->MutableMessage(&command, verb)->CopyFrom(request);
    return command;
  }
  throw std::invalid_argument(request.GetTypeName() + " is not a command");
}

v1::LoadYard LoadOf(const yard::YardFiles& files, int number) {
  v1::LoadYard load;
  auto& out = *load.mutable_files();
  out["map.geojson"] = files.map_geojson;
  out["machines.csv"] = files.machines_csv;
  out["people.csv"] = files.people_csv;
  out["measurements.csv"] = files.measurements_csv;
  out["rules.txtpb"] = files.rules_txtpb;
  out["base_rules.txtpb"] = std::string(yard::BaseRulesText());
  load.set_digest(fmt::format("digest-{}", number));
  return load;
}

Story::Story(const yard::YardFiles& files, const std::string& safety_lead)
    : files_(files), now_(kNoon) {
  Must(safety_lead, LoadOf(files, 1));
}

namespace {

/// A shift runs and every machine that a driver may drive has been looked over.
void OpenTheDay(Story& story, const std::string& lead, const std::string& driver) {
  story.Must(lead, DayShift(story.state().yard->id));
  for (const auto& [id, machine] : story.state().yard->machines) {
    if (machine.machine_class == "carrier") continue;
    v1::RecordInspectionRequest inspection;
    inspection.set_name(MachineName(story.state().yard->id, id.value()));
    story.Must(driver, inspection);
  }
}

}  // namespace

Story Story::Small() {
  static const Story opened = [] { return SmallFrom(ReadYardFolder("tests/moves/yard_small")); }();
  return opened;
}

Story Story::Full() {
  static const Story opened = [] {
    Story story(ReadYardFolder("scenario/yard"), "wren");
    OpenTheDay(story, "dov", "tam");
    return story;
  }();
  return opened;
}

Story Story::SmallFrom(const yard::YardFiles& files) {
  Story story(files, "ada");
  OpenTheDay(story, "lee", "dana");
  return story;
}

void Story::Record(const Entries& entries) {
  for (const v1::Entry& entry : entries) {
    std::string bytes;
    ASSERT_TRUE(entry.SerializeToString(&bytes));
    v1::Entry read;
    ASSERT_TRUE(read.ParseFromString(bytes));
    EXPECT_GE(entry.time_us(), state_.last_time.micros()) << "time went back in the ledger";
    entries_.push_back(entry);
    if (entry.has_released()) {
      for (const std::string& broken : BrokenRelease(state_, entries_)) ADD_FAILURE() << broken;
    }
    Apply(state_, entry);
    Apply(twin_, read);
    if (entry.move() != 0) {
      const Move* move = state_.FindMove(entry.move());
      ASSERT_NE(move, nullptr);
      EXPECT_EQ(move->state, entry.move_state()) << entry.ShortDebugString();
      if (!entry.has_move_stopped()) continue;
      for (const GateWords& gate : move->words) {
        for (const Word& word : gate.words) EXPECT_TRUE(word.stale) << "law 5: " << gate.gate_id;
      }
    }
  }
}

Outcome<Entries> Story::Do(const std::string& person, const google::protobuf::Message& request) {
  const std::string before = Digest(state_);
  const Outcome<Entries> outcome = Decide(state_, CommandBy(person, request), now_);
  EXPECT_EQ(Digest(state_), before) << "Decide() changed the state";
  if (!outcome) {
    EXPECT_FALSE(outcome.error().problem.empty());
    return outcome;
  }
  Record(*outcome);
  for (const std::string& broken : BrokenLaws(state_)) {
    ADD_FAILURE() << broken << "\nafter " << request.GetTypeName() << " by " << person << ": "
                  << request.ShortDebugString();
  }
  EXPECT_EQ(Digest(twin_), Digest(state_)) << "the recorded bytes tell another story";
  if (outcome->empty()) return outcome;
  if (std::optional<Refusal> refusal = RefusalIn(outcome->front())) {
    return tl::unexpected(std::move(*refusal));
  }
  return outcome;
}

Entries Story::Must(const std::string& person, const google::protobuf::Message& request) {
  Outcome<Entries> outcome = Do(person, request);
  if (outcome) return std::move(*outcome);
  ADD_FAILURE() << person << ", " << request.GetTypeName() << " {"
                << request.ShortDebugString().substr(0, 200)
                << "}: " << RefusalText(outcome.error());
  return {};
}

Refusal Story::MustRefuse(const std::string& person, const google::protobuf::Message& request,
                          RefusalKind kind) {
  const Outcome<Entries> outcome = Do(person, request);
  if (outcome) {
    ADD_FAILURE() << person << ", " << request.GetTypeName() << " {" << request.ShortDebugString()
                  << "} was not refused";
    return {};
  }
  EXPECT_EQ(KindWord(outcome.error().kind), std::string(KindWord(kind)))
      << RefusalText(outcome.error());
  return outcome.error();
}

MoveNumber Story::Ask(const Asked& asked) {
  v1::RequestMoveRequest request;
  request.set_parent(YardName(state_.yard->id));
  request.set_kind(asked.kind);
  request.set_machine(asked.machine);
  request.set_to_place(asked.to);
  request.set_spotter(asked.spotter);
  request.set_carrier(asked.carrier);
  const Entries entries = Must(asked.driver, request);
  if (entries.empty()) throw std::runtime_error("no move");
  const MoveNumber number = entries.front().move();
  if (asked.spotter.empty()) return number;
  auto accept = On<v1::AcceptSpottingRequest>(*this, number);
  accept.set_machine(asked.machine);
  Must(asked.spotter, accept);
  return number;
}

const Move& Story::move(MoveNumber number) const {
  const Move* move = state_.FindMove(number);
  if (move == nullptr) throw std::runtime_error(fmt::format("no move {}", number));
  return *move;
}

GateStatus Story::Gate(MoveNumber number, const std::string& gate_id) const {
  for (GateStatus& gate : Gates(number)) {
    if (gate.rule->id() == gate_id) return gate;
  }
  throw std::runtime_error("not asked now: " + gate_id);
}

std::vector<GateStatus> Story::Gates(MoveNumber number) const {
  return EvaluatePhase(state_, move(number), PhaseNow(move(number)), now_);
}

std::string Story::PersonFor(MoveNumber number, v1::Party party) const {
  for (const auto& [id, person] : state_.yard->people) {
    if (ActsAs(state_, move(number), id, party)) return id.value();
  }
  throw std::runtime_error("nobody acts as " + v1::Party_Name(party));
}

v1::ConfirmRequest Story::WordOn(MoveNumber number, const v1::GateRule& rule) const {
  auto word = On<v1::ConfirmRequest>(*this, number);
  word.set_gate_id(rule.id());
  switch (rule.looked_at().evidence()) {
    case v1::EVIDENCE_COUNT_PICKED_UP:
      word.set_count(PutDown(state_, move(number), rule.looked_at()));
      break;
    case v1::EVIDENCE_COUNT_PUT_DOWN:
      word.set_count(std::max<int64_t>(2, rule.looked_at().least_count()));
      break;
    case v1::EVIDENCE_POST_CODE:
      word.set_post_code(CodeAt(state_, move(number), PhaseOf(number, rule)));
      break;
    case v1::EVIDENCE_NOTE:
      word.set_note("number 12");
      break;
    case v1::EVIDENCE_TIES:
      word.set_note(kTiesEnough);
      break;
    case v1::EVIDENCE_DECK_PLACE:
      word.set_note("front 1 ft 0 in behind");
      break;
    default:
      break;
  }
  return word;
}

v1::Phase Story::PhaseOf(MoveNumber number, const v1::GateRule& rule) const {
  for (const GateStatus& gate : Gates(number)) {
    if (gate.rule == &rule) return gate.phase;
  }
  return PhaseNow(move(number));
}

v1::ConfirmRequest Story::WordOn(MoveNumber number, const std::string& gate_id) const {
  return WordOn(number, *Gate(number, gate_id).rule);
}

void Story::Clear(MoveNumber number, const v1::GateRule& rule) {
  const v1::ConfirmRequest word = WordOn(number, rule);
  for (const int party : rule.looked_at().parties()) {
    Must(PersonFor(number, static_cast<v1::Party>(party)), word);
    if (rule.looked_at().any_party()) return;
  }
}

void Story::ClearAll(MoveNumber number, const std::string& but) {
  for (const bool last : {false, true}) {
    for (const GateStatus& gate : Gates(number)) {
      const bool now = gate.rule->has_looked_at() && gate.rule->looked_at().given_last() == last;
      if (!now || gate.state == v1::GATE_STATE_CLEAR || gate.rule->id() == but) continue;
      // Without the gate left out, nobody may give the last word.
      if (last && !but.empty()) continue;
      Clear(number, *gate.rule);
    }
  }
}

Outcome<Entries> Story::TryRelease(MoveNumber number) {
  return Do(move(number).driver.value(), On<v1::RequestReleaseRequest>(*this, number));
}

void Story::Release(MoveNumber number) {
  Must(move(number).driver.value(), On<v1::RequestReleaseRequest>(*this, number));
}

void Story::Begin(MoveNumber number) {
  auto begin = On<v1::BeginMoveRequest>(*this, number);
  begin.set_machine(move(number).machine.value());
  Must(move(number).driver.value(), begin);
}

void Story::Hold(MoveNumber number) {
  auto hold = On<v1::HoldMoveRequest>(*this, number);
  hold.set_stop(move(number).release ? move(number).release->limit : "");
  Must(move(number).driver.value(), hold);
}

void Story::Park(MoveNumber number) {
  Must(move(number).driver.value(), On<v1::ParkMoveRequest>(*this, number));
}

void Story::Close(MoveNumber number) {
  Must(move(number).driver.value(), On<v1::CloseMoveRequest>(*this, number));
}

void Story::Go(MoveNumber number) {
  ClearAll(number);
  Release(number);
  Begin(number);
}

void Story::BringTo(MoveNumber number, v1::Phase phase) {
  if (PhaseNow(move(number)) == phase) return;
  const size_t stops = move(number).way->stops.size();
  for (size_t stretch = 0; stretch <= stops; ++stretch) {
    Go(number);
    if (move(number).release && !move(number).release->limit.empty()) {
      Hold(number);
      if (phase == v1::PHASE_HOLD_POINT) return;
    } else {
      Park(number);
      break;
    }
  }
  if (PhaseNow(move(number)) != phase)
    throw std::runtime_error("never in " + v1::Phase_Name(phase));
}

void Story::RunToTheEnd(MoveNumber number) {
  BringTo(number, v1::PHASE_CLOSE_OUT);
  ClearAll(number);
  Close(number);
}

void Story::CheckReplay() const {
  YardState replayed;
  for (const v1::Entry& entry : entries_) {
    v1::Entry read;
    ASSERT_TRUE(read.ParseFromString(entry.SerializeAsString()));
    Apply(replayed, read);
  }
  EXPECT_EQ(Digest(replayed), Digest(state_));
}

std::string RefusalText(const Refusal& refusal) {
  std::string text = KindWord(refusal.kind);
  if (!refusal.rule.empty()) text += " " + refusal.rule;
  text += ": " + refusal.problem;
  if (!refusal.remedy.empty()) text += " / " + refusal.remedy;
  for (const v1::UnmetGate& gate : refusal.gates) {
    text += fmt::format("\n- {} {}: {}", gate.gate_id(),
                        v1::GateState_Name(gate.state()).substr(std::string("GATE_STATE_").size()),
                        gate.reason());
  }
  return text;
}

std::string Replaced(std::string text, std::string_view part, std::string_view by) {
  const size_t at = text.find(part);
  if (at == std::string::npos || text.find(part, at + 1) != std::string::npos) {
    throw std::invalid_argument("not there exactly once: " + std::string(part));
  }
  return text.replace(at, part.size(), by);
}

}  // namespace chockwise::moves
