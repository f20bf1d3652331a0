// SHA-256 (FIPS 180-4) and the hexadecimal that people see of it.
//
// Safe from any thread: each thread keeps one hashing context.
//
//   Digest digest = Sha256({"abc"});
//   std::string shown = ToHex(digest);
#pragma once

#include <array>
#include <cstdint>
#include <initializer_list>
#include <optional>
#include <span>
#include <string>
#include <string_view>

namespace chockwise::ledger {

using Digest = std::array<uint8_t, 32>;

/// The hash of the parts, one after the other.
Digest Sha256(std::initializer_list<std::string_view> parts);

/// Lower-case hexadecimal, two characters a byte.
std::string ToHex(std::span<const uint8_t> bytes);

/// Fills `bytes` from exactly 2 × bytes.size() lower-case digits; anything else is false.
[[nodiscard]] bool FromHex(std::string_view hex, std::span<uint8_t> bytes);

inline std::string_view AsChars(std::span<const uint8_t> bytes) {
  return {reinterpret_cast<const char*>(bytes.data()), bytes.size()};
}

}  // namespace chockwise::ledger
