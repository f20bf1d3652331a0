// What a server refuses to start on, and how it says so.
#include <gtest/gtest.h>

#include "tests/server/first_move.h"

namespace chockwise::server {
namespace {

using Yards = v1::YardService::Stub;
using grpc::StatusCode;

TEST(Starting, AnOpenAddressWithoutTlsIsRefused) {
  InProcessServer server;
  server.Stop();
  ServerOptions options = server.server_options();
  options.listen = "0.0.0.0:0";
  const auto started = Server::Start(options);
  ASSERT_FALSE(started.ok());
  EXPECT_EQ(started.status().code(), absl::StatusCode::kFailedPrecondition);
}

TEST(Starting, APortThatIsTakenIsRefused) {
  InProcessServer one;
  InProcessServer other;
  other.Stop();
  ServerOptions options = other.server_options();
  options.listen = one.server().address();
  const auto started = Server::Start(options);
  ASSERT_FALSE(started.ok());
  EXPECT_NE(started.status().message().find("cannot listen"), std::string::npos);
}

TEST(Starting, TlsIsSpokenWithTheCertificateGiven) {
  InProcessServer server;
  server.Stop();
  ServerOptions options = server.server_options();
  options.tls = {.certificate_path = server.folder() + "/tls.crt",
                 .key_path = server.folder() + "/tls.key"};
  ASSERT_TRUE(MakeSelfSigned({.files = options.tls, .host_name = "localhost"}).ok());
  const auto started = Server::Start(options);
  ASSERT_TRUE(started.ok()) << started.status().message();
  grpc::SslCredentialsOptions trust;
  trust.pem_root_certs = ledger::ReadBytes(options.tls.certificate_path);
  grpc::ChannelArguments arguments;
  arguments.SetSslTargetNameOverride("localhost");
  const auto secure =
      grpc::CreateCustomChannel((*started)->address(), grpc::SslCredentials(trust), arguments);
  const std::string lena = server.As("lena").secret();
  EXPECT_TRUE(Person(secure, lena).Call(&Yards::GetYard, ThisYard()).ok());
  const auto plain = grpc::CreateChannel((*started)->address(), grpc::InsecureChannelCredentials());
  EXPECT_EQ(Person(plain, lena)
                .Call(&Yards::GetYard, ThisYard(), std::chrono::seconds(2))
                .status.error_code(),
            StatusCode::UNAVAILABLE);
}

TEST(Starting, WithoutALedgerItSaysHowOneIsMade) {
  const ledger::ScratchFolder folder;
  ServerOptions options;
  options.listen = "127.0.0.1:0";
  options.yard_folder = "yard";
  options.data = DataIn(folder.path());
  const auto started = Server::Start(options);
  ASSERT_FALSE(started.ok());
  EXPECT_NE(started.status().message().find("chockwised init"), std::string::npos)
      << started.status().message();
}

TEST(Starting, InitRefusesWhatIsNotInOrderAndWritesNothing) {
  const ledger::ScratchFolder folder;
  const std::string yard = std::filesystem::path(__FILE__).parent_path() / "yard";
  InitOptions options;
  options.yard_folder = yard;
  options.data = DataIn(folder.File("data"));
  options.person = "dan";
  EXPECT_EQ(InitYard(options).status().code(), absl::StatusCode::kFailedPrecondition)
      << "a driver gets no first token";
  options.yard_folder = folder.path();
  EXPECT_EQ(InitYard(options).status().code(), absl::StatusCode::kNotFound);
  EXPECT_FALSE(std::filesystem::exists(folder.File("data")));
  options.yard_folder = yard;
  options.person = "lena";
  options.token_file = folder.File("token");
  ASSERT_TRUE(InitYard(options).ok());
  EXPECT_EQ(std::filesystem::status(options.token_file).permissions(),
            std::filesystem::perms::owner_read | std::filesystem::perms::owner_write);
  EXPECT_EQ(InitYard(options).status().code(), absl::StatusCode::kAlreadyExists);
}

}  // namespace
}  // namespace chockwise::server
