#include "services/server/request_memory.h"

#include <cstring>
#include <random>

namespace chockwise::server {
namespace {

constexpr size_t kFirstSlots = 1'024;

bool CopyBytes(std::string_view from, std::array<char, 16>& to) {
  if (from.size() != to.size()) return false;
  std::memcpy(to.data(), from.data(), to.size());
  return true;
}

}  // namespace

RequestMemory::RequestMemory(size_t most)
    : most_(most), salt_((uint64_t{std::random_device{}()} << 32) | std::random_device{}()) {}

std::optional<uint32_t> RequestMemory::PersonNumber(std::string_view person) const {
  const auto found = people_.find(std::string(person));
  if (found == people_.end()) return std::nullopt;
  return found->second;
}

// The finaliser is splitmix64's.
size_t RequestMemory::HomeOf(const Record& record) const {
  uint64_t halves[2];
  std::memcpy(halves, record.request_id.data(), sizeof halves);
  uint64_t mixed = halves[0] ^ (halves[1] * 0x9E3779B97F4A7C15u) ^ record.person ^ salt_;
  mixed = (mixed ^ (mixed >> 30)) * 0xBF58476D1CE4E5B9u;
  mixed = (mixed ^ (mixed >> 27)) * 0x94D049BB133111EBu;
  return static_cast<size_t>(mixed ^ (mixed >> 31)) & (slots_.size() - 1);
}

size_t RequestMemory::SlotOf(const Record& key) const {
  size_t slot = HomeOf(key);
  while (slots_[slot] != 0) {
    const Record& held = records_[slots_[slot] - 1];
    if (held.person == key.person && held.request_id == key.request_id) return slot;
    slot = (slot + 1) & (slots_.size() - 1);
  }
  return slot;
}

void RequestMemory::Remember(const Request& request, int64_t entry) {
  Record record{.request_id = {}, .digest = {}, .entry = entry, .person = 0};
  if (!CopyBytes(request.request_id, record.request_id) ||
      !CopyBytes(request.digest, record.digest))
    return;
  record.person =
      people_.try_emplace(std::string(request.person), static_cast<uint32_t>(people_.size()))
          .first->second;
  if ((records_.size() + 1) * 2 > slots_.size()) Grow();
  size_t slot = SlotOf(record);
  if (slots_[slot] != 0) {
    records_[slots_[slot] - 1] = record;
    return;
  }
  if (records_.size() < most_) {
    records_.push_back(record);
    slots_[slot] = static_cast<uint32_t>(records_.size());
    return;
  }
  Empty(SlotOf(records_[oldest_]));
  records_[oldest_] = record;
  slot = SlotOf(record);  // emptying may have moved the free slot
  slots_[slot] = static_cast<uint32_t>(oldest_ + 1);
  oldest_ = (oldest_ + 1) % most_;
}

std::optional<RequestMemory::Found> RequestMemory::Find(const Request& request) const {
  Record key{.request_id = {}, .digest = {}, .entry = 0, .person = 0};
  const std::optional<uint32_t> person = PersonNumber(request.person);
  if (!person || !CopyBytes(request.request_id, key.request_id)) return std::nullopt;
  key.person = *person;
  const size_t slot = SlotOf(key);
  if (slots_[slot] == 0) return std::nullopt;
  const Record& held = records_[slots_[slot] - 1];
  const bool same_body = CopyBytes(request.digest, key.digest) && key.digest == held.digest;
  return Found{.entry = held.entry, .same_body = same_body};
}

// Deletion by shifting back: those behind that may not be found any more are moved into the gap.
void RequestMemory::Empty(size_t slot) {
  const size_t mask = slots_.size() - 1;
  slots_[slot] = 0;
  for (size_t next = (slot + 1) & mask; slots_[next] != 0; next = (next + 1) & mask) {
    const size_t home = HomeOf(records_[slots_[next] - 1]);
    if (((next - home) & mask) < ((next - slot) & mask)) continue;  // its home lies behind the gap
    slots_[slot] = slots_[next];
    slots_[next] = 0;
    slot = next;
  }
}

void RequestMemory::Grow() {
  slots_.assign(slots_.empty() ? kFirstSlots : slots_.size() * 2, 0);
  for (size_t i = 0; i < records_.size(); ++i)
    slots_[SlotOf(records_[i])] = static_cast<uint32_t>(i + 1);
}

}  // namespace chockwise::server
