// The demo yard with its crane truck hitched to a full trailer: a dolly on a drawbar and the body
// on it. All invented.
#pragma once

#include <initializer_list>
#include <sstream>
#include <stdexcept>
#include <string>

#include "tests/survey/demo_yard.h"

namespace chockwise::survey {

/// Of the truck, whose readings are taken with its crane: hitch 9 ft behind an axle that is 20 ft 8
/// in behind its front, flush with its rear.
inline constexpr const char* kTrainReadings =
    "ST-104 hitch-behind-axle,9 ft 0 in,,crane,dov,2026-11-02T08:00:00Z\n"
    "DL-961 coupling-to-axle,6 ft 6 in,,,dov,2026-11-02T08:00:00Z\n"
    "DL-961 coupling-height,30 in,,,dov,2026-11-02T08:00:00Z\n"
    "DL-961 trailer-front-overhang,0 in,,,dov,2026-11-02T08:00:00Z\n"
    "DL-961 trailer-rear-overhang,2 ft 0 in,,,dov,2026-11-02T08:00:00Z\n"
    "DL-961 hitch-behind-axle,0 in,,,dov,2026-11-02T08:00:00Z\n"
    "DL-961 carried-length,8 ft 6 in,,,dov,2026-11-02T08:00:00Z\n"
    "DL-961 carried-width,8 ft 0 in,,,dov,2026-11-02T08:00:00Z\n"
    "DL-961 carried-height,3 ft 8 in,,,dov,2026-11-02T08:00:00Z\n"
    "DL-961 belly-clearance,14 in,,,dov,2026-11-02T08:00:00Z\n"
    "DL-961 wheel-radius,18 in,,,dov,2026-11-02T08:00:00Z\n"
    "DL-961 mass,\"5,200 lb\",,,dov,2026-11-02T08:00:00Z\n"
    "FT-962 coupling-to-axle,20 ft 0 in,,,dov,2026-11-02T08:00:00Z\n"
    "FT-962 coupling-height,40 in,,,dov,2026-11-02T08:00:00Z\n"
    "FT-962 trailer-front-overhang,3 ft 0 in,,,dov,2026-11-02T08:00:00Z\n"
    "FT-962 trailer-rear-overhang,4 ft 0 in,,,dov,2026-11-02T08:00:00Z\n"
    "FT-962 carried-length,27 ft 0 in,,,dov,2026-11-02T08:00:00Z\n"
    "FT-962 carried-width,8 ft 8 in,,,dov,2026-11-02T08:00:00Z\n"
    "FT-962 carried-height,12 ft 8 in,,,dov,2026-11-02T08:00:00Z\n"
    "FT-962 belly-clearance,9 in,,,dov,2026-11-02T08:00:00Z\n"
    "FT-962 wheel-radius,18 in,,,dov,2026-11-02T08:00:00Z\n"
    "FT-962 mass,\"12,400 lb\",,,dov,2026-11-02T08:00:00Z\n";

/// machines.csv with a machine that tows, and more rows.
inline std::string TowedRegister(const std::string& text, const std::string& tower,
                                 const std::string& tows, const std::string& rows) {
  std::istringstream lines(text);
  std::string towing;
  bool found = false;
  for (std::string line; std::getline(lines, line);) {
    const bool is_tower = line.starts_with(tower + ",") && line.ends_with(",");
    found |= is_tower;
    towing += line + (is_tower ? tows : "") + "\n";
  }
  if (!found) throw std::runtime_error(tower + " tows already, or is not in machines.csv");
  return towing + rows;
}

inline yard::YardFiles DemoFiles() {
  return {.map_geojson = FileText("map.geojson"),
          .machines_csv = FileText("machines.csv"),
          .people_csv = FileText("people.csv"),
          .measurements_csv = FileText("measurements.csv"),
          .rules_txtpb = FileText("rules.txtpb")};
}

inline yard::Yard Read(const yard::YardFiles& files) {
  auto yard = yard::ReadYard(files, yard::BaseRulesText(), yard::KnownComputations());
  if (!yard) throw std::runtime_error(yard.error().front().Text());
  return *yard;
}

inline yard::Yard TrainYard() {
  yard::YardFiles files = DemoFiles();
  files.machines_csv = TowedRegister(files.machines_csv, "ST-104", "DL-961; FT-962",
                                     "DL-961,Trailer dolly,trailer,truck-row,,0,,\n"
                                     "FT-962,Trailer body,trailer,truck-row,,2,,\n");
  files.measurements_csv += kTrainReadings;
  return Read(files);
}

/// The same truck alone, with the same readings.
inline yard::Yard Unhitched(yard::Yard yard) {
  for (auto& [id, machine] : yard.machines) {
    machine.tows.clear();
    machine.towed_by = {};
  }
  return yard;
}

inline const yard::Machine& MachineIn(const yard::Yard& yard, const char* id) {
  return yard.machines.at(yard::MachineId(id));
}

}  // namespace chockwise::survey
