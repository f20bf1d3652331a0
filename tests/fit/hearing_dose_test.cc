#include "services/fit/hearing_dose.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <functional>

namespace chockwise::fit {
namespace {

std::vector<NoiseExposure> Usual() {
  return {{.level = InDecibels(90), .lasted = Hours(4)},
          {.level = InDecibels(95), .lasted = Hours(2)}};
}

TEST(NoiseDose, ExactlyTheLimitIsNotOverIt) {
  const NoiseDose dose = DoseOf(Usual()).value();
  EXPECT_NEAR(dose.limit_percent, 100, 1e-12);
  EXPECT_FALSE(dose.over_limit);
  EXPECT_TRUE(dose.action_needed);
  EXPECT_EQ(DriversLine(dose), "EAR PROTECTION: 100 % of the day's dose");
}

TEST(NoiseDose, BelowNinetyCountsForTheActionLevelAlone) {
  const NoiseDose dose = DoseOf({{InDecibels(85), Hours(4)}, {InDecibels(79), Hours(8)}}).value();
  EXPECT_EQ(dose.limit_percent, 0);
  EXPECT_NEAR(dose.action_percent, 25, 1e-12);
  EXPECT_FALSE(dose.action_needed);
  EXPECT_EQ(DriversLine(dose), "NOISE: 25 % of the day's dose");
}

TEST(NoiseDose, AQuietDayHasNoTimeWeightedLevel) {
  const NoiseDose dose = DoseOf({{InDecibels(60), Hours(8)}}).value();
  EXPECT_FALSE(dose.time_weighted);
  EXPECT_EQ(DriversLine(dose), "NOISE: 0 % of the day's dose");
}

TEST(NoiseDose, Above115NoTimeIsPermitted) {
  EXPECT_FALSE(DoseOf({{InDecibels(115), Minutes(15)}})->over_limit);
  const NoiseDose dose = DoseOf({{InDecibels(115.1), Seconds(1)}}).value();
  EXPECT_TRUE(dose.over_limit);
  EXPECT_EQ(DriversLine(dose), "EAR PROTECTION: above 115 dB, no time is permitted");
}

TEST(NoiseDose, TalkByHandsAboveEighty) {
  EXPECT_EQ(TalkAt({InDecibels(79), InDecibels(1)}), Talk::kVoiceRadioOrHands);
  EXPECT_EQ(TalkAt({InDecibels(79), InDecibels(5)}), Talk::kRadioOrHands);
  EXPECT_EQ(DriversLine(Talk::kRadioOrHands), "Radio or hands; no shouting");
}

struct Wrong {
  const char* input;
  std::function<void(std::vector<NoiseExposure>&)> set;
};

TEST(NoiseDose, EveryInputOutOfItsDomainIsNamed) {
  const Wrong rows[] = {
      {"exposures", [](auto& all) { all.clear(); }},
      {"exposures",
       [](auto& all) {
         all.assign(10'001, {InDecibels(80), Seconds(1)});
       }},
      {"level", [](auto& all) { all[0].level = Decibels(); }},
      {"level", [](auto& all) { all[0].level = InDecibels(-90); }},
      {"level", [](auto& all) { all[1].level = InDecibels(131); }},
      {"time at 90 dB", [](auto& all) { all[0].lasted = Duration(); }},
      {"time at 95 dB", [](auto& all) { all[1].lasted = Minutes(-1); }},
      {"time at 95 dB", [](auto& all) { all[1].lasted = Hours(25); }},
      {"time together", [](auto& all) { all[1].lasted = Hours(21); }},
  };
  for (const Wrong& row : rows) {
    std::vector<NoiseExposure> exposures = Usual();
    row.set(exposures);
    const auto result = DoseOf(exposures);
    ASSERT_FALSE(result) << row.input;
    EXPECT_EQ(result.error().input, row.input);
    EXPECT_FALSE(result.error().right.empty());
  }
  EXPECT_EQ(PermittedTime(Decibels()).error().input, "level");
  EXPECT_EQ(PermittedTime(InDecibels(131)).error().input, "level");
  EXPECT_EQ(TalkAt({Decibels(), InDecibels(1)}).error().input, "ambient");
  EXPECT_EQ(TalkAt({InDecibels(70), Decibels()}).error().input, "ambient error");
}

// How a day is cut into pieces, and their order, never change its dose; more noise never lowers it.
RC_GTEST_PROP(NoiseDose, PiecesAddUpAndMoreIsNeverLess, (uint8_t level, uint16_t seconds)) {
  const Decibels here = InDecibels(80 + level % 36);
  const Duration whole = Seconds(2 * (1 + seconds % 20'000));
  const Duration half = Duration::FromMicros(whole.micros() / 2);
  const NoiseDose one = DoseOf({{here, whole}}).value();
  const NoiseDose two = DoseOf({{here, half}, {here, half}}).value();
  RC_ASSERT(std::abs(one.action_percent - two.action_percent) <= 1e-12 * one.action_percent);
  const NoiseDose more = DoseOf({{here, whole}, {InDecibels(91), Seconds(60)}}).value();
  RC_ASSERT(more.action_percent > one.action_percent);
  RC_ASSERT(more.limit_percent > one.limit_percent);
  RC_ASSERT(!one.over_limit || more.over_limit);
}

}  // namespace
}  // namespace chockwise::fit
