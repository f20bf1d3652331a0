// Random shares and counts with our intervals, one JSON object a line: rates_cases SEED COUNT.
// rates_check.py does them again.
#include <cmath>
#include <cstdio>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <random>

#include "services/fit/rates.h"

namespace chockwise::fit {
namespace {

void Case(std::mt19937_64& dice) {
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(dice);
  };
  // Small and large alike: the logarithm is spread evenly.
  const int64_t of = std::llround(std::pow(10, between(0, 7)));
  const int64_t times = std::uniform_int_distribution<int64_t>(0, of)(dice);
  const int64_t events = std::llround(std::pow(10, between(0, 6))) - 1;
  const double confidence = between(0.5, 0.9999);
  const Interval share =
      ShareInterval({.times = times, .of = of, .confidence = confidence}).value();
  const Interval count = CountInterval({.events = events, .confidence = confidence}).value();
  const nlohmann::ordered_json json = {{"times", times},         {"of", of},
                                       {"events", events},       {"confidence", confidence},
                                       {"share_low", share.low}, {"share_high", share.high},
                                       {"count_low", count.low}, {"count_high", count.high}};
  std::puts(json.dump().c_str());
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  if (argc != 3) {
    std::fputs("usage: rates_cases SEED COUNT\n", stderr);
    return 2;
  }
  std::mt19937_64 dice(std::strtoull(argv[1], nullptr, 10));
  for (int at = std::atoi(argv[2]); at > 0; --at) chockwise::fit::Case(dice);
  return 0;
}
