// Inclusion and consistency proofs: RFC 9162 sections 2.1.3 and 2.1.4.
//
// An inclusion proof shows that an entry is in a tree; a consistency proof shows that a later tree
// only added entries to an earlier one. Whoever holds the roots (out of signed checkpoints) needs
// nothing else and trusts no server.
//
// Making a proof hashes the tree again from leaf hashes. With BlockRoots it reads at most two
// blocks of 256 leaves and does about size/256 hashes; without, it reads every leaf. Verifying is a
// few dozen hashes and pure.
//
//   auto proof = ProveInclusion(leaves, &blocks, {.index = 7, .size = 1000});
//   bool in = VerifyInclusion({.leaf = LeafHash(entry), .index = 7, .size = 1000, .root = root},
//   *proof);
#pragma once

#include <absl/status/statusor.h>

#include <cstdint>
#include <span>
#include <vector>

#include "services/ledger/merkle.h"

namespace chockwise::ledger {

/// Where leaf hashes come from.
class LeafSource {
 public:
  virtual ~LeafSource() = default;
  /// Exactly the leaf hashes [begin, end), or a failure. At most kBlockLeaves are asked for at
  /// once.
  virtual absl::StatusOr<std::vector<Digest>> Leaves(uint64_t begin, uint64_t end) = 0;
};

/// Leaf first, root last, as RFC 9162 orders it.
using Proof = std::vector<Digest>;

struct InclusionQuery {
  uint64_t index = 0;  ///< of the entry, from 0; below size
  uint64_t size = 0;   ///< of the tree
};
struct ConsistencyQuery {
  uint64_t old_size = 0;  ///< at most new_size
  uint64_t new_size = 0;
};

/// `blocks` may be null. Errors: INVALID_ARGUMENT where index ≥ size; whatever the source fails
/// with.
absl::StatusOr<Proof> ProveInclusion(LeafSource& leaves, const BlockRoots* blocks,
                                     const InclusionQuery& query);

/// Empty for old_size 0 and for equal sizes. Errors: INVALID_ARGUMENT where old_size > new_size.
absl::StatusOr<Proof> ProveConsistency(LeafSource& leaves, const BlockRoots* blocks,
                                       const ConsistencyQuery& query);

/// The root that the first `size` leaves had.
absl::StatusOr<Digest> RootAt(LeafSource& leaves, const BlockRoots* blocks, uint64_t size);

struct InclusionClaim {
  Digest leaf;
  uint64_t index = 0;
  uint64_t size = 0;
  Digest root;
};
[[nodiscard]] bool VerifyInclusion(const InclusionClaim& claim, std::span<const Digest> proof);

struct ConsistencyClaim {
  uint64_t old_size = 0;
  Digest old_root;
  uint64_t new_size = 0;
  Digest new_root;
};
[[nodiscard]] bool VerifyConsistency(const ConsistencyClaim& claim, std::span<const Digest> proof);

}  // namespace chockwise::ledger
