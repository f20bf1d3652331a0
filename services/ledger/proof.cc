#include "services/ledger/proof.h"

#include <fmt/format.h>

#include <algorithm>
#include <bit>

namespace chockwise::ledger {
namespace {

// The largest power of two below n: where RFC 9162 splits a tree of n > 1 leaves.
uint64_t SplitOf(uint64_t n) { return std::bit_floor(n - 1); }

class Hashing {
 public:
  Hashing(LeafSource& leaves, const BlockRoots* blocks) : leaves_(leaves), blocks_(blocks) {}

  // MTH(D[begin:end]). `begin` is a multiple of the split that led here, so whole blocks are met
  // whole.
  absl::StatusOr<Digest> Subtree(uint64_t begin, uint64_t end) {
    const uint64_t size = end - begin;
    if (size == kBlockLeaves && blocks_ != nullptr) {
      if (std::optional<Digest> known = blocks_->At(begin / kBlockLeaves)) return *known;
    }
    if (size <= kBlockLeaves) return FromLeaves(begin, end);
    const uint64_t middle = begin + SplitOf(size);
    absl::StatusOr<Digest> left = Subtree(begin, middle);
    if (!left.ok()) return left;
    absl::StatusOr<Digest> right = Subtree(middle, end);
    if (!right.ok()) return right;
    return NodeHash(*left, *right);
  }

 private:
  absl::StatusOr<Digest> FromLeaves(uint64_t begin, uint64_t end) {
    absl::StatusOr<std::vector<Digest>> hashes = leaves_.Leaves(begin, end);
    if (!hashes.ok()) return hashes.status();
    if (hashes->size() != end - begin) {
      return absl::InternalError(
          fmt::format("asked for leaves [{}, {}), got {}", begin, end, hashes->size()));
    }
    CompactTree tree;
    for (const Digest& hash : *hashes) tree.Append(hash);
    return tree.Root();
  }

  LeafSource& leaves_;
  const BlockRoots* blocks_;
};

}  // namespace

absl::StatusOr<Digest> RootAt(LeafSource& leaves, const BlockRoots* blocks, uint64_t size) {
  if (size == 0) return EmptyRoot();
  return Hashing(leaves, blocks).Subtree(0, size);
}

// Source: RFC 9162 section 2.1.3.1, its recursion turned into a walk from the root to the leaf.
absl::StatusOr<Proof> ProveInclusion(LeafSource& leaves, const BlockRoots* blocks,
                                     const InclusionQuery& query) {
  if (query.index >= query.size) {
    return absl::InvalidArgumentError(
        fmt::format("entry {} is not in a tree of {} entries (0 to {} are)", query.index,
                    query.size, query.size == 0 ? 0 : query.size - 1));
  }
  Hashing hashing(leaves, blocks);
  Proof proof;
  uint64_t begin = 0;
  uint64_t end = query.size;
  while (end - begin > 1) {
    const uint64_t middle = begin + SplitOf(end - begin);
    const bool in_left = query.index < middle;
    absl::StatusOr<Digest> sibling =
        in_left ? hashing.Subtree(middle, end) : hashing.Subtree(begin, middle);
    if (!sibling.ok()) return sibling.status();
    proof.push_back(*sibling);
    (in_left ? end : begin) = middle;
  }
  std::ranges::reverse(proof);
  return proof;
}

// Source: RFC 9162 section 2.1.4.1 (SUBPROOF), as a walk.
absl::StatusOr<Proof> ProveConsistency(LeafSource& leaves, const BlockRoots* blocks,
                                       const ConsistencyQuery& query) {
  if (query.old_size > query.new_size) {
    return absl::InvalidArgumentError(fmt::format("a tree of {} entries cannot extend one of {}",
                                                  query.new_size, query.old_size));
  }
  Proof proof;
  if (query.old_size == 0 || query.old_size == query.new_size) return proof;
  Hashing hashing(leaves, blocks);
  uint64_t begin = 0;
  uint64_t end = query.new_size;
  while (end != query.old_size) {
    const uint64_t middle = begin + SplitOf(end - begin);
    const bool in_left = query.old_size <= middle;
    absl::StatusOr<Digest> sibling =
        in_left ? hashing.Subtree(middle, end) : hashing.Subtree(begin, middle);
    if (!sibling.ok()) return sibling.status();
    proof.push_back(*sibling);
    (in_left ? end : begin) = middle;
  }
  // A subtree that is the whole old tree is known to the verifier by its root, so it is left out.
  if (begin != 0) {
    absl::StatusOr<Digest> last = hashing.Subtree(begin, end);
    if (!last.ok()) return last.status();
    proof.push_back(*last);
  }
  std::ranges::reverse(proof);
  return proof;
}

// Source: RFC 9162 section 2.1.3.2.
bool VerifyInclusion(const InclusionClaim& claim, std::span<const Digest> proof) {
  if (claim.index >= claim.size) return false;
  uint64_t node = claim.index;
  uint64_t last = claim.size - 1;
  Digest root = claim.leaf;
  for (const Digest& sibling : proof) {
    if (last == 0) return false;
    if ((node & 1) != 0 || node == last) {
      root = NodeHash(sibling, root);
      while ((node & 1) == 0 && node != 0) {
        node >>= 1;
        last >>= 1;
      }
    } else {
      root = NodeHash(root, sibling);
    }
    node >>= 1;
    last >>= 1;
  }
  return last == 0 && root == claim.root;
}

// Source: RFC 9162 section 2.1.4.2.
bool VerifyConsistency(const ConsistencyClaim& claim, std::span<const Digest> proof) {
  if (claim.old_size > claim.new_size) return false;
  if (claim.old_size == 0) return proof.empty() && claim.old_root == EmptyRoot();
  if (claim.old_size == claim.new_size) return proof.empty() && claim.old_root == claim.new_root;
  std::vector<Digest> path(proof.begin(), proof.end());
  if (std::has_single_bit(claim.old_size)) path.insert(path.begin(), claim.old_root);
  if (path.empty()) return false;
  uint64_t node = claim.old_size - 1;
  uint64_t last = claim.new_size - 1;
  while ((node & 1) != 0) {
    node >>= 1;
    last >>= 1;
  }
  Digest old_root = path.front();
  Digest new_root = path.front();
  for (size_t i = 1; i < path.size(); ++i) {
    if (last == 0) return false;
    if ((node & 1) != 0 || node == last) {
      old_root = NodeHash(path[i], old_root);
      new_root = NodeHash(path[i], new_root);
      while ((node & 1) == 0 && node != 0) {
        node >>= 1;
        last >>= 1;
      }
    } else {
      new_root = NodeHash(new_root, path[i]);
    }
    node >>= 1;
    last >>= 1;
  }
  return last == 0 && old_root == claim.old_root && new_root == claim.new_root;
}

}  // namespace chockwise::ledger
