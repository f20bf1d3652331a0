// Random sums of sound, levels at a distance and doses with our results, one JSON object a line:
// hearing_cases SEED COUNT. hearing_check.py does them again.
#include "services/fit/hearing.h"
#include "services/fit/hearing_dose.h"
#include "tests/second_opinion/cases.h"

namespace chockwise::fit {
namespace {

void Case(Dice& dice) {
  const int count = dice.Whole(1, 12);
  std::vector<SoundSource> sources;
  std::vector<NoiseExposure> exposures;
  Json json = {{"levels", Json::array()}, {"at", Json::array()}, {"seconds", Json::array()}};
  for (int n = 0; n < count; ++n) {
    const double level_db = dice.Between(40, 130);
    const double at_m = dice.Between(0.2, 12);
    const int64_t seconds = dice.Whole<int64_t>(1, 7'000);
    sources.push_back({InDecibels(level_db), InMetres(at_m), InDecibels(1)});
    exposures.push_back({InDecibels(level_db), Seconds(seconds)});
    json["levels"].push_back(level_db);
    json["at"].push_back(at_m);
    json["seconds"].push_back(seconds);
  }
  const double distance_m = dice.Between(0.1, 300);
  const double wanted_db = dice.Between(40, 120);
  const NoiseDose dose = DoseOf(exposures).value();
  json["distance"] = distance_m;
  json["level"] = LevelAt(sources, InMetres(distance_m))->decibels();
  json["wanted"] = wanted_db;
  json["farthest"] = FarthestWith(sources, InDecibels(wanted_db))->metres();
  json["limit"] = dose.limit_percent;
  json["action"] = dose.action_percent;
  json["weighted"] = dose.time_weighted ? Json(dose.time_weighted->decibels()) : Json(nullptr);
  Print(json);
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  return chockwise::fit::DrawCases(argc, argv, chockwise::fit::Case);
}
