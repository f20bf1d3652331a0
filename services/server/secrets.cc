#include "services/server/secrets.h"

#include <openssl/rand.h>

#include <array>
#include <cstdint>
#include <map>
#include <random>

#include "services/ledger/sha256.h"

namespace chockwise::server {
namespace {

int HexValue(char c) {
  if (c >= '0' && c <= '9') return c - '0';
  if (c >= 'a' && c <= 'f') return c - 'a' + 10;
  if (c >= 'A' && c <= 'F') return c - 'A' + 10;
  return -1;
}

}  // namespace

absl::StatusOr<std::string> NewSecret() {
  std::array<unsigned char, 32> bytes;
  if (RAND_bytes(bytes.data(), static_cast<int>(bytes.size())) != 1) {
    return absl::UnavailableError("the system gave no random bytes; no token was issued");
  }
  return Base64Url({reinterpret_cast<const char*>(bytes.data()), bytes.size()});
}

std::string Base64Url(std::string_view bytes) {
  static constexpr char kAlphabet[] =
      "ABCDEFGHIJKLMNOPQRSTUVWXYZabcdefghijklmnopqrstuvwxyz0123456789-_";
  std::string text;
  text.reserve((bytes.size() * 4 + 2) / 3);
  uint32_t held = 0;
  int bits = 0;
  for (const char c : bytes) {
    held = (held << 8) | static_cast<unsigned char>(c);
    bits += 8;
    while (bits >= 6) {
      bits -= 6;
      text.push_back(kAlphabet[(held >> bits) & 0x3F]);
    }
  }
  if (bits > 0) text.push_back(kAlphabet[(held << (6 - bits)) & 0x3F]);
  return text;
}

std::string SecretHash(std::string_view secret) {
  return std::string(ledger::AsChars(ledger::Sha256({secret})));
}

std::optional<std::string> UuidBytes(std::string_view text) {
  if (text.size() != 36) return std::nullopt;
  std::string bytes;
  bytes.reserve(16);
  for (size_t i = 0; i < text.size();) {
    if (i == 8 || i == 13 || i == 18 || i == 23) {
      if (text[i] != '-') return std::nullopt;
      ++i;
      continue;
    }
    const int high = HexValue(text[i]);
    const int low = HexValue(text[i + 1]);
    if (high < 0 || low < 0) return std::nullopt;
    bytes.push_back(static_cast<char>(high * 16 + low));
    i += 2;
  }
  return bytes;
}

std::string RandomUuidBytes() {
  std::array<unsigned char, 16> bytes{};
  if (RAND_bytes(bytes.data(), static_cast<int>(bytes.size())) != 1) {
    // A stop is not refused for want of good randomness: the id only has to differ from others'.
    // Law 5.
    std::random_device device;
    for (unsigned char& byte : bytes) byte = static_cast<unsigned char>(device());
  }
  bytes[6] = static_cast<unsigned char>((bytes[6] & 0x0F) | 0x40);
  bytes[8] = static_cast<unsigned char>((bytes[8] & 0x3F) | 0x80);
  return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

std::string RequestDigest(const google::protobuf::Message& request) {
  thread_local std::string bytes;
  bytes.clear();
  request.AppendPartialToString(&bytes);
  const ledger::Digest digest = ledger::Sha256({bytes});
  return std::string(ledger::AsChars(digest).substr(0, 16));
}

std::string FilesDigest(const google::protobuf::Map<std::string, std::string>& files) {
  const std::map<std::string, std::string_view> by_name(files.begin(), files.end());
  std::string all;
  for (const auto& [name, bytes] : by_name) {
    all.append(name);
    all.push_back('\0');
    for (int shift = 56; shift >= 0; shift -= 8) {
      all.push_back(static_cast<char>((uint64_t{bytes.size()} >> shift) & 0xFF));
    }
    all.append(bytes);
  }
  return ledger::ToHex(ledger::Sha256({all}));
}

}  // namespace chockwise::server
