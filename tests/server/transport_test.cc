#include "services/server/transport.h"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include "tests/ledger/scratch.h"

namespace chockwise::server {
namespace {

TEST(Transport, KnowsWhatOnlyThisMachineReaches) {
  for (const char* local :
       {"127.0.0.1:0", "127.8.9.1:7443", "localhost:7443", "[::1]:7443", "unix:/run/yard.sock"}) {
    EXPECT_TRUE(IsLocalOnly(local)) << local;
  }
  for (const char* open : {"0.0.0.0:7443", "[::]:7443", "192.0.2.7:7443", "yard.example:7443",
                           "128.0.0.1:1", "127.0.0.1.yard.example:7443", "*:7443", ""}) {
    EXPECT_FALSE(IsLocalOnly(open)) << open;
  }
}

TEST(Transport, RefusesAnOpenAddressWithoutTlsAndSaysWhatToDo) {
  const auto credentials = CredentialsFor("0.0.0.0:7443", {});
  ASSERT_FALSE(credentials.ok());
  EXPECT_EQ(credentials.status().code(), absl::StatusCode::kFailedPrecondition);
  EXPECT_NE(credentials.status().message().find("--tls-cert"), std::string::npos);
  EXPECT_TRUE(CredentialsFor("127.0.0.1:0", {}).ok());
}

TEST(Transport, TakesOnlyAPairThatBelongsTogether) {
  const ledger::ScratchFolder folder;
  const TlsFiles one{.certificate_path = folder.File("one.crt"),
                     .key_path = folder.File("one.key")};
  const TlsFiles two{.certificate_path = folder.File("two.crt"),
                     .key_path = folder.File("two.key")};
  ASSERT_TRUE(MakeSelfSigned({.files = one, .host_name = "yard.example"}).ok());
  ASSERT_TRUE(MakeSelfSigned({.files = two, .host_name = "192.0.2.7"}).ok());
  EXPECT_TRUE(CredentialsFor("0.0.0.0:0", one).ok());
  EXPECT_FALSE(CredentialsFor("0.0.0.0:0", {one.certificate_path, two.key_path}).ok());
  EXPECT_FALSE(CredentialsFor("0.0.0.0:0", {one.certificate_path, ""}).ok());
  EXPECT_FALSE(CredentialsFor("0.0.0.0:0", {folder.File("none.crt"), one.key_path}).ok());
  EXPECT_FALSE(CredentialsFor("0.0.0.0:0", {one.key_path, one.certificate_path}).ok());
}

TEST(Transport, NeverOverwritesAKeyAndKeepsItFromOthers) {
  const ledger::ScratchFolder folder;
  const SelfSigned wanted{
      .files = {.certificate_path = folder.File("tls.crt"), .key_path = folder.File("tls.key")},
      .host_name = "yard.example"};
  ASSERT_TRUE(MakeSelfSigned(wanted).ok());
  EXPECT_EQ(MakeSelfSigned(wanted).code(), absl::StatusCode::kAlreadyExists);
  struct stat info {};
  ASSERT_EQ(::stat(wanted.files.key_path.c_str(), &info), 0);
  EXPECT_EQ(info.st_mode & 0777, 0600u);
}

}  // namespace
}  // namespace chockwise::server
