// The tree and its proofs against the definition of RFC 9162 section 2.1, written down here as
// plainly as it stands.
#include "services/ledger/merkle.h"

#include <gtest/gtest.h>

#include <algorithm>
#include <random>
#include <string>

#include "services/ledger/proof.h"

namespace chockwise::ledger {
namespace {

using Digests = std::vector<Digest>;

// MTH by its recursive definition; k is found by doubling, not by bit tricks.
Digest DefinedRoot(std::span<const Digest> leaves) {
  if (leaves.empty()) return Sha256({});
  if (leaves.size() == 1) return leaves[0];
  size_t k = 1;
  while (k * 2 < leaves.size()) k *= 2;
  return NodeHash(DefinedRoot(leaves.first(k)), DefinedRoot(leaves.subspan(k)));
}

Digests SomeLeaves(size_t count) {
  Digests leaves;
  for (size_t i = 0; i < count; ++i) leaves.push_back(LeafHash("leaf " + std::to_string(i)));
  return leaves;
}

class VectorSource final : public LeafSource {
 public:
  explicit VectorSource(const Digests& leaves) : leaves_(leaves) {}
  absl::StatusOr<std::vector<Digest>> Leaves(uint64_t begin, uint64_t end) override {
    ++reads;
    most = std::max(most, end - begin);
    return std::vector<Digest>(leaves_.begin() + static_cast<ptrdiff_t>(begin),
                               leaves_.begin() + static_cast<ptrdiff_t>(end));
  }
  int reads = 0;
  uint64_t most = 0;

