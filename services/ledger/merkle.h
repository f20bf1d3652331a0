// The Merkle tree of the ledger: RFC 9162 section 2.1 (the same hashing as RFC 6962), with SHA-256.
//
// CompactTree grows one leaf at a time and keeps only the roots of the complete subtrees at its
// right edge, so it can be rebuilt by replaying leaf hashes and needs at most 64 digests. Proofs
// need leaf hashes again: see proof.h.
//
// CompactTree belongs to one thread. BlockRoots is written by one thread and read by any.
//
//   CompactTree tree;
//   for (const std::string& entry : entries) tree.Append(LeafHash(entry));
//   Digest root = tree.Root();
#pragma once

#include <cstdint>
#include <optional>
#include <shared_mutex>
#include <string_view>
#include <vector>

#include "services/ledger/limits.h"
#include "services/ledger/sha256.h"

namespace chockwise::ledger {

/// SHA-256(0x00 ‖ entry). Source: RFC 9162 section 2.1.1.
Digest LeafHash(std::string_view entry);

/// SHA-256(0x01 ‖ left ‖ right). Source: RFC 9162 section 2.1.1.
Digest NodeHash(const Digest& left, const Digest& right);

/// The root of no entries: SHA-256 of nothing. Source: RFC 9162 section 2.1.1.
Digest EmptyRoot();

/// Roots of the complete, aligned blocks of kBlockLeaves leaves, so that a proof does not hash the
/// whole ledger.
class BlockRoots {
 public:
  void Push(const Digest& root);
  /// The root over leaves [block × kBlockLeaves, (block + 1) × kBlockLeaves); nothing while it is
  /// not complete.
  std::optional<Digest> At(uint64_t block) const;

 private:
  mutable std::shared_mutex mutex_;
  std::vector<Digest> roots_;
};

class CompactTree {
 public:
  /// Adds the next leaf: one hash on average. A block that it completes is pushed to `blocks`,
  /// where given.
  void Append(const Digest& leaf, BlockRoots* blocks = nullptr);

  /// MTH over all leaves so far, at most log2(size) hashes.
  Digest Root() const;

  uint64_t size() const { return size_; }

 private:
  uint64_t size_ = 0;
  // Largest subtree first; there is one for each set bit of size_.
  std::vector<Digest> edge_;
};

}  // namespace chockwise::ledger
