#include "services/server/yard_folder.h"

#include <fmt/format.h>

#include <cerrno>
#include <cstring>
#include <filesystem>
#include <fstream>
#include <system_error>
#include <vector>

#include "services/yard/limits.h"

namespace chockwise::server {
namespace {

namespace fs = std::filesystem;

struct Wanted {
  const char* name;
  size_t most_bytes;
  std::string yard::YardFiles::*bytes;
};

const Wanted kWanted[] = {
    {kMapFile, yard::kYardBytes, &yard::YardFiles::map_geojson},
    {kMachinesFile, yard::kYardBytes, &yard::YardFiles::machines_csv},
    {kPeopleFile, yard::kYardBytes, &yard::YardFiles::people_csv},
    {kMeasurementsFile, yard::kYardBytes, &yard::YardFiles::measurements_csv},
    {kRulesFile, yard::kRulesBytes, &yard::YardFiles::rules_txtpb},
};

// One byte more than allowed is read at most, so that a file that grows meanwhile, or a device,
// cannot fill memory.
absl::StatusOr<std::string> ReadUpTo(const fs::path& path, size_t most_bytes) {
  std::ifstream file(path, std::ios::binary);
  if (!file)
    return absl::FailedPreconditionError(
        fmt::format("cannot open {}: {}", path.string(), std::strerror(errno)));
  std::string bytes(most_bytes + 1, '\0');
  file.read(bytes.data(), static_cast<std::streamsize>(bytes.size()));
  if (file.bad())
    return absl::FailedPreconditionError(fmt::format("cannot read {}", path.string()));
  bytes.resize(static_cast<size_t>(file.gcount()));
  if (bytes.size() > most_bytes) {
    return absl::FailedPreconditionError(fmt::format(
        "{} is larger than {} bytes; a yard's file is at most that", path.string(), most_bytes));
  }
  bytes.shrink_to_fit();
  return bytes;
}

}  // namespace

absl::StatusOr<yard::YardFiles> ReadYardFolder(const std::string& folder) {
  std::error_code error;
  if (!fs::is_directory(folder, error)) {
    return absl::NotFoundError(
        fmt::format("{} is not a folder; a yard is a folder with {}, {}, {}, {} and {}", folder,
                    kMapFile, kMachinesFile, kPeopleFile, kMeasurementsFile, kRulesFile));
  }
  std::string missing;
  for (const Wanted& wanted : kWanted) {
    if (!fs::is_regular_file(fs::path(folder) / wanted.name, error)) {
      missing += fmt::format("{}{}", missing.empty() ? "" : ", ", wanted.name);
    }
  }
  if (!missing.empty()) return absl::NotFoundError(fmt::format("{} lacks {}", folder, missing));
  yard::YardFiles files;
  for (const Wanted& wanted : kWanted) {
    absl::StatusOr<std::string> bytes = ReadUpTo(fs::path(folder) / wanted.name, wanted.most_bytes);
    if (!bytes.ok()) return bytes.status();
    files.*wanted.bytes = *std::move(bytes);
  }
  return files;
}

}  // namespace chockwise::server
