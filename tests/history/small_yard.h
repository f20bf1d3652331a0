// A yard of three places and two lanes with few gates, so that a whole shift can be written down by
// hand.
#pragma once

#include <map>
#include <string>

namespace chockwise::history {

/// bay-1 —(lane-1, door-1)— apron —(lane-2)— wash-pad. Everything invented.
inline std::map<std::string, std::string> SmallYard() {
  std::map<std::string, std::string> files;
  files["map.geojson"] = R"({"type": "FeatureCollection",
"survey": {"by": "ann", "when": "2026-11-01T08:00:00Z"}, "features": [
{"type": "Feature", "id": "bay-1", "properties": {"type": "place", "name": "Bay 1", "post-code": "B1"},
 "geometry": {"type": "Point", "coordinates": [-40.0, 20.0]}},
{"type": "Feature", "id": "apron", "properties": {"type": "place", "name": "Apron", "post-code": "A1"},
 "geometry": {"type": "Point", "coordinates": [-40.0, 20.0005]}},
{"type": "Feature", "id": "wash-pad", "properties": {"type": "place", "name": "Wash pad", "post-code": "W1"},
 "geometry": {"type": "Point", "coordinates": [-39.9995, 20.0005]}},
{"type": "Feature", "id": "lane-1", "properties": {"type": "lane", "from": "bay-1", "to": "apron"},
 "geometry": {"type": "LineString", "coordinates": [[-40.0, 20.0, 12.0], [-40.0, 20.0005, 12.0]]}},
{"type": "Feature", "id": "lane-2", "properties": {"type": "lane", "from": "apron", "to": "wash-pad"},
 "geometry": {"type": "LineString", "coordinates": [[-40.0, 20.0005, 12.0], [-39.9995, 20.0005, 12.0]]}},
{"type": "Feature", "id": "door-1", "properties": {"type": "door", "lane": "lane-1", "post-code": "D1"},
 "geometry": {"type": "Point", "coordinates": [-40.0, 20.0002]}}
]})";
  files["machines.csv"] =
      "id,name,class,place,attachment,chocks\n"
      "TH-07,Telehandler,telehandler,bay-1,forks,2\n"
      "ST-01,Service truck,service-truck,apron,,0\n";
  files["people.csv"] =
      "id,name,roles,may-drive,may-spot-until\n"
      "ann,Ann Quill,driver,telehandler until 2027-03-01,\n"
      "cal,Cal Moor,driver,service-truck until 2027-03-01; telehandler until 2027-03-01,\n"
      "bob,Bob Vane,spotter,,2027-03-01\n"
      "dot,Dot Ashe,spotter,,2027-03-01\n"
      "lee,Lee Brandt,yard-lead,,\n"
      "ted,Ted Orme,tech,,\n"
      "sam,Sam Vale,safety-lead,,\n";
  files["measurements.csv"] =
      "what,value,unit,with,by,when\n"
      "door-1 clear-height,12 ft 0 in,,,lee,2026-11-01\n"
      "door-1 clear-width,12 ft 0 in,,,lee,2026-11-01\n"
      "TH-07 carried-height,8 ft 2 in,,forks,lee,2026-11-02\n"
      "TH-07 carried-width,7 ft 6 in,,forks,lee,2026-11-02\n"
      "TH-07 mass,\"26,000\",lb,forks,lee,2026-11-02\n"
      "ST-01 mass,\"19,500\",lb,,lee,2026-11-02\n";
  files["rules.txtpb"] = "yard_id: \"small-yard\"\nversion: \"2026-11\"\nowner: \"sam\"\n";
  files["base_rules.txtpb"] = R"(version: "small"
limits { start_window { seconds: 300 } before_shift_end { seconds: 600 } }
gates { id: "driver-authorised" title: "driver authorised" question: "Authorised?" remedy: "Name another."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START, PHASE_HOLD_POINT] computed { computation: "driver-authorised" }
  sources: ["common practice"] }
gates { id: "spotter-bound" title: "spotter bound" question: "Bound?" remedy: "Accept the role."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START, PHASE_HOLD_POINT] computed { computation: "spotter-bound" }
  sources: ["common practice"] }
gates { id: "shift-running" title: "shift running" question: "Running?" remedy: "Open it."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START, PHASE_HOLD_POINT] computed { computation: "shift-running" }
  sources: ["common practice"] }
gates { id: "inspected" title: "inspected" question: "Inspected?" remedy: "Inspect it."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START] computed { computation: "inspection-this-shift" }
  sources: ["common practice"] }
gates { id: "mass-known" title: "mass known" question: "Known?" remedy: "Weigh it."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START] computed { computation: "measured"
    parameters { key: "subject" value: "machine" } parameters { key: "quantity" value: "mass" }
    parameters { key: "at_most" value: "40,000 lb" } parameters { key: "max_age" value: "365 days" } }
  sources: ["common practice"] }
gates { id: "fits" title: "fits the doors" question: "Fits?" remedy: "Lower it."
  gate_class: GATE_CLASS_LEAD_MAY_ACCEPT phases: [PHASE_START] computed { computation: "door-margins"
    parameters { key: "height_margin" value: "6 in" } parameters { key: "width_margin" value: "24 in" }
    parameters { key: "bounce" value: "3 in" } parameters { key: "max_age" value: "365 days" } }
  controls: ["lead at the door"] sources: ["common practice"] }
