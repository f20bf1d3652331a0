#include "services/server/yard_loading.h"

#include "services/ledger/limits.h"
#include "services/server/failure.h"
#include "services/server/secrets.h"
#include "services/server/status_mapping.h"
#include "services/server/yard_folder.h"
#include "services/yard/computations.h"
#include "services/yard/limits.h"

namespace chockwise::server {
namespace {

// What a reading of the files took, the ledger takes: the files, the base rules they stand on, and
// the little around them.
constexpr size_t kAroundFiles = 4'096;
static_assert(yard::kYardBytes + yard::kRulesBytes + kAroundFiles <= ledger::kMaxEntryBytes);

}  // namespace

grpc::Status ReadFolderInto(const std::string& folder, v1::Command& command) {
  const absl::StatusOr<yard::YardFiles> files = ReadYardFolder(folder);
  if (!files.ok()) {
    return ToGrpc(absl::FailedPreconditionError("the server cannot read the yard's folder: " +
                                                Why(files.status())));
  }
  const tl::expected<yard::Yard, yard::Complaints> yard =
      yard::ReadYard(*files, yard::BaseRulesText(), yard::KnownComputations());
  if (!yard) return ToGrpc(ComplaintsRefusal(yard.error()));
  PutFilesInto(*files, *command.mutable_load_yard());
  return grpc::Status::OK;
}

void PutFilesInto(const yard::YardFiles& files, v1::LoadYard& load) {
  auto& by_name = *load.mutable_files();
  by_name[kMapFile] = files.map_geojson;
  by_name[kMachinesFile] = files.machines_csv;
  by_name[kPeopleFile] = files.people_csv;
  by_name[kMeasurementsFile] = files.measurements_csv;
  by_name[kRulesFile] = files.rules_txtpb;
  by_name["base_rules.txtpb"] = std::string(yard::BaseRulesText());
  load.set_digest(FilesDigest(by_name));
}

}  // namespace chockwise::server
