// A ledger with very many entries, to be opened.
#pragma once

#include <cstdint>
#include <string>

namespace chockwise::bench {

/// Adds words on the gates of the yard's open moves to the ledger in `data` until it holds
/// `entries`. Nothing may serve it.
void GrowLedger(const std::string& data, const std::string& yard_id, int64_t entries);

}  // namespace chockwise::bench
