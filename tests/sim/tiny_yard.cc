#include "tests/sim/tiny_yard.h"

namespace chockwise::sim {

yard::YardFiles TinyFiles() {
  yard::YardFiles files;
  files.map_geojson = R"({"type": "FeatureCollection", "features": [
{"type": "Feature", "id": "south", "properties": {"type": "place", "name": "South", "capacity": 2, "post-code": "S1"},
 "geometry": {"type": "Point", "coordinates": [-96.0, 41.0]}},
{"type": "Feature", "id": "north", "properties": {"type": "place", "name": "North", "capacity": 2, "post-code": "N1"},
 "geometry": {"type": "Point", "coordinates": [-96.0, 41.0005]}},
{"type": "Feature", "id": "way", "properties": {"type": "lane", "name": "Way", "from": "south", "to": "north"},
 "geometry": {"type": "LineString", "coordinates": [[-96.0, 41.0, 300.0], [-96.0, 41.0005, 300.0]]}},
{"type": "Feature", "id": "door", "properties": {"type": "door", "name": "Door", "lane": "way", "post-code": "D1"},
 "geometry": {"type": "Point", "coordinates": [-96.0, 41.0002]}}
]})";
  files.machines_csv =
      "id,name,class,place,attachment,chocks\n"
      "M1,First telehandler,telehandler,south,,2\n"
      "M2,Second telehandler,telehandler,south,,0\n";
  files.people_csv =
      "id,name,roles,may-drive,may-spot-until\n"
      "ann,Ann Arden,driver,telehandler until 2027-06-30,\n"
      "bob,Bob Brill,driver,telehandler until 2027-06-30,\n"
      "sid,Sid Sorrel,spotter,,2027-06-30\n"
      "lea,Lea Lorne,yard-lead;spotter,,2027-06-30\n"
      "tek,Tek Tarn,tech,,\n"
      "rex,Rex Roe,reader,,\n"
      "wyn,Wyn Wick,safety-lead,,\n";
  files.measurements_csv =
      "what,value,unit,with,by,when\n"
      "door clear-height,14 ft 0 in,,,lea,2026-11-01\n";
  files.rules_txtpb = "yard_id: \"tiny\"\nversion: \"1\"\nowner: \"wyn\"\n";
  return files;
}

std::string TinyBaseRules() {
  return R"(version: "tiny base"
limits { start_window { seconds: 60 } before_shift_end { seconds: 600 } }
gates {
  id: "inspected" title: "inspected" question: "Inspected this shift?" remedy: "Inspect it."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START] computed { computation: "inspection-this-shift" }
  sources: ["common practice"]
}
gates {
  id: "walk" title: "walk-around" question: "Walked round it?" remedy: "Walk round it."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  looked_at {
    parties: [PARTY_DRIVER] fresh_for { seconds: 120 }
    stale_on: [HAPPENING_DRIVER_SWAP, HAPPENING_LEFT_UNATTENDED, HAPPENING_NEIGHBOUR_MOVED, HAPPENING_SHIFT_END]
  }
  sources: ["common practice"]
}
gates {
  id: "path" title: "path" question: "Path walked?" remedy: "Walk it."
  gate_class: GATE_CLASS_LEAD_MAY_ACCEPT phases: [PHASE_START]
  looked_at {
    parties: [PARTY_SPOTTER] fresh_for { seconds: 120 }
    stale_on: [HAPPENING_SPOTTER_SWAP, HAPPENING_DOOR_MOVED, HAPPENING_NEIGHBOUR_MOVED, HAPPENING_SHIFT_END]
  }
  controls: ["walking speed"]
  sources: ["common practice"]
}
gates {
  id: "chocks-in" title: "chocks in" question: "Chocks out and stowed: how many?" remedy: "Count."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  looked_at {
    parties: [PARTY_DRIVER] evidence: EVIDENCE_COUNT_PICKED_UP item: "chocks" item_stays_with_machine: true
    stale_on: [HAPPENING_DRIVER_SWAP, HAPPENING_LEFT_UNATTENDED, HAPPENING_SHIFT_END]
  }
  sources: ["common practice"]
}
gates {
  id: "word" title: "second word" question: "May it begin?" remedy: "Say so."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  looked_at {
    parties: [PARTY_SPOTTER, PARTY_YARD_LEAD] any_party: true fresh_for { seconds: 120 } given_last: true
    stale_on: [
      HAPPENING_DRIVER_SWAP, HAPPENING_SPOTTER_SWAP, HAPPENING_LEFT_UNATTENDED, HAPPENING_DOOR_MOVED,
      HAPPENING_NEIGHBOUR_MOVED, HAPPENING_SHIFT_END
    ]
  }
  sources: ["common practice"]
}
gates {
  id: "at-line" title: "word at the line" question: "May it go on?" remedy: "Come to the line."
  gate_class: GATE_CLASS_HARD phases: [PHASE_HOLD_POINT]
  looked_at {
    parties: [PARTY_SPOTTER] evidence: EVIDENCE_POST_CODE fresh_for { seconds: 120 } given_last: true
    stale_on: [HAPPENING_DRIVER_SWAP, HAPPENING_SPOTTER_SWAP, HAPPENING_LEFT_UNATTENDED, HAPPENING_DOOR_MOVED,
               HAPPENING_NEIGHBOUR_MOVED, HAPPENING_SHIFT_END]
  }
  sources: ["common practice"]
}
gates {
  id: "parked" title: "parked dead" question: "Parked?" remedy: "Park it."
  gate_class: GATE_CLASS_HARD phases: [PHASE_CLOSE_OUT]
  looked_at { parties: [PARTY_DRIVER] stale_on: [HAPPENING_DRIVER_SWAP] }
  sources: ["common practice"]
}
gates {
  id: "chocks-set" title: "chocks set" question: "Chocks set: how many?" remedy: "Count."
  gate_class: GATE_CLASS_HARD phases: [PHASE_CLOSE_OUT]
  looked_at {
    parties: [PARTY_DRIVER, PARTY_SPOTTER] evidence: EVIDENCE_COUNT_PUT_DOWN item: "chocks" item_stays_with_machine: true
    stale_on: [HAPPENING_DRIVER_SWAP, HAPPENING_SPOTTER_SWAP]
  }
  sources: ["common practice"]
}
kinds {
  id: "walk-through" title: "a machine is walked through" machine_classes: ["telehandler"] hold_at_doors: true
  gate_ids: ["inspected", "walk", "path", "chocks-in", "word", "at-line", "parked", "chocks-set"]
}
)";
}

v1::Command TinyLoad() {
  v1::Command command;
  command.set_person("wyn");
  const yard::YardFiles files = TinyFiles();
  auto& load = *command.mutable_load_yard();
  auto& by_name = *load.mutable_files();
  by_name["map.geojson"] = files.map_geojson;
  by_name["machines.csv"] = files.machines_csv;
  by_name["people.csv"] = files.people_csv;
  by_name["measurements.csv"] = files.measurements_csv;
  by_name["rules.txtpb"] = files.rules_txtpb;
  by_name["base_rules.txtpb"] = TinyBaseRules();
  load.set_digest("tiny");
  return command;
}

fit::Instant TinyMorning() { return fit::Instant::FromMicros(1'794'808'800'000'000); }

}  // namespace chockwise::sim
