// A small right yard, to be made wrong in one place at a time.
#pragma once

#include <stdexcept>
#include <string>
#include <string_view>

#include "services/yard/yard.h"

namespace chockwise::yard {

/// Two places in a line north of bay-1, a third one east; one door, one hold point, two areas.
inline YardFiles SampleFiles() {
  YardFiles files;
  files.map_geojson = R"({"type": "FeatureCollection", "features": [
{"type": "Feature", "id": "bay-1", "properties": {"type": "place", "name": "Bay 1", "capacity": 2, "post-code": "B1"},
 "geometry": {"type": "Point", "coordinates": [-96.0, 41.0]}},
{"type": "Feature", "id": "apron", "properties": {"type": "place", "name": "Apron", "capacity": 1},
 "geometry": {"type": "Point", "coordinates": [-96.0, 41.0005]}},
{"type": "Feature", "id": "wash-pad", "properties": {"type": "place", "name": "Wash pad"},
 "geometry": {"type": "Point", "coordinates": [-95.9995, 41.0005]}},
{"type": "Feature", "id": "lane-1", "properties": {"type": "lane", "from": "bay-1", "to": "apron"},
 "geometry": {"type": "LineString", "coordinates": [[-96.0, 41.0, 300.0], [-96.0, 41.0005, 301.0]]}},
{"type": "Feature", "id": "lane-2", "properties": {"type": "lane", "from": "apron", "to": "wash-pad", "one-way": true},
 "geometry": {"type": "LineString", "coordinates": [[-96.0, 41.0005, 301.0], [-95.9995, 41.0005, 301.0]]}},
{"type": "Feature", "id": "door-1", "properties": {"type": "door", "lane": "lane-1", "post-code": "D1", "clear-height": "14 ft"},
 "geometry": {"type": "Point", "coordinates": [-96.0, 41.0002]}},
{"type": "Feature", "id": "corner", "properties": {"type": "hold-point", "lane": "lane-1", "post-code": "H1"},
 "geometry": {"type": "Point", "coordinates": [-96.0, 41.0004]}},
{"type": "Feature", "id": "exit-1", "properties": {"type": "area", "duty": "exit"},
 "geometry": {"type": "Polygon", "coordinates": [[[-96.0001, 41.0002], [-95.9999, 41.0002], [-95.9999, 41.0003], [-96.0001, 41.0003], [-96.0001, 41.0002]]]}},
{"type": "Feature", "id": "refuge-1", "properties": {"type": "area", "duty": "refuge"},
 "geometry": {"type": "Polygon", "coordinates": [[[-96.002, 41.0], [-96.0019, 41.0], [-96.0019, 41.0001], [-96.002, 41.0]]]}}
]})";
  files.machines_csv =
      "id,name,class,place,attachment,chocks\n"
      "ST-01,Service truck,service-truck,bay-1,,2\n"
      "TH-07,Telehandler,telehandler,bay-1,forks,0\n";
  files.people_csv =
      "id,name,roles,may-drive,may-spot-until\n"
      "maria,Maria Quill,driver;spotter,service-truck until 2027-03-01; telehandler until "
      "2026-12-31,2027-06-30\n"
      "otto,Otto Brandt,yard-lead,,\n"
      "ines,Ines Vale,safety-lead;reader,,\n";
  files.measurements_csv =
      "what,value,unit,with,by,when\n"
      "door-1 clear-height,13 ft 10 in,,,otto,2026-11-01\n"
      "door-1 clear-width,4.20,m,,otto,2026-11-01T08:00:00-06:00\n"
      "TH-07 carried-height,8 ft 2 in,,forks,otto,2026-11-02\n"
      "TH-07 mass,\"26,000\",lb,forks,otto,2026-11-02\n"
      "apron cross-slope,1.5,%,,otto,2026-11-02\n";
  files.rules_txtpb = R"(yard_id: "elm-street"
version: "2026-11"
owner: "ines"
)";
  return files;
}

