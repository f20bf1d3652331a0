// From a yard's folder to the command that takes it into force.
//
// Safe from any thread; blocks on the disk, and checking a large yard takes a while: never on the
// writer's thread.
#pragma once

#include <grpcpp/support/status.h>

#include <string>

#include "chockwise/v1/entries.pb.h"
#include "services/yard/yard.h"

namespace chockwise::server {

/// Fills load_yard with the folder's files, the base rules of this build and their digest.
/// INVALID_ARGUMENT with all complaints where the yard is not in order, FAILED_PRECONDITION where
/// the folder cannot be read.
grpc::Status ReadFolderInto(const std::string& folder, v1::Command& command);

/// The same from files that were checked before.
void PutFilesInto(const yard::YardFiles& files, v1::LoadYard& load);

}  // namespace chockwise::server
