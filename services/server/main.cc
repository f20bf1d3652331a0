// chockwised: the server of a yard.
#include <absl/synchronization/mutex.h>
#include <fmt/format.h>

#include <csignal>
#include <iostream>

#include "services/server/command_line.h"

namespace {

using chockwise::server::Exit;

// Signals are waited for, not handled: every thread has them blocked, and one call takes them.
sigset_t BlockSignals() {
  sigset_t signals;
  sigemptyset(&signals);
  sigaddset(&signals, SIGTERM);
  sigaddset(&signals, SIGINT);
  pthread_sigmask(SIG_BLOCK, &signals, nullptr);
  std::signal(SIGPIPE, SIG_IGN);
  return signals;
}

Exit Serve(chockwise::server::ServerOptions options) {
  const sigset_t signals = BlockSignals();  // before any thread starts
  const bool rehearsal = options.kind == chockwise::ledger::LedgerKind::kRehearsal;
  auto server = chockwise::server::Server::Start(std::move(options));
  if (!server.ok()) {
    std::cerr << server.status().message() << "\n";
    return chockwise::server::ExitFor(server.status());
  }
  std::cout << fmt::format("ready listen={} yard={} kind={}\n", (*server)->address(),
                           (*server)->writer().yard_id(), rehearsal ? "REHEARSAL" : "REAL")
            << std::flush;
  int signal = 0;
  sigwait(&signals, &signal);
  (*server)->Drain();
  std::cout << "drained\n" << std::flush;
  return Exit::kOk;
}

}  // namespace

int main(int argc, char** argv) {
  // The packaged absl aborts on a mere inversion of two locks: good in tests, which leave it on,
  // and worse than the inversion in a yard.
  absl::SetMutexDeadlockDetectionMode(absl::OnDeadlockCycle::kIgnore);
  const auto parsed = chockwise::server::ParseCommandLine(argc, argv, std::cout, std::cerr);
  if (!parsed.go_on) return static_cast<int>(parsed.exit);
  Exit exit = Exit::kFailed;
  switch (parsed.line.task) {
    case chockwise::server::Task::kInit:
      exit = chockwise::server::RunInit(parsed.line.init, std::cout, std::cerr);
      break;
    case chockwise::server::Task::kServe:
      exit = Serve(parsed.line.serve);
      break;
    case chockwise::server::Task::kKeys:
      exit = chockwise::server::RunKeys(parsed.line, std::cout, std::cerr);
      break;
    case chockwise::server::Task::kNone:
      break;
  }
  return static_cast<int>(exit);
}
