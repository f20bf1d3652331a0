// Request ids for tests and benches.
#pragma once

#include <fmt/format.h>

#include <random>
#include <string>

namespace chockwise::testing {

/// A random UUID as text.
inline std::string NewRequestId() {
  static thread_local std::mt19937_64 random{std::random_device{}()};
  const uint64_t a = random(), b = random();
  return fmt::format("{:08x}-{:04x}-4{:03x}-8{:03x}-{:012x}", a >> 32, (a >> 16) & 0xffff,
                     a & 0xfff, (b >> 48) & 0xfff, b & 0xffff'ffff'ffffULL);
}

}  // namespace chockwise::testing
