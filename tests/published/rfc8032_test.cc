// RFC 8032 section 7.1: Ed25519 test vectors. Test 1 was read in public test files, test 2 was
// confirmed with an independent library, test 3 is from memory.
#include <gtest/gtest.h>

#include <string>

#include "services/ledger/keys.h"

namespace chockwise::ledger {
namespace {

struct Ed25519Case {
  const char* name;
  const char* secret;
  const char* shown;
  std::string message;
  const char* signature;
};
void PrintTo(const Ed25519Case& row, std::ostream* out) { *out << row.name; }

class Rfc8032 : public testing::TestWithParam<Ed25519Case> {};

TEST_P(Rfc8032, SignsAndVerifies) {
  const Ed25519Case& row = GetParam();
  RawPrivateKey secret;
  RawPublicKey shown;
  Signature signature;
  ASSERT_TRUE(FromHex(row.secret, secret));
  ASSERT_TRUE(FromHex(row.shown, shown));
  ASSERT_TRUE(FromHex(row.signature, signature));
  const SigningKey key = *SigningKey::FromRaw(secret);
  EXPECT_EQ(key.Public().Name(), row.shown);
  EXPECT_EQ(ToHex(*key.Sign(row.message)), row.signature);
  const PublicKey known = *PublicKey::FromRaw(shown);
  EXPECT_TRUE(known.Verify(row.message, signature));
  EXPECT_FALSE(known.Verify(row.message + "x", signature));
  signature[63] ^= 1;
  EXPECT_FALSE(known.Verify(row.message, signature));
}

INSTANTIATE_TEST_SUITE_P(
    Section71, Rfc8032,
    testing::Values(
        Ed25519Case{"Test1", "9d61b19deffd5a60ba844af492ec2cc44449c5697b326919703bac031cae7f60",
                    "d75a980182b10ab7d54bfed3c964073a0ee172f3daa62325af021a68f707511a", "",
                    "e5564300c360ac729086e2cc806e828a84877f1eb8e5d974d873e06522490155"
                    "5fb8821590a33bacc61e39701cf9b46bd25bf5f0595bbe24655141438e7a100b"},
        Ed25519Case{"Test2", "4ccd089b28ff96da9db6c346ec114e0f5b8a319f35aba624da8cf6ed4fb8a6fb",
                    "3d4017c3e843895a92b70aa74d1b7ebc9c982ccf2ec4968cc0cd55f12af4660c", "\x72",
                    "92a009a9f0d4cab8720e820b5f642540a2b27b5416503f8fb3762223ebdb69da"
                    "085ac1e43e15996e458f3613d0f11d8c387b2eaeb4302aeeb00d291612bb0c00"},
        Ed25519Case{"Test3", "c5aa8df43f9f837bedb7442f31dcb7b166d38535076f094b85ce3a2e0b4458f7",
                    "fc51cd8e6218a1a38da47ed00230f0580816ed13ba3303ac5deb911548908025", "\xaf\x82",
                    "6291d657deec24024827e69c3abe01a30ce548a284743a445e3680d7db5ac3ac"
                    "18ff9b538d16f290ae67f760984dc6594a7c15e9716ed28dc027beceea1ec40a"}),
    [](const auto& row) { return std::string(row.param.name); });

}  // namespace
}  // namespace chockwise::ledger
