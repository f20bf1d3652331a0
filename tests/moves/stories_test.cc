// Stories that a human can read: stories/*.txt, one test each.
#include <gtest/gtest.h>

#include <filesystem>

#include "tests/moves/story/script.h"

namespace chockwise::moves {
namespace {

class StoryScript : public testing::TestWithParam<std::string> {};

std::string TestName(const testing::TestParamInfo<std::string>& info) {
  return std::filesystem::path(info.param).stem().string();
}

TEST_P(StoryScript, EndsAsWritten) { CheckScript(GetParam()); }

INSTANTIATE_TEST_SUITE_P(Stories, StoryScript, testing::ValuesIn(ScriptsIn("stories")), TestName);

TEST(StoryScripts, AreThere) { EXPECT_GE(ScriptsIn("stories").size(), 5u); }

}  // namespace
}  // namespace chockwise::moves
