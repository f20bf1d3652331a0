// Making a yard's ledger: checks the yard's folder, makes the keys and the ledger, takes the yard
// into force and issues the first token, to a safety lead, who issues all others.
//
// One thread, before any server runs on the same files.
#pragma once

#include <absl/status/statusor.h>

#include <optional>
#include <string>
#include <vector>

#include "services/fit/instant.h"
#include "services/ledger/identity.h"
#include "services/server/server.h"

namespace chockwise::server {

struct InitOptions {
  std::string yard_folder;
  DataPaths data;
  std::string person;  // a safety lead of the yard's register
  ledger::LedgerKind kind = ledger::LedgerKind::kReal;
  std::optional<fit::Instant> start;  // of a rehearsal's clock; empty: now
  std::string token_file;  // where the secret goes, mode 0600; empty: it is only given back
};

struct InitReport {
  std::string yard;
  std::string secret;  // shown once, kept nowhere
  fit::Instant token_expires;
  std::string public_key;  // 64 hexadecimal digits
};

/// INVALID_ARGUMENT with every complaint, a line each, where the yard is not in order;
/// FAILED_PRECONDITION where the person is not a safety lead of it; ALREADY_EXISTS where there is a
/// ledger or a token file.
absl::StatusOr<InitReport> InitYard(const InitOptions& options);

}  // namespace chockwise::server
