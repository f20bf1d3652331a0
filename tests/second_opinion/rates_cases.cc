// Random shares and counts with our intervals, one JSON object a line: rates_cases SEED COUNT.
// rates_check.py does them again.
#include <cmath>

#include "services/fit/rates.h"
#include "tests/second_opinion/cases.h"

namespace chockwise::fit {
namespace {

void Case(Dice& dice) {
  // Small and large alike: the logarithm is spread evenly.
  const int64_t of = std::llround(std::pow(10, dice.Between(0, 7)));
  const int64_t times = dice.Whole<int64_t>(0, of);
  const int64_t events = std::llround(std::pow(10, dice.Between(0, 6))) - 1;
  const double confidence = dice.Between(0.5, 0.9999);
  const Interval share =
      ShareInterval({.times = times, .of = of, .confidence = confidence}).value();
  const Interval count = CountInterval({.events = events, .confidence = confidence}).value();
  const nlohmann::ordered_json json = {{"times", times},         {"of", of},
                                       {"events", events},       {"confidence", confidence},
                                       {"share_low", share.low}, {"share_high", share.high},
                                       {"count_low", count.low}, {"count_high", count.high}};
  Print(json);
}

}  // namespace
}  // namespace chockwise::fit

int main(int argc, char** argv) {
  return chockwise::fit::DrawCases(argc, argv, chockwise::fit::Case);
}
