// The noise of a day and of a place. 29 CFR 1910.95, Table G-16 and (c): read in a public mirror;
// the formula of its Appendix A from memory.
#include "services/survey/noise.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::Not;

std::vector<fit::NoiseExposure> Day(std::initializer_list<const char*> texts) {
  std::vector<fit::NoiseExposure> day;
  for (const char* text : texts) day.push_back(ReadExposure(text).value());
  return day;
}

std::string InputOf(const Outcome<PartedAnswer>& answer, const std::string& name) {
  if (!answer) return "refused: " + answer.error().Text();
  for (const fit::Input& input : answer->answer.inputs)
    if (input.name == name) return input.value;
  return "not told";
}

// Every row of Table G-16 is at the limit, whatever it is read in, and a minute more of a row that
// the table does not print rounded is over it.
TEST(NoiseOfDay, EveryRowOfTableG16IsPermittedAndNoMore) {
  struct Row {
    const char* exposure;
    const char* more;  // empty: the table prints less than the formula permits
    const char* permitted;
  };
  const Row rows[] = {{"90 dB for 8 h", "90 dB for 481 min", "8 h"},
                      {"92 dB for 6 h", "", "6 h 3 min"},
                      {"95 dB for 4 h", "95 dB for 241 min", "4 h"},
                      {"97 dB for 3 h", "", "3 h 1 min"},
                      {"100 dB for 2 h", "100 dB for 121 min", "2 h"},
                      {"102 dB for 90 min", "", "1 h 30 min"},
                      {"105 dB for 1 h", "105 dB for 61 min", "1 h"},
                      {"110 dB for 30 min", "110 dB for 31 min", "30 min"},
                      {"115 dB for 15 min", "115 dB for 16 min", "15 min"}};
  for (const Row& row : rows) {
    const auto day = NoiseOfDay(Day({row.exposure}));
    EXPECT_EQ(VerdictOf(day), fit::Verdict::kClear) << row.exposure;
    const std::string level =
        std::string(row.exposure).substr(0, std::string(row.exposure).find(' '));
    EXPECT_EQ(InputOf(day, "permitted a day at " + level + ".0 dB"), row.permitted);
    if (*row.more != '\0') {
      const auto over = NoiseOfDay(Day({row.more}));
      EXPECT_EQ(VerdictOf(over), fit::Verdict::kConflict) << row.more;
      EXPECT_THAT(LineOf(over), HasSubstr("OVER THE LIMIT"));
    }
  }
  // Above 115 dB(A) none is permitted.
  EXPECT_EQ(VerdictOf(NoiseOfDay(Day({"116 dB for 1 s"}))), fit::Verdict::kConflict);
}

// 4 h of 8 and 2 h of 2 are 150 %; 16.61 lg 1.5 + 90 is 92.93 dB(A), rounded up.
TEST(NoiseOfDay, TheDayAddsUp) {
  const auto day = NoiseOfDay(Day({"90 dB for 4 h", "100 dB(A) for 2 h"}));
  EXPECT_EQ(LineOf(day),
            "EAR PROTECTION: 150 % of the day's dose, as 93.0 dB over 8 h. OVER THE LIMIT. HEARING "
            "CONSERVATION");
  EXPECT_EQ(VerdictOf(day), fit::Verdict::kConflict);
  EXPECT_EQ(InputOf(day, "dose from 90 dB on, the limit is 100 %"), "150 %");
  EXPECT_EQ(InputOf(day, "at 100.0 dB"), "2 h");
}

// (c): the action level is 85 dB(A) over 8 h; it is no limit.
TEST(NoiseOfDay, TheActionLevelAsksForHearingConservationAndIsNoLimit) {
  const auto at = NoiseOfDay(Day({"85 dB for 8 h"}));
  EXPECT_EQ(VerdictOf(at), fit::Verdict::kClear);
  EXPECT_THAT(LineOf(at), HasSubstr("HEARING CONSERVATION"));
  EXPECT_THAT(LineOf(at), HasSubstr("50 % of the day's dose"));
  EXPECT_EQ(InputOf(at, "dose from 90 dB on, the limit is 100 %"), "0 %")
      << "nothing below 90 counts there";
  const auto below = NoiseOfDay(Day({"85 dB for 479 min"}));
  EXPECT_THAT(LineOf(below), Not(HasSubstr("HEARING CONSERVATION")));
  EXPECT_THAT(LineOf(NoiseOfDay(Day({"79 dB for 12 h"}))), HasSubstr("NOISE: 0 %"));
}

