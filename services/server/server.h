// The server of one yard, in one object: ledger, writer, adapters and transport. chockwised is this
// and a signal handler; tests run it in their own process.
//
//   absl::StatusOr<std::unique_ptr<Server>> server = Server::Start({.listen = "127.0.0.1:0", .data
//   = DataIn(dir), ...}); auto channel = grpc::CreateChannel((*server)->address(),
//   grpc::InsecureChannelCredentials());
//   (*server)->Drain();
//
// Threads: Start and Drain from one thread; the rest is inside.
#pragma once

#include <absl/status/statusor.h>
#include <grpcpp/impl/service_type.h>
#include <grpcpp/server.h>

#include <functional>
#include <memory>
#include <string>

#include "services/ledger/ledger.h"
#include "services/server/clock.h"
#include "services/server/front.h"
#include "services/server/history_reader.h"
#include "services/server/transport.h"
#include "services/server/yard_writer.h"

namespace chockwise::server {

/// Where a yard's data lies.
struct DataPaths {
  std::string ledger;       // SQLite database
  std::string head;         // best on another disk than the ledger
  std::string private_key;  // signs checkpoints
  std::string public_key;
  std::string history;  // what the history reader has worked out; may be deleted at any time
};
/// ledger.db, ledger.head, ledger.key, ledger.pub and history.db in a folder.
DataPaths DataIn(const std::string& folder);

struct ServerOptions {
  std::string listen = "127.0.0.1:7443";  // host:port, port 0 for any; or unix:/path
  std::string yard_folder;                // read by ReloadYard
  DataPaths data;
  TlsFiles tls;
  ledger::LedgerKind kind = ledger::LedgerKind::kReal;
  CheckpointCadence checkpoints;
  size_t most_waiting = kMaxWaitingJobs;
  std::string log_level = "info";
  std::shared_ptr<Clock> clock;  // empty: the wall, or for a rehearsal a clock of its own
  /// For tests: puts faults into the ledger.
  std::function<void(ledger::LedgerOptions&)> adjust_ledger;
};

class Server {
 public:
  /// Serves when it returns. The failure's text is for the person at the console.
  static absl::StatusOr<std::unique_ptr<Server>> Start(ServerOptions options);
  ~Server();

  /// "127.0.0.1:41233", as a client would give it.
  const std::string& address() const { return address_; }
  YardWriter& writer() { return *writer_; }

  /// NOT_SERVING, finish what waits, sign the last checkpoint, end the watches, close the doors.
  /// Once or more.
  void Drain();

 private:
  explicit Server(ServerOptions options) : options_(std::move(options)) {}
  absl::Status OpenYard();
  absl::Status Listen();
  Front MakeFront();

  ServerOptions options_;
  std::shared_ptr<spdlog::logger> logger_;
  Identities identities_;
  WatchHub watchers_;
  BadTokenLimit bad_tokens_;
  std::atomic<grpc::Server*> health_{nullptr};
  std::unique_ptr<YardWriter> writer_;
  std::unique_ptr<Errands> errands_;
  std::unique_ptr<HistoryReader> history_;
  std::vector<std::unique_ptr<grpc::Service>> services_;
  std::unique_ptr<grpc::Server> grpc_;
  std::string address_;
  bool drained_ = false;
};

/// The ledger's genesis: yard and kind. NOT_FOUND where there is no ledger, with what to do.
absl::StatusOr<ledger::Identity> PeekIdentity(const DataPaths& data);

}  // namespace chockwise::server
