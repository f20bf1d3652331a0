#include "services/fit/hearing.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include <functional>

namespace chockwise::fit {
namespace {

SoundSource Horn(double level_db) {
  return {.level = InDecibels(level_db), .at = InMetres(2), .error = InDecibels(1)};
}

/// 105 dB(A) at 2 m are 85 at 20 m; with 1 dB of error on each side 73 dB(A) are needed.
Listening Usual() {
  return {.name = "Horn",
          .sources = {Horn(105)},
          .distance = InMetres(20),
          .ambient = InDecibels(70),
          .ambient_error = InDecibels(1),
          .loss = Decibels()};
}

Hearing Of(const Listening& at) { return HeardAt(at).value(); }

TEST(Hearing, HeardTenAboveAmbientWithErrorsToSpare) {
  const Hearing result = Of(Usual());
  EXPECT_NEAR(result.level.decibels(), 85, 1e-12);
  EXPECT_EQ(result.needed, InDecibels(80));
  EXPECT_EQ(result.aim, InDecibels(85));
  EXPECT_NEAR(result.margin.decibels(), 5, 1e-12);
  EXPECT_EQ(result.error, InDecibels(2));
  EXPECT_FALSE(result.reaches_aim);
  EXPECT_FALSE(result.lights_needed);
  EXPECT_EQ(result.verdict, Verdict::kClear);
  EXPECT_NEAR(result.surely_heard_to.metres(), 20 * std::pow(10, 3.0 / 20), 1e-9);
  EXPECT_EQ(DriversLine(result, UnitSystem::kUs), "Horn HEARD: 3.0 dB to spare, to 92 ft 8 in");
  EXPECT_EQ(DriversLine(result, UnitSystem::kSi), "Horn HEARD: 3.0 dB to spare, to 28.25 m");
}

TEST(Hearing, NotSurelyHeardIsNotHeard) {
  Listening at = Usual();
  at.ambient = InDecibels(74);  // margin 1, error 2
  EXPECT_EQ(Of(at).verdict, Verdict::kUndecided);
  EXPECT_EQ(DriversLine(Of(at), UnitSystem::kUs), "Horn NOT heard: hands only");
  at.ambient = InDecibels(80);
  EXPECT_EQ(Of(at).verdict, Verdict::kConflict);
  EXPECT_EQ(DriversLine(Of(at), UnitSystem::kUs), "Horn NOT heard: hands only");
}

TEST(Hearing, AQuietYardStillWants65) {
  Listening at = Usual();
  at.ambient = InDecibels(40);
  at.distance = InMetres(300);  // 61.5 dB(A)
  EXPECT_EQ(Of(at).needed, InDecibels(65));
  EXPECT_EQ(Of(at).verdict, Verdict::kConflict);
}

TEST(Hearing, LightsAboveAHundred) {
  Listening at = Usual();
  at.sources = {Horn(120)};
  at.distance = InMetres(2);
  at.ambient = InDecibels(98.5);
  EXPECT_FALSE(Of(at).lights_needed);
  at.ambient = InDecibels(99.5);  // may be above 100
  EXPECT_TRUE(Of(at).lights_needed);
  EXPECT_EQ(DriversLine(Of(at), UnitSystem::kUs),
            "Horn HEARD: 8.5 dB to spare, to 17 ft 5 in; lights as well");
}

TEST(Hearing, NearerThanItsReferenceASourceIsNoLouder) {
  EXPECT_EQ(LevelAt({Horn(105)}, InMetres(2)), InDecibels(105));
  EXPECT_EQ(LevelAt({Horn(105)}, InMetres(0.5)), InDecibels(105));
}

TEST(Hearing, TwoEqualSourcesGiveThreeDecibelsMore) {
  EXPECT_NEAR(LevelAt({Horn(100), Horn(100)}, InMetres(8))->decibels(),
              100 + 10 * std::log10(2.0) - 20 * std::log10(4.0), 1e-12);
}

TEST(Hearing, WhatStandsBetweenTakesAway) {
  Listening at = Usual();
  at.loss = InDecibels(4);
  EXPECT_NEAR(Of(at).margin.decibels(), 1, 1e-12);
  EXPECT_EQ(Of(at).verdict, Verdict::kUndecided);
  EXPECT_NEAR(Of(at).surely_heard_to.metres(), 20 * std::pow(10, -1.0 / 20), 1e-9);
}

TEST(Hearing, FarthestIsNowhereWhereEvenTheNearestIsTooQuiet) {
  EXPECT_EQ(FarthestWith({Horn(80)}, InDecibels(81)), Metres());
  EXPECT_NEAR(FarthestWith({Horn(80)}, InDecibels(80))->metres(), 2, 1e-9);
}

struct Wrong {
  const char* input;
  std::function<void(Listening&)> set;
};

TEST(Hearing, EveryInputOutOfItsDomainIsNamed) {
  const Wrong rows[] = {
      {"sources", [](auto& at) { at.sources.clear(); }},
      {"sources", [](auto& at) { at.sources.resize(101, Horn(100)); }},
      {"level", [](auto& at) { at.sources[0].level = Decibels(); }},
      {"level", [](auto& at) { at.sources[0].level = InDecibels(-105); }},
      {"level", [](auto& at) { at.sources[0].level = InDecibels(1050); }},
      {"reference distance", [](auto& at) { at.sources[0].at = Metres(); }},
      {"reference distance", [](auto& at) { at.sources[0].at = InMetres(-2); }},
      {"reference distance", [](auto& at) { at.sources[0].at = InMetres(2000); }},
      {"level error", [](auto& at) { at.sources[0].error = Decibels(); }},
      {"level error", [](auto& at) { at.sources[0].error = InDecibels(-1); }},
      {"level error", [](auto& at) { at.sources[0].error = InDecibels(21); }},
      {"distance", [](auto& at) { at.distance = Metres(); }},
      {"distance", [](auto& at) { at.distance = InMetres(-20); }},
      {"distance", [](auto& at) { at.distance = InMetres(1001); }},
      {"ambient", [](auto& at) { at.ambient = Decibels(); }},
      {"ambient", [](auto& at) { at.ambient = InDecibels(-70); }},
      {"ambient", [](auto& at) { at.ambient = InDecibels(141); }},
      {"ambient error", [](auto& at) { at.ambient_error = Decibels(); }},
      {"ambient error", [](auto& at) { at.ambient_error = InDecibels(-1); }},
      {"ambient error", [](auto& at) { at.ambient_error = InDecibels(21); }},
      {"loss", [](auto& at) { at.loss = InDecibels(-1); }},
      {"loss", [](auto& at) { at.loss = InDecibels(61); }},
  };
  for (const Wrong& row : rows) {
    Listening at = Usual();
    row.set(at);
    const auto result = HeardAt(at);
    ASSERT_FALSE(result) << row.input;
    EXPECT_EQ(result.error().input, row.input);
    EXPECT_FALSE(result.error().problem.empty());
    EXPECT_FALSE(result.error().right.empty());
  }
  EXPECT_EQ(FarthestWith({Horn(100)}, InDecibels(161)).error().input, "level wanted");
  EXPECT_EQ(LevelAt({Horn(100)}, Metres()).error().input, "distance");
  EXPECT_EQ(EnergySum(std::vector<Decibels>{}).error().input, "levels");
}

double Share(uint16_t number) { return number / 65535.0; }

std::vector<SoundSource> SomeSources(const std::vector<std::pair<uint16_t, uint16_t>>& throws) {
  std::vector<SoundSource> sources = {Horn(100)};
  for (const auto& [level, at] : throws) {
    if (sources.size() == 20) break;
    sources.push_back({.level = InDecibels(60 + 60 * Share(level)),
                       .at = InMetres(0.5 + 10 * Share(at)),
                       .error = InDecibels(2)});
  }
  return sources;
}

RC_GTEST_PROP(Hearing, FartherOrNoisierIsNeverBetterHeard,
              (const std::vector<std::pair<uint16_t, uint16_t>>& throws, uint16_t far,
               uint16_t noise)) {
  Listening near = Usual();
  near.sources = SomeSources(throws);
  Listening worse = near;
  worse.distance = InMetres(20 + 100 * Share(far));
  worse.ambient = InDecibels(70 + 40 * Share(noise));
  RC_ASSERT(Of(worse).margin <= Of(near).margin);
  RC_ASSERT(Of(worse).surely_heard_to <= Of(near).surely_heard_to);
  if (Of(worse).verdict == Verdict::kClear) RC_ASSERT(Of(near).verdict == Verdict::kClear);
}

// One more source never makes it quieter, and the farthest distance undoes the level there.
RC_GTEST_PROP(Hearing, FarthestUndoesTheLevel,
              (const std::vector<std::pair<uint16_t, uint16_t>>& throws, uint16_t where)) {
  std::vector<SoundSource> sources = SomeSources(throws);
  const Metres distance = InMetres(0.1 + 60 * Share(where));
  const Decibels level = LevelAt(sources, distance).value();
  const Metres farthest = FarthestWith(sources, level).value();
  RC_ASSERT(farthest >= distance * (1 - 1e-9) || farthest == Metres());
  if (farthest > Metres())
    RC_ASSERT(std::abs(LevelAt(sources, farthest)->decibels() - level.decibels()) < 1e-9);
  sources.push_back(Horn(60));
  RC_ASSERT(*LevelAt(sources, distance) >= level);
}

}  // namespace
}  // namespace chockwise::fit
