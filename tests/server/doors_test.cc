// What anybody may ask without a token, and the doors by which one comes in: health, reflection, a
// unix socket. Requests and answers are written out as bytes here, as any client would send them.

#include <grpcpp/generic/generic_stub.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <optional>
#include <thread>

#include "tests/ledger/scratch.h"
#include "tests/server/first_move.h"

namespace chockwise::server {
namespace {

/// One message there and one back; unset where the call failed, with the code in `code`.
std::optional<std::string> Exchange(const std::shared_ptr<grpc::Channel>& channel,
                                    const std::string& method, const std::string& request,
                                    grpc::StatusCode& code) {
  grpc::GenericStub stub(channel);
  grpc::CompletionQueue queue;
  grpc::ClientContext context;
  context.set_deadline(std::chrono::system_clock::now() + std::chrono::seconds(20));
  const auto next = [&] {
    void* tag = nullptr;
    bool ok = false;
    return queue.Next(&tag, &ok) && ok;
  };
  const auto call = stub.PrepareCall(&context, method, &queue);
  call->StartCall(nullptr);
  next();
  const grpc::Slice slice(request);
  call->WriteLast(grpc::ByteBuffer(&slice, 1), {}, nullptr);
  next();
  grpc::ByteBuffer answer;
  call->Read(&answer, nullptr);
  const bool read = next();
  grpc::Status status;
  call->Finish(&status, nullptr);
  next();
  code = status.error_code();
  if (!read) return std::nullopt;
  grpc::Slice whole;
  if (!answer.DumpToSingleSlice(&whole).ok()) return std::nullopt;
  return std::string(reinterpret_cast<const char*>(whole.begin()), whole.size());
}

/// Source: grpc.health.v1, HealthCheckResponse: field 1, SERVING = 1, NOT_SERVING = 2.
const std::string kServing = "\x08\x01";
const std::string kNotServing = "\x08\x02";

std::string Health(const std::shared_ptr<grpc::Channel>& channel) {
  grpc::StatusCode code = grpc::StatusCode::OK;
  // An empty request asks about the whole server.
  return Exchange(channel, "/grpc.health.v1.Health/Check", "", code).value_or("no answer");
}

TEST(Doors, HealthNeedsNoTokenAndFollowsTheYard) {
  InProcessServer server;
  EXPECT_EQ(Health(server.channel()), kServing);
  Person rhea = server.As("rhea");
  server.faults().disk_away = true;
  server.faults().fail_append = true;
  v1::HoldYardRequest hold;
  hold.set_name("yards/pads");
  EXPECT_FALSE(rhea.Call(&v1::YardService::Stub::HoldYard, hold).ok());
  EXPECT_EQ(Health(server.channel()), kNotServing);
  server.faults().disk_away = false;
  for (int i = 0; i < 200 && Health(server.channel()) != kServing; ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  EXPECT_EQ(Health(server.channel()), kServing) << "it comes back by itself";
}

// Source: grpc.reflection.v1alpha, ServerReflectionRequest: list_services is field 7.
TEST(Doors, ReflectionNamesEveryServiceWithoutAToken) {
  for (const ledger::LedgerKind kind :
       {ledger::LedgerKind::kReal, ledger::LedgerKind::kRehearsal}) {
    InProcessServer::Options options;
    options.kind = kind;
    InProcessServer server(options);
    grpc::StatusCode code = grpc::StatusCode::UNKNOWN;
    const auto answer =
        Exchange(server.channel(), "/grpc.reflection.v1alpha.ServerReflection/ServerReflectionInfo",
                 std::string("\x3a\x01*"), code);
    ASSERT_TRUE(answer);
    for (const char* service :
         {"MoveService", "YardService", "PeopleService", "LedgerService", "HistoryService"}) {
      EXPECT_NE(answer->find(std::string("chockwise.v1.") + service), std::string::npos) << service;
    }
    const bool rehearses = answer->find("chockwise.v1.RehearsalService") != std::string::npos;
    EXPECT_EQ(rehearses, kind == ledger::LedgerKind::kRehearsal)
        << "the clock of a real yard is nobody's to move";
  }
}

TEST(Doors, AUnixSocketServesTheSameYardAndIsFreeAgainAfterwards) {
  const ledger::ScratchFolder folder;
  const std::string socket = folder.File("yard.sock");
  InProcessServer::Options options;
  options.listen = "unix:" + socket;
  InProcessServer server(options);
  EXPECT_EQ(server.server().address(), "unix:" + socket);
  EXPECT_TRUE(std::filesystem::is_socket(socket));
  EXPECT_EQ(Health(server.channel()), kServing);
  FirstMove move(server);
  move.Ask();
  server.Restart();
  EXPECT_EQ(move.GetAgain().state(), v1::MOVE_STATE_REQUESTED);
}

}  // namespace
}  // namespace chockwise::server
