// What the ledger's tests share: a folder that goes away, a key that is no secret, entries that can
// be foretold.
#pragma once

#include <gtest/gtest.h>
#include <unistd.h>

#include <cstdlib>
#include <filesystem>
#include <fstream>
#include <iterator>
#include <string>
#include <vector>

#include "services/ledger/ledger.h"

namespace chockwise::ledger {

class ScratchFolder {
 public:
  /// `parent` may be a memory file system where a test writes thousands of files.
  explicit ScratchFolder(const std::string& parent = testing::TempDir()) {
    std::string pattern = (std::filesystem::path(parent) / "chockwise_ledger_XXXXXX").string();
    if (::mkdtemp(pattern.data()) == nullptr) std::abort();
    path_ = pattern;
  }
  ~ScratchFolder() {
    std::error_code ignored;
    std::filesystem::remove_all(path_, ignored);
  }
  ScratchFolder(const ScratchFolder&) = delete;
  ScratchFolder& operator=(const ScratchFolder&) = delete;
  std::string File(const std::string& name) const { return path_ + "/" + name; }
  const std::string& path() const { return path_; }

 private:
  std::string path_;
};

inline std::string ReadBytes(const std::string& path) {
  std::ifstream file(path, std::ios::binary);
  return {std::istreambuf_iterator<char>(file), std::istreambuf_iterator<char>()};
}

inline void WriteBytes(const std::string& path, const std::string& bytes) {
  std::ofstream(path, std::ios::binary | std::ios::trunc) << bytes;
}

/// The secret key of test 1 of RFC 8032 section 7.1: known to everybody.
inline const SigningKey& KnownKey() {
  static const SigningKey kKey = [] {
    RawPrivateKey raw;
    const bool good =
        FromHex("9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60", raw);
    if (!good) std::abort();
    return *SigningKey::FromRaw(raw);
  }();
  return kKey;
}

inline constexpr int64_t kTestMicros = 1'795'561'200'000'000;

inline LedgerOptions OptionsIn(const ScratchFolder& folder) {
  LedgerOptions options;
  options.database_path = folder.File("yard.ledger");
  options.head_path = folder.File("yard.head");
  options.yard = "test-yard";
  options.key = KnownKey();
  options.now_micros = kTestMicros;
  return options;
}

/// The entry that tests put at `seq`; lengths from 1 to a few hundred bytes.
inline std::string Payload(uint64_t seq) {
  std::string text = "entry " + std::to_string(seq) + " ";
  text.append(static_cast<size_t>(seq * 37 % 211), static_cast<char>('a' + seq % 26));
  return text;
}

inline std::vector<std::string> Payloads(uint64_t first, uint64_t count) {
  std::vector<std::string> payloads;
  for (uint64_t seq = first; seq < first + count; ++seq) payloads.push_back(Payload(seq));
  return payloads;
}

inline Replay NoReplay() {
  return [](uint64_t, std::string_view) { return absl::OkStatus(); };
}

/// Appends and acknowledges; the failure, where there is one.
inline absl::Status AppendAcknowledged(Ledger& ledger, uint64_t first, uint64_t count) {
  absl::StatusOr<Head> head = ledger.Append(Payloads(first, count));
  return head.ok() ? ledger.WriteHead(*head) : head.status();
}

/// What a disk would hold if the machine stopped now: the files of an open, idle ledger, copied.
inline void CopyAsCrashed(const ScratchFolder& from, const ScratchFolder& to) {
  for (const char* name : {"yard.ledger", "yard.ledger-wal", "yard.head"}) {
    if (std::filesystem::exists(from.File(name))) {
      std::filesystem::copy_file(from.File(name), to.File(name),
                                 std::filesystem::copy_options::overwrite_existing);
    }
  }
}

}  // namespace chockwise::ledger

#define ASSERT_OK(expression)                    \
  do {                                           \
    const absl::Status cw_ok = (expression);     \
    ASSERT_TRUE(cw_ok.ok()) << cw_ok.ToString(); \
  } while (false)