TEST(NoiseOfDay, MoreThanADayIsRefused) {
  const auto day = NoiseOfDay(Day({"90 dB for 20 h", "80 dB for 5 h"}));
  ASSERT_FALSE(day);
  EXPECT_EQ(day.error().Text(), "time together is 25 h; one day at most, 24 h");
  EXPECT_EQ(LineOf(NoiseOfDay(Day({"80 dB for 1 h", "90 dB for 30 h"}))),
            "refused: time at 90 dB is 30 h; more than 0 h and 24 h at most, one day");
  EXPECT_FALSE(NoiseOfDay({}));
  EXPECT_FALSE(NoiseOfDay(Day({"20 dB for 1 h"})));
}

TEST(ReadExposure, WhatCannotBeReadIsRefusedWithWhatWouldBeRight) {
  for (const char* wrong : {"", "100 dB", "100 dB for", "100 for 2 h", "100 ft for 2 h", "2 h",
                            "100 dB for 2", "100 dB for -2 h", "100 dB for 1.5 h", "for 2 h"}) {
    const auto exposure = ReadExposure(wrong);
    ASSERT_FALSE(exposure) << wrong;
    EXPECT_EQ(exposure.error().sort, NoAnswer::Sort::kMistyped);
    EXPECT_THAT(exposure.error().right, HasSubstr("100 dB for 2 h"));
  }
  EXPECT_EQ(ReadExposure("90.5 dB(A) for 30 min")->lasted, fit::Minutes(30));
}

// The wash pad reads 84 dB(A), and the meter may have read 2 too little: 8 h / 2^(-4 / 5) = 13 h
// 55 min at 86. Nobody talks over 80 dB(A): common practice.
TEST(NoiseAt, ThePermittedTimeAndTheVoice) {
  const yard::Yard yard = DemoYard();
  const auto wash = NoiseAt(At(yard), yard::PlaceId("wash-pad"));
  EXPECT_EQ(VerdictOf(wash), fit::Verdict::kClear);
  EXPECT_EQ(LineOf(wash),
            "wash-pad: NO LONGER THAN 13 h 55 min a day. HEARING CONSERVATION where it is all day. "
            "Radio or hands; no shouting");
  EXPECT_EQ(InputOf(wash, "ambient-level of wash-pad"), "84 dB(A)");
  EXPECT_LE(wash->answer.assumptions.size(), 2u);
  EXPECT_EQ(LineOf(NoiseAt(At(yard), yard::PlaceId("truck-row"))),
            "truck-row: ANY TIME. Voice, radio or hands");
}

/// Longer nowhere than the louder place, and never longer than what was read permits.
TEST(NoiseAt, TheMeterMayHaveReadTooLittle) {
  yard::Yard yard = DemoYard();
  const auto at = [&](double level_db) {
    ChangeReading(yard, "wash-pad", "ambient-level", fit::InDecibels(level_db));
    return NoiseAt(At(yard), yard::PlaceId("wash-pad"));
  };
  EXPECT_THAT(LineOf(at(88)), HasSubstr("NO LONGER THAN 8 h a day"));
  EXPECT_THAT(LineOf(at(113)), HasSubstr("NO LONGER THAN 15 min a day"));
  EXPECT_EQ(VerdictOf(at(113)), fit::Verdict::kClear);
  EXPECT_EQ(VerdictOf(at(114)), fit::Verdict::kUndecided);
  EXPECT_EQ(VerdictOf(at(117)), fit::Verdict::kUndecided);
  EXPECT_EQ(VerdictOf(at(118)), fit::Verdict::kConflict);
  EXPECT_THAT(LineOf(at(118)), HasSubstr("EAR PROTECTION, no time without it is permitted"));
}

TEST(NoiseAt, WhatIsNotKnownIsRefused) {
  const yard::Yard yard = DemoYard();
  EXPECT_THAT(LineOf(NoiseAt(At(yard), yard::PlaceId("moon"))), HasSubstr("place moon"));
  const yard::Yard none = With("wash-pad ambient-level,84 dB(A),,,abel,2026-10-20T10:00:00Z\n", "");
  EXPECT_THAT(LineOf(NoiseAt(At(none), yard::PlaceId("wash-pad"))), HasSubstr("is unknown"));
}

TEST(Together, TheWorstSpeaksAndBothAreTold) {
  const auto there = NoiseAt(At(DemoYard()), yard::PlaceId("wash-pad"));
  const auto day = NoiseOfDay(Day({"100 dB for 4 h"}));
  ASSERT_TRUE(there && day);
  const PartedAnswer both = Together(*there, *day);
  EXPECT_EQ(both.answer.verdict, fit::Verdict::kConflict);
  EXPECT_EQ(both.answer.line, day->answer.line);
  ASSERT_EQ(both.parts.size(), 2u);
  EXPECT_EQ(both.parts.back().line, there->answer.line);
  EXPECT_EQ(InputOf(both, "at 100.0 dB"), "4 h");
  EXPECT_EQ(InputOf(both, "ambient-level of wash-pad"), "84 dB(A)");
}

}  // namespace
}  // namespace chockwise::survey
