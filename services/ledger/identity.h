// What a ledger is: its id, its yard, and whether it records real movements or a rehearsal.
//
// Entry 0 of every ledger is its genesis: this page, as text, hashed into the tree like any entry.
// So nobody can turn a rehearsal into a record, or one yard's record into another's, without
// changing every root after it.
//
// Layout of the genesis, ASCII, each line ended by one line feed, nothing after the last:
//
//   chockwise ledger 1
//   id 00112233445566778899aabbccddeeff      16 random bytes, lower-case hexadecimal
//   yard north-yard                          1 to 80 printable ASCII characters
//   kind REAL                                REAL or REHEARSAL
//   created_micros 1795561200000000          microseconds since 1970-01-01T00:00:00Z
//
// Plain values; safe from any thread.
#pragma once

#include <absl/status/statusor.h>

#include <array>
#include <cstdint>
#include <optional>
#include <string>
#include <string_view>

namespace chockwise::ledger {

using LedgerId = std::array<uint8_t, 16>;

enum class LedgerKind { kReal, kRehearsal };

/// "REAL" or "REHEARSAL", as written in the genesis and in every checkpoint.
std::string_view KindName(LedgerKind kind);

struct Identity {
  LedgerId id{};
  std::string yard;
  LedgerKind kind = LedgerKind::kReal;
  int64_t created_micros = 0;
  bool operator==(const Identity&) const = default;
};

/// 16 bytes of the system's randomness.
absl::StatusOr<LedgerId> NewLedgerId();

/// INVALID_ARGUMENT where the name is empty, too long, or has a character that is not printable
/// ASCII.
absl::Status CheckYardName(std::string_view yard);

std::string GenesisBytes(const Identity& identity);

/// Nothing unless the bytes are exactly those that GenesisBytes gives.
std::optional<Identity> ParseGenesis(std::string_view bytes);

}  // namespace chockwise::ledger
