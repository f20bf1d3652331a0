#include "tests/cli/samples.h"

#include <array>

#include "tests/cli/fake_server.h"

namespace chockwise::cli {
namespace {

struct Row {
  const char* id;
  const char* title;
  v1::GateState state;
  const char* reason;
  const char* remedy;
  std::array<v1::Party, 2> parties;
};

constexpr auto kNone = v1::PARTY_UNSPECIFIED;

constexpr std::array<Row, 25> kGates{{
    {"door-margins",
     "door margins",
     v1::GATE_STATE_NOT_CLEAR,
     "door-3: 2 in short above (opening 13 ft 2 in, machine 12 ft 10 in, asked 6 in)",
     "Use another door, or have a yard lead tape the machine and the door again.",
     {kNone, kNone}},
    {"walk-around",
     "walk-around",
     v1::GATE_STATE_NOT_ASKED,
     "nobody has given a word",
     "Walk all the way round: under, around, above; nothing left on bumper, deck or roof.",
     {v1::PARTY_DRIVER, kNone}},
    {"path-walked",
     "path walked",
     v1::GATE_STATE_STALE,
     "ben gave it 6 min 10 s ago, it holds 5 min",
     "Walk the path to the end stop once more.",
     {v1::PARTY_SPOTTER, kNone}},
    {"chocks-in",
     "chocks in",
     v1::GATE_STATE_NOT_CLEAR,
     "4 put down, ana picked up 3",
     "Find the fourth chock, and count again.",
     {v1::PARTY_DRIVER, v1::PARTY_SPOTTER}},
    {"no-tags",
     "no tag hangs",
     v1::GATE_STATE_NOT_CLEAR,
     "tag 7 by cho: hose off",
     "Whoever hung the tag takes it off after looking.",
     {kNone, kNone}},
    {"signals-agreed",
     "signals agreed",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Agree the signals face to face.",
     {v1::PARTY_DRIVER, v1::PARTY_SPOTTER}},
    {"belt-on",
     "belt on",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Belt on before the engine starts.",
     {v1::PARTY_DRIVER, v1::PARTY_SPOTTER}},
    {"people-clear",
     "people clear",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Send everybody behind the line.",
     {v1::PARTY_SPOTTER, kNone}},
    {"door-open",
     "door fully open",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Open it to the stop.",
     {v1::PARTY_SPOTTER, kNone}},
    {"light-enough",
     "light enough",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Lamps on.",
     {v1::PARTY_YARD_LEAD, kNone}},
    {"fit-today",
     "fit for work today",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Say so.",
     {v1::PARTY_DRIVER, v1::PARTY_SPOTTER}},
    {"hi-vis-on",
     "hi-vis on",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Put it on.",
     {v1::PARTY_DRIVER, v1::PARTY_SPOTTER}},
    {"floor-rated",
     "floor rated for the wheels",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Look it up.",
     {v1::PARTY_YARD_LEAD, kNone}},
    {"exhaust-away",
     "exhaust drawn away",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Hook up the hose.",
     {v1::PARTY_TECH, kNone}},
    {"brake-and-tags",
     "brake set, tags looked at",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Set it.",
     {v1::PARTY_DRIVER, kNone}},
    {"no-leak", "no leak", v1::GATE_STATE_NOT_ASKED, "", "Look under.", {v1::PARTY_DRIVER, kNone}},
    {"travel-mode",
     "boom in travel mode",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Lower it.",
     {v1::PARTY_DRIVER, v1::PARTY_SPOTTER}},
    {"nothing-overhead",
     "nothing overhead",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Look up.",
     {v1::PARTY_SPOTTER, kNone}},
    {"other-side-held",
     "other side of the door held",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Name who.",
     {v1::PARTY_SPOTTER, kNone}},
    {"escape-side",
     "escape side named",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Name it.",
     {v1::PARTY_SPOTTER, kNone}},
    {"cones-in",
     "cones in",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Count them.",
     {v1::PARTY_DRIVER, v1::PARTY_SPOTTER}},
    {"horn-heard",
     "horn heard",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Sound it.",
     {v1::PARTY_SPOTTER, kNone}},
    {"device-away",
     "devices away",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Put it away.",
     {v1::PARTY_DRIVER, v1::PARTY_SPOTTER}},
    {"inspected-this-shift",
     "inspected this shift",
     v1::GATE_STATE_STALE,
     "last looked at 9 h 12 min ago, before this shift",
     "Inspect it and record it.",
     {kNone, kNone}},
    {"spotter-word",
     "spotter's word",
     v1::GATE_STATE_NOT_ASKED,
     "",
     "Given last.",
     {v1::PARTY_SPOTTER, kNone}},
}};

void Fill(const Row& row, v1::UnmetGate& gate) {
  gate.set_gate_id(row.id);
  gate.set_title(row.title);
  gate.set_state(row.state);
  gate.set_reason(row.reason);
  gate.set_remedy(row.remedy);
  gate.set_gate_class(v1::GATE_CLASS_HARD);
  for (const v1::Party party : row.parties) {
    if (party == kNone) continue;
    gate.add_parties(party);
    if (party == v1::PARTY_DRIVER) gate.add_people("ana");
    if (party == v1::PARTY_SPOTTER) gate.add_people("ben");
  }
}

v1::Move Short(int number, const char* machine, v1::MoveState state) {
  v1::Move move = SampleMove();
  move.set_name("yards/north/moves/" + std::to_string(number));
  move.set_machine(machine);
  move.set_state(state);
  return move;
}

}  // namespace

v1::Identity SampleDriver() {
  return FromText<v1::Identity>(
      R"(yard: "yards/north" person: "ana" title: "Ana Ruiz" roles: "driver" roles: "spotter")");
}

v1::Move SampleMove() {
  auto move = FromText<v1::Move>(R"(
    name: "yards/north/moves/14" kind: "walk-through-door" kind_title:
        "a machine is walked through an overhead door"
    machine: "TH-207" from_place: "bay-2" to_place: "apron-north" lanes: "lane-2" lanes: "lane-5"
        stops: "door-3"
    requester: "ana" driver: "ana" spotter: "ben" spotter_accepted: true state:
        MOVE_STATE_REQUESTED phase: PHASE_START)");
  for (std::size_t i = 0; i < 12; ++i) {
    v1::UnmetGate unmet;
    Fill(kGates[i], unmet);
    v1::Gate& gate = *move.add_gates();
    gate.set_gate_id(unmet.gate_id());
    gate.set_title(unmet.title());
    gate.set_question("Is it so: " + unmet.title() + "?");
    gate.set_remedy(unmet.remedy());
    gate.set_gate_class(v1::GATE_CLASS_HARD);
    gate.set_state(unmet.state());
    gate.set_reason(unmet.reason());
    *gate.mutable_parties() = unmet.parties();
    *gate.mutable_missing_parties() = unmet.parties();
  }
  // Two are clear: one by words, one computed.
  v1::Gate& clear = *move.mutable_gates(7);
  clear.set_state(v1::GATE_STATE_CLEAR);
  clear.clear_missing_parties();
  *clear.add_words() =
      FromText<v1::Word>(R"(party: PARTY_SPOTTER person: "ben" time { seconds: 1795561300 })");
  clear.mutable_stale_time()->set_seconds(1795561600);
  v1::Gate& computed = *move.mutable_gates(4);
  computed.set_state(v1::GATE_STATE_CLEAR);
  computed.set_reason("no tag on TH-207");
  return move;
}

v1::UnmetGates SampleUnmet(int count) {
  v1::UnmetGates unmet;
  for (int i = 0; i < count; ++i) Fill(kGates.at(static_cast<std::size_t>(i)), *unmet.add_gates());
  return unmet;
}

BoardView SampleBoard() {
  BoardView view;
  view.yard = FromText<v1::Yard>(R"(
    name: "yards/north" version: 3 time { seconds: 1795561331 }
    shift { title: "day" end_time { seconds: 1795590000 } yard_lead: "lia" }
    hold { person: "ben" reason: "ambulance in lane 4" time { seconds: 1795561200 } }
    doors { door: "door-1" title: "Shop A west" }
    doors { door: "door-2" title: "Shop A east" out_of_service: true reported_by: "ana" text:
        "moved: curtain dropped a hand" }
    doors { door: "door-3" title: "Shop B" move: "yards/north/moves/11" }
    doors { door: "door-4" } doors { door: "door-5" }
    machines { machine: "EX-301" place: "pad-1" tags { number: 7 person: "cho" text: "hose off"
        time { seconds: 1795550000 } }
               put_down { key: "chocks" value: 4 } }
    machines { machine: "TH-207" place: "bay-2" move: "yards/north/moves/14" inspection_time {
        seconds: 1795548000 } }
    machines { machine: "FL-112" place: "bay-1"
               tags { number: 8 person: "ana" text: "refused" refused_move: "yards/north/moves/9"
                   time { seconds: 1795551000 } } }
    people { person: "ana" title: "Ana Ruiz" roles: "driver" roles: "spotter" }
    people { person: "ben" title: "Ben Okoro" roles: "spotter" spotting: "yards/north/moves/14"
        })");
  view.moves.push_back(Short(11, "ST-101", v1::MOVE_STATE_UNDER_WAY));
  view.moves.push_back(Short(12, "FL-110", v1::MOVE_STATE_RELEASED));
  for (int i = 0; i < 11; ++i)
    view.moves.push_back(
        Short(14 + i, "TH-207", i % 4 == 3 ? v1::MOVE_STATE_STOPPED : v1::MOVE_STATE_REQUESTED));
  view.moves[3].set_spotter_accepted(false);
  view.moves[4].clear_spotter();
  view.moves[5].clear_gates();
  *view.moves[5].add_stop_words() =
      FromText<v1::StopWord>(R"(person: "ben" cause: STOP_CAUSE_CALLED)");
  view.moves[6].clear_gates();
  view.moves[6].set_state(v1::MOVE_STATE_PARKED);
  return view;
}

v1::ListMoveRecordsResponse SampleRecords() {
  return FromText<v1::ListMoveRecordsResponse>(R"(
    records { name: "yards/north/moves/14" kind: "load" machine: "EX-301" carrier: "CR-1"
        from_place: "pad-1" to_place: "carrier-pad"
              state: MOVE_STATE_CLOSED request_time { seconds: 1795561331 } refusals: 2
                  stops_called: 1 }
    records { name: "yards/north/moves/9" kind: "load" machine: "FL-112" from_place: "bay-1"
        to_place: "apron-north"
              state: MOVE_STATE_LEFT_STANDING request_time { seconds: 1795551331 } acceptances: 1 }
    lag_entries: 4)");
}

v1::MovesSummary SampleSummary() {
  return FromText<v1::MovesSummary>(R"(
    moves: 24 moves_released: 19 moves_begun: 18 moves_with_refusals: 11 moves_stopped: 4 releases:
        23 releases_refused: 15
    releases_voided: 3 closes_refused: 2 median_request_to_begin { seconds: 341 }
    kinds { kind: "walk-through-door" moves: 9 closed: 7 withdrawn: 1 refused: 1 }
    stops { cause: STOP_CAUSE_LOST_SIGHT by_people: 2 } stops { cause: STOP_CAUSE_DOOR_MOVED
        by_system: 1 }
    gates { gate_id: "chocks-in" title: "chocks in" asked: 40 kept_back: 6 not_clear: 4 stale: 2
        accepted: 0 }
    count_mismatches { item: "chocks" times: 4 })");
}

}  // namespace chockwise::cli