gates { id: "weather" title: "weather" question: "Ground firm?" remedy: "Wait."
  gate_class: GATE_CLASS_LEAD_MAY_ACCEPT phases: [PHASE_START]
  looked_at { parties: [PARTY_YARD_LEAD, PARTY_SPOTTER] any_party: true fresh_for { seconds: 3600 }
    stale_on: [HAPPENING_SHIFT_END] }
  controls: ["creep speed"] sources: ["common practice"] }
gates { id: "road-ready" title: "road ready" question: "Ready?" remedy: "Look."
  gate_class: GATE_CLASS_RECORD phases: [PHASE_START] looked_at { parties: [PARTY_DRIVER] }
  sources: ["common practice"] }
gates { id: "walk-around" title: "walk-around" question: "Nobody near?" remedy: "Walk round it."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  looked_at { parties: [PARTY_DRIVER] evidence: EVIDENCE_POST_CODE fresh_for { seconds: 300 }
    stale_on: [HAPPENING_DRIVER_SWAP, HAPPENING_LEFT_UNATTENDED, HAPPENING_NEIGHBOUR_MOVED, HAPPENING_SHIFT_END] }
  sources: ["common practice"] }
gates { id: "path-walked" title: "path walked" question: "Clear to the end?" remedy: "Walk it."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  looked_at { parties: [PARTY_SPOTTER] evidence: EVIDENCE_NOTE fresh_for { seconds: 300 }
    stale_on: [HAPPENING_SPOTTER_SWAP, HAPPENING_DOOR_MOVED, HAPPENING_YARD_RELOADED] }
  sources: ["common practice"] }
gates { id: "people-clear" title: "people clear" question: "How many stand clear?" remedy: "Count them."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  looked_at { parties: [PARTY_SPOTTER] evidence: EVIDENCE_COUNT_PUT_DOWN item: "people" least_count: 1
    stale_on: [HAPPENING_SPOTTER_SWAP] }
  sources: ["common practice"] }
gates { id: "chocks-in" title: "chocks in" question: "How many?" remedy: "Count them."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  looked_at { parties: [PARTY_DRIVER, PARTY_SPOTTER] evidence: EVIDENCE_COUNT_PICKED_UP item: "chocks"
    item_stays_with_machine: true stale_on: [HAPPENING_DRIVER_SWAP, HAPPENING_SPOTTER_SWAP] }
  sources: ["common practice"] }
gates { id: "spotter-word" title: "spotter's word" question: "May begin?" remedy: "Say so."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  looked_at { parties: [PARTY_SPOTTER] evidence: EVIDENCE_POST_CODE fresh_for { seconds: 120 }
    stale_on: [HAPPENING_SPOTTER_SWAP, HAPPENING_DRIVER_SWAP] given_last: true }
  sources: ["common practice"] }
gates { id: "word-at-line" title: "word at the line" question: "May go on?" remedy: "Say so."
  gate_class: GATE_CLASS_HARD phases: [PHASE_HOLD_POINT]
  looked_at { parties: [PARTY_SPOTTER] evidence: EVIDENCE_POST_CODE fresh_for { seconds: 120 }
    stale_on: [HAPPENING_SPOTTER_SWAP] given_last: true }
  sources: ["common practice"] }
gates { id: "parked" title: "parked dead" question: "Brake set?" remedy: "Set it."
  gate_class: GATE_CLASS_HARD phases: [PHASE_CLOSE_OUT]
  looked_at { parties: [PARTY_DRIVER] evidence: EVIDENCE_POST_CODE stale_on: [HAPPENING_DRIVER_SWAP] }
  sources: ["common practice"] }
gates { id: "chocks-set" title: "chocks set" question: "How many?" remedy: "Count them."
  gate_class: GATE_CLASS_HARD phases: [PHASE_CLOSE_OUT]
  looked_at { parties: [PARTY_DRIVER, PARTY_SPOTTER] evidence: EVIDENCE_COUNT_PUT_DOWN item: "chocks"
    item_stays_with_machine: true stale_on: [HAPPENING_DRIVER_SWAP] }
  sources: ["common practice"] }
gates { id: "people-again" title: "people again" question: "How many?" remedy: "Count them."
  gate_class: GATE_CLASS_HARD phases: [PHASE_CLOSE_OUT]
  looked_at { parties: [PARTY_SPOTTER] evidence: EVIDENCE_COUNT_PICKED_UP item: "people" }
  sources: ["common practice"] }
gates { id: "counts-balance" title: "counts balance" question: "All in?" remedy: "Count again."
  gate_class: GATE_CLASS_HARD phases: [PHASE_CLOSE_OUT] computed { computation: "counts-balance" }
  sources: ["common practice"] }
gate_sets { id: "records" gate_ids: ["driver-authorised", "spotter-bound", "shift-running", "inspected", "mass-known", "fits"] }
gate_sets { id: "looked-at" gate_ids: ["weather", "road-ready", "walk-around", "path-walked", "people-clear", "chocks-in",
  "spotter-word", "word-at-line"] }
gate_sets { id: "close-out" gate_ids: ["parked", "chocks-set", "people-again", "counts-balance"] }
kinds { id: "through-door" title: "a machine is walked through a door" machine_classes: ["telehandler", "service-truck"]
  gate_set_ids: ["records", "looked-at", "close-out"] hold_at_doors: true }
)";
  return files;
}

}  // namespace chockwise::history
