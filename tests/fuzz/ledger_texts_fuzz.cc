// The two texts of the ledger that come from outside: a checkpoint that somebody kept, and the
// first entry of a file that says it is a ledger. One thing has exactly one text, so whatever is
// read is written again byte for byte.
#include <cstdint>
#include <cstdlib>
#include <string_view>

#include "services/ledger/checkpoint.h"
#include "services/ledger/identity.h"

extern "C" int LLVMFuzzerTestOneInput(const uint8_t* data, size_t size) {
  const std::string_view bytes(reinterpret_cast<const char*>(data), size);
  const auto checkpoint = chockwise::ledger::ParseCheckpoint(bytes);
  if (checkpoint.ok() && chockwise::ledger::CheckpointText(*checkpoint) != bytes) std::abort();
  const auto identity = chockwise::ledger::ParseGenesis(bytes);
  if (identity && chockwise::ledger::GenesisBytes(*identity) != bytes) std::abort();
  return 0;
}
