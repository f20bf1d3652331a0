// chockwise fit pull: what is typed, what comes back, and what is not taken.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/cli/desk.h"

namespace chockwise::cli {
namespace {

using nlohmann::json;
using testing::HasSubstr;

TEST(FitPull, HoldsTheLineAgainstThePull) {
  const std::vector<std::string> typed =
      OnTheYard({"pull", "DZ-701", "--on", "parts-way", "--rated", "12,000 lbf"});
  const Ran ran = RunCli(typed, RunSetting{});
  EXPECT_EQ(ran.exit, ExitCode::kOk) << ran.out << ran.err;
  EXPECT_THAT(ran.out, HasSubstr("PULL 5,632 lbf: 6,368 lbf to spare"));
  EXPECT_THAT(ran.out, HasSubstr("HOLD BACK 3,562 lbf: 8,438 lbf to spare"));
  EXPECT_THAT(ran.out, HasSubstr("A number, not a release"));
  const json answer = AsJson(typed);
  EXPECT_EQ(answer.at("verdict"), "CLEAR");
  EXPECT_EQ(answer.at("parts").size(), 2u);
  EXPECT_EQ(answer.at("spare").at("unit"), "N");
  EXPECT_EQ(By(answer, "rated pull"), "as asked");
  EXPECT_EQ(By(answer, "rolling resistance"), "default");
  EXPECT_EQ(By(answer, "mass of DZ-701 with blade"), "petra");
  EXPECT_LE(answer.at("assumptions").size(), 2u);
}

TEST(FitPull, AWeakLineAndALineThatNobodyKnowsAreNotClear) {
  const Ran weak = RunCli(OnTheYard({"pull", "DZ-701", "--grade", "8 %", "--rated", "20 kN"}));
  EXPECT_EQ(weak.exit, ExitCode::kRefused);
  EXPECT_THAT(weak.out, HasSubstr("LINE TOO WEAK by "));
  const Ran unknown = RunCli(OnTheYard({"pull", "DZ-701", "--grade", "8 %"}));
  EXPECT_EQ(unknown.exit, ExitCode::kRefused);
  EXPECT_THAT(unknown.out, HasSubstr("PULL 5,384 lbf: nobody knows the rating of the line"));
}

TEST(FitPull, RollingIsTold) {
  const json answer = AsJson(OnTheYard(
      {"pull", "DZ-701", "--grade", "0 %", "--rolling-share", "0.5", "--rated", "30,000 lb"}));
  EXPECT_THAT(answer.at("line").get<std::string>(), HasSubstr("PULL 20,705 lbf"));
  EXPECT_EQ(By(answer, "rolling resistance"), "as asked");
  EXPECT_EQ(By(answer, "grade"), "as asked");
}

TEST(FitPull, WhatIsMissingOrMistypedIsNamed) {
  const auto said = [](std::vector<std::string> arguments) {
    const Ran ran = RunCli(OnTheYard(std::move(arguments)));
    EXPECT_NE(ran.exit, ExitCode::kOk) << ran.out;
    return ran.out + ran.err;
  };
  EXPECT_THAT(said({"pull", "DZ-701"}), HasSubstr("NO ANSWER: --grade is left out"));
  EXPECT_THAT(said({"pull", "DZ-701", "--grade", "8"}), HasSubstr("--grade"));
  EXPECT_THAT(said({"pull", "DZ-701", "--grade", "8 %", "--on", "parts-way"}),
              HasSubstr("excludes"));
  EXPECT_THAT(said({"pull", "DZ-701", "--on", "moon-way"}), HasSubstr("lane moon-way"));
  EXPECT_THAT(said({"pull", "DZ-701", "--grade", "8 %", "--rated", "12,000"}),
              HasSubstr("--rated is '12,000', which is no pull; write 12,000 lbf"));
  EXPECT_THAT(said({"pull", "DZ-701", "--grade", "8 %", "--rolling-share", "5"}),
              HasSubstr("rolling resistance is 5; 0.01 to 1"));
}

}  // namespace
}  // namespace chockwise::cli
