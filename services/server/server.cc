#include "services/server/server.h"

#include <fmt/format.h>
#include <grpcpp/ext/proto_server_reflection_plugin.h>
#include <grpcpp/health_check_service_interface.h>
#include <grpcpp/resource_quota.h>
#include <grpcpp/server_builder.h>
#include <spdlog/spdlog.h>

#include <filesystem>

#include "services/server/history_service.h"
#include "services/server/ledger_service.h"
#include "services/server/move_service.h"
#include "services/server/people_service.h"
#include "services/server/rehearsal_service.h"
#include "services/server/yard_service.h"

namespace chockwise::server {
namespace {

constexpr int kErrandThreads = 2;

void SetLimits(grpc::ServerBuilder& builder) {
  grpc::ResourceQuota quota("chockwised");
  quota.Resize(kMaxTransportMemoryBytes);
  builder.SetResourceQuota(quota);
  builder.SetMaxReceiveMessageSize(kMaxRequestBytes);
  builder.AddChannelArgument(GRPC_ARG_MAX_CONCURRENT_STREAMS, kMaxStreamsPerConnection);
  builder.AddChannelArgument(GRPC_ARG_KEEPALIVE_TIME_MS, kKeepaliveTimeMs);
  builder.AddChannelArgument(GRPC_ARG_KEEPALIVE_TIMEOUT_MS, kKeepaliveTimeoutMs);
  builder.AddChannelArgument(GRPC_ARG_KEEPALIVE_PERMIT_WITHOUT_CALLS, 1);
  builder.AddChannelArgument(GRPC_ARG_HTTP2_MIN_RECV_PING_INTERVAL_WITHOUT_DATA_MS,
                             kMinPingIntervalMs);
  // Otherwise a second server on the same port would start and take half of the calls.
  builder.AddChannelArgument(GRPC_ARG_ALLOW_REUSEPORT, 0);
  // Requests are far smaller than any bandwidth-delay product worth probing for.
  builder.AddChannelArgument(GRPC_ARG_HTTP2_BDP_PROBE, 0);
}

std::string AddressFor(const std::string& listen, int port) {
  if (listen.rfind("unix", 0) == 0) return listen;
  return fmt::format("{}:{}", HostOf(listen), port);
}

}  // namespace

DataPaths DataIn(const std::string& folder) {
  const std::filesystem::path in(folder);
  return {.ledger = in / "ledger.db",
          .head = in / "ledger.head",
          .private_key = in / "ledger.key",
          .public_key = in / "ledger.pub",
          .history = in / "history.db"};
}

absl::StatusOr<ledger::Identity> PeekIdentity(const DataPaths& data) {
  absl::StatusOr<std::unique_ptr<ledger::Reader>> reader =
      ledger::Reader::Open(data.ledger, nullptr);
  if (!reader.ok()) {
    if (!absl::IsNotFound(reader.status())) return reader.status();
    return absl::NotFoundError(
        fmt::format("there is no ledger at {}; make one with `chockwised init`", data.ledger));
  }
  absl::StatusOr<std::vector<ledger::Entry>> first = (*reader)->Read(0, 1);
  if (!first.ok()) return first.status();
  const std::optional<ledger::Identity> identity =
      first->empty() ? std::nullopt : ledger::ParseGenesis(first->front().bytes);
  if (!identity) {
    return absl::DataLossError(fmt::format(
        "{} does not begin as a ledger does; run `chockwise ledger verify` on a copy of it",
        data.ledger));
  }
  return *identity;
}

absl::StatusOr<std::unique_ptr<Server>> Server::Start(ServerOptions options) {
  std::unique_ptr<Server> server(new Server(std::move(options)));
  server->logger_ = MakeLogger(server->options_.log_level);
  // First what the person at the console got wrong, then the ledger, last the doors.
  const auto credentials = CredentialsFor(server->options_.listen, server->options_.tls);
  if (!credentials.ok()) return credentials.status();
  if (absl::Status opened = server->OpenYard(); !opened.ok()) return opened;
  if (absl::Status listening = server->Listen(); !listening.ok()) return listening;
  return server;
}

Server::~Server() { Drain(); }

absl::Status Server::OpenYard() {
  const absl::StatusOr<ledger::Identity> identity = PeekIdentity(options_.data);
  if (!identity.ok()) return identity.status();
  absl::StatusOr<ledger::SigningKey> key =
      ledger::SigningKey::FromPemFile(options_.data.private_key);
  if (!key.ok()) return key.status();
  if (options_.clock == nullptr) {
    switch (options_.kind) {
      case ledger::LedgerKind::kReal:
        options_.clock = std::make_shared<WallClock>();
        break;
      case ledger::LedgerKind::kRehearsal:
        options_.clock = std::make_shared<RehearsalClock>(MachineReadings().wall());
        break;
    }
  }
  YardWriter::Options writer;
  writer.ledger.database_path = options_.data.ledger;
  writer.ledger.head_path = options_.data.head;
  writer.ledger.yard = identity->yard;
  writer.ledger.kind = options_.kind;
  writer.ledger.key = *std::move(key);
  writer.ledger.mode = ledger::OpenMode::kExisting;
  if (options_.adjust_ledger) options_.adjust_ledger(writer.ledger);
  writer.clock = options_.clock;
  writer.checkpoints = options_.checkpoints;
  writer.most_waiting = options_.most_waiting;
  writer.logger = logger_;
  writer.identities = &identities_;
  writer.watchers = &watchers_;
  writer.serving_changed = [this](bool serving) {
    if (grpc::Server* doors = health_.load())
      doors->GetHealthCheckService()->SetServingStatus(serving);
  };
  absl::StatusOr<std::unique_ptr<YardWriter>> started = YardWriter::Start(std::move(writer));
  if (!started.ok()) return started.status();
  writer_ = *std::move(started);
  errands_ = std::make_unique<Errands>(kErrandThreads);
  const auto open_ledger = [writer = writer_.get()] { return writer->NewReader(); };
  history_ = std::make_unique<HistoryReader>(HistoryReader::Options{
      .path = options_.data.history, .open_ledger = open_ledger, .logger = logger_});
  return absl::OkStatus();
}

Front Server::MakeFront() {
  return {.writer = writer_.get(),
          .clock = options_.clock.get(),
          .identities = &identities_,
          .watchers = &watchers_,
          .errands = errands_.get(),
          .bad_tokens = &bad_tokens_,
          .logger = logger_,
          .yard_folder = options_.yard_folder,
          .rehearsal = options_.kind == ledger::LedgerKind::kRehearsal};
}

absl::Status Server::Listen() {
  const Front front = MakeFront();
  services_.push_back(std::make_unique<MoveService>(front));
  services_.push_back(std::make_unique<YardService>(front));
  services_.push_back(std::make_unique<PeopleService>(front));
  services_.push_back(std::make_unique<LedgerService>(front));
  services_.push_back(std::make_unique<HistoryService>(
      front, history::QueriesOptions{
                 .projection_path = options_.data.history,
                 .open_reader = [writer = writer_.get()] { return writer->NewReader(); }}));
  if (front.rehearsal) services_.push_back(std::make_unique<RehearsalService>(front));

  // Health and reflection are open to anyone who reaches the door: they tell what the API is,
  // nothing about the yard.
  grpc::EnableDefaultHealthCheckService(true);
  grpc::reflection::InitProtoReflectionServerBuilderPlugin();
  grpc::ServerBuilder builder;
  SetLimits(builder);
  const auto credentials = CredentialsFor(options_.listen, options_.tls);
  if (!credentials.ok()) return credentials.status();
  int port = 0;
  builder.AddListeningPort(options_.listen, *credentials, &port);
  for (const auto& service : services_) builder.RegisterService(service.get());
  grpc_ = builder.BuildAndStart();
  const bool is_unix = options_.listen.rfind("unix", 0) == 0;
  if (grpc_ == nullptr || (port == 0 && !is_unix)) {
    return absl::FailedPreconditionError(
        fmt::format("cannot listen on {}: is another program listening there, and is it an address "
                    "of this machine?",
                    options_.listen));
  }
  address_ = AddressFor(options_.listen, port);
  health_.store(grpc_.get());
  grpc_->GetHealthCheckService()->SetServingStatus(writer_->health().ok());
  return absl::OkStatus();
}

void Server::Drain() {
  if (std::exchange(drained_, true)) return;
  if (grpc_ != nullptr) grpc_->GetHealthCheckService()->SetServingStatus(false);
  history_.reset();
  if (writer_ != nullptr) writer_->Drain();
  watchers_.EndAll(
      {grpc::StatusCode::UNAVAILABLE, "the service is shutting down; watch again when it is back"});
  if (errands_ != nullptr) errands_->Drain();
  if (grpc_ != nullptr) {
    grpc_->Shutdown(std::chrono::system_clock::now() + kDrainTime);
    grpc_->Wait();
  }
  health_.store(nullptr);
  if (logger_ != nullptr) logger_->flush();
}

}  // namespace chockwise::server
