// What needs no server: the quantities that a yard may measure.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <nlohmann/json.hpp>
#include <sstream>

#include "cli-client/style.h"
#include "services/yard/quantities.h"
#include "tests/cli/fake_server.h"

namespace chockwise::cli {
namespace {

/// Every quantity there is, and each as the readers of measurements.csv know it.
TEST(YardQuantities, ListsAllThatCanBeMeasured) {
  const Ran shown = RunCli({"yard", "quantities"});
  EXPECT_EQ(shown.exit, ExitCode::kOk);
  const auto json = nlohmann::json::parse(RunCli({"yard", "quantities", "--json"}).out);
  EXPECT_EQ(json.at("quantities").size(), yard::QuantityNames().size());
  for (const std::string& name : yard::QuantityNames())
    EXPECT_THAT(shown.out, testing::HasSubstr("\n  " + name + " "));
  std::istringstream lines(shown.out);
  for (std::string line; std::getline(lines, line);) EXPECT_LE(Columns(line), 80) << line;
}

}  // namespace
}  // namespace chockwise::cli
