#include "services/server/rebuild.h"

#include <fmt/format.h>

#include "services/moves/apply.h"

namespace chockwise::server {

void Rebuilt::Take(const v1::Entry& entry, int64_t number) {
  moves::Apply(state, entry);
  if (!entry.request_id().empty()) {
    memory.Remember({.person = entry.person(),
                     .request_id = entry.request_id(),
                     .digest = entry.request_digest()},
                    number);
  }
  if (entry.has_yard_loaded()) entry_of_version[entry.yard_loaded().version()] = number;
}

absl::StatusOr<std::unique_ptr<Rebuilt>> Rebuild(const ledger::LedgerOptions& options) {
  auto rebuilt = std::make_unique<Rebuilt>();
  // The first entry names the ledger and is not folded; it is counted all the same, so that a move
  // names its last entry by the number that the receipt had.
  rebuilt->state.entries = 1;
  v1::Entry entry;  // one message for all, so that its memory is used again
  auto replay = [&](uint64_t seq, std::string_view bytes) -> absl::Status {
    if (!entry.ParseFromArray(bytes.data(), static_cast<int>(bytes.size()))) {
      return absl::DataLossError(
          fmt::format("entry {} of {} is whole, but this build cannot read it: it was written by a "
                      "newer one, or by "
                      "something else. Start the build that wrote it",
                      seq, options.database_path));
    }
    rebuilt->Take(entry, static_cast<int64_t>(seq));
    return absl::OkStatus();
  };
  absl::StatusOr<std::unique_ptr<ledger::Ledger>> ledger = ledger::Ledger::Open(options, replay);
  if (!ledger.ok()) return ledger.status();
  rebuilt->ledger = *std::move(ledger);
  return rebuilt;
}

}  // namespace chockwise::server
