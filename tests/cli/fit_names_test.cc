// What the desk's verbs say of names that are not there and of words that cannot be read.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/cli/desk.h"
#include "tests/cli/fake_server.h"

namespace chockwise::cli {
namespace {

using testing::HasSubstr;

TEST(Fit, WhatIsNotThereIsNamed) {
  const auto said = [](std::vector<std::string> arguments) {
    const Ran ran = RunCli(OnTheYard(std::move(arguments)), RunSetting{});
    EXPECT_TRUE(ran.exit == ExitCode::kNotFound || ran.exit == ExitCode::kUsage) << ran.out;
    return ran.out + ran.err;
  };
  EXPECT_THAT(said({"under", "ZZ-999", "s1-bay-1", "s1-apron"}), HasSubstr("ZZ-999"));
  EXPECT_THAT(said({"under", "ST-101", "s1-bay-1", "moon"}), HasSubstr("moon"));
  EXPECT_THAT(said({"horn", "ST-101", "s1-apron", "--distance", "40"}), HasSubstr("--distance"));
  EXPECT_THAT(said({"axles", "DZ-701", "CA-901", "--centre", "10 lb"}), HasSubstr("--centre"));
  EXPECT_THAT(said({"axles", "DZ-701", "CA-901", "--stands", "3 ft"}),
              HasSubstr("rear 4 in ahead"));
  EXPECT_THAT(said({"stand", "ZZ-999", "s1-apron"}), HasSubstr("ZZ-999"));
  EXPECT_THAT(said({"stand", "ST-101", "moon"}), HasSubstr("moon"));
  EXPECT_THAT(said({"stand", "ST-101", "s1-apron", "--bearing", "east"}), HasSubstr("--bearing"));
  EXPECT_THAT(said({"stand", "ST-101", "s1-apron", "--surface", "mud"}), HasSubstr("wet-grass"));
  EXPECT_THAT(said({"load", "DZ-701", "ZZ-999"}), HasSubstr("ZZ-999"));
  EXPECT_THAT(said({"load", "DZ-701", "CA-901", "--at", "moon"}), HasSubstr("moon"));
  EXPECT_THAT(said({"load", "DZ-701", "CA-901", "--grips", "0.6"}), HasSubstr("--grips"));
  EXPECT_THAT(said({"dock", "FL-501", "TR-951", "moon", "--load", "0 lb"}), HasSubstr("moon"));
  EXPECT_THAT(said({"dock", "FL-501", "TR-951", "parts-dock", "--load", "900"}),
              HasSubstr("--load"));
  EXPECT_THAT(said({"dock", "FL-501", "TR-951", "parts-dock", "--load", "900 kg"}),
              HasSubstr("--load-length is left out"));
  EXPECT_THAT(said({"dock", "FL-501", "TR-951", "parts-dock", "--load", "0 lb", "--nose", "full"}),
              HasSubstr("write empty, unknown, or what lies there"));
  EXPECT_THAT(said({"ties", "DZ-701", "--tie", "2 x 3/8"}), HasSubstr("COUNT x SIZE"));
  EXPECT_THAT(said({"ties", "DZ-701", "--tie", "2 x 3/8 in grade 60 direct front"}),
              HasSubstr("unmarked"));
  const auto tied = [&](const char* option, const char* value) {
    return said({"ties", "DZ-701", "--tie", "2 x 3/8 in grade 70 direct front", "--articulation",
                 "none-needed", "--accessories", "restrained", option, value});
  };
  EXPECT_THAT(tied("--carrier", "ZZ-999"), HasSubstr("ZZ-999"));
  EXPECT_THAT(tied("--down", "35 deg"), HasSubstr("--aside"));
}

TEST(Fit, ANameThatIsNotThereAndAWordThatCannotBeReadHaveTheirOwnExitCodes) {
  const auto exit = [](std::vector<std::string> arguments) {
    return RunCli(OnTheYard(std::move(arguments)), RunSetting{}).exit;
  };
  EXPECT_EQ(exit({"under", "ZZ-999", "s1-bay-1", "s1-apron"}), ExitCode::kNotFound);
  EXPECT_EQ(exit({"under", "ST-101", "s1-bay1", "s1-apron"}), ExitCode::kNotFound);
  EXPECT_EQ(exit({"light", "moon"}), ExitCode::kNotFound);
  EXPECT_EQ(exit({"path", "ST-101", "s1-bay-1", "s1-apron", "--side", "12"}), ExitCode::kUsage);
  EXPECT_EQ(exit({"see", "ST-101", "s1-bay-1", "s1-apron", "--speed", "fast"}), ExitCode::kUsage);
  EXPECT_EQ(exit({"ties", "DZ-701", "--tie", "two chains"}), ExitCode::kUsage);
  EXPECT_EQ(exit({"light", "ready-line", "--max-age", "3"}), ExitCode::kUsage);
}

TEST(Fit, ANearlyRightNameOrVerbIsAskedAbout) {
  EXPECT_THAT(RunCli(OnTheYard({"under", "ST-101", "s1-bay1", "s1-apron"}), RunSetting{}).out,
              HasSubstr("place s1-bay1 is not in map.geojson; did you mean \"s1-bay-1\"?"));
  const Ran verb = RunCli({"fit", "undr", "ST-101", "s1-bay-1", "s1-apron"});
  EXPECT_EQ(verb.exit, ExitCode::kUsage);
  EXPECT_THAT(verb.out + verb.err,
              HasSubstr("\"undr\" is no verb of fit; did you mean \"under\"?"));
  const Ran top = RunCli({"relase", "14"});
  EXPECT_EQ(top.exit, ExitCode::kUsage);
  EXPECT_THAT(top.out + top.err, HasSubstr("did you mean \"release\"?"));
}

TEST(Fit, AWordThatIsNoneOfThemIsToldWhichAre) {
  const Ran ran = RunCli({"fit", "tier", "--light", "lamp"});
  EXPECT_NE(ran.exit, ExitCode::kOk);
  EXPECT_THAT(ran.out + ran.err, HasSubstr("twilight"));
}

TEST(Fit, AFolderThatIsNoYardIsNamed) {
  const Ran ran =
      RunCli({"fit", "light", "ready-line", "--folder", "no-such-folder"}, RunSetting{});
  EXPECT_NE(ran.exit, ExitCode::kOk);
  EXPECT_THAT(ran.out + ran.err, HasSubstr("no-such-folder"));
}

TEST(Fit, WhatStandsOffTheDeckAndWhatNobodyRatedIsNoAnswer) {
  const auto said = [](std::vector<std::string> arguments) {
    const Ran ran = RunCli(OnTheYard(std::move(arguments)), RunSetting{});
    EXPECT_EQ(ran.exit, ExitCode::kRefused) << ran.out;
    return ran.out;
  };
  EXPECT_THAT(said({"axles", "DZ-701", "CA-901", "--centre", "40 ft"}),
              HasSubstr("CA-901 is 20 ft long: 0 to that behind its front"));
  EXPECT_THAT(said({"ties", "DZ-701", "--tie", "2 x 3/8 in grade 70 direct front", "--articulation",
                    "restrained", "--accessories", "restrained"}),
              HasSubstr("binder-rating of a tie-down is unknown"));
}

}  // namespace
}  // namespace chockwise::cli
