#include "services/server/secrets.h"

#include <gtest/gtest.h>

#include <set>

#include "chockwise/v1/entries.pb.h"
#include "chockwise/v1/moves.pb.h"
#include "services/ledger/sha256.h"

namespace chockwise::server {
namespace {

// RFC 4648 section 10, without padding and with the alphabet of section 5.
TEST(Secrets, Base64UrlOfTheStandardsExamples) {
  EXPECT_EQ(Base64Url(""), "");
  EXPECT_EQ(Base64Url("f"), "Zg");
  EXPECT_EQ(Base64Url("fo"), "Zm8");
  EXPECT_EQ(Base64Url("foo"), "Zm9v");
  EXPECT_EQ(Base64Url("foob"), "Zm9vYg");
  EXPECT_EQ(Base64Url("fooba"), "Zm9vYmE");
  EXPECT_EQ(Base64Url("foobar"), "Zm9vYmFy");
  EXPECT_EQ(Base64Url("\xff\xef\xff"), "_-__");
}

TEST(Secrets, AreLongAndDifferent) {
  std::set<std::string> seen;
  for (int i = 0; i < 1'000; ++i) {
    const auto secret = NewSecret();
    ASSERT_TRUE(secret.ok());
    EXPECT_EQ(secret->size(), 43u);  // 256 bits at 6 a character
    EXPECT_TRUE(seen.insert(*secret).second);
  }
}

// FIPS 180-4, the example "abc" of its SHA-256 page.
TEST(Secrets, HashIsSha256OfTheText) {
  const std::string hash = SecretHash("abc");
  EXPECT_EQ(ledger::ToHex({reinterpret_cast<const uint8_t*>(hash.data()), hash.size()}),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
}

// RFC 4122 appendix C: the name space of DNS.
TEST(RequestIds, AreTheSixteenBytesOfAUuid) {
  const auto bytes = UuidBytes("6ba7b810-9dad-11d1-80b4-00c04fd430c8");
  ASSERT_TRUE(bytes);
  EXPECT_EQ(*bytes,
            std::string("\x6b\xa7\xb8\x10\x9d\xad\x11\xd1\x80\xb4\x00\xc0\x4f\xd4\x30\xc8", 16));
  EXPECT_EQ(UuidBytes("6BA7B810-9DAD-11D1-80B4-00C04FD430C8"), bytes);
}

TEST(RequestIds, NothingElseIsOne) {
  for (const char* text :
       {"", "1", "6ba7b810-9dad-11d1-80b4-00c04fd430c", "6ba7b810-9dad-11d1-80b4-00c04fd430c88",
        "6ba7b8109dad11d180b400c04fd430c8", "6ba7b810-9dad-11d1-80b4-00c04fd430cg",
        "{6ba7b810-9dad-11d1-80b4-00c04fd430c8}", "6ba7b810-9dad-11d1-80b40-0c04fd430c8"}) {
    EXPECT_FALSE(UuidBytes(text)) << text;
  }
}

TEST(RequestIds, ARandomOneSaysSo) {
  const std::string id = RandomUuidBytes();  // RFC 4122 section 4.4
  ASSERT_EQ(id.size(), 16u);
  EXPECT_EQ(static_cast<unsigned char>(id[6]) >> 4, 4);
  EXPECT_EQ(static_cast<unsigned char>(id[8]) >> 6, 2);
  EXPECT_NE(id, RandomUuidBytes());
}

TEST(RequestDigest, DiffersWithTheBodyOnly) {
  v1::ConfirmRequest one;
  one.set_gate_id("walked-round");
  v1::ConfirmRequest other = one;
  EXPECT_EQ(RequestDigest(one).size(), 16u);
  EXPECT_EQ(RequestDigest(one), RequestDigest(other));
  other.set_count(0);
  EXPECT_NE(RequestDigest(one), RequestDigest(other)) << "a count of nought is not no count";
}

// The layout that v1::LoadYard states, written out by hand.
TEST(FilesDigest, IsOverNameNulLengthAndBytesInOrderOfNames) {
  v1::LoadYard load;
  (*load.mutable_files())["b.csv"] = "yz";
  (*load.mutable_files())["a.csv"] = "";
  const std::string by_hand =
      std::string("a.csv\0\0\0\0\0\0\0\0\0b.csv\0\0\0\0\0\0\0\0\x02yz", 5 + 9 + 5 + 9 + 2);
  EXPECT_EQ(FilesDigest(load.files()), ledger::ToHex(ledger::Sha256({by_hand})));
}

}  // namespace
}  // namespace chockwise::server
