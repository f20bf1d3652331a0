// The five files of a yard, from a folder. The yard room reads bytes and opens no file; this does
// the opening.
//
//   absl::StatusOr<yard::YardFiles> files = ReadYardFolder("/srv/north-yard");
//   if (files.ok()) auto yard = yard::ReadYard(*files, yard::BaseRulesText(),
//   yard::KnownComputations());
//
// Safe from any thread; blocks on the disk.
#pragma once

#include <absl/status/statusor.h>

#include <string>

#include "services/yard/yard.h"

namespace chockwise::server {

inline constexpr const char* kMapFile = "map.geojson";
inline constexpr const char* kMachinesFile = "machines.csv";
inline constexpr const char* kPeopleFile = "people.csv";
inline constexpr const char* kMeasurementsFile = "measurements.csv";
inline constexpr const char* kRulesFile = "rules.txtpb";

/// NOT_FOUND names the folder or every file that is missing; FAILED_PRECONDITION a file that cannot
/// be read or is larger than the yard room would take. Reads nothing else in the folder.
absl::StatusOr<yard::YardFiles> ReadYardFolder(const std::string& folder);

}  // namespace chockwise::server