 private:
  const std::vector<Digest>& leaves_;
};

struct Grown {
  CompactTree tree;
  BlockRoots blocks;
};

std::unique_ptr<Grown> Grow(const Digests& leaves) {
  auto grown = std::make_unique<Grown>();
  for (const Digest& leaf : leaves) grown->tree.Append(leaf, &grown->blocks);
  return grown;
}

TEST(CompactTree, HasTheDefinedRootAtEverySizeUpTo600) {
  const Digests leaves = SomeLeaves(600);
  CompactTree tree;
  EXPECT_EQ(tree.Root(), DefinedRoot({}));
  for (size_t size = 1; size <= leaves.size(); ++size) {
    tree.Append(leaves[size - 1]);
    ASSERT_EQ(tree.size(), size);
    ASSERT_EQ(tree.Root(), DefinedRoot(std::span(leaves).first(size))) << size;
  }
}

TEST(BlockRoots, HoldTheRootsOfCompleteBlocksOnly) {
  const Digests leaves = SomeLeaves(3 * kBlockLeaves + 17);
  const auto grown = Grow(leaves);
  for (uint64_t block = 0; block < 3; ++block) {
    EXPECT_EQ(grown->blocks.At(block),
              DefinedRoot(std::span(leaves).subspan(block * kBlockLeaves, kBlockLeaves)));
  }
  EXPECT_EQ(grown->blocks.At(3), std::nullopt);
}

TEST(Inclusion, EveryEntryOfEveryTreeUpTo64IsProvedAndNothingElseIs) {
  const Digests leaves = SomeLeaves(65);
  VectorSource source(leaves);
  for (uint64_t size = 1; size <= 64; ++size) {
    const Digest root = DefinedRoot(std::span(leaves).first(size));
    for (uint64_t index = 0; index < size; ++index) {
      const Proof proof = *ProveInclusion(source, nullptr, {.index = index, .size = size});
      const InclusionClaim claim{.leaf = leaves[index], .index = index, .size = size, .root = root};
      ASSERT_TRUE(VerifyInclusion(claim, proof)) << index << " of " << size;
      // The same proof for every other index, or with any one change, proves nothing.
      for (uint64_t other = 0; other < size; ++other) {
        InclusionClaim wrong = claim;
        wrong.index = other;
        ASSERT_EQ(VerifyInclusion(wrong, proof), other == index)
            << index << "," << other << " of " << size;
      }
      InclusionClaim wrong_leaf = claim;
      wrong_leaf.leaf = leaves[64];
      ASSERT_FALSE(VerifyInclusion(wrong_leaf, proof));
      InclusionClaim wrong_root = claim;
      wrong_root.root[31] ^= 1;
      ASSERT_FALSE(VerifyInclusion(wrong_root, proof));
      Proof longer = proof;
      longer.push_back(leaves[0]);
      ASSERT_FALSE(VerifyInclusion(claim, longer));
      if (!proof.empty()) {
        ASSERT_FALSE(VerifyInclusion(claim, std::span(proof).first(proof.size() - 1)));
        Proof changed = proof;
        changed[index % proof.size()][0] ^= 0x80;
        ASSERT_FALSE(VerifyInclusion(claim, changed));
      }
    }
  }
}

TEST(Consistency, EveryPairOfTreesUpTo64IsProvedAndNothingElseIs) {
  const Digests leaves = SomeLeaves(64);
  VectorSource source(leaves);
  for (uint64_t new_size = 1; new_size <= 64; ++new_size) {
    for (uint64_t old_size = 0; old_size <= new_size; ++old_size) {
      const Proof proof =
          *ProveConsistency(source, nullptr, {.old_size = old_size, .new_size = new_size});
      const ConsistencyClaim claim{.old_size = old_size,
                                   .old_root = DefinedRoot(std::span(leaves).first(old_size)),
                                   .new_size = new_size,
                                   .new_root = DefinedRoot(std::span(leaves).first(new_size))};
      ASSERT_TRUE(VerifyConsistency(claim, proof)) << old_size << " to " << new_size;
      ConsistencyClaim wrong_old = claim;
      wrong_old.old_root[0] ^= 1;
      ASSERT_FALSE(VerifyConsistency(wrong_old, proof)) << old_size << " to " << new_size;
      if (old_size > 0) {
        ConsistencyClaim wrong_new = claim;
        wrong_new.new_root[0] ^= 1;
        ASSERT_FALSE(VerifyConsistency(wrong_new, proof)) << old_size << " to " << new_size;
      }
      Proof longer = proof;
      longer.push_back(leaves[0]);
      ASSERT_FALSE(VerifyConsistency(claim, longer)) << old_size << " to " << new_size;
      if (!proof.empty()) {
        ASSERT_FALSE(VerifyConsistency(claim, std::span(proof).first(proof.size() - 1)));
        Proof changed = proof;
        changed[old_size % proof.size()][5] ^= 4;
        ASSERT_FALSE(VerifyConsistency(claim, changed));
      }
    }
  }
}

TEST(Consistency, ASmallerTreeExtendsNoLargerOne) {
  const Digests leaves = SomeLeaves(4);
  VectorSource source(leaves);
  EXPECT_EQ(ProveConsistency(source, nullptr, {.old_size = 4, .new_size = 3}).status().code(),
            absl::StatusCode::kInvalidArgument);
  EXPECT_FALSE(
      VerifyConsistency({.old_size = 4, .old_root = {}, .new_size = 3, .new_root = {}}, {}));
  EXPECT_EQ(ProveInclusion(source, nullptr, {.index = 4, .size = 4}).status().code(),
            absl::StatusCode::kInvalidArgument);
}

// Law 8 in the large: the proofs of big trees verify, and are the same with and without the block
// roots.
TEST(Proofs, OfLargeTreesAgreeWithAndWithoutBlockRoots) {
  constexpr unsigned kSeed = 20261124;
  std::mt19937_64 random(kSeed);
  const Digests leaves = SomeLeaves(20'000);
  const auto grown = Grow(leaves);
  VectorSource slow(leaves);
  VectorSource fast(leaves);
  for (int round = 0; round < 40; ++round) {
    const uint64_t size = 1 + random() % leaves.size();
    const uint64_t index = random() % size;
    const uint64_t old_size = 1 + random() % size;
    const Digest root = DefinedRoot(std::span(leaves).first(size));
    ASSERT_EQ(*RootAt(fast, &grown->blocks, size), root) << "seed " << kSeed << " round " << round;
    const Proof inclusion = *ProveInclusion(slow, nullptr, {.index = index, .size = size});
    ASSERT_EQ(inclusion, *ProveInclusion(fast, &grown->blocks, {.index = index, .size = size}));
    ASSERT_TRUE(VerifyInclusion({.leaf = leaves[index], .index = index, .size = size, .root = root},
                                inclusion));
    const Proof consistency =
        *ProveConsistency(slow, nullptr, {.old_size = old_size, .new_size = size});
    ASSERT_EQ(consistency,
              *ProveConsistency(fast, &grown->blocks, {.old_size = old_size, .new_size = size}));
    ASSERT_TRUE(VerifyConsistency({.old_size = old_size,
                                   .old_root = DefinedRoot(std::span(leaves).first(old_size)),
                                   .new_size = size,
                                   .new_root = root},
                                  consistency));
  }
  EXPECT_LE(fast.most, kBlockLeaves);
  EXPECT_LT(fast.reads, slow.reads / 3);
}

}  // namespace
}  // namespace chockwise::ledger
