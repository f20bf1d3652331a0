// Intervals of shares and counts. Wilson: values that Newcombe, Statistics in Medicine 17 (1998),
// prints (from memory; our own calculation and SciPy's agree). Garwood: 3.689 for no event
// second-hand; the rest of the table from memory, as SciPy's chi-square quantiles have it.
#include "services/fit/rates.h"

#include <gtest/gtest.h>

namespace chockwise::fit {
namespace {

TEST(Newcombe1998, WilsonsIntervalAt95Percent) {
  const auto holds = [](int64_t times, int64_t of, double low, double high) {
    const auto share = ShareInterval({.times = times, .of = of});
    EXPECT_NEAR(share->low, low, 0.00005) << times << " of " << of;
    EXPECT_NEAR(share->high, high, 0.00005) << times << " of " << of;
  };
  holds(0, 20, 0.0000, 0.1611);
  holds(1, 29, 0.0061, 0.1718);
  holds(5, 10, 0.2366, 0.7634);
  holds(10, 10, 0.7225, 1);
}

TEST(Garwood1936, ExactIntervalOfACountAt95Percent) {
  const double low[] = {0, 0.0253, 0.2422, 0.6187, 1.0899, 1.6235};
  const double high[] = {3.6889, 5.5716, 7.2247, 8.7673, 10.2416, 11.6683};
  for (int64_t events = 0; events <= 5; ++events) {
    const auto count = CountInterval({.events = events});
    EXPECT_NEAR(count->low, low[events], 0.00005) << events;
    EXPECT_NEAR(count->high, high[events], 0.00005) << events;
  }
  // The "rule of three" is the one-sided bound, which is the two-sided one at 90 %.
  EXPECT_NEAR(CountInterval({.events = 0, .confidence = 0.90})->high, 2.996, 0.0005);
}

}  // namespace
}  // namespace chockwise::fit
