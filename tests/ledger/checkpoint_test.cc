#include "services/ledger/checkpoint.h"

#include <gtest/gtest.h>
#include <sys/stat.h>

#include "services/ledger/identity.h"
#include "tests/ledger/scratch.h"

namespace chockwise::ledger {
namespace {

Identity SomeIdentity() {
  Identity identity{
      .yard = "north-yard", .kind = LedgerKind::kRehearsal, .created_micros = kTestMicros};
  for (size_t i = 0; i < identity.id.size(); ++i) identity.id[i] = static_cast<uint8_t>(i * 0x11);
  return identity;
}

Checkpoint SomeCheckpoint() {
  Checkpoint unsigned_checkpoint{.id = SomeIdentity().id,
                                 .yard = "north-yard",
                                 .kind = LedgerKind::kReal,
                                 .number = 3,
                                 .size = 812,
                                 .root = EmptyRoot(),
                                 .time_micros = kTestMicros};
  return *SignCheckpoint(unsigned_checkpoint, KnownKey());
}

// Golden: these bytes are hashed into every ledger and must never change under format 1.
TEST(Genesis, HasTheBytesOfItsPage) {
  EXPECT_EQ(GenesisBytes(SomeIdentity()),
            "chockwise ledger 1\n"
            "id 00112233445566778899aabbccddeeff\n"
            "yard north-yard\n"
            "kind REHEARSAL\n"
            "created_micros 1795561200000000\n");
  EXPECT_EQ(ParseGenesis(GenesisBytes(SomeIdentity())), SomeIdentity());
}

TEST(Genesis, EveryChangedByteIsAnotherIdentityOrNone) {
  const std::string bytes = GenesisBytes(SomeIdentity());
  for (size_t i = 0; i < bytes.size(); ++i) {
    for (int bit = 0; bit < 8; ++bit) {
      std::string changed = bytes;
      changed[i] = static_cast<char>(changed[i] ^ (1 << bit));
      EXPECT_NE(ParseGenesis(changed), SomeIdentity()) << i;
    }
  }
  EXPECT_EQ(ParseGenesis(bytes + "\n"), std::nullopt);
  EXPECT_EQ(ParseGenesis(bytes.substr(0, bytes.size() - 1)), std::nullopt);
  EXPECT_EQ(ParseGenesis(""), std::nullopt);
}

TEST(YardName, IsPrintableAndShort) {
  EXPECT_TRUE(CheckYardName("North yard, shop 2").ok());
  for (const std::string& bad : {std::string(), std::string("two\nlines"), std::string(81, 'x'),
                                 std::string("caf\xc3\xa9")}) {
    EXPECT_EQ(CheckYardName(bad).code(), absl::StatusCode::kInvalidArgument) << bad;
  }
}

// Golden: the text that people keep outside the yard, and its signature (Ed25519 is deterministic,
// RFC 8032).
TEST(Checkpoint, HasTheTextOfItsPage) {
  const std::string text = CheckpointText(SomeCheckpoint());
  const std::string expected_start =
      "chockwise checkpoint 1\n"
      "id 00112233445566778899aabbccddeeff\n"
      "yard north-yard\n"
      "kind REAL\n"
      "number 3\n"
      "size 812\n"
      "root e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855\n"
      "time_micros 1795561200000000\n"
      "key d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a\n"
      "signature ";
  EXPECT_EQ(text.substr(0, expected_start.size()), expected_start);
  EXPECT_EQ(text.size(), expected_start.size() + 129);
  EXPECT_EQ(*ParseCheckpoint(text), SomeCheckpoint());
}

TEST(Checkpoint, EverySingleBitFlipOfItsTextIsRefused) {
  const std::string text = CheckpointText(SomeCheckpoint());
  const PublicKey key = KnownKey().Public();
  ASSERT_TRUE(VerifyCheckpoint(*ParseCheckpoint(text), key).ok());
  int refused = 0;
  for (size_t i = 0; i < text.size(); ++i) {
    for (int bit = 0; bit < 8; ++bit) {
      std::string changed = text;
      changed[i] = static_cast<char>(changed[i] ^ (1 << bit));
      const absl::StatusOr<Checkpoint> parsed = ParseCheckpoint(changed);
      ASSERT_FALSE(parsed.ok() && VerifyCheckpoint(*parsed, key).ok()) << changed;
      ++refused;
    }
  }
  std::printf("%d single-bit flips of a checkpoint refused\n", refused);
}

TEST(Checkpoint, OneMeaningHasOneText) {
  const std::string text = CheckpointText(SomeCheckpoint());
  for (const auto& [from, to] :
       {std::pair("size 812", "size 0812"), std::pair("size 812", "size +812"),
        std::pair("number 3", "number  3"), std::pair("kind REAL", "kind real"),
        std::pair("root e3b0", "root E3B0")}) {
    std::string other = text;
    other.replace(other.find(from), std::string(from).size(), to);
    EXPECT_FALSE(ParseCheckpoint(other).ok()) << to;
  }
  EXPECT_FALSE(ParseCheckpoint(text + "x").ok());
  EXPECT_FALSE(ParseCheckpoint("").ok());
}

TEST(Checkpoint, AnotherKeyIsNamed) {
  const SigningKey other = *SigningKey::Generate();
  const absl::Status status = VerifyCheckpoint(SomeCheckpoint(), other.Public());
  EXPECT_EQ(status.code(), absl::StatusCode::kFailedPrecondition);
  EXPECT_NE(status.message().find("d75a98"), absl::string_view::npos) << status;
}

TEST(KeyFiles, AreMadeOnceAndReadBack) {
  const ScratchFolder folder;
  const KeyPaths paths{.private_path = folder.File("yard.key"),
                       .public_path = folder.File("yard.pub")};
  const SigningKey made = *LoadOrCreateKey(paths);
  const SigningKey read = *LoadOrCreateKey(paths);
  EXPECT_EQ(made.Public().raw(), read.Public().raw());
  EXPECT_EQ(PublicKey::FromPemFile(paths.public_path)->raw(), made.Public().raw());
  EXPECT_TRUE(made.Public().Verify("hello", *read.Sign("hello")));
  struct stat status {};
  ASSERT_EQ(::stat(paths.private_path.c_str(), &status), 0);
  EXPECT_EQ(status.st_mode & 0777, 0600u);
  EXPECT_EQ(made.WritePemFile(paths.private_path).code(), absl::StatusCode::kAlreadyExists);
  EXPECT_NE(ReadBytes(paths.private_path).find("BEGIN PRIVATE KEY"), std::string::npos);  // PKCS #8
}

TEST(KeyFiles, APrivateKeyThatOthersMayReadIsRefused) {
  const ScratchFolder folder;
  const std::string path = folder.File("yard.key");
  ASSERT_TRUE(KnownKey().WritePemFile(path).ok());
  ASSERT_EQ(::chmod(path.c_str(), 0640), 0);
  EXPECT_EQ(SigningKey::FromPemFile(path).status().code(), absl::StatusCode::kPermissionDenied);
}

TEST(KeyFiles, ForeignContentIsRefused) {
  const ScratchFolder folder;
  const KeyPaths paths{.private_path = folder.File("yard.key"),
                       .public_path = folder.File("yard.pub")};
  ASSERT_TRUE(KnownKey().WritePemFile(paths.private_path).ok());
  ASSERT_TRUE(SigningKey::Generate()->Public().WritePemFile(paths.public_path).ok());
  EXPECT_EQ(LoadOrCreateKey(paths).status().code(), absl::StatusCode::kFailedPrecondition);
  EXPECT_EQ(PublicKey::FromPemFile(paths.private_path).status().code(),
            absl::StatusCode::kInvalidArgument);
  EXPECT_EQ(PublicKey::FromPemFile(folder.File("none")).status().code(),
            absl::StatusCode::kNotFound);
  WriteBytes(folder.File("noise"), "not a key");
  EXPECT_EQ(PublicKey::FromPemFile(folder.File("noise")).status().code(),
            absl::StatusCode::kInvalidArgument);
}

}  // namespace
}  // namespace chockwise::ledger
