// Random sums of sound, levels at a distance and doses with our results, one JSON object a line:
// hearing_cases SEED COUNT. hearing_check.py does them again.
#include <cstdio>
#include <cstdlib>
#include <nlohmann/json.hpp>
#include <random>

#include "services/fit/hearing.h"
#include "services/fit/hearing_dose.h"

namespace chockwise::fit {
namespace {

using Json = nlohmann::ordered_json;

void Case(std::mt19937_64& dice) {
  const auto between = [&](double low, double high) {
    return std::uniform_real_distribution<double>(low, high)(dice);
  };
  const int count = std::uniform_int_distribution<int>(1, 12)(dice);
  std::vector<SoundSource> sources;
  std::vector<NoiseExposure> exposures;
  Json json = {{"levels", Json::array()}, {"at", Json::array()}, {"seconds", Json::array()}};
  for (int n = 0; n < count; ++n) {
    const double level_db = between(40, 130);
    const double at_m = between(0.2, 12);
    const int64_t seconds = std::uniform_int_distribution<int64_t>(1, 7'000)(dice);
    sources.push_back({InDecibels(level_db), InMetres(at_m), InDecibels(1)});
    exposures.push_back({InDecibels(level_db), Seconds(seconds)});
    json["levels"].push_back(level_db);
    json["at"].push_back(at_m);
    json["seconds"].push_back(seconds);
  }
  const double distance_m = between(0.1, 300);
  const double wanted_db = between(40, 120);
  const NoiseDose dose = DoseOf(exposures).value();
  json["distance"] = distance_m;
  json["level"] = LevelAt(sources, InMetres(distance_m))->decibels();
  json["wanted"] = wanted_db;
  json["farthest"] = FarthestWith(sources, InDecibels(wanted_db))->metres();
  json["limit"] = dose.limit_percent;
  json["action"] = dose.action_percent;
  json["weighted"] = dose.time_weighted ? Json(dose.time_weighted->decibels()) : Json(nullptr);
  std::puts(json.dump().c_str());
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  if (argc != 3) {
    std::fputs("usage: hearing_cases SEED COUNT\n", stderr);
    return 2;
  }
  std::mt19937_64 dice(std::strtoull(argv[1], nullptr, 10));
  for (int at = std::atoi(argv[2]); at > 0; --at) chockwise::fit::Case(dice);
  return 0;
}
