// The desk's questions on the scenario's yard: each verb answers with its own line and exit code,
// as text and as JSON; what is missing or mistyped is named. The numbers behind the lines are
// tested in tests/fit and tests/survey.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdio>
#include <fstream>
#include <iterator>
#include <nlohmann/json.hpp>
#include <sstream>

#include "cli-client/style.h"
#include "tests/cli/desk.h"
#include "tests/cli/fake_server.h"

namespace chockwise::cli {
namespace {

using nlohmann::json;
using testing::HasSubstr;
using testing::StartsWith;

struct Desk {
  const char* name;
  std::vector<std::string> arguments;
  ExitCode exit;
  const char* line;  // how the answer begins
  bool on_the_yard = true;
};

void PrintTo(const Desk& desk, std::ostream* out) { *out << desk.name; }

std::vector<std::string> Typed(const Desk& desk) {
  if (desk.on_the_yard) return OnTheYard(desk.arguments);
  std::vector<std::string> typed = {"fit"};
  typed.insert(typed.end(), desk.arguments.begin(), desk.arguments.end());
  return typed;
}

/// A line that tells what is to spare or short tells other programs the number, and what surely
/// remains of it decides as the line does.
void ExpectSpareToAgree(const json& said) {
  const std::string line = said.at("line");
  const bool short_of = line.find(" short") != std::string::npos;
  if (line.find(" to spare") == std::string::npos && !short_of) return;
  ASSERT_TRUE(said.contains("spare")) << said;
  const json& spare = said.at("spare");
  const double surely = spare.at("value").get<double>() - spare.at("error").get<double>() -
                        spare.at("needed").get<double>();
  EXPECT_GE(spare.at("error"), 0.0);
  EXPECT_FALSE(spare.at("unit").get<std::string>().empty());
  // A need that is met exactly is met: a nanometre is binary noise.
  if (said.value("verdict", "") == "CLEAR") {
    EXPECT_GE(surely, -1e-9) << said;
  }
  if (short_of) {
    EXPECT_LT(surely, 0) << said;
  }
}

class FitVerb : public testing::TestWithParam<Desk> {};

TEST_P(FitVerb, SaysItsLine) {
  const Ran ran = RunCli(Typed(GetParam()), RunSetting{});
  EXPECT_EQ(ran.exit, GetParam().exit) << ran.out << ran.err;
  EXPECT_THAT(ran.out, HasSubstr(GetParam().line));
  EXPECT_THAT(ran.out, HasSubstr("A number, not a release"));
}

TEST_P(FitVerb, SaysTheSameAsJson) {
  std::vector<std::string> typed = Typed(GetParam());
  typed.push_back("--json");
  const Ran ran = RunCli(typed, RunSetting{});
  EXPECT_EQ(ran.exit, GetParam().exit) << ran.err;
  const json answer = json::parse(ran.out);
  EXPECT_THAT(answer.at("line").get<std::string>(), StartsWith(GetParam().line));
  // What is no verdict (a risk, a tier) is answered, and that is 0.
  EXPECT_EQ(answer.value("verdict", "CLEAR") == "CLEAR", ran.exit == ExitCode::kOk);
  EXPECT_FALSE(answer.at("inputs").empty());
  EXPECT_FALSE(answer.at("sources").empty());
  EXPECT_FALSE(answer.at("assumptions").empty());
  EXPECT_LE(answer.at("assumptions").size(), 2u);
  ExpectSpareToAgree(answer);
  if (answer.contains("parts"))
    for (const json& part : answer.at("parts")) ExpectSpareToAgree(part);
}

INSTANTIATE_TEST_SUITE_P(
    Desk, FitVerb,
    testing::ValuesIn(std::vector<Desk>{
        {"under", {"under", "ST-101", "s1-bay-1", "s1-apron"}, ExitCode::kOk, "GO UNDER door-1: "},
        {"too_tall",
         {"under", "ST-104", "truck-row", "s1-bay-1"},
         ExitCode::kRefused,
         "STOP door-1: 10 in short"},
        {"ground", {"ground", "TH-201", "s2-bay-1", "yard-cross"}, ExitCode::kOk, "CLEARS "},
        {"grounds",
         {"ground", "FL-501", "parts-dock", "s2-bay-1"},
         ExitCode::kRefused,
         "WILL GROUND at "},
        {"path", {"path", "TH-201", "s2-bay-1", "yard-cross"}, ExitCode::kOk, "GO THROUGH: "},
        {"tight",
         {"path", "EX-301", "s2-bay-2", "wash-pad", "--side", "12 in"},
         ExitCode::kRefused,
         "TOO TIGHT at door-4 left jamb: 10 in to spare"},
        {"leaves",
         {"leaves", "DZ-701", "ready-line", "carrier-pad-1"},
         ExitCode::kOk,
         "LEAVES FREE fire-way: "},
        {"see", {"see", "ST-101", "s1-bay-1", "s1-apron"}, ExitCode::kOk, "STAND "},
        {"sees",
         {"see", "TH-201", "s2-bay-1", "yard-cross"},
         ExitCode::kRefused,
         "2 PLACES: hold while the spotter walks"},
        {"route", {"route", "WL-402", "yard-cross", "wash-pad"}, ExitCode::kOk, "GO: "},
        {"carries",
         {"carries", "EX-301", "yard-cross", "parts-dock"},
         ExitCode::kRefused,
         "STAY OFF parts-way: 26,823 lb too heavy"},
        {"wires", {"wires", "EX-301", "wash-pad", "ready-line"}, ExitCode::kOk, "PASS THE WIRE: "},
        {"wires_backing",
         {"wires", "EX-301", "wash-pad", "ready-line", "--reversing"},
         ExitCode::kOk,
         "PASS THE WIRE: "},
        {"under_backing",
         {"under", "ST-101", "s1-bay-1", "s1-apron", "--reversing"},
         ExitCode::kOk,
         "GO UNDER door-1: "},
        {"ground_backing",
         {"ground", "TH-201", "s2-bay-1", "yard-cross", "--reversing"},
         ExitCode::kOk,
         "CLEARS "},
        {"alarm",
         {"alarm", "ST-101", "s1-apron", "--distance", "20 ft"},
         ExitCode::kOk,
         "Reverse alarm HEARD: "},
        {"horn",
         {"horn", "TH-201", "s2-bay-1", "--distance", "60 ft"},
         ExitCode::kRefused,
         "Horn NOT heard"},
        {"light", {"light", "ready-line"}, ExitCode::kOk, "ready-line: DAYLIGHT"},
        {"light_on_a_trip",
         {"light", "s1-apron", "--to", "wash-pad"},
         ExitCode::kOk,
         "s1-apron: DAYLIGHT"},
        {"light_toward_a_high_sun",
         {"light", "s1-apron", "--heading", "136 deg"},
         ExitCode::kOk,
         "s1-apron: DAYLIGHT"},
        {"axles",
         {"axles", "DZ-701", "CA-901", "--centre", "7 ft 6 in"},
         ExitCode::kOk,
         "AXLES WITHIN LIMITS: axles 2 to 5 "},
        {"axles_too_close_to_call",
         {"axles", "DZ-701", "CA-901", "--centre", "10 ft 1 in"},
         ExitCode::kRefused,
         "MOVE MACHINE 1 ft 11 in FORWARD: axles 2 to 5 42 lb to spare and may be"},
        {"axles_over",
         {"axles", "DZ-701", "CA-901", "--centre", "2 ft"},
         ExitCode::kRefused,
         "MOVE MACHINE 4 ft 11 in BACK: axles 2 to 3 5,606 lb over"},
        {"axles_as_stood",
         {"axles", "DZ-701", "CA-901", "--stands", "rear 4 in ahead"},
         ExitCode::kOk,
         "AXLES WITHIN LIMITS: axles 2 to 5 "},
        {"axles_have_a_place",
         {"axles", "DZ-701", "CA-901"},
         ExitCode::kOk,
         "STAND IT OFF THE DECK'S FRONT, AND TAPE IT: front "},
        {"stand", {"stand", "ST-101", "s1-apron"}, ExitCode::kOk, "BRAKES HOLD: grade 1.8 %"},
        {"stands_in_the_fire_way",
         {"stand", "CA-901", "carrier-pad-1", "--bearing", "0 deg", "--surface", "gravel"},
         ExitCode::kRefused,
         "MOVE OFF fire-way: "},
        {"load",
         {"load", "DZ-701", "CA-901", "--grips", "60 %", "--surface", "dry-concrete"},
         ExitCode::kOk,
         "PIN KEEPS 2,794 lb: 444 lb to spare"},
        {"load_as_the_scripted_day_does",
         {"load", "DZ-701", "CA-901"},
         ExitCode::kOk,
         "PIN KEEPS 2,794 lb: 444 lb to spare"},
        {"load_as_the_scripted_evening_does",
         {"load", "SS-601", "CA-902", "--at", "carrier-pad-2"},
         ExitCode::kOk,
         "CLEARS the ramp: 1 in to spare at its toe"},
        {"slides_off_the_ramp",
         {"load", "SS-601", "CA-901", "--at", "carrier-pad-2", "--grips", "10 %"},
         ExitCode::kRefused,
         "TOO STEEP: "},
        {"dock",
         {"dock", "FL-501", "TR-951", "parts-dock", "--load", "2,000 lb", "--load-length", "48 in",
          "--stands", "--nose", "empty"},
         ExitCode::kOk,
         "BOARD TAKES 14,400 lb: 905 lb to spare"},
        {"dock_with_cargo_at_the_nose",
         {"dock", "FL-501", "TR-951", "parts-dock", "--load", "2,000 lb", "--load-length", "48 in",
          "--stands", "--nose", "3,000 lb"},
         ExitCode::kRefused,
         "STAND TOO WEAK by 803 lb"},
        {"dock_with_stands_and_an_unknown_nose",
         {"dock", "FL-501", "TR-951", "parts-dock", "--load", "4000 lb", "--load-length", "48 in",
          "--stands"},
         ExitCode::kRefused,
         "LOOK INTO THE TRAILER: cargo at the nose is not known"},
        {"dock_of_a_coupled_trailer",
         {"dock", "FL-501", "TR-951", "parts-dock", "--load", "0 lb", "--coupled"},
         ExitCode::kOk,
         "BOARD TAKES 14,400 lb: "},
        {"dock_with_an_unknown_nose",
         {"dock", "FL-501", "TR-951", "parts-dock", "--load", "0 lb"},
         ExitCode::kRefused,
         "NEEDS NOSE STANDS: cargo at the nose is not known"},
        {"ties",
         {"ties", "DZ-701", "--carrier", "CA-901", "--tie", "4 x 1/2 in grade 70 direct front",
          "--tie", "4 x 1/2 in grade 70 direct rear", "--articulation", "none-needed",
          "--accessories", "restrained"},
         ExitCode::kOk,
         "8 chains: "},
        {"too_few_ties",
         {"ties", "DZ-701", "--carrier", "CA-901", "--tie", "2 x 3/8 in grade 70 direct front",
          "--tie", "2 x 3/8 in grade 70 direct rear", "--articulation", "none-needed",
          "--accessories", "restrained"},
         ExitCode::kRefused,
         "4 chains: SHORT"},
        {"ties_at_one_end",
         {"ties", "WL-402", "--carrier", "CA-901", "--tie", "6 x 5/8 in grade 100 direct front",
          "--tie", "1 x 1/4 in grade 70 direct front-mounting-point", "--articulation",
          "restrained", "--accessories", "restrained"},
         ExitCode::kRefused,
         "7 chains: TIE the rear: 0 there, 2 needed"},
        // 8 x 9,200 lb / 2 = 36,800 lb. At 35 and 20 degrees rearward, the front pair alone holds
        // 4 x 9,200 x (cos 35 cos 20 + 0.2 sin 35) + 0.2 x 41,000 = 40,750 lb of 20,500.
        {"forces_of_ties",
         {"ties", "DZ-701", "--carrier", "CA-901", "--tie", "4 x 1/2 in grade 70 direct front",
          "--tie", "4 x 1/2 in grade 70 direct rear", "--articulation", "none-needed",
          "--accessories", "restrained", "--down", "35 deg", "--aside", "20 deg", "--grips",
          "20 %"},
         ExitCode::kOk,
         "8 chains: ENOUGH, 16,095 lb to spare"},
        // Enough by count, and nothing of it holds sideways.
        {"ties_that_hold_nothing_sideways",
         {"ties", "DZ-701", "--carrier", "CA-901", "--tie", "4 x 1/2 in grade 70 direct front",
          "--tie", "4 x 1/2 in grade 70 direct rear", "--articulation", "none-needed",
          "--accessories", "restrained", "--down", "35 deg", "--aside", "0 deg", "--grips", "0 %"},
         ExitCode::kRefused,
         "49 CFR 393.102: WILL SHIFT left: SHORT 10,353 lb"},
        {"risk",
         {"risk", "--severity", "critical", "--probability", "occasional"},
         ExitCode::kOk,
         "RISK Serious: critical and occasional",
         false},
        {"tier_of_the_worst", {"tier"}, ExitCode::kOk, "TIER 3: heavy, dark, many people", false},
        {"tier_of_the_least",
         {"tier", "--kind", "plain", "--light", "day", "--people", "none", "--driver",
          "knows-the-yard", "--spotter", "knows-the-yard", "--steepest", "1 %", "--least-margin",
          "3 ft"},
         ExitCode::kOk,
         "TIER 1",
         false},
        {"stop",
         {"stop", "--speed", "5 mph", "--grade", "0 %"},
         ExitCode::kOk,
         "STOPS IN 28 ft",
         false},
        {"stop_with_a_spotter",
         {"stop", "--speed", "5 mph", "--grade", "0 %", "--body-length", "20 ft"},
         ExitCode::kOk,
         "KEEP 48 ft, STOPS IN 28 ft",
         false},
        {"stop_within_sight",
         {"stop", "--speed", "5 mph", "--grade", "0 %", "--sight", "20 ft"},
         ExitCode::kRefused,
         "SLOW DOWN: 8 ft short, NO FASTER THAN 3.7 mph",
         false},
        {"stop_of_a_forklift",
         {"stop", "FL-501", "--sight", "40 ft", "--grade", "0 %"},
         ExitCode::kOk,
         "NO FASTER THAN 5.3 mph"},
        {"stop_on_a_trip",
         {"stop", "ST-101", "s1-bay-1", "s1-apron", "--speed", "3 mph"},
         ExitCode::kOk,
         "KEEP 43 ft, STOPS IN 18 ft"},
    }),
    [](const auto& row) { return row.param.name; });

TEST(Fit, NoAnswerNamesWhatIsMissing) {
  const Ran ran = RunCli(OnTheYard({"under", "TH-202", "ready-line", "s2-bay-1"}), RunSetting{});
  EXPECT_EQ(ran.exit, ExitCode::kRefused);
  EXPECT_THAT(ran.out, HasSubstr("NO ANSWER: carried-length of TH-202 with jib is unknown"));
}

TEST(Fit, AGradeThatNobodySaidIsNotLevel) {
  const auto said = [](const std::vector<std::string>& typed) {
    const Ran ran = RunCli(typed, RunSetting{});
    EXPECT_NE(ran.exit, ExitCode::kOk) << ran.out;
    return ran.out;
  };
  EXPECT_THAT(said({"fit", "stop", "--speed", "5 mph"}),
              HasSubstr("NO ANSWER: --grade is left out"));
  EXPECT_THAT(said(OnTheYard({"stop", "FL-501", "--speed", "5 mph"})),
              HasSubstr("NO ANSWER: --grade is left out"));
  EXPECT_THAT(said(OnTheYard({"stop", "FL-501", "--speed", "3 mph", "--grade", "-8.4 %"})),
              HasSubstr("NO ANSWER: grade beats the brakes"));
  EXPECT_THAT(said(OnTheYard({"stop", "CA-903", "--speed", "3 mph", "--grade", "0 %"})),
              HasSubstr(" of CA-903 is unknown: nobody has measured it"));
  EXPECT_THAT(said(OnTheYard({"stop", "ST-101", "s1-bay-1", "s1-apron", "--grade", "0 %"})),
              HasSubstr("--grade is typed for a trip"));
  EXPECT_THAT(said(OnTheYard({"stop", "ST-101", "s1-bay-1", "--speed", "3 mph"})),
              HasSubstr("name where the trip ends"));
  EXPECT_THAT(said({"fit", "stop", "--grade", "0 %"}), HasSubstr("nor what is seen ahead"));
}

TEST(Fit, EveryPartOfAnAnswerIsShownAndTheWorstIsFirst) {
  std::vector<std::string> typed = OnTheYard({"stand", "CA-901", "carrier-pad-1"});
  const Ran shown = RunCli(typed, RunSetting{});
  typed.push_back("--json");
  const json answer = json::parse(RunCli(typed, RunSetting{}).out);
  ASSERT_EQ(answer.at("parts").size(), 4u);
  EXPECT_EQ(answer.at("parts").front().at("line"), answer.at("line"));
  EXPECT_EQ(answer.at("parts").front().at("verdict"), answer.at("verdict"));
  size_t from = 0;
  for (const json& part : answer.at("parts")) {
    const size_t at = shown.out.find(part.at("line").get<std::string>(), from);
    EXPECT_NE(at, std::string::npos) << part << "\n" << shown.out;
    from = at;
  }
}

TEST(Fit, TheNumberOfTheLineIsToldInSiWhateverUnitsPeopleRead) {
  for (const char* units : {"us", "si"}) {
    const Ran ran =
        RunCli(OnTheYard({"under", "ST-104", "truck-row", "s1-bay-1", "--units", units, "--json"}),
               RunSetting{});
    const json spare = json::parse(ran.out).at("spare");
    EXPECT_EQ(spare.at("unit"), "m");
    // The line says 10 in short, rounded up.
    const double surely_m = spare.at("value").get<double>() - spare.at("error").get<double>();
    EXPECT_GE(surely_m, -10 * 0.0254) << units;
    EXPECT_LT(surely_m, -9 * 0.0254) << units;
  }
}

TEST(Fit, ThatOldReadingsCountIsTold) {
  const std::vector<std::string> under = {
      "fit",   "under",      "ST-101",   "s1-bay-1", "s1-apron", "--folder", "../../scenario/yard",
      "--now", "2028-10-01", "--max-age"};
  std::vector<std::string> typed = under;
  typed.push_back("3660 days");
  EXPECT_THAT(OnOneLine(RunCli(typed, RunSetting{}).out),
              HasSubstr("readings count for 3660 days as asked"));
  typed.back() = "365 days";
  EXPECT_EQ(RunCli(typed, RunSetting{}).exit, ExitCode::kRefused);
}

TEST(Fit, ALevelOfRiskAndATierAreNoVerdict) {
  const std::vector<std::string> typed = {"fit", "tier", "--json"};
  const json tier = json::parse(RunCli(typed).out);
  EXPECT_FALSE(tier.contains("verdict"));
  EXPECT_GE(tier.at("adds").size(), 5u);
  const Ran shown =
      RunCli({"fit", "risk", "--severity", "catastrophic", "--probability", "frequent"});
  EXPECT_THAT(shown.out, StartsWith("  RISK High"));
}

/// Whoever measured it and when is told on every screen, below the name where it does not fit.
TEST(Fit, ANarrowScreenCutsNothingOff) {
  for (const int columns : {60, 200}) {
    const Ran ran = RunCli(OnTheYard({"under", "ST-101", "s1-bay-1", "s1-apron"}),
                           RunSetting{.terminal = true, .columns = columns});
    EXPECT_THAT(ran.out, HasSubstr("dov, 2026-0"));
    EXPECT_THAT(ran.out, Not(HasSubstr("...")));
    std::istringstream lines(ran.out);
    for (std::string line; std::getline(lines, line);) EXPECT_LE(Columns(line), columns) << line;
  }
}

/// A drawing that is there already is not this question's.
TEST(Fit, WithoutAnAnswerAnOldDrawingIsSaidToBeOld) {
  const std::string path = testing::TempDir() + "chockwise_old_drawing.svg";
  std::ofstream(path) << "<svg/>";
  std::vector<std::string> typed = OnTheYard({"under", "TH-202", "ready-line", "s2-bay-1"});
  typed.insert(typed.end(), {"--svg", path});
  const Ran ran = RunCli(typed, RunSetting{});
  std::remove(path.c_str());
  EXPECT_EQ(ran.exit, ExitCode::kRefused);
  EXPECT_THAT(ran.err, HasSubstr(path + " is an older drawing"));
}

/// Of an input it is told who says so: the caller, a person with a date, or nobody.
TEST(Fit, WhatTheCallerTypedIsToldAsAsked) {
  const auto by = [](std::vector<std::string> typed, const std::string& name) -> std::string {
    typed.push_back("--json");
    const json answer = json::parse(RunCli(typed, RunSetting{}).out);
    for (const json& input : answer.at("inputs")) {
      if (input.at("name") == name) return input.value("by", "default");
    }
    return "not told";
  };
  const std::vector<std::string> stop = {"fit", "stop", "--speed", "5 mph", "--grade", "0 %"};
  EXPECT_EQ(by(stop, "speed"), "as asked");
  EXPECT_EQ(by(stop, "friction"), "default");
  EXPECT_EQ(by(stop, "driver's response"), "default");
  EXPECT_EQ(by(stop, "wheels that brake"), "default");
  EXPECT_EQ(
      by({"fit", "stop", "--speed", "5 mph", "--grade", "0 %", "--surface", "gravel"}, "friction"),
      "as asked");
  EXPECT_EQ(by({"fit", "risk", "--severity", "critical", "--probability", "remote"}, "severity"),
            "as asked");
  const std::vector<std::string> stand = OnTheYard({"stand", "ST-101", "s1-apron"});
  EXPECT_EQ(by(stand, "friction of the ground"), "default");
  EXPECT_EQ(by(stand, "mass of ST-101"), "dov");
  EXPECT_EQ(
      by(OnTheYard({"stand", "ST-101", "s1-apron", "--surface", "ice"}), "friction of the ground"),
      "as asked");
  EXPECT_EQ(by(OnTheYard({"ties", "DZ-701", "--carrier", "CA-901", "--tie",
                          "4 x 3/8 in grade 70 direct front", "--articulation", "none-needed",
                          "--accessories", "restrained"}),
               "tie 1"),
            "as asked");
}

/// What was left out is the gate's to say, so that the desk and the gate answer alike.
TEST(Fit, WhatIsAskedOfAWayIsToldAsTypedOrAsTheGatesOfTheYard) {
  const auto by = [](std::vector<std::string> arguments, const std::string& name) {
    std::vector<std::string> typed = OnTheYard(std::move(arguments));
    typed.push_back("--json");
    const json answer = json::parse(RunCli(typed, RunSetting{}).out);
    for (const json& input : answer.at("inputs"))
      if (input.at("name") == name)
        return input.at("value").get<std::string>() + " by " + input.value("by", "default");
    return std::string("not told");
  };
  const std::vector<std::string> route = {"route", "WL-402", "yard-cross", "wash-pad"};
  EXPECT_EQ(by(route, "asked for on each side"), "6 in by gate fits-route");
  EXPECT_EQ(by(route, "steepest that it may climb"), "12.0 % by gate fits-route");
  std::vector<std::string> typed = route;
  typed.insert(typed.end(), {"--side", "9 in", "--most-grade", "11 %"});
  EXPECT_EQ(by(typed, "asked for on each side"), "9 in by as asked");
  EXPECT_EQ(by(typed, "steepest that it may climb"), "11.0 % by as asked");
  const std::vector<std::string> see = {"see", "ST-101", "s1-bay-1", "s1-apron"};
  EXPECT_EQ(by(see, "creeping speed"), "2.0 mph by default");
  typed = see;
  typed.insert(typed.end(), {"--speed", "1 mph"});
  EXPECT_EQ(by(typed, "creeping speed"), "1.0 mph by as asked");
}

TEST(Fit, ATieThatNobodyLookedBehindIsNoAnswer) {
  const Ran ran = RunCli(OnTheYard({"ties", "DZ-701", "--carrier", "CA-901", "--tie",
                                    "4 x 1/2 in grade 70 direct front"}),
                         RunSetting{});
  EXPECT_EQ(ran.exit, ExitCode::kRefused);
  EXPECT_THAT(ran.out, HasSubstr("NO ANSWER: articulation of DZ-701 is not known"));
}

TEST(Fit, DrawsIntoTheFileThatIsNamed) {
  const std::string path = testing::TempDir() + "chockwise_fit_test.svg";
  std::vector<std::string> typed = OnTheYard({"path", "TH-201", "s2-bay-1", "yard-cross"});
  typed.insert(typed.end(), {"--svg", path});
  EXPECT_EQ(RunCli(typed, RunSetting{}).exit, ExitCode::kOk);
  std::ifstream file(path);
  const std::string drawn{std::istreambuf_iterator<char>(file), {}};
  std::remove(path.c_str());
  EXPECT_THAT(drawn, HasSubstr("<svg"));
  EXPECT_THAT(drawn, HasSubstr("</svg>"));
}

}  // namespace
}  // namespace chockwise::cli
