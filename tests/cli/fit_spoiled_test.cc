// Every option and argument of every verb of the desk, spoiled: blank, 0, negative, not a number,
// text, another unit. The answer is a no that names the option, or the value that was typed.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cstdio>
#include <functional>
#include <map>
#include <set>

#include "cli-client/app.h"
#include "tests/cli/desk.h"
#include "tests/cli/fake_server.h"

namespace chockwise::cli {
namespace {

/// What answers as it stands: arguments, and options with their values.
struct Sample {
  std::vector<std::string> arguments = {};
  std::vector<std::pair<std::string, std::string>> options = {};
  bool on_the_yard = true;
};

const Sample kTrip = {.arguments = {"ST-101", "s1-bay-1", "s1-apron"}};
const Sample kSound = {.arguments = {"ST-101", "s1-apron"}, .options = {{"--distance", "20 ft"}}};

const std::map<std::string, Sample> kSamples = {
    {"under", kTrip},
    {"ground", kTrip},
    {"path", kTrip},
    {"leaves", kTrip},
    {"see", kTrip},
    {"route", kTrip},
    {"carries", kTrip},
    {"wires", kTrip},
    {"horn", kSound},
    {"alarm", kSound},
    {"light", {.arguments = {"s1-apron"}}},
    {"noise", {.options = {{"--exposure", "85 dB for 2 h"}, {"--at", "s1-apron"}}}},
    {"pull",
     {.arguments = {"DZ-701"}, .options = {{"--on", "parts-way"}, {"--rated", "30,000 lbf"}}}},
    {"axles", {.arguments = {"DZ-701", "CA-901"}, .options = {{"--centre", "7 ft 6 in"}}}},
    {"stand", {.arguments = {"ST-101", "s1-apron"}}},
    {"load", {.arguments = {"DZ-701", "CA-901"}}},
    {"dock",
     {.arguments = {"FL-501", "TR-951", "parts-dock"},
      .options = {{"--load", "2,000 lb"}, {"--load-length", "48 in"}, {"--nose", "empty"}}}},
    {"ties",
     {.arguments = {"DZ-701"},
      .options = {{"--tie", "2 x 3/8 in grade 70 direct front"},
                  {"--articulation", "none-needed"},
                  {"--accessories", "restrained"},
                  {"--carrier", "CA-901"},
                  {"--down", "35 deg"},
                  {"--aside", "20 deg"},
                  {"--grips", "20 %"}}}},
    {"stop", {.arguments = {"ST-101", "s1-bay-1", "s1-apron"}, .options = {{"--speed", "5 mph"}}}},
    {"register", {}},
    {"risk",
     {.options = {{"--severity", "critical"}, {"--probability", "occasional"}},
      .on_the_yard = false}},
    {"tier", {.on_the_yard = false}},
};

const std::vector<std::string> kSpoiled = {"", "0", "-7", "nan", "sideways", "-5 kV"};
/// A file may have any name.
const std::set<std::string> kAnyWordIsRight = {"--svg"};

std::vector<std::string> Line(const std::string& verb, const Sample& sample) {
  std::vector<std::string> line = {verb};
  line.insert(line.end(), sample.arguments.begin(), sample.arguments.end());
  for (const auto& [name, value] : sample.options) line.push_back(name + "=" + value);
  if (sample.on_the_yard) return OnTheYard(std::move(line));
  line.insert(line.begin(), "fit");
  return line;
}

/// With that option so, and without what it shuts out; the folder and the time are added behind.
std::vector<std::string> With(const std::string& verb, const Sample& sample, CLI::Option* option,
                              const std::string& value) {
  const std::string name = "--" + option->get_lnames().front();
  Sample spoiled = sample;
  std::erase_if(spoiled.options, [&](const auto& other) {
    return other.first == name ||
           std::ranges::any_of(option->get_excludes(), [&](const CLI::Option* shut) {
             return "--" + shut->get_lnames().front() == other.first;
           });
  });
  std::vector<std::string> line = Line(verb, spoiled);
  const auto at = std::ranges::find(line, name);  // --folder, --now
  if (at != line.end()) line.erase(at, at + 2);
  line.push_back(name + "=" + value);
  return line;
}

bool Has(const std::string& said, const std::string& word) {
  return said.find(word) != std::string::npos;
}

struct Tally {
  int tried = 0, verbs = 0;
  void Expect(const std::vector<std::string>& line, const std::vector<std::string>& names,
              const std::string& value) {
    ++tried;
    const Ran ran = RunCli(line, RunSetting{});
    const std::string typed = testing::PrintToString(line);
    EXPECT_NE(ran.exit, ExitCode::kOk) << typed << "\n" << ran.out;
    const std::string said = ran.out + ran.err;
    const bool named =
        std::ranges::any_of(names, [&](const auto& name) { return Has(said, name); }) ||
        (!value.empty() && Has(said, value));
    EXPECT_TRUE(named) << typed << "\n" << said;
  }
};

void Spoil(CLI::App* verb, Tally& tally) {
  const std::string name = verb->get_name();
  const auto found = kSamples.find(name);
  ASSERT_NE(found, kSamples.end()) << "no sample of fit " << name;
  const Sample& sample = found->second;
  ++tally.verbs;
  for (CLI::Option* option : verb->get_options()) {
    if (option->get_lnames().empty() || option->get_items_expected_max() == 0) continue;
    for (const std::string& value : kSpoiled) {
      const std::string typed = "--" + option->get_lnames().front();
      if (kAnyWordIsRight.contains(typed)) continue;
      // Lanes that lead nowhere are named together.
      tally.Expect(With(name, sample, option, value), {typed, "by the lanes"}, value);
    }
  }
  for (size_t argument = 0; argument < sample.arguments.size(); ++argument) {
    for (const std::string& value : kSpoiled) {
      if (value.starts_with("-")) continue;  // an option
      Sample spoiled = sample;
      spoiled.arguments[argument] = value;
      // A blank is none that anybody knows of.
      tally.Expect(Line(name, spoiled), {"is not in", "is left out", "is unknown"}, value);
    }
  }
}

TEST(FitSpoiled, EveryOptionIsNamed) {
  CLI::App app;
  Registry registry(app);
  GlobalOptions options;
  BuildTree(app, registry, options);
  Tally tally;
  const std::function<void(CLI::App*)> walk = [&](CLI::App* verb) {
    const auto parts = verb->get_subcommands({});
    if (parts.empty()) return Spoil(verb, tally);
    for (CLI::App* part : parts) walk(part);
  };
  walk(app.get_subcommand("fit"));
  std::printf("%d spoiled lines of %d verbs\n", tally.tried, tally.verbs);
  EXPECT_EQ(static_cast<size_t>(tally.verbs), kSamples.size());
  EXPECT_GT(tally.tried, 500);
}

}  // namespace
}  // namespace chockwise::cli
