// The verbs of chockwise fit that are about a trip: which lanes they are about, and --by.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <fstream>
#include <nlohmann/json.hpp>

#include "tests/cli/fake_server.h"

namespace chockwise::cli {
namespace {

using nlohmann::json;
using testing::HasSubstr;

struct Verb {
  const char* name;
  std::vector<std::string> more;
};
void PrintTo(const Verb& verb, std::ostream* out) { *out << verb.name; }

/// Of the digger from the wash pad to the ready line, which the shorter ring way carries.
std::vector<std::string> Typed(const Verb& verb, const std::string& by) {
  std::vector<std::string> typed = {"fit", verb.name};
  if (verb.name == std::string("light")) {
    for (const char* more : {"wash-pad", "--machine", "EX-301", "--to", "ready-line"})
      typed.emplace_back(more);
  } else {
    for (const char* more : {"EX-301", "wash-pad", "ready-line"}) typed.emplace_back(more);
  }
  typed.insert(typed.end(), verb.more.begin(), verb.more.end());
  if (!by.empty()) typed.insert(typed.end(), {"--by", by});
  for (const char* more :
       {"--folder", "../../scenario/yard", "--now", "2026-11-24T15:00:00Z", "--json"})
    typed.emplace_back(more);
  return typed;
}

json Answer(const Verb& verb, const std::string& by) {
  return json::parse(RunCli(Typed(verb, by), RunSetting{}).out);
}

/// What the answer tells about its lanes.
std::pair<std::string, std::string> WayOf(const json& answer) {
  for (const json& input : answer.value("inputs", json::array())) {
    const auto name = input.at("name").get<std::string>();
    if (name.starts_with("way")) return {name, input.at("value").get<std::string>()};
  }
  return {"no way is told: " + answer.dump(), ""};
}

class FitTrip : public testing::TestWithParam<Verb> {};

TEST_P(FitTrip, TellsTheLanesThatItIsAboutAndWhyThese) {
  const auto [name, lanes] = WayOf(Answer(GetParam(), ""));
  EXPECT_EQ(name, "way (the shortest that it fits)");
  EXPECT_EQ(lanes, "ring-way");
}

TEST_P(FitTrip, TakesTheLanesThatAreNamed) {
  const auto [name, lanes] = WayOf(Answer(GetParam(), "wash-way,ready-way"));
  EXPECT_EQ(name, "way");
  EXPECT_EQ(lanes, "wash-way, ready-way");
}

TEST_P(FitTrip, RefusesLanesThatDoNotLeadThere) {
  for (const char* by :
       {"ready-way,wash-way", "wash-way", "moon-way", "wash-way,,ready-way", ","}) {
    const json answer = Answer(GetParam(), by);
    EXPECT_EQ(answer.at("verdict"), "UNKNOWN") << by;
    EXPECT_THAT(answer.at("noAnswer").at("problem").get<std::string>(),
                HasSubstr("by the lanes named"))
        << by;
  }
}

INSTANTIATE_TEST_SUITE_P(Verbs, FitTrip,
                         testing::Values(Verb{"under", {}}, Verb{"ground", {}}, Verb{"path", {}},
                                         Verb{"leaves", {}}, Verb{"see", {}}, Verb{"carries", {}},
                                         Verb{"wires", {}}, Verb{"light", {}},
                                         Verb{"stop", {"--speed", "2 mph"}}),
                         [](const auto& one) { return one.param.name; });

TEST(FitTrip, TheDrawingIsOfTheLanesThatAreNamed) {
  const std::string path = testing::TempDir() + "fit_trip.svg";
  const auto drawn = [&](const std::string& by) {
    RunCli(Typed({"path", {"--svg", path}}, by), RunSetting{});
    std::ifstream file(path);
    return std::string(std::istreambuf_iterator<char>(file), {});
  };
  const std::string ring = drawn("ring-way");
  EXPECT_EQ(ring, drawn(""));
  EXPECT_NE(ring, drawn("wash-way,ready-way"));
}

}  // namespace
}  // namespace chockwise::cli
