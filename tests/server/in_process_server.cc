#include "tests/server/in_process_server.h"

#include <fmt/format.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>
#include <iostream>
#include <thread>

namespace chockwise::server {
namespace {

class FaultyStore final : public ledger::Store {
 public:
  FaultyStore(std::unique_ptr<ledger::Store> real, std::shared_ptr<Faults> faults)
      : real_(std::move(real)), faults_(std::move(faults)) {}
  absl::StatusOr<ledger::Meta> ReadMeta() override { return real_->ReadMeta(); }
  absl::StatusOr<std::vector<ledger::CheckpointRow>> ReadCheckpoints() override {
    return real_->ReadCheckpoints();
  }
  absl::Status Scan(int64_t first, const ledger::EntryVisitor& visit) override {
    return real_->Scan(first, visit);
  }
  absl::StatusOr<ledger::StoreState> State() override {
    if (faults_->entries_lost) return absl::UnavailableError("unreadable");
    return real_->State();
  }
  absl::Status Create(const ledger::Meta& meta, const ledger::NewEntry& genesis) override {
    return real_->Create(meta, genesis);
  }
  absl::Status Append(uint64_t first_seq, std::span<const ledger::NewEntry> entries) override {
    if (faults_->fail_append.exchange(false))
      return absl::UnavailableError("no space left on the device");
    if (const int delay = faults_->append_delay_ms; delay > 0) {
      std::this_thread::sleep_for(std::chrono::milliseconds(delay));
    }
    ++faults_->appends;
    return real_->Append(first_seq, entries);
  }
  absl::Status AppendCheckpoint(uint64_t number, std::string_view text) override {
    return real_->AppendCheckpoint(number, text);
  }
  absl::Status FoldLog() override {
    if (faults_->disk_away) return absl::UnavailableError("the disk is away");
    return real_->FoldLog();
  }
  void LeaveTidy() override { real_->LeaveTidy(); }

 private:
  std::unique_ptr<ledger::Store> real_;
  std::shared_ptr<Faults> faults_;
};

class FaultyHead final : public ledger::HeadWriter {
 public:
  FaultyHead(std::unique_ptr<ledger::HeadWriter> real, std::shared_ptr<Faults> faults)
      : real_(std::move(real)), faults_(std::move(faults)) {}
  absl::Status Write(const ledger::Head& head) override {
    if (faults_->fail_head.exchange(false))
      return absl::UnavailableError("the head's disk is gone");
    return real_->Write(head);
  }

 private:
  std::unique_ptr<ledger::HeadWriter> real_;
  std::shared_ptr<Faults> faults_;
};

[[noreturn]] void Die(const std::string& what) {
  std::cerr << "the test's server cannot be made: " << what << "\n";
  std::abort();
}

}  // namespace

std::string NewRequestId() {
  static std::atomic<uint64_t> next{1};
  return fmt::format("00000000-0000-4000-8000-{:012x}", next++);
}

InProcessServer::InProcessServer(Options options) : options_(std::move(options)) {
  if (options_.yard_folder.empty()) {
    options_.yard_folder = scratch_.File("yard");
    std::filesystem::copy(std::filesystem::path(__FILE__).parent_path() / "yard",
                          options_.yard_folder);
  }
  const DataPaths data = DataIn(scratch_.File("data"));
  const auto made =
      InitYard({.yard_folder = options_.yard_folder,
                .data = data,
                .person = options_.lead,
                .kind = options_.kind,
                .start = options_.manual_clock ? std::optional(kTestStart) : std::nullopt,
                .token_file = ""});
  if (!made.ok()) Die(std::string(made.status().message()));
  lead_secret_ = made->secret;
  secrets_[options_.lead] = made->secret;
  if (options_.manual_clock) clock_ = std::make_shared<ManualClock>(kTestStart);
  server_options_.listen = options_.listen;
  server_options_.yard_folder = options_.yard_folder;
  server_options_.data = data;
  server_options_.kind = options_.kind;
  server_options_.most_waiting = options_.most_waiting;
  server_options_.log_level = options_.log_level;
  server_options_.clock = clock_;
  server_options_.adjust_ledger = [faults = faults_](ledger::LedgerOptions& ledger) {
    ledger.wrap_store =
        [faults](std::unique_ptr<ledger::Store> real) -> std::unique_ptr<ledger::Store> {
      return std::make_unique<FaultyStore>(std::move(real), faults);
    };
    ledger.wrap_head =
        [faults](std::unique_ptr<ledger::HeadWriter> real) -> std::unique_ptr<ledger::HeadWriter> {
      return std::make_unique<FaultyHead>(std::move(real), faults);
    };
  };
  if (absl::Status started = Start(); !started.ok()) Die(std::string(started.message()));
}

InProcessServer::~InProcessServer() = default;

absl::Status InProcessServer::Start() {
  auto started = Server::Start(server_options_);
  if (!started.ok()) return started.status();
  server_ = *std::move(started);
  channel_ = NewChannel();
  return absl::OkStatus();
}

void InProcessServer::Restart() {
  Stop();
  if (absl::Status started = Start(); !started.ok()) Die(std::string(started.message()));
}

std::shared_ptr<grpc::Channel> InProcessServer::NewChannel() const {
  grpc::ChannelArguments arguments;
  arguments.SetInt(GRPC_ARG_USE_LOCAL_SUBCHANNEL_POOL, 1);
  return grpc::CreateCustomChannel(server_->address(), grpc::InsecureChannelCredentials(),
                                   arguments);
}

std::shared_ptr<grpc::Channel> InProcessServer::NarrowChannel(int bytes) const {
  grpc::ChannelArguments arguments;
  arguments.SetInt(GRPC_ARG_USE_LOCAL_SUBCHANNEL_POOL, 1);
  arguments.SetInt(GRPC_ARG_HTTP2_BDP_PROBE, 0);
  arguments.SetInt(GRPC_ARG_HTTP2_STREAM_LOOKAHEAD_BYTES, bytes);
  return grpc::CreateCustomChannel(server_->address(), grpc::InsecureChannelCredentials(),
                                   arguments);
}

Person InProcessServer::As(const std::string& person) {
  auto known = secrets_.find(person);
  if (known == secrets_.end()) {
    v1::IssueTokenRequest request;
    request.set_parent("yards/" + server_->writer().yard_id());
    request.set_person(person);
    auto issued = WithSecret(lead_secret_).Call(&v1::PeopleService::Stub::IssueToken, request);
    if (!issued.ok()) Die(issued.status.error_message());
    known = secrets_.emplace(person, issued.response.secret()).first;
  }
  return WithSecret(known->second);
}

}  // namespace chockwise::server
