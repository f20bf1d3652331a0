// A SQLite VFS over the system's that fails when told to: the disk's own ways of saying no.
//
// Threads: arm it while no call is under way.
//
//   FaultVfs vfs("faulty");
//   options.vfs = "faulty";
//   vfs.Arm({.kind = Fault::Kind::kSyncFails, .file_ends_with = "-wal"});
#pragma once

#include <sqlite3.h>

#include <atomic>
#include <string>

namespace chockwise::ledger {

struct Fault {
  enum class Kind {
    kNone,
    kSyncFails,   ///< the data may have reached the file; the sync says no
    kDiskFull,    ///< a write takes nothing
    kShortWrite,  ///< a write takes half and fails
  };
  Kind kind = Kind::kNone;
  std::string file_ends_with;  ///< "-wal", or "" for all files
  int skip = 0;                ///< calls of that sort that still work
};

class FaultVfs {
 public:
  explicit FaultVfs(std::string name);
  ~FaultVfs();
  FaultVfs(const FaultVfs&) = delete;
  FaultVfs& operator=(const FaultVfs&) = delete;

  void Arm(const Fault& fault);
  void Disarm() { Arm({}); }
  int faults() const { return faults_; }

  /// For the VFS's own functions.
  bool Strikes(Fault::Kind kind, const std::string& path);
  sqlite3_vfs* real() { return real_; }

 private:
  const std::string name_;
  sqlite3_vfs* real_;
  sqlite3_vfs vfs_;
  Fault fault_;
  int skip_ = 0;
  int faults_ = 0;
};

}  // namespace chockwise::ledger
