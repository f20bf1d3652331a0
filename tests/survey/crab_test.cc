// Wheels that stay parallel: a machine that goes crabwise keeps its heading, on one trip or by the
// register always.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>

#include "services/survey/machines.h"
#include "services/survey/path.h"
#include "services/survey/route.h"
#include "services/survey/seeing.h"
#include "tests/survey/train_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;

constexpr const char* kAngle = "TH-201 crab-angle,35 deg,,forks,dov,2026-11-02T08:00:00Z\n";

yard::Yard CrabYard(const std::string& readings = kAngle,
                    const std::string& steering = "all-wheel") {
  yard::YardFiles files = DemoFiles();
  const size_t taped = files.measurements_csv.find("TH-201 crab-angle");
  files.measurements_csv.erase(taped, files.measurements_csv.find('\n', taped) + 1 - taped);
  files.measurements_csv += readings;
  const std::string row = "TH-201,Shop telehandler,telehandler,s2-bay-1,forks,0,";
  const size_t at = files.machines_csv.find(row + "all-wheel");
  if (at == std::string::npos) throw std::runtime_error("TH-201 is another machine now");
  files.machines_csv.replace(at, row.size() + 9, row + steering);
  return Read(files);
}

Outcome<fit::TurningMachine> TurningOf(const yard::Yard& yard, const char* id, Wheels wheels) {
  Readings readings(yard, At(yard).when);
  return Turning(readings, MachineIn(yard, id), wheels);
}

/// 20 ft 4 in long, 8 ft wide; its middle is 6 ft 9 in and half of 9 ft 6 in behind the front.
fit::TurningMachine ByHand() {
  const fit::Metres ahead = fit::Inches(81 + 57), length = fit::Inches(244);
  return {
      .steering = fit::Steering::kCrab,
      .most_steer = fit::Degrees(35),
      .boxes = {
          {.ahead = ahead, .behind = length - ahead, .left = fit::Feet(4), .right = fit::Feet(4)}}};
}

TEST(Crab, IsTheLibrarysMachineOfTheSameReadings) {
  const fit::Line bend = {{0, 0}, {10, 0}, {20, 5}, {30, 5}};  // by 26.6 deg aside
  for (const auto& [yard, wheels] : {std::pair(CrabYard(), Wheels::kParallel),
                                     std::pair(CrabYard(kAngle, "crab"), Wheels::kSteered),
                                     std::pair(CrabYard(kAngle, "crab"), Wheels::kParallel)}) {
    const auto machine = TurningOf(yard, "TH-201", wheels);
    ASSERT_TRUE(machine) << machine.error().Text();
    const auto one = fit::DriveAlong({.machine = *machine, .line = bend});
    const auto other = fit::DriveAlong({.machine = ByHand(), .line = bend});
    ASSERT_TRUE(one && other);
    EXPECT_FALSE(one->shortfall);
    ASSERT_EQ(one->units.size(), 1u);
    ASSERT_EQ(one->units[0].frames.size(), other->units[0].frames.size());
    for (size_t i = 0; i < one->units[0].frames.size(); ++i) {
      EXPECT_LT(LengthM(one->units[0].frames[i].at - other->units[0].frames[i].at), 1e-9);
      EXPECT_EQ(one->units[0].frames[i].along, (fit::Point{1, 0})) << "its body turns";
    }
    EXPECT_EQ(one->units[0].boxes.front().ahead, ByHand().boxes.front().ahead);
    EXPECT_NEAR(one->most_steer.degrees(), 26.565, 1e-3);
  }
}

TEST(Crab, GoesNoFartherAsideThanItsWheelsTurn) {
  const auto machine = TurningOf(CrabYard(), "TH-201", Wheels::kParallel);
  ASSERT_TRUE(machine);
  for (const double side : {1.0, -1.0}) {
    const auto driven =
        fit::DriveAlong({.machine = *machine, .line = {{0, 0}, {10, 0}, {20, side * 8}}});
    ASSERT_TRUE(driven && driven->shortfall);
    EXPECT_EQ(driven->shortfall->what, fit::Shortfall::What::kSteer);
    EXPECT_NEAR(driven->shortfall->needed.degrees(), 38.66, 0.01);
  }
}

