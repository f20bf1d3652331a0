// Small whole files and the lock that keeps a second writer out. Not the ledger's alone: the server
// reads certificates and makes its data folder with it.
#pragma once

#include <absl/status/statusor.h>
#include <sys/types.h>

#include <string>
#include <string_view>

namespace chockwise::ledger {

/// A file descriptor that closes itself.
class Descriptor {
 public:
  Descriptor() = default;
  explicit Descriptor(int value) : value_(value) {}
  Descriptor(Descriptor&& other) noexcept : value_(other.value_) { other.value_ = -1; }
  Descriptor& operator=(Descriptor&& other) noexcept;
  ~Descriptor();
  int get() const { return value_; }
  bool valid() const { return value_ >= 0; }

 private:
  int value_ = -1;
};

/// "cannot open /a/b: No such file or directory", with the code that errno stands for.
absl::Status ErrnoStatus(std::string_view doing, const std::string& path, int error);

/// At most 1 MiB.
absl::StatusOr<std::string> ReadSmallFile(const std::string& path);

struct NewFile {
  std::string path;
  mode_t mode = 0644;
};
/// Creates and syncs the file and its name; ALREADY_EXISTS where there is one.
absl::Status WriteNewFile(const NewFile& file, std::string_view content);

absl::Status WriteAll(int descriptor, std::string_view content, const std::string& path);

/// Makes the creation or renaming of `path` durable.
absl::Status SyncFolderOf(const std::string& path);

[[nodiscard]] bool FileExists(const std::string& path);

/// Held from Acquire until destroyed; the system lets go when the process dies.
class FileLock {
 public:
  /// FAILED_PRECONDITION, naming the holder's process id, where another writer has it.
  static absl::StatusOr<FileLock> Acquire(const std::string& path);

 private:
  explicit FileLock(Descriptor file) : file_(std::move(file)) {}
  Descriptor file_;
};

}  // namespace chockwise::ledger
