// The computations that a rule may name, as the read side knows them: enough to read every version
// of a yard again. What they compute is judged a second time by the audit (audit_computed.h).
//
//   auto yard = yard::ReadYard(files, base_rules, KnownComputations());
//
// Immutable; safe from any thread.
#pragma once

#include <google/protobuf/map.h>

#include <map>
#include <string>

#include "services/yard/yard.h"

namespace chockwise::history {

const yard::Computations& KnownComputations();

/// Reads a version of a yard from the bytes that the ledger kept of its files, base_rules.txtpb
/// among them.
tl::expected<yard::Yard, yard::Complaints> ReadRecordedYard(
    const google::protobuf::Map<std::string, std::string>& files);

}  // namespace chockwise::history
