#include "cli-client/session.h"

#include <fmt/format.h>
#include <grpcpp/create_channel.h>
#include <grpcpp/security/credentials.h>

#include <array>
#include <cstdint>
#include <random>
#include <thread>
#include <utility>

namespace chockwise::cli {
namespace {

std::shared_ptr<grpc::Channel> Connect(const Target& target) {
  grpc::ChannelArguments arguments;
  // The retries here know which codes may be tried again; the library's own do not.
  arguments.SetInt(GRPC_ARG_ENABLE_RETRIES, 0);
  arguments.SetInt(GRPC_ARG_INITIAL_RECONNECT_BACKOFF_MS, 100);
  arguments.SetInt(GRPC_ARG_MAX_RECONNECT_BACKOFF_MS, 1000);
  std::shared_ptr<grpc::ChannelCredentials> credentials = grpc::InsecureChannelCredentials();
  if (target.tls) {
    grpc::SslCredentialsOptions options;
    options.pem_root_certs = target.ca_pem;
    credentials = grpc::SslCredentials(options);
  }
  return grpc::CreateCustomChannel(target.address, credentials, arguments);
}

}  // namespace

Session::Session(const Target& target, std::string token, const SessionLimits& limits)
    : token_(std::move(token)), limits_(limits) {
  const std::shared_ptr<grpc::Channel> channel = Connect(target);
  moves_ = v1::MoveService::NewStub(channel);
  yards_ = v1::YardService::NewStub(channel);
  people_ = v1::PeopleService::NewStub(channel);
  ledger_ = v1::LedgerService::NewStub(channel);
  history_ = v1::HistoryService::NewStub(channel);
  rehearsals_ = v1::RehearsalService::NewStub(channel);
}

void Session::Prepare(grpc::ClientContext& context) {
  context.AddMetadata("authorization", "Bearer " + token_);
}

bool Session::PauseBefore(int next_try, std::chrono::system_clock::time_point deadline) {
  static thread_local std::minstd_rand random{std::random_device{}()};
  const auto full = kFirstPause * (1 << (next_try - 2));
  std::uniform_int_distribution<int64_t> part(full.count() / 2, full.count());
  const std::chrono::milliseconds pause{part(random)};
  if (std::chrono::system_clock::now() + pause >= deadline) return false;
  std::this_thread::sleep_for(pause);
  return true;
}

std::unique_ptr<grpc::ClientContext> Session::StreamContext() {
  auto context = std::make_unique<grpc::ClientContext>();
  Prepare(*context);
  return context;
}

grpc::Status Session::WhoAmI(v1::Identity& me) {
  if (!identity_) {
    v1::Identity identity;
    const grpc::Status status =
        Call(*people_, &v1::PeopleService::Stub::WhoAmI, v1::WhoAmIRequest{}, identity);
    if (!status.ok()) return status;
    identity_ = std::move(identity);
  }
  me = *identity_;
  return grpc::Status::OK;
}

std::string NewRequestId() {
  std::random_device random;
  std::array<uint32_t, 4> words{random(), random(), random(), random()};
  words[1] = (words[1] & 0xFFFF0FFFU) | 0x00004000U;
  words[2] = (words[2] & 0x3FFFFFFFU) | 0x80000000U;
  return fmt::format("{:08x}-{:04x}-{:04x}-{:04x}-{:04x}{:08x}", words[0], words[1] >> 16U,
                     words[1] & 0xFFFFU, words[2] >> 16U, words[2] & 0xFFFFU, words[3]);
}

}  // namespace chockwise::cli
