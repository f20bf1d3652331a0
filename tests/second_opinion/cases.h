// What the programs that print random cases share: the dice, a line of JSON, and the call.
//
//   int main(int argc, char** argv) {
//     return chockwise::fit::DrawCases(argc, argv, Case);
//   }
#pragma once

#include <cstdint>
#include <cstdio>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <random>

namespace chockwise::fit {

using Json = nlohmann::ordered_json;

class Dice {
 public:
  explicit Dice(uint64_t seed) : engine_(seed) {}
  double Between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(engine_);
  }
  template <class Integer>
  Integer Whole(Integer low, Integer high) {
    return std::uniform_int_distribution<Integer>(low, high)(engine_);
  }
  bool OneIn(int n) { return Whole(1, n) == 1; }

 private:
  std::mt19937_64 engine_;
};

inline void Print(const Json& json) { std::puts(json.dump().c_str()); }

/// PROGRAM SEED COUNT: draws COUNT times.
template <class Draw>
int DrawCases(int argc, char** argv, Draw draw) {
  if (argc != 3) {
    std::fprintf(stderr, "usage: %s SEED COUNT\n", argv[0]);
    return 2;
  }
  Dice dice(std::strtoull(argv[1], nullptr, 10));
  for (int left = std::atoi(argv[2]); left > 0; --left) draw(dice);
  return 0;
}

}  // namespace chockwise::fit