const Trip& Across() {
  static const Trip across = TripOf("TH-201", "yard-cross", "s1-apron");
  return across;
}

TEST(Crab, IsAskedForOneTrip) {
  const yard::Yard yard = CrabYard();
  const auto crabwise = DriveOf(At(yard), Across(), {.wheels = Wheels::kParallel});
  ASSERT_TRUE(crabwise) << crabwise.error().Text();
  EXPECT_EQ(crabwise->machine.steering, fit::Steering::kCrab);
  const auto steered = DriveOf(At(yard), Across(), {});
  ASSERT_TRUE(steered);
  EXPECT_EQ(steered->machine.steering, fit::Steering::kMiddle);
  for (const auto& answer : {KeepsClear(At(yard), Across(), {.wheels = Wheels::kParallel}),
                             LeavesFree(At(yard), Across(), {.wheels = Wheels::kParallel})}) {
    ASSERT_TRUE(answer) << answer.error().Text();
    EXPECT_TRUE(std::ranges::any_of(answer->inputs, [](const fit::Input& input) {
      return input.name == "it goes" && input.value == "crabwise" && input.by == "as asked";
    }));
  }
  const auto seen = SpotterIsSeen(At(yard), Across(), {.wheels = Wheels::kParallel});
  EXPECT_TRUE(seen || seen.error().Text().find("way of TH-201") != std::string::npos)
      << LineOf(seen);
}

TEST(Crab, IsRefusedOfAMachineThatDoesNotWalkSo) {
  const yard::Yard yard = CrabYard();
  EXPECT_THAT(LineOf(KeepsClear(At(yard), TripOf("ST-101", "s1-bay-1", "s1-apron"),
                                {.wheels = Wheels::kParallel})),
              HasSubstr("steering of ST-101 is front-axle, and so it does not go crabwise"));
  yard::YardFiles files = DemoFiles();
  files.machines_csv = TowedRegister(files.machines_csv, "TH-201", "DL-961",
                                     "DL-961,Trailer dolly,trailer,s2-bay-1,,0,,\n");
  EXPECT_THAT(
      LineOf(KeepsClear(At(Read(files)), Across(), {.wheels = Wheels::kParallel})),
      HasSubstr("TH-201 tows DL-961: going crabwise is not computed for a train; unhitch it"));
}

TEST(Crab, NeedsItsAngleFresh) {
  const auto line = [](const yard::Yard& yard) {
    return LineOf(KeepsClear(At(yard), Across(), {.wheels = Wheels::kParallel}));
  };
  EXPECT_THAT(line(CrabYard("")), AllOf(HasSubstr("crab-angle of TH-201"), HasSubstr("nobody")));
  EXPECT_THAT(line(CrabYard("TH-201 crab-angle,35 deg,,forks,dov,2025-10-20T08:00:00Z\n")),
              AllOf(HasSubstr("crab-angle of TH-201"), HasSubstr("365 days")));
  // With another attachment it may be another angle.
  EXPECT_THAT(line(CrabYard("TH-201 crab-angle,35 deg,,jib,dov,2026-11-02T08:00:00Z\n")),
              HasSubstr("crab-angle of TH-201 with forks is unknown"));
}

TEST(Crab, StandsAslantOnItsLaneSoItsRideIsNotKnown) {
  const yard::Yard yard = CrabYard(kAngle, "crab");
  const std::vector<std::string> said = {
      LineOf(GoesUnder(At(yard), Across(), fit::Travel::kForwards)),
      LineOf(ClearsGround(At(yard), Across(), fit::Travel::kForwards)),
      LineOf(FindsWay(At(yard), Across(), {}))};
  for (const std::string& line : said)
    EXPECT_THAT(
        line, HasSubstr("TH-201 steers by crab: its ride over the lanes is not computed so; look"));
}

}  // namespace
}  // namespace chockwise::survey
