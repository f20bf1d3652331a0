#include "services/history/words.h"

#include <gmock/gmock.h>
#include <google/protobuf/text_format.h>

#include <map>
#include <set>
#include <string>
#include <vector>

#include "services/yard/yard.h"

namespace chockwise::history {
namespace {

struct Row {
  const char* entry;
  const char* words;
};

// A line for each kind of entry, and for each way in which one kind reads differently.
const std::vector<Row>& Rows() {
  static const std::vector<Row> rows = {
      {R"(move_requested { kind: "machine-through-door" machine: "TH-07" from_place: "bay-2" to_place: "ready-line"
          driver: "ann" })",
       "asked for: machine-through-door, TH-07 from bay-2 to ready-line, driver ann, spotter "
       "nobody yet"},
      {R"(move_requested { kind: "load-onto-carrier" machine: "EX-21" carrier: "LB-2" from_place: "apron" to_place: "pad-1"
          driver: "ann" spotter: "bob" })",
       "asked for: load-onto-carrier, EX-21 from apron to pad-1, carrier LB-2, driver ann, spotter "
       "bob"},
      {R"(spotter_named { spotter: "bob" })", "bob is to spot"},
      {R"(spotting_accepted { spotter: "bob" })", "bob takes the spotter's role"},
      {R"(spotting_left { spotter: "bob" })", "bob hands the spotter's role back"},
      {R"(driver_swapped { driver: "dee" })", "dee takes the wheel"},
      {R"(gate_confirmed { gate_id: "walk-around" phase: PHASE_START parties: PARTY_DRIVER at_the_spot: true })",
       "walk-around at start, as driver: clear, at the spot"},
      {R"(gate_confirmed { gate_id: "path-walked" phase: PHASE_START parties: PARTY_SPOTTER finding: "hose across" })",
       "path-walked at start, as spotter: found \"hose across\""},
      {R"(gate_confirmed { gate_id: "chocks-set" phase: PHASE_CLOSE_OUT parties: [PARTY_YARD_LEAD, PARTY_TECH] count: 0
          note: "level" })",
       "chocks-set at close-out, as yard lead, tech: clear, 0 counted, noted \"level\""},
      {R"(gate_accepted { gate_id: "no-leak" phase: PHASE_START control: "tray" reason: "slow drip"
          stood_at: "drip under the pump" })",
       "no-leak at start accepted as it stood (drip under the pump), with \"tray\": \"slow drip\""},
      {R"(released { number: 2 phase: PHASE_HOLD_POINT limit: "door-3" start_by_time_us: 1795561500000000 yard_version: 4
          gates { gate_id: "a" state: GATE_STATE_CLEAR } gates { gate_id: "b" state: GATE_STATE_NOT_CLEAR accepted_by: "lee" }
          gates { gate_id: "c" state: GATE_STATE_NOT_ASKED } })",
       "release 2: may begin, as far as door-3, until 2026-11-24 23:05:00Z; 1 gate clear, b "
       "accepted by lee, "
       "c recorded as not asked; yard version 4"},
      {R"(release_refused { phase: PHASE_START gates { gate_id: "walk-around" state: GATE_STATE_STALE }
          gates { gate_id: "no-tags" state: GATE_STATE_NOT_CLEAR } })",
       "release refused: walk-around (stale), no-tags (not clear)"},
      {R"(close_refused { gates { gate_id: "parked" state: GATE_STATE_NOT_ASKED } })",
       "close refused: 1 not asked"},
      {R"(release_voided { reason: "nobody began" })", "release taken back: \"nobody began\""},
      {R"(release_voided { reason: "walk-around stale" begin_refused: true })",
       "may not begin, release taken back: \"walk-around stale\""},
      {R"(move_begun {})", "the wheels turn"},
      {R"(move_held { stop: "door-3" })", "stands braked at door-3"},
      {R"(move_parked {})", "stands where it was to go"},
      {R"(move_closed { gates { gate_id: "parked" state: GATE_STATE_CLEAR } gates { gate_id: "b" state: GATE_STATE_CLEAR } })",
       "closed: 2 gates clear"},
      {R"(move_stopped { cause: STOP_CAUSE_LOST_SIGHT text: "cannot see you" })",
       "STOP: lost sight: \"cannot see you\""},
      {R"(restart_allowed {})", "may be made ready again"},
      {R"(move_refused { reason: "not like this" tag: 7 })",
       "move refused: \"not like this\"; tag 7 hung on the machine"},
      {R"(move_withdrawn { reason: "plan changed" })", "move taken back: \"plan changed\""},
      {R"(driver_away { distance_mm: 9010 in_view: true unattended: true })",
       "driver 9.010 m away, machine in view: unattended"},
      {R"(driver_away { distance_mm: 45 in_view: false })",
       "driver 0.045 m away, machine out of sight: attended"},
      {R"(broke_down { text: "hydraulics" tag: 8 })",
       "broke down where it stands: \"hydraulics\"; tag 8 hung on it"},
      {R"(gates_staled { happening: HAPPENING_NEIGHBOUR_MOVED })",
       "looked-at gates stale: a neighbour was released"},
      {R"(shift_begun { title: "day" end_time_us: 1795561500000000 })",
       "shift \"day\" begins, until 2026-11-24 23:05:00Z"},
      {R"(shift_ended {})", "shift ends, no move open"},
      {R"(shift_ended { open_moves: [3, 5] })", "shift ends, moves open: 3, 5"},
      {R"(yard_held { reason: "ambulance" })", "YARD HOLD: \"ambulance\""},
      {R"(hold_lifted {})", "yard hold lifted"},
      {R"(door_reported { door: "door-3" report: DOOR_REPORT_MOVED })", "door-3: moved"},
      {R"(door_reported { door: "door-3" report: DOOR_REPORT_FAULTY text: "cable" })",
       "door-3: faulty: \"cable\""},
      {R"(door_returned { door: "door-3" })", "door-3: looked at and given back"},
      {R"(tag_hung { machine: "TH-07" tag: 9 text: "under it" })",
       "TH-07: tag 9 hung: \"under it\""},
      {R"(tag_cleared { machine: "TH-07" tag: 9 })", "TH-07: tag 9 taken off"},
      {R"(inspection_recorded { machine: "TH-07" })", "TH-07: inspected, no defect"},
      {R"(inspection_recorded { machine: "TH-07" defect: "horn dead" tag: 10 })",
       "TH-07: inspected, defect \"horn dead\"; tag 10 hung on it"},
      {R"(ground_cleared { place: "bay-1" })", "ground free again, the machine stands at bay-1"},
      {R"(put_down { machine: "TH-07" item: "chocks" count: 1 stood: 4 })",
       "TH-07: 1 chocks stand there now, 4 did; not counted until a second person says so"},
      {R"(put_down { machine: "TH-07" item: "chocks" count: 4 })",
       "TH-07: 4 chocks stand there now"},
      {R"(yard_loaded { version: 2 digest: "ab12" })", "yard version 2 in force, SHA-256 ab12"},
      {R"(token_issued { token: 3 person: "bob" expire_time_us: 1795561500000000 })",
       "token 3 issued to bob, until 2026-11-24 23:05:00Z"},
      {R"(token_revoked { token: 3 })", "token 3 revoked"},
      {R"(restarted {})", "the service started: nothing is released"},
      {R"(clock_stepped { by_us: -2000000 })",
       "the clock stepped by -2000000 us: nothing is released"},
  };
  return rows;
}

