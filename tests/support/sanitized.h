// Whether the program runs under a sanitizer, several times slower: tests that run for a set time
// or number of rounds do less of it there.
#pragma once

#include <cstdlib>

namespace chockwise::testing {

inline bool Sanitized() { return std::getenv("CHOCKWISE_SANITIZED") != nullptr; }

}  // namespace chockwise::testing
