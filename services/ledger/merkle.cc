#include "services/ledger/merkle.h"

#include <mutex>

namespace chockwise::ledger {
namespace {

// The prefixes keep a leaf from being passed off as an inner node (RFC 9162 section 2.1.1).
constexpr std::string_view kLeafPrefix("\0", 1);
constexpr std::string_view kNodePrefix("\1", 1);

}  // namespace

Digest LeafHash(std::string_view entry) { return Sha256({kLeafPrefix, entry}); }

Digest NodeHash(const Digest& left, const Digest& right) {
  return Sha256({kNodePrefix, AsChars(left), AsChars(right)});
}

Digest EmptyRoot() { return Sha256({}); }

void BlockRoots::Push(const Digest& root) {
  std::unique_lock lock(mutex_);
  roots_.push_back(root);
}

std::optional<Digest> BlockRoots::At(uint64_t block) const {
  std::shared_lock lock(mutex_);
  if (block >= roots_.size()) return std::nullopt;
  return roots_[block];
}

void CompactTree::Append(const Digest& leaf, BlockRoots* blocks) {
  Digest node = leaf;
  int height = 0;
  for (uint64_t rest = size_; (rest & 1) != 0; rest >>= 1) {
    node = NodeHash(edge_.back(), node);
    edge_.pop_back();
    ++height;
    if (height == kBlockHeight && blocks != nullptr) blocks->Push(node);
  }
  edge_.push_back(node);
  ++size_;
}

Digest CompactTree::Root() const {
  if (edge_.empty()) return EmptyRoot();
  Digest root = edge_.back();
  for (size_t i = edge_.size() - 1; i > 0; --i) root = NodeHash(edge_[i - 1], root);
  return root;
}

}  // namespace chockwise::ledger