v1::Entry Parse(const std::string& text) {
  v1::Entry entry;
  EXPECT_TRUE(google::protobuf::TextFormat::ParseFromString(text, &entry)) << text;
  return entry;
}

TEST(Words, GoldenForEachKind) {
  for (const Row& row : Rows()) EXPECT_EQ(Words(Parse(row.entry)), row.words);
}

TEST(Words, EveryKindOfEntryHasAGolden) {
  std::set<std::string> wanted;
  const auto* kinds = v1::Entry::descriptor()->FindOneofByName("what");
  for (int i = 0; i < kinds->field_count(); ++i) wanted.insert(kinds->field(i)->name());
  for (const Row& row : Rows()) {
    const v1::Entry entry = Parse(row.entry);
    wanted.erase(v1::Entry::GetReflection()->GetOneofFieldDescriptor(entry, kinds)->name());
  }
  EXPECT_THAT(wanted, testing::IsEmpty()) << "kinds of entry without words";
}

TEST(Words, EmptyEntryOfEveryKindStillSaysSomethingInOneLine) {
  const auto* kinds = v1::Entry::descriptor()->FindOneofByName("what");
  for (int i = 0; i < kinds->field_count(); ++i) {
    v1::Entry entry;
    v1::Entry::GetReflection()->MutableMessage(&entry, kinds->field(i));
    EXPECT_FALSE(Words(entry).empty());
    EXPECT_THAT(Words(entry), testing::Ne("an entry of a kind that this build does not know"))
        << kinds->field(i)->name();
  }
  EXPECT_EQ(Words(v1::Entry()), "an entry of a kind that this build does not know");
}

TEST(Words, TextCannotWriteOverAScreen) {
  v1::Entry entry;
  entry.mutable_move_stopped()->set_text(
      "a\n\x1b[2J\x7f"
      "b");
  EXPECT_EQ(Words(entry), "STOP: no cause given: \"a  [2J b\"");
}

TEST(Words, EveryEnumeratorHasItsOwnWords) {
  auto check = [](const google::protobuf::EnumDescriptor* type, auto words) {
    std::map<std::string_view, std::string> seen;
    for (int i = 0; i < type->value_count(); ++i) {
      auto [at, first] = seen.emplace(words(type->value(i)->number()), type->value(i)->name());
      EXPECT_TRUE(first) << type->value(i)->name() << " and " << at->second << " are both \""
                         << at->first << "\"";
    }
  };
  check(v1::MoveState_descriptor(),
        [](int n) { return StateWords(static_cast<v1::MoveState>(n)); });
  check(v1::Phase_descriptor(), [](int n) { return PhaseWords(static_cast<v1::Phase>(n)); });
  check(v1::GateState_descriptor(),
        [](int n) { return GateStateWords(static_cast<v1::GateState>(n)); });
  check(v1::Party_descriptor(), [](int n) { return yard::PartyWord(static_cast<v1::Party>(n)); });
  check(v1::StopCause_descriptor(),
        [](int n) { return CauseWords(static_cast<v1::StopCause>(n)); });
  check(v1::Happening_descriptor(),
        [](int n) { return HappeningWords(static_cast<v1::Happening>(n)); });
}

// RFC 3339 section 5.6 lets a blank stand for the T. Values worked out by hand.
TEST(Words, Times) {
  EXPECT_EQ(TimeWords(0), "1970-01-01 00:00:00Z");
  EXPECT_EQ(TimeWords(-1), "1969-12-31 23:59:59Z");
  EXPECT_EQ(TimeWords(951'782'400'000'000), "2000-02-29 00:00:00Z");
}

}  // namespace
}  // namespace chockwise::history
