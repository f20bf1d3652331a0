#include "services/ledger/head_file.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <unistd.h>

#include <algorithm>
#include <array>
#include <cerrno>
#include <cstring>

#include "services/ledger/status.h"

namespace chockwise::ledger {
namespace {

constexpr std::string_view kMagic = "chockwise head 1";
constexpr size_t kHashAt = kHeadSlotBytes - sizeof(Digest);

// O_DIRECT wants the memory aligned as well as the file.
struct alignas(kHeadSlotBytes) Slot {
  std::array<uint8_t, kHeadSlotBytes> bytes{};
};

void PutNumber(uint64_t value, uint8_t* to) {
  for (int i = 0; i < 8; ++i) to[i] = static_cast<uint8_t>(value >> (8 * i));
}

uint64_t GetNumber(const uint8_t* from) {
  uint64_t value = 0;
  for (int i = 7; i >= 0; --i) value = value << 8 | from[i];
  return value;
}

Digest HashOf(const Slot& slot) { return Sha256({AsChars(slot.bytes).substr(0, kHashAt)}); }

Slot Encode(const Head& head) {
  Slot slot;
  uint8_t* bytes = slot.bytes.data();
  std::memcpy(bytes, kMagic.data(), kMagic.size());
  std::ranges::copy(head.id, bytes + 16);
  PutNumber(head.size, bytes + 32);
  PutNumber(head.checkpoints, bytes + 40);
  std::ranges::copy(head.root, bytes + 48);
  std::ranges::copy(HashOf(slot), bytes + kHashAt);
  return slot;
}

std::optional<Head> Decode(std::string_view text) {
  Slot slot;
  if (text.size() != slot.bytes.size() || text.substr(0, kMagic.size()) != kMagic)
    return std::nullopt;
  std::memcpy(slot.bytes.data(), text.data(), text.size());
  const uint8_t* bytes = slot.bytes.data();
  const Digest hash = HashOf(slot);
  if (!std::equal(hash.begin(), hash.end(), bytes + kHashAt)) return std::nullopt;
  Head head;
  std::copy_n(bytes + 16, head.id.size(), head.id.begin());
  head.size = GetNumber(bytes + 32);
  head.checkpoints = GetNumber(bytes + 40);
  std::copy_n(bytes + 48, head.root.size(), head.root.begin());
  return head;
}

// Entries and checkpoints are only ever added, so one of two heads of a ledger covers the other.
bool Covers(const Head& head, const Head& other) {
  return head.id == other.id && head.size >= other.size && head.checkpoints >= other.checkpoints;
}

absl::StatusOr<Descriptor> OpenForHeads(const std::string& path) {
  Descriptor file(::open(path.c_str(), O_WRONLY | O_DSYNC | O_DIRECT | O_CLOEXEC));
  // tmpfs and some network file systems refuse O_DIRECT.
  if (!file.valid() && errno == EINVAL)
    file = Descriptor(::open(path.c_str(), O_WRONLY | O_DSYNC | O_CLOEXEC));
  if (!file.valid()) return ErrnoStatus("open", path, errno);
  return file;
}

}  // namespace

absl::StatusOr<HeadReading> ReadHeadFile(const std::string& path) {
  absl::StatusOr<std::string> content = ReadSmallFile(path);
  if (!content.ok()) return content.status();
  HeadReading reading;
  // A file of another length was not written here, whatever its slots say.
  content->resize(content->size() == 2 * kHeadSlotBytes ? content->size() : 0);
  for (int i = 0; i < 2; ++i) {
    const size_t at = static_cast<size_t>(i) * kHeadSlotBytes;
    const std::optional<Head> head =
        content->empty() ? std::nullopt
                         : Decode(std::string_view(*content).substr(at, kHeadSlotBytes));
    if (!head) ++reading.damaged_slots;
    if (head && (!reading.head || Covers(*head, *reading.head))) {
      reading.head = head;
      reading.newest_slot = i;
    }
  }
  return reading;
}

HeadFile::HeadFile(std::string path, Descriptor file, const HeadReading& reading)
    : path_(std::move(path)),
      file_(std::move(file)),
      last_(*reading.head),
      newest_slot_(reading.newest_slot) {}

absl::StatusOr<std::unique_ptr<HeadFile>> HeadFile::Create(const std::string& path,
                                                           const Head& first) {
  const std::string fresh = path + ".new";
  ::unlink(fresh.c_str());
  const Slot slot = Encode(first);
  std::string content(AsChars(slot.bytes));
  content += content;
  CW_RETURN_IF_ERROR(WriteNewFile({.path = fresh, .mode = 0644}, content));
  if (::rename(fresh.c_str(), path.c_str()) != 0)
    return ErrnoStatus("put the head in place at", path, errno);
  CW_RETURN_IF_ERROR(SyncFolderOf(path));
  return Open(path);
}

absl::StatusOr<std::unique_ptr<HeadFile>> HeadFile::Open(const std::string& path) {
  absl::StatusOr<HeadReading> reading = ReadHeadFile(path);
  if (!reading.ok()) return reading.status();
  if (!reading->head)
    return absl::DataLossError(fmt::format("no slot of the head file {} can be read", path));
  absl::StatusOr<Descriptor> file = OpenForHeads(path);
  if (!file.ok()) return file.status();
  return std::unique_ptr<HeadFile>(new HeadFile(path, *std::move(file), *reading));
}

absl::Status HeadFile::Write(const Head& head) {
  std::lock_guard lock(mutex_);
  if (!failure_.ok()) return failure_;
  if (head.id != last_.id) {
    return absl::InvalidArgumentError(
        fmt::format("the head file {} belongs to ledger {}, not to {}", path_, ToHex(last_.id),
                    ToHex(head.id)));
  }
  if (Covers(last_, head)) return absl::OkStatus();
  absl::Status written = WriteSlot(head);
  if (written.ok()) return written;
  // A failed synchronous write has unknown effect; trying again could report as durable what is
  // not.
  failure_ = absl::UnavailableError(
      fmt::format("the head file {} stopped after a failed write; reopen the ledger", path_));
  return written;
}

absl::Status HeadFile::WriteSlot(const Head& head) {
  const int target = 1 - newest_slot_;
  const Slot slot = Encode(head);
  const ssize_t written = ::pwrite(file_.get(), slot.bytes.data(), slot.bytes.size(),
                                   target * static_cast<off_t>(kHeadSlotBytes));
  if (written < 0) return ErrnoStatus("write the head to", path_, errno);
  if (static_cast<size_t>(written) != slot.bytes.size()) {
    return absl::UnavailableError(fmt::format("only {} of {} bytes of the head went to {}", written,
                                              slot.bytes.size(), path_));
  }
  // If we die here: the head is durable and the entries before it are; nobody was told, a repeat is
  // answered.
  last_ = head;
  newest_slot_ = target;
  return absl::OkStatus();
}

}  // namespace chockwise::ledger
