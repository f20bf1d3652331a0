// A version of a yard, read again from the bytes that the ledger kept of its files. Private to the
// room.
//
// Pure; safe from any thread.
#pragma once

#include <google/protobuf/map.h>

#include <string>

#include "services/yard/yard.h"

namespace chockwise::history {

/// base_rules.txtpb is among the files. A computation need not be told all that today's rules ask
/// for: the version was taken by the build of its day.
tl::expected<yard::Yard, yard::Complaints> ReadRecordedYard(
    const google::protobuf::Map<std::string, std::string>& files);

}  // namespace chockwise::history
