#include "tests/ledger/fault_vfs.h"

#include <new>

namespace chockwise::ledger {
namespace {

// SQLite allocates this with room for the real file behind it.
struct FaultFile {
  sqlite3_file base;
  FaultVfs* owner;
  std::string* path;
  sqlite3_file* real;
};

FaultFile* Mine(sqlite3_file* file) { return reinterpret_cast<FaultFile*>(file); }
sqlite3_file* Real(sqlite3_file* file) { return Mine(file)->real; }
const sqlite3_io_methods* On(sqlite3_file* file) { return Real(file)->pMethods; }

int Close(sqlite3_file* file) {
  const int code = On(file)->xClose(Real(file));
  delete Mine(file)->path;
  return code;
}

int Write(sqlite3_file* file, const void* data, int size, sqlite3_int64 at) {
  FaultFile* mine = Mine(file);
  if (mine->owner->Strikes(Fault::Kind::kDiskFull, *mine->path)) return SQLITE_FULL;
  if (mine->owner->Strikes(Fault::Kind::kShortWrite, *mine->path)) {
    On(file)->xWrite(Real(file), data, size / 2, at);
    return SQLITE_IOERR_WRITE;
  }
  return On(file)->xWrite(Real(file), data, size, at);
}

int Sync(sqlite3_file* file, int flags) {
  FaultFile* mine = Mine(file);
  if (mine->owner->Strikes(Fault::Kind::kSyncFails, *mine->path)) return SQLITE_IOERR_FSYNC;
  return On(file)->xSync(Real(file), flags);
}

const sqlite3_io_methods kMethods = {
    3,
    Close,
    [](sqlite3_file* f, void* to, int n, sqlite3_int64 at) {
      return On(f)->xRead(Real(f), to, n, at);
    },
    Write,
    [](sqlite3_file* f, sqlite3_int64 size) { return On(f)->xTruncate(Real(f), size); },
    Sync,
    [](sqlite3_file* f, sqlite3_int64* size) { return On(f)->xFileSize(Real(f), size); },
    [](sqlite3_file* f, int level) { return On(f)->xLock(Real(f), level); },
    [](sqlite3_file* f, int level) { return On(f)->xUnlock(Real(f), level); },
    [](sqlite3_file* f, int* out) { return On(f)->xCheckReservedLock(Real(f), out); },
    [](sqlite3_file* f, int op, void* arg) { return On(f)->xFileControl(Real(f), op, arg); },
    [](sqlite3_file* f) { return On(f)->xSectorSize(Real(f)); },
    [](sqlite3_file* f) { return On(f)->xDeviceCharacteristics(Real(f)); },
    [](sqlite3_file* f, int page, int size, int extend, void volatile** out) {
      return On(f)->xShmMap(Real(f), page, size, extend, out);
    },
    [](sqlite3_file* f, int offset, int n, int flags) {
      return On(f)->xShmLock(Real(f), offset, n, flags);
    },
    [](sqlite3_file* f) { On(f)->xShmBarrier(Real(f)); },
    [](sqlite3_file* f, int remove) { return On(f)->xShmUnmap(Real(f), remove); },
    [](sqlite3_file* f, sqlite3_int64 at, int n, void** out) {
      return On(f)->xFetch(Real(f), at, n, out);
    },
    [](sqlite3_file* f, sqlite3_int64 at, void* p) { return On(f)->xUnfetch(Real(f), at, p); },
};

int Open(sqlite3_vfs* vfs, const char* name, sqlite3_file* file, int flags, int* out_flags) {
  auto* owner = static_cast<FaultVfs*>(vfs->pAppData);
  FaultFile* mine = Mine(file);
  mine->base.pMethods = nullptr;
  mine->owner = owner;
  mine->real = reinterpret_cast<sqlite3_file*>(mine + 1);
  const int code = owner->real()->xOpen(owner->real(), name, mine->real, flags, out_flags);
  if (mine->real->pMethods == nullptr) return code;
  mine->path = new std::string(name == nullptr ? "" : name);
  mine->base.pMethods = &kMethods;
  return code;
}

}  // namespace

FaultVfs::FaultVfs(std::string name)
    : name_(std::move(name)), real_(sqlite3_vfs_find(nullptr)), vfs_(*real_) {
  vfs_.zName = name_.c_str();
  vfs_.pNext = nullptr;
  vfs_.szOsFile = static_cast<int>(sizeof(FaultFile)) + real_->szOsFile;
  vfs_.pAppData = this;
  vfs_.xOpen = Open;
  sqlite3_vfs_register(&vfs_, 0);
}

FaultVfs::~FaultVfs() { sqlite3_vfs_unregister(&vfs_); }

void FaultVfs::Arm(const Fault& fault) {
  fault_ = fault;
  skip_ = fault.skip;
}

bool FaultVfs::Strikes(Fault::Kind kind, const std::string& path) {
  if (kind != fault_.kind || !path.ends_with(fault_.file_ends_with)) return false;
  if (skip_-- > 0) return false;
  ++faults_;
  return true;
}

}  // namespace chockwise::ledger
