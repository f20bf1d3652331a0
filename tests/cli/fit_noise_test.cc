// chockwise fit noise: what is typed, what comes back, and what is not taken.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/cli/desk.h"

namespace chockwise::cli {
namespace {

using nlohmann::json;
using testing::HasSubstr;

TEST(FitNoise, ADayNeedsNoYard) {
  const std::vector<std::string> typed = {
      "fit", "noise", "--exposure", "100 dB for 2 h", "--exposure", "90 dB for 4 h"};
  const Ran ran = RunCli(typed, RunSetting{});
  EXPECT_EQ(ran.exit, ExitCode::kRefused);
  EXPECT_THAT(ran.out, HasSubstr("EAR PROTECTION: 150 % of the day's dose"));
  EXPECT_THAT(ran.out, HasSubstr("HEARING CONSERVATION"));
  const json answer = AsJson(typed);
  EXPECT_EQ(answer.at("verdict"), "CONFLICT");
  EXPECT_EQ(By(answer, "at 90.0 dB"), "as asked");
  EXPECT_EQ(By(answer, "permitted a day at 90.0 dB"), "computed");
  EXPECT_LE(answer.at("assumptions").size(), 2u);
  EXPECT_EQ(RunCli({"fit", "noise", "--exposure", "90 dB for 8 h"}).exit, ExitCode::kOk);
}

TEST(FitNoise, APlaceSaysHowLongAndHowToTalk) {
  const std::vector<std::string> typed = OnTheYard({"noise", "--at", "wash-pad"});
  const Ran ran = RunCli(typed, RunSetting{});
  EXPECT_EQ(ran.exit, ExitCode::kOk) << ran.out;
  EXPECT_THAT(ran.out, HasSubstr("NO LONGER THAN 13 h 55 min a day"));
  EXPECT_THAT(ran.out, HasSubstr("no shouting"));
  EXPECT_EQ(By(AsJson(typed), "ambient-level of wash-pad"), "abel");
}

TEST(FitNoise, BothTogetherAreTwoParts) {
  const json answer =
      AsJson(OnTheYard({"noise", "--at", "wash-pad", "--exposure", "100 dB for 4 h"}));
  EXPECT_EQ(answer.at("verdict"), "CONFLICT");
  EXPECT_EQ(answer.at("parts").size(), 2u);
}

TEST(FitNoise, WhatIsMissingOrMistypedIsNamed) {
  const Ran nothing = RunCli({"fit", "noise"});
  EXPECT_NE(nothing.exit, ExitCode::kOk);
  EXPECT_THAT(nothing.out, HasSubstr("--exposure is left out, and --at with it"));
  const Ran mistyped = RunCli({"fit", "noise", "--exposure", "100 dB 2 h"});
  EXPECT_EQ(mistyped.exit, ExitCode::kUsage);
  EXPECT_THAT(mistyped.out, HasSubstr("exposure is '100 dB 2 h'; write LEVEL for TIME"));
  EXPECT_THAT(RunCli(OnTheYard({"noise", "--at", "moon"})).out, HasSubstr("place moon"));
}

}  // namespace
}  // namespace chockwise::cli
