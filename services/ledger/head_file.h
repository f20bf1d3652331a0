// The head: how far the ledger had come when somebody was last told "yes". It is kept outside the
// database, best on another disk, because SQLite drops everything behind a damaged byte of its
// write-ahead log without a word: only somebody who remembers the size and the root can notice.
//
// Two preallocated slots of 4096 bytes are written in turn, each write synchronous (O_DSYNC, and
// O_DIRECT where the file system takes it), so a write that power cut in two leaves the other slot.
// Layout of a slot, integers little-endian:
//
//   0     16  "chockwise head 1"
//   16    16  ledger id
//   32     8  size: entries
//   40     8  checkpoints: how many are stored
//   48    32  root over those entries
//   80  3984  zero
//   4064  32  SHA-256 of the 4064 bytes before
//
// The newest slot that fits its hash counts.
//
// HeadFile::Write may be called from any thread. Heads arrive in no order; an older one than the
// last is already covered and is not written.
//
//   auto head_file = HeadFile::Open("/disk2/north-yard.head");
//   absl::Status acknowledged = (*head_file)->Write(head);
#pragma once

#include <absl/status/statusor.h>

#include <cstdint>
#include <memory>
#include <mutex>
#include <optional>
#include <string>

#include "services/ledger/files.h"
#include "services/ledger/identity.h"
#include "services/ledger/sha256.h"

namespace chockwise::ledger {

inline constexpr size_t kHeadSlotBytes = 4096;

struct Head {
  LedgerId id{};
  uint64_t size = 0;         ///< entries, the genesis included
  Digest root{};             ///< RFC 9162 root over them
  uint64_t checkpoints = 0;  ///< checkpoints stored
  bool operator==(const Head&) const = default;
};

/// Where heads go. Tests put a failing one in front of the real one.
class HeadWriter {
 public:
  virtual ~HeadWriter() = default;
  /// OK means durable. After a failure the effect is unknown and every later call fails.
  virtual absl::Status Write(const Head& head) = 0;
};

struct HeadReading {
  std::optional<Head> head;  ///< empty: no slot can be read
  int newest_slot = 0;
  int damaged_slots = 0;  ///< 1 is what a torn write leaves; 2 is never normal
};
/// NOT_FOUND where there is no file.
absl::StatusOr<HeadReading> ReadHeadFile(const std::string& path);

class HeadFile final : public HeadWriter {
 public:
  /// Writes `first` to both slots of a new file and puts it in place of whatever `path` was, in one
  /// step.
  static absl::StatusOr<std::unique_ptr<HeadFile>> Create(const std::string& path,
                                                          const Head& first);
  /// NOT_FOUND where there is no file; DATA_LOSS where no slot can be read.
  static absl::StatusOr<std::unique_ptr<HeadFile>> Open(const std::string& path);

  absl::Status Write(const Head& head) override;

 private:
  HeadFile(std::string path, Descriptor file, const HeadReading& reading);
  absl::Status WriteSlot(const Head& head);

  const std::string path_;
  std::mutex mutex_;
  Descriptor file_;
  Head last_;
  int newest_slot_;
  absl::Status failure_;
};

}  // namespace chockwise::ledger
