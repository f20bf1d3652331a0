// At the desk: what hangs behind a machine is told with it, and one trip crabwise is asked for by
// an option.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>

#include "tests/cli/desk.h"
#include "tests/cli/fake_server.h"

namespace chockwise::cli {
namespace {

using nlohmann::json;
using testing::AllOf;
using testing::Contains;
using testing::HasSubstr;
using testing::Not;

std::vector<std::string> InputsOf(std::vector<std::string> arguments) {
  std::vector<std::string> typed = OnTheYard(std::move(arguments));
  typed.push_back("--json");
  const json answer = json::parse(RunCli(typed, RunSetting{}).out);
  std::vector<std::string> names;
  for (const json& input : answer.at("inputs")) names.push_back(input.at("name"));
  return names;
}

TEST(FitTrain, StandsOnTheReadingsOfEveryUnit) {
  EXPECT_THAT(
      InputsOf({"path", "HT-971", "truck-row", "s1-apron"}),
      AllOf(Contains("hitch-behind-axle of HT-971"), Contains("carried-width of DL-972"),
            Contains("coupling-to-axle of FT-973"), Contains("most fold at each coupling")));
  EXPECT_THAT(InputsOf({"stop", "HT-971", "--speed", "5 mph", "--grade", "-1 %"}),
              AllOf(Contains("mass of FT-973"), Contains("brakes of what it tows")));
}

TEST(FitTrain, IsRefusedByNameWhereItIsNotKnown) {
  const Ran ran = RunCli(OnTheYard({"stand", "HT-971", "truck-row"}), RunSetting{});
  EXPECT_EQ(ran.exit, ExitCode::kRefused);
  EXPECT_THAT(OnOneLine(ran.out),
              HasSubstr("HT-971 tows DL-972, FT-973: parking is not computed for a train"));
}

TEST(FitCrab, IsAskedForOneTrip) {
  for (const char* verb : {"path", "leaves"}) {
    EXPECT_THAT(InputsOf({verb, "TH-201", "yard-cross", "s1-apron", "--crab"}),
                AllOf(Contains("crab-angle of TH-201 with forks"), Contains("it goes"),
                      Contains("way (the shortest that it fits) as it steers")));
    EXPECT_THAT(InputsOf({verb, "TH-201", "yard-cross", "s1-apron"}),
                Not(Contains("crab-angle of TH-201 with forks")));
  }
  for (const char* verb : {"path", "leaves", "see"}) {
    const Ran ran =
        RunCli(OnTheYard({verb, "ST-101", "s1-bay-1", "s1-apron", "--crab"}), RunSetting{});
    EXPECT_EQ(ran.exit, ExitCode::kRefused) << verb;
    EXPECT_THAT(OnOneLine(ran.out), HasSubstr("so it does not go crabwise")) << verb;
  }
}

}  // namespace
}  // namespace chockwise::cli
