// Checkpoints: signed tree heads. One says: at this time this ledger held so many entries and this
// was their root.
//
// Whoever keeps an old checkpoint and the public key can prove later that nothing before it was
// changed or dropped. Keep one outside the yard: on paper, in a mail, with the insurer.
//
// Layout, ASCII, each line ended by one line feed, nothing after the last. The signature is over
// all bytes before the line that carries it.
//
// clang-format off
//   chockwise checkpoint 1
//   id 00112233445566778899aabbccddeeff      the ledger's id, as in its genesis
//   yard north-yard
//   kind REAL                                REAL or REHEARSAL, as in its genesis
//   number 3                                 0 for the ledger's first, and on without a gap
//   size 812                                 entries, the genesis included
//   root <64 hexadecimal digits>             RFC 9162 root over those entries
//   time_micros 1795561200000000             since 1970-01-01T00:00:00Z, by the signer's clock
//   key <64 hexadecimal digits>              the Ed25519 public key that signed
//   signature <128 hexadecimal digits>       Ed25519, RFC 8032
// clang-format on
//
// Plain values; safe from any thread.
#pragma once

#include <absl/status/statusor.h>

#include <cstdint>
#include <string>
#include <string_view>

#include "services/ledger/identity.h"
#include "services/ledger/keys.h"
#include "services/ledger/sha256.h"

namespace chockwise::ledger {

struct Checkpoint {
  LedgerId id{};
  std::string yard;
  LedgerKind kind = LedgerKind::kReal;
  uint64_t number = 0;
  uint64_t size = 0;
  Digest root{};
  int64_t time_micros = 0;
  RawPublicKey key{};
  Signature signature{};
  bool operator==(const Checkpoint&) const = default;
};

/// Sets `key` and `signature`, whatever they held.
absl::StatusOr<Checkpoint> SignCheckpoint(Checkpoint checkpoint, const SigningKey& key);

/// The text above. One checkpoint has exactly one text.
std::string CheckpointText(const Checkpoint& checkpoint);

/// INVALID_ARGUMENT unless the text is exactly one that CheckpointText gives. Does not judge the
/// signature.
absl::StatusOr<Checkpoint> ParseCheckpoint(std::string_view text);

/// OK only where `key` made the signature. FAILED_PRECONDITION names another key that the
/// checkpoint says signed it; DATA_LOSS where it names this key and the signature is not of this
/// text.
absl::Status VerifyCheckpoint(const Checkpoint& checkpoint, const PublicKey& key);

}  // namespace chockwise::ledger
