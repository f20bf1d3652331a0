// A machine's own readings made into the outline that rides: what hangs lower counts, and readings
// that contradict each other are no outline.
#include "services/survey/machines.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>

#include "services/survey/path.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::HasSubstr;
using ::testing::StartsWith;

constexpr auto kAhead = fit::Travel::kForwards;

/// The demo yard with more rows, each read at a place along the machine.
yard::Yard WithSpots(const std::string& rows) {
  return DemoYard([&](std::string& text) {
    text = std::regex_replace(text, std::regex("\n"), ",\n");
    text = std::regex_replace(text, std::regex("by,when,\n"), "by,when,at\n");
    text += rows;
  });
}

// TH-201: belly 16 in, nose 12 in, tail 20 in as taped.
TEST(Riding, AnEndThatHangsLowerCounts) {
  const Trip trip = TripOf("TH-201", "s2-bay-1", "yard-cross");
  const auto spare = [&](const yard::Yard& yard) {
    const auto answer = ClearsGround(At(yard), trip, kAhead);
    EXPECT_TRUE(answer) << answer.error().Text();
    return answer ? answer->spare->value : 0.0;
  };
  const yard::Yard demo = DemoYard();
  yard::Yard high = DemoYard();
  yard::LoseReadings(high, [](const yard::Measurement& reading) {
    return reading.quantity == "nose-clearance" || reading.quantity == "tail-clearance";
  });
  EXPECT_LT(spare(demo), spare(high));
  for (const char* end : {"nose-clearance", "tail-clearance"}) {
    yard::Yard low = DemoYard();
    ChangeReading(low, "TH-201", end, fit::Inches(0.5));
    EXPECT_NE(VerdictOf(ClearsGround(At(low), trip, kAhead)), fit::Verdict::kClear) << end;
  }
}

TEST(Riding, ASpotThatContradictsTheLowestIsNoOutline) {
  const yard::Yard yard =
      WithSpots("ST-101 belly-clearance,60 in,,,dov,2026-08-12T13:16:00Z,3 ft\n");
  const auto answer = ClearsGround(At(yard), TripOf("ST-101", "s1-bay-1", "s1-apron"), kAhead);
  ASSERT_FALSE(answer) << answer->line;
  EXPECT_EQ(answer.error().input, "belly-clearance of ST-101");
  EXPECT_THAT(answer.error().problem, HasSubstr("10 in at its lowest of all, and 5 ft"));
  const yard::Yard agrees = WithSpots(
      "ST-101 belly-clearance,60 in,,,dov,2026-08-12T13:16:00Z,3 ft\n"
      "ST-101 belly-clearance,10 in,,,dov,2026-08-12T13:17:00Z,9 ft\n");
  EXPECT_TRUE(ClearsGround(At(agrees), TripOf("ST-101", "s1-bay-1", "s1-apron"), kAhead));
}

TEST(Riding, ASpotBehindTheMachinesEndIsNoOutline) {
  const yard::Yard yard = WithSpots(
      "ST-101 outline-height,1 in,,,dov,2026-08-12T13:16:00Z,4 ft\n"
      "ST-101 outline-height,9 ft 10 in,,,dov,2026-08-12T13:17:00Z,90 ft\n");
  const auto answer = GoesUnder(At(yard), TripOf("ST-101", "s1-bay-1", "s1-apron"), kAhead);
  ASSERT_FALSE(answer) << answer->line;
  EXPECT_EQ(answer.error().input, "outline-height of ST-101");
  EXPECT_THAT(answer.error().problem, StartsWith("was read 90 ft"));
}

// Without it the lowboy would be one stiff truck of 53 ft.
TEST(Riding, ATrailerWithoutItsLengthIsNotAStiffTruck) {
  yard::Yard yard = DemoYard();
  yard::LoseReadings(yard, [](const yard::Measurement& reading) {
    return reading.subject == "CA-901" && reading.quantity == "coupling-to-axle";
  });
  const Trip trip = TripOf("CA-901", "carrier-pad-1", "ready-line");
  for (const auto& answer : {ClearsGround(At(yard), trip, kAhead),
                             GoesUnder(At(yard), trip, kAhead), KeepsClear(At(yard), trip, {})}) {
    ASSERT_FALSE(answer) << answer->line;
    EXPECT_EQ(answer.error().input, "coupling-to-axle of CA-901");
  }
}

// 4 ft 2 in + 15 ft 6 in - 1 ft 6 in + 30 ft + 4 ft 10 in are its 53 ft.
TEST(Riding, ALengthThatItsPartsDoNotMakeIsRefused) {
  const yard::Yard yard =
      With("CA-901 carried-length,53 ft 0 in", "CA-901 carried-length,90 ft 0 in");
  const auto answer = GoesUnder(At(yard), TripOf("CA-901", "carrier-pad-1", "ready-line"), kAhead);
  ASSERT_FALSE(answer) << answer->line;
  EXPECT_EQ(answer.error().input, "carried-length of CA-901");
  EXPECT_THAT(answer.error().problem, HasSubstr("90 ft"));
  EXPECT_THAT(answer.error().problem, HasSubstr("53 ft"));
}

}  // namespace
}  // namespace chockwise::survey
