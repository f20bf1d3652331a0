#include "services/ledger/sha256.h"

#include <openssl/evp.h>

#include <cstdio>
#include <cstdlib>

namespace chockwise::ledger {
namespace {

// Without a hash there is no ledger, and no caller could do anything about it.
void Require(bool done) {
  if (!done) {
    std::fputs("SHA-256 is not available from OpenSSL, or memory ran out\n", stderr);
    std::abort();
  }
}

// Fetching the algorithm costs more than hashing an entry, so each thread does it once.
class Hasher {
 public:
  Hasher() : algorithm_(EVP_MD_fetch(nullptr, "SHA256", nullptr)), context_(EVP_MD_CTX_new()) {
    Require(algorithm_ != nullptr && context_ != nullptr);
  }
  ~Hasher() {
    EVP_MD_CTX_free(context_);
    EVP_MD_free(algorithm_);
  }
  Hasher(const Hasher&) = delete;
  Hasher& operator=(const Hasher&) = delete;

  Digest Hash(std::initializer_list<std::string_view> parts) {
    Require(EVP_DigestInit_ex2(context_, algorithm_, nullptr) == 1);
    for (std::string_view part : parts) {
      Require(EVP_DigestUpdate(context_, part.data(), part.size()) == 1);
    }
    Digest digest;
    Require(EVP_DigestFinal_ex(context_, digest.data(), nullptr) == 1);
    return digest;
  }

 private:
  EVP_MD* algorithm_;
  EVP_MD_CTX* context_;
};

int HexValue(char digit) {
  if (digit >= '0' && digit <= '9') return digit - '0';
  if (digit >= 'a' && digit <= 'f') return digit - 'a' + 10;
  return -1;
}

}  // namespace

Digest Sha256(std::initializer_list<std::string_view> parts) {
  thread_local Hasher hasher;
  return hasher.Hash(parts);
}

std::string ToHex(std::span<const uint8_t> bytes) {
  static constexpr char kDigits[] = "0123456789abcdef";
  std::string hex;
  hex.reserve(bytes.size() * 2);
  for (uint8_t byte : bytes) {
    hex.push_back(kDigits[byte >> 4]);
    hex.push_back(kDigits[byte & 15]);
  }
  return hex;
}

bool FromHex(std::string_view hex, std::span<uint8_t> bytes) {
  if (hex.size() != bytes.size() * 2) return false;
  for (size_t i = 0; i < bytes.size(); ++i) {
    const int high = HexValue(hex[2 * i]);
    const int low = HexValue(hex[2 * i + 1]);
    if (high < 0 || low < 0) return false;
    bytes[i] = static_cast<uint8_t>(high * 16 + low);
  }
  return true;
}

}  // namespace chockwise::ledger
