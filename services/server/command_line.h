// chockwised's command line: one config file, and flags that override it.
//
//   chockwised init  --yard yard/ --data data/ --as r-aldous     makes the ledger and the first
//   token chockwised serve --yard yard/ --data data/                   serves it chockwised keys
//   --dir keys/ [--tls yard.example]            makes keys for it
//
// The config file is TOML or INI: `listen = "127.0.0.1:7443"`, with the long flags' names.
#pragma once

#include <chrono>
#include <iosfwd>
#include <string>
#include <vector>

#include "services/server/init.h"
#include "services/server/server.h"

namespace chockwise::server {

/// What the process says at its end.
enum class Exit {
  kOk = 0,
  kFailed = 1,   // something of the machine: a disk, a port, a damaged ledger
  kRefused = 2,  // what was asked is not right: a flag, a file, a yard with complaints
};

enum class Task { kNone, kInit, kServe, kKeys };

struct CommandLine {
  Task task = Task::kNone;
  ServerOptions serve;
  InitOptions init;
  std::string keys_folder;
  std::string tls_host;  // empty: no certificate
};

struct ParsedLine {
  bool go_on =
      false;  // otherwise the process ends with `exit`: help was shown, or a flag was wrong
  Exit exit = Exit::kOk;
  CommandLine line;
};
ParsedLine ParseCommandLine(int argc, const char* const* argv, std::ostream& out,
                            std::ostream& err);

/// Runs init or keys.
Exit RunInit(const InitOptions& options, std::ostream& out, std::ostream& err);
Exit RunKeys(const CommandLine& line, std::ostream& out, std::ostream& err);
/// The exit code that a failure stands for.
Exit ExitFor(const absl::Status& status);

}  // namespace chockwise::server