inline std::string_view SampleBaseRules() {
  return R"(version: "base"
limits { start_window { seconds: 300 } before_shift_end { seconds: 600 } }
gates {
  id: "walk" title: "walk-around" question: "Nobody under, on or beside it?" remedy: "Walk around it."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  looked_at { parties: [PARTY_DRIVER, PARTY_SPOTTER] fresh_for { seconds: 300 } stale_on: [HAPPENING_DRIVER_SWAP] }
  sources: ["common practice"]
}
gates {
  id: "chocks-out" title: "chocks out" question: "Are all chocks out?" remedy: "Pick them up."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  looked_at { parties: [PARTY_SPOTTER] evidence: EVIDENCE_COUNT_PICKED_UP item: "chocks" item_stays_with_machine: true }
  sources: ["common practice"]
}
gates {
  id: "weather" title: "weather" question: "Is the ground firm?" remedy: "Wait."
  gate_class: GATE_CLASS_LEAD_MAY_ACCEPT phases: [PHASE_START]
  looked_at { parties: [PARTY_YARD_LEAD, PARTY_TECH] any_party: true }
  controls: ["second spotter", "walking speed"]
  sources: ["common practice"]
}
gates {
  id: "fits" title: "fits the door" question: "Does it fit?" remedy: "Lower it."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START, PHASE_HOLD_POINT]
  computed {
    computation: "door-margins"
    parameters { key: "height_margin" value: "6 in" }
    parameters { key: "max_age" value: "365 days" }
  }
  while_moving: true
  sources: ["common practice"]
}
gates {
  id: "level" title: "level" question: "Is it level?" remedy: "Park it elsewhere."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  computed {
    computation: "measured"
    parameters { key: "subject" value: "to-place" }
    parameters { key: "quantity" value: "cross-slope" }
    parameters { key: "at_most" value: "2 %" }
  }
  sources: ["default: the safety lead's to set"]
}
gate_sets { id: "every-move" gate_ids: ["walk", "chocks-out"] }
kinds {
  id: "reverse-out" title: "a service truck reverses out" machine_classes: ["service-truck", "telehandler"]
  gate_set_ids: ["every-move"] gate_ids: ["weather", "fits"]
}
kinds {
  id: "load" title: "a machine is loaded" machine_classes: ["telehandler"] carrier_classes: ["carrier"] needs_carrier: true
  hold_at_doors: true gate_set_ids: ["every-move"] gate_ids: ["level"]
}
)";
}

inline Computations SampleComputations() {
  return {
      {"door-margins",
       {.parameters = {{"height_margin", ParameterKind::kLength}, {"max_age", ParameterKind::kAge}},
        .required = {"height_margin"}}},
      {"light", {.parameters = {{"glare_gate", ParameterKind::kGate}}, .required = {}}},
      {"measured",
       {.parameters = {{"subject", ParameterKind::kWord},
                       {"quantity", ParameterKind::kWord},
                       {"at_most", ParameterKind::kQuantity},
                       {"at_least", ParameterKind::kQuantity},
                       {"max_age", ParameterKind::kAge}},
        .required = {"subject", "quantity"}}},
      {"no-tags", {}},
  };
}

inline tl::expected<Yard, Complaints> ReadSample(const YardFiles& files) {
  return ReadYard(files, SampleBaseRules(), SampleComputations());
}

/// The text with one part of it replaced, which must be there exactly once: a test that changes
/// nothing is a mistake.
inline std::string Replaced(std::string text, std::string_view part, std::string_view by) {
  const size_t at = text.find(part);
  if (at == std::string::npos || text.find(part, at + 1) != std::string::npos) {
    throw std::invalid_argument("not there exactly once: " + std::string(part));
  }
  return text.replace(at, part.size(), by);
}

/// All complaints, one a line; empty where the yard was read.
inline std::string ComplaintsText(const tl::expected<Yard, Complaints>& yard) {
  std::string text;
  if (yard) return text;
  for (const Complaint& complaint : yard.error()) text += complaint.Text() + "\n";
  return text;
}

}  // namespace chockwise::yard
