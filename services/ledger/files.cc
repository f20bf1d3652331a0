#include "services/ledger/files.h"

#include <fcntl.h>
#include <fmt/format.h>
#include <sys/file.h>
#include <sys/stat.h>
#include <unistd.h>

#include <cerrno>
#include <cstring>

#include "services/ledger/status.h"

namespace chockwise::ledger {
namespace {

constexpr size_t kMaxSmallFileBytes = size_t{1} << 20;

}  // namespace

Descriptor& Descriptor::operator=(Descriptor&& other) noexcept {
  if (this != &other) {
    if (valid()) ::close(value_);
    value_ = other.value_;
    other.value_ = -1;
  }
  return *this;
}

Descriptor::~Descriptor() {
  if (valid()) ::close(value_);
}

absl::Status ErrnoStatus(std::string_view doing, const std::string& path, int error) {
  std::string text = fmt::format("cannot {} {}: {}", doing, path, std::strerror(error));
  if (error == ENOENT) return absl::NotFoundError(text);
  if (error == EEXIST) return absl::AlreadyExistsError(text);
  if (error == EACCES || error == EPERM) return absl::PermissionDeniedError(text);
  if (error == ENOSPC || error == EDQUOT) return absl::ResourceExhaustedError(text);
  return absl::UnavailableError(text);
}

absl::StatusOr<std::string> ReadSmallFile(const std::string& path) {
  Descriptor file(::open(path.c_str(), O_RDONLY | O_CLOEXEC));
  if (!file.valid()) return ErrnoStatus("open", path, errno);
  std::string content;
  char buffer[8192];
  while (true) {
    const ssize_t got = ::read(file.get(), buffer, sizeof buffer);
    if (got < 0 && errno == EINTR) continue;
    if (got < 0) return ErrnoStatus("read", path, errno);
    if (got == 0) return content;
    content.append(buffer, static_cast<size_t>(got));
    if (content.size() > kMaxSmallFileBytes) {
      return absl::InvalidArgumentError(
          fmt::format("{} is larger than {} bytes", path, kMaxSmallFileBytes));
    }
  }
}

absl::Status WriteAll(int descriptor, std::string_view content, const std::string& path) {
  while (!content.empty()) {
    const ssize_t written = ::write(descriptor, content.data(), content.size());
    if (written < 0 && errno == EINTR) continue;
    if (written < 0) return ErrnoStatus("write", path, errno);
    content.remove_prefix(static_cast<size_t>(written));
  }
  return absl::OkStatus();
}

absl::Status WriteNewFile(const NewFile& file, std::string_view content) {
  Descriptor created(::open(file.path.c_str(), O_WRONLY | O_CREAT | O_EXCL | O_CLOEXEC, file.mode));
  if (!created.valid()) return ErrnoStatus("create", file.path, errno);
  CW_RETURN_IF_ERROR(WriteAll(created.get(), content, file.path));
  if (::fsync(created.get()) != 0) return ErrnoStatus("sync", file.path, errno);
  return SyncFolderOf(file.path);
}

absl::Status SyncFolderOf(const std::string& path) {
  const size_t slash = path.rfind('/');
  const std::string folder = slash == std::string::npos ? "."
                             : slash == 0               ? "/"
                                                        : path.substr(0, slash);
  Descriptor opened(::open(folder.c_str(), O_RDONLY | O_DIRECTORY | O_CLOEXEC));
  if (!opened.valid()) return ErrnoStatus("open", folder, errno);
  if (::fsync(opened.get()) != 0) return ErrnoStatus("sync", folder, errno);
  return absl::OkStatus();
}

bool FileExists(const std::string& path) {
  struct stat status {};
  return ::stat(path.c_str(), &status) == 0;
}

absl::StatusOr<FileLock> FileLock::Acquire(const std::string& path) {
  Descriptor file(::open(path.c_str(), O_RDWR | O_CREAT | O_CLOEXEC, 0644));
  if (!file.valid()) return ErrnoStatus("open", path, errno);
  if (::flock(file.get(), LOCK_EX | LOCK_NB) != 0) {
    if (errno != EWOULDBLOCK) return ErrnoStatus("lock", path, errno);
    char holder[32] = {};
    const ssize_t got = ::pread(file.get(), holder, sizeof holder - 1, 0);
    return absl::FailedPreconditionError(
        fmt::format("another process ({}) has this ledger open for writing (lock {}); a ledger has "
                    "one writer. Stop "
                    "that process first, or read the ledger instead",
                    got > 0 ? std::string(holder, static_cast<size_t>(got)) : "pid unknown", path));
  }
  const std::string pid = fmt::format("pid {}", ::getpid());
  if (::ftruncate(file.get(), 0) != 0) return ErrnoStatus("truncate", path, errno);
  CW_RETURN_IF_ERROR(WriteAll(file.get(), pid, path));
  return FileLock(std::move(file));
}

}  // namespace chockwise::ledger
