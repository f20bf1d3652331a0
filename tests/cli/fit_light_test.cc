// chockwise fit light on the scenario's yard: a place, a trip, a heading, a time. The angles are
// checked in tests/survey/lighting_test.cc.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/cli/fake_server.h"

namespace chockwise::cli {
namespace {

using testing::HasSubstr;
using testing::Not;

std::string Printed(std::vector<std::string> typed, ExitCode exit) {
  typed.insert(typed.begin(), "fit");
  for (const char* more : {"--folder", "../../scenario/yard"}) typed.emplace_back(more);
  const Ran ran = RunCli(typed, RunSetting{});
  EXPECT_EQ(ran.exit, exit) << ran.out << ran.err;
  return ran.out + ran.err;
}

/// 09:30Z is soon after sunrise at the demo yard, and the cross way runs to the east.
TEST(FitLight, ALaneIntoALowSunIsNamedWithItsDegrees) {
  const std::vector<std::string> trip = {"light", "s1-apron", "--to", "yard-cross", "--at"};
  const auto at = [&](const char* time) {
    std::vector<std::string> typed = trip;
    typed.emplace_back(time);
    return typed;
  };
  const std::string morning = Printed(at("2026-11-24T09:30:00Z"), ExitCode::kRefused);
  EXPECT_THAT(morning, HasSubstr("GLARE AHEAD on cross-way: sun 21.6 deg off, 6.8 deg up"));
  for (const char* told : {"azimuth of the sun", "sunrise", "sunset", "civil dusk",
                           "night clothing", "lamps", "lights on the machine", "sun off cross-way"})
    EXPECT_THAT(morning, HasSubstr(told));
  EXPECT_THAT(Printed(at("2026-11-24T15:30:00Z"), ExitCode::kOk), Not(HasSubstr("GLARE")));
  EXPECT_THAT(Printed(at("2026-11-24T03:30:00Z"), ExitCode::kOk), HasSubstr("LIGHT ENOUGH"))
      << "lamps, at night";
}

TEST(FitLight, AHeadingIsJudgedAsTyped) {
  const auto toward = [](const char* heading, ExitCode exit) {
    return Printed({"light", "s1-apron", "--heading", heading, "--at", "2026-11-24T09:30:00Z"},
                   exit);
  };
  EXPECT_THAT(toward("115 deg", ExitCode::kRefused), HasSubstr("GLARE AHEAD: sun 0.1 deg off"));
  EXPECT_THAT(toward("295 deg", ExitCode::kOk), HasSubstr("sun off the heading"));
  for (const char* wrong : {"115", "east", "", "115 ft", "nan deg"})
    EXPECT_THAT(toward(wrong, ExitCode::kUsage), HasSubstr("--heading")) << wrong;
}

TEST(FitLight, AWallClockTimeIsTaken) {
  Printed({"light", "s1-apron", "--at", "2026-11-24 15:30"}, ExitCode::kOk);
  for (const char* wrong : {"25:30", "15.30", "2h", "tomorrow", "2026-11-24 15:30 PM"})
    EXPECT_THAT(Printed({"light", "s1-apron", "--at", wrong}, ExitCode::kUsage),
                HasSubstr("not a date or time"))
        << wrong;
  EXPECT_THAT(
      Printed({"light", "s1-apron", "--heading", "90 deg", "--to", "wash-pad"}, ExitCode::kUsage),
      HasSubstr("--heading"));
}

}  // namespace
}  // namespace chockwise::cli
