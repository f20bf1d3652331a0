#include "services/history/recorded_yard.h"

#include "services/yard/computations.h"

namespace chockwise::history {

tl::expected<yard::Yard, yard::Complaints> ReadRecordedYard(
    const google::protobuf::Map<std::string, std::string>& files) {
  auto bytes = [&files](const char* name) {
    auto file = files.find(name);
    return file == files.end() ? std::string() : file->second;
  };
  const yard::YardFiles yard_files{.map_geojson = bytes("map.geojson"),
                                   .machines_csv = bytes("machines.csv"),
                                   .people_csv = bytes("people.csv"),
                                   .measurements_csv = bytes("measurements.csv"),
                                   .rules_txtpb = bytes("rules.txtpb")};
  yard::Computations known = yard::KnownComputations();
  for (auto& [name, computation] : known) computation.required.clear();
  return yard::ReadYard(yard_files, bytes("base_rules.txtpb"), known);
}

}  // namespace chockwise::history
