#include "services/history/computations.h"

namespace chockwise::history {

using yard::ParameterKind;

const yard::Computations& KnownComputations() {
  static const yard::Computations known = {
      {"attended", {}},
      {"counts-balance", {}},
      {"door-margins",
       {.parameters = {{"height_margin", ParameterKind::kLength},
                       {"width_margin", ParameterKind::kLength},
                       {"bounce", ParameterKind::kLength},
                       {"max_age", ParameterKind::kAge}},
        .required = {}}},
      {"doors-in-service", {}},
      {"driver-authorised", {}},
      {"ground-free", {}},
      {"inspection-this-shift", {}},
      {"mass-within-capacity", {.parameters = {{"max_age", ParameterKind::kAge}}, .required = {}}},
      {"measured",
       {.parameters = {{"subject", ParameterKind::kWord},
                       {"quantity", ParameterKind::kWord},
                       {"at_most", ParameterKind::kQuantity},
                       {"at_least", ParameterKind::kQuantity},
                       {"max_age", ParameterKind::kAge}},
        .required = {}}},
      {"no-tags", {}},
      {"no-yard-hold", {}},
      {"shift-running", {}},
      {"spotter-bound", {}},
      {"start-window", {}},
  };
  return known;
}

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
  return yard::ReadYard(yard_files, bytes("base_rules.txtpb"), KnownComputations());
}

}  // namespace chockwise::history
