// Random cases of stopping, securement, axles, loading and standing with our results, one JSON
// object a line: loads_cases SEED COUNT. loads_check.py does them again.
#include <cstdio>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <random>
#include <string>

#include "services/fit/stopping.h"

namespace chockwise::fit {
namespace {

using Json = nlohmann::ordered_json;

class Dice {
 public:
  explicit Dice(uint64_t seed) : engine_(seed) {}
  double Between(double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(engine_);
  }
  int Whole(int low, int high) { return std::uniform_int_distribution<int>(low, high)(engine_); }

 private:
  std::mt19937_64 engine_;
};

void Print(const Json& json) { std::puts(json.dump().c_str()); }

void StoppingCase(Dice& dice) {
  const Motion motion = {.speed = InMetresPerSecond(dice.Between(0.05, 20)),
                         .friction = dice.Between(0.05, 1.2),
                         .grade = RiseOverRun(dice.Between(-0.3, 0.3)),
                         .brake_share = {},
                         .response = Duration::FromMicros(dice.Whole(0, 5'000'000)),
                         .lag = Duration::FromMicros(dice.Whole(0, 1'000'000))};
  Json json = {{"kind", "stopping"},
               {"speed", motion.speed.metres_per_second()},
               {"friction", motion.friction},
               {"grade", motion.grade.rise_over_run()},
               {"delay_us", (motion.response + motion.lag).micros()}};
  const auto stop = StoppingDistance(motion);
  if (stop) {
    json["distance"] = stop->distance.metres();
    const Metres seen = InMetres(dice.Between(0.1, 200));
    json["seen"] = seen.metres();
    json["cap"] = SpeedCap(motion, {.clear_ahead = seen})->metres_per_second();
  }
  Print(json);
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  using namespace chockwise::fit;
  if (argc != 3) {
    std::fputs("usage: loads_cases SEED COUNT\n", stderr);
    return 2;
  }
  Dice dice(std::strtoull(argv[1], nullptr, 10));
  const int count = std::atoi(argv[2]);
  for (int at = 0; at < count; ++at) {
    StoppingCase(dice);
  }
  return 0;
}
