// RFC 9162 section 2.1 (the same hashing as RFC 6962 section 2.1): roots and proofs over the eight
// leaves that public Certificate Transparency test files share. Roots of 0, 1, 2, 3 and 8 leaves
// and the proof for leaf 0 were read in ten such files; the other values are from memory.
#include <gtest/gtest.h>

#include <string>

#include "services/ledger/merkle.h"
#include "services/ledger/proof.h"

namespace chockwise::ledger {
namespace {

using Hexes = std::vector<std::string>;

std::vector<std::string> PublishedEntries() {
  std::vector<std::string> entries;
  for (const char* hex : {"", "00", "10", "2021", "3031", "40414243", "5051525354555657",
                          "606162636465666768696a6b6c6d6e6f"}) {
    std::vector<uint8_t> bytes(std::string_view(hex).size() / 2);
    if (!FromHex(hex, bytes)) std::abort();
    entries.emplace_back(AsChars(bytes));
  }
  return entries;
}

const char* const kRoots[] = {
    "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855",
    "6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
    "fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125",
    "aeb6bcfe274b70a14fb067a5e5578264db0fa9b51af5e0ba159158f329e06e77",
    "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7",
    "4e3bbb1f7b478dcfe71fb631631519a3bca12c9aefca1612bfce4c13a86264d4",
    "76e67dadbcdf1e10e1b74ddc608abd2f98dfb16fbce75277b5232a127f2087ef",
    "ddb89be403809e325750d3d263cd78929c2942b7942a34b77e122c9594a74c8c",
    "5dc9da79a70659a9ad559cb701ded9a2ab9d823aad2f4960cfe370eff4604328",
};

class Rfc9162 : public testing::Test, public LeafSource {
 protected:
  Rfc9162() {
    for (const std::string& entry : PublishedEntries()) leaves_.push_back(LeafHash(entry));
  }
  absl::StatusOr<std::vector<Digest>> Leaves(uint64_t begin, uint64_t end) override {
    return std::vector<Digest>(leaves_.begin() + static_cast<ptrdiff_t>(begin),
                               leaves_.begin() + static_cast<ptrdiff_t>(end));
  }
  static Hexes AsHex(const Proof& proof) {
    Hexes hexes;
    for (const Digest& digest : proof) hexes.push_back(ToHex(digest));
    return hexes;
  }
  static Digest Root(uint64_t size) {
    Digest root;
    if (!FromHex(kRoots[size], root)) std::abort();
    return root;
  }
  void ExpectInclusion(const InclusionQuery& query, const Hexes& published) {
    const Proof proof = *ProveInclusion(*this, nullptr, query);
    EXPECT_EQ(AsHex(proof), published) << query.index << " of " << query.size;
    EXPECT_TRUE(VerifyInclusion({.leaf = leaves_[query.index],
                                 .index = query.index,
                                 .size = query.size,
                                 .root = Root(query.size)},
                                proof));
  }
  void ExpectConsistency(const ConsistencyQuery& query, const Hexes& published) {
    const Proof proof = *ProveConsistency(*this, nullptr, query);
    EXPECT_EQ(AsHex(proof), published) << query.old_size << " to " << query.new_size;
    EXPECT_TRUE(VerifyConsistency({.old_size = query.old_size,
                                   .old_root = Root(query.old_size),
                                   .new_size = query.new_size,
                                   .new_root = Root(query.new_size)},
                                  proof));
  }

  std::vector<Digest> leaves_;
};

TEST_F(Rfc9162, RootsOfZeroToEightLeaves) {
  CompactTree tree;
  EXPECT_EQ(ToHex(tree.Root()), kRoots[0]);
  for (size_t size = 1; size <= leaves_.size(); ++size) {
    tree.Append(leaves_[size - 1]);
    EXPECT_EQ(ToHex(tree.Root()), kRoots[size]) << size;
  }
}

TEST_F(Rfc9162, InclusionProofs) {
  ExpectInclusion({.index = 0, .size = 1}, {});
  ExpectInclusion({.index = 0, .size = 8},
                  {"96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
                   "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
                   "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4"});
  ExpectInclusion({.index = 5, .size = 8},
                  {"bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b",
                   "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
                   "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7"});
  ExpectInclusion({.index = 2, .size = 3},
                  {"fac54203e7cc696cf0dfcb42c92a1d9dbaf70ad9e621f4bd8d98662f00e3c125"});
  ExpectInclusion({.index = 1, .size = 5},
                  {"6e340b9cffb37a989ca544e6bb780a2c78901d3fb33738768511a30617afa01d",
                   "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
                   "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b"});
}

TEST_F(Rfc9162, ConsistencyProofs) {
  ExpectConsistency({.old_size = 1, .new_size = 1}, {});
  ExpectConsistency({.old_size = 1, .new_size = 8},
                    {"96a296d224f285c67bee93c30f8a309157f0daa35dc5b87e410b78630a09cfc7",
                     "5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
                     "6b47aaf29ee3c2af9af889bc1fb9254dabd31177f16232dd6aab035ca39bf6e4"});
  ExpectConsistency({.old_size = 6, .new_size = 8},
                    {"0ebc5d3437fbe2db158b9f126a1d118e308181031d0a949f8dededebc558ef6a",
                     "ca854ea128ed050b41b35ffc1b87b8eb2bde461e9e3b5596ece6b9d5975a0ae0",
                     "d37ee418976dd95753c1c73862b9398fa2a2cf9b4ff0fdfe8b30cd95209614b7"});
  ExpectConsistency({.old_size = 2, .new_size = 5},
                    {"5f083f0a1a33ca076a95279832580db3e0ef4584bdff1f54c8a360f50de3031e",
                     "bc1a0643b12e4d2d7c77918f44e0f4f79a838b6cf9ec5b5c283e1f4d88599e6b"});
}

}  // namespace
}  // namespace chockwise::ledger
