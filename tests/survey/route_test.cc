// The search for a way against the questions that a gate asks of the way it finds: wires, ride and
// swept path. What one of them refuses, the search does not take.
#include "services/survey/route.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>

#include "services/survey/path.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

std::string LineOf(const Outcome<fit::Answer>& answer) {
  return answer ? answer->line : "refused: " + answer.error().Text();
}
bool IsClear(const Outcome<fit::Answer>& answer) {
  return answer && answer->verdict == fit::Verdict::kClear;
}

Trip By(Trip trip, std::initializer_list<const char*> lanes) {
  for (const char* lane : lanes) trip.by.emplace_back(lane);
  return trip;
}

// 29 CFR 1926.1408 Table A: 10 ft to 50 kV, 15 ft to 200 kV; (a)(2): 20 ft where nobody knows.
TEST(FindsWay, AWireKeepsTheClearanceOfItsVoltage) {
  const Trip trip = By(TripOf("WL-402", "wash-pad", "ready-line"), {"ring-way"});
  int clear = 0, kept_out = 0;
  for (const char* voltage : {"12.47 kV", "138 kV", "345 kV", ""}) {
    for (int feet = 22; feet <= 42; ++feet) {
      const yard::Yard yard = DemoYard([&](std::string& text) {
        text = std::regex_replace(text, std::regex("ring-wire headroom,[^,]*"),
                                  fmt::format("ring-wire headroom,{} ft 3 in", feet));
        text = *voltage == '\0'
                   ? std::regex_replace(text, std::regex("ring-wire voltage,[^\n]*\n"), "")
                   : std::regex_replace(text, std::regex("ring-wire voltage,[^,]*"),
                                        fmt::format("ring-wire voltage,{}", voltage));
      });
      const auto wires = WiresAreClear(At(yard), trip);
      const auto route = FindsWay(At(yard), trip, {});
      EXPECT_EQ(IsClear(route), IsClear(wires))
          << voltage << " at " << feet << " ft: " << LineOf(wires) << "; " << LineOf(route);
      ++(IsClear(wires) ? clear : kept_out);
    }
  }
  EXPECT_GT(clear, 20);
  EXPECT_GT(kept_out, 20);
}

TEST(FindsWay, GoesRoundAWireThatIsTooLow) {
  const Trip trip = TripOf("WL-402", "wash-pad", "ready-line");
  const yard::Yard low = With("ring-wire headroom,27 ft 6 in", "ring-wire headroom,22 ft");
  EXPECT_THAT(LineOf(WiresAreClear(At(low), By(trip, {"ring-way"}))), HasSubstr("KEEP OUT"));
  const auto round = SearchOf(At(low), trip, {});
  ASSERT_TRUE(round) << round.error().Text();
  ASSERT_TRUE(round->found.route) << DriversLine(round->found, fit::UnitSystem::kUs);
  EXPECT_THAT(LanesOf(*round, *round->found.route),
              ElementsAre(yard::LaneId("wash-way"), yard::LaneId("ready-way")));
}

}  // namespace
}  // namespace chockwise::survey
