// FIPS 180-4, Secure Hash Standard: SHA-256 of the standard's example messages.
// "abc" was read in public copies of the examples; the other digests were computed with an
// independent library.
#include <gtest/gtest.h>

#include <string>

#include "services/ledger/sha256.h"

namespace chockwise::ledger {
namespace {

TEST(Fips180, Sha256OfTheExampleMessages) {
  EXPECT_EQ(ToHex(Sha256({""})),
            "e3b0c44298fc1c149afbf4c8996fb92427ae41e4649b934ca495991b7852b855");
  EXPECT_EQ(ToHex(Sha256({"abc"})),
            "ba7816bf8f01cfea414140de5dae2223b00361a396177a9cb410ff61f20015ad");
  EXPECT_EQ(ToHex(Sha256({"abcdbcdecdefdefgefghfghighijhijkijkljklmklmnlmnomnopnopq"})),
            "248d6a61d20638b8e5c026930c3e6039a33ce45964ff2167f6ecedd419db06c1");
  EXPECT_EQ(ToHex(Sha256({std::string(1'000'000, 'a')})),
            "cdc76e5c9914fb9281a1c7e284d73e67f1809a48a497200e046d39ccc7112cd0");
}

TEST(Fips180, TheHashOfPartsIsTheHashOfTheirSum) {
  EXPECT_EQ(Sha256({"a", "", "bc"}), Sha256({"abc"}));
  const std::string half(500'000, 'a');
  EXPECT_EQ(Sha256({half, half}), Sha256({std::string(1'000'000, 'a')}));
}

}  // namespace
}  // namespace chockwise::ledger
