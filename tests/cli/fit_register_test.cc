// chockwise fit register: a row for every machine and door, what was asked for, what is missing.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "cli-client/style.h"
#include "tests/cli/desk.h"
#include "tests/cli/fake_server.h"

namespace chockwise::cli {
namespace {

using nlohmann::json;
using testing::HasSubstr;

TEST(FitRegister, ItHasARowForEveryMachineAndDoor) {
  std::vector<std::string> typed = OnTheYard({"register"});
  typed.push_back("--json");
  const Ran ran = RunCli(typed, RunSetting{});
  const json all = json::parse(ran.out);
  EXPECT_GE(all.at("rows").size(), 80u);
  EXPECT_EQ(all.at("asOf"), "2026-11-24");
  // A number and its unit, and behind each machine and door who measured what, and when.
  for (const json& row : all.at("rows")) {
    EXPECT_EQ(row.at("asOf"), "2026-11-24");
    if (row.at("fits") == "UNKNOWN") continue;
    EXPECT_TRUE(row.at("above").at("value").is_number_integer());
    EXPECT_EQ(row.at("eachSide").at("unit"), "mm");
    EXPECT_FALSE(row.at("oldestReading").is_null());
  }
  for (const char* things : {"machines", "doors"}) {
    for (const json& thing : all.at(things)) {
      for (const json& reading : thing.at("readings")) {
        EXPECT_NE(reading.at("by"), "");
        EXPECT_FALSE(reading.at("when").is_null());
      }
    }
  }
  EXPECT_EQ(all.at("doors").size(), 5u);
}

TEST(FitRegister, ItSaysWhatWasAskedFor) {
  std::vector<std::string> typed = OnTheYard({"register", "--side", "3 in"});
  const std::string table = RunCli(typed, RunSetting{}).out;
  EXPECT_THAT(table,
              HasSubstr("As of 2026-11-24. Asked for: 3 in on each side (as asked), 1 in below."));
  EXPECT_THAT(table, ::testing::Not(HasSubstr("12 in a side")));
  // Left out, it asks what the move's gate would.
  const std::string as_gates = RunCli(OnTheYard({"register"}), RunSetting{}).out;
  EXPECT_THAT(as_gates, HasSubstr("Asked for: 6 in on each side (gate "));
}

/// On any day: some readings are missing, some too old, some still to come.
TEST(FitRegister, ItNamesEveryMissingReadingWithin80Columns) {
  for (const char* day : {"2026-11-24", "2026-10-21", "2027-10-21"}) {
    const std::vector<std::string> typed = {"fit",   "register", "--folder", "../../scenario/yard",
                                            "--now", day};
    const std::string table = RunCli(typed, RunSetting{}).out;
    std::istringstream lines(table);
    for (std::string line; std::getline(lines, line);) EXPECT_LE(Columns(line), 80) << line;
    std::vector<std::string> as_json = typed;
    as_json.push_back("--json");
    const json all = json::parse(RunCli(as_json, RunSetting{}).out);
    int unknown = 0;
    for (const json& row : all.at("rows")) {
      if (row.at("fits") != "UNKNOWN") continue;
      ++unknown;
      EXPECT_THAT(OnOneLine(table), HasSubstr("UNKNOWN " + row.at("why").get<std::string>()));
    }
    EXPECT_GT(unknown, 10) << day;
  }
}

}  // namespace
}  // namespace chockwise::cli
