// Law 2 for what hangs behind a machine: every reading of every unit, missing, 13 months old or
// still to come, refuses by name; and what is not known of a train is refused and not guessed.
#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <functional>
#include <string>
#include <vector>

#include "services/survey/fit_register.h"
#include "services/survey/loading.h"
#include "services/survey/path.h"
#include "services/survey/route.h"
#include "services/survey/seeing.h"
#include "services/survey/standing.h"
#include "services/survey/stopping.h"
#include "tests/survey/train_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::AllOf;
using ::testing::HasSubstr;

using Ask = std::function<std::string(const Asked&)>;

const Trip& Out() {
  static const Trip out = TripOf("ST-104", "truck-row", "s1-apron");
  return out;
}

struct Row {
  std::string name;
  Ask ask;
  std::string subject, quantity;
};
void PrintTo(const Row& row, std::ostream* out) { *out << row.name; }

/// Its readings of rear and right have nobody tried, and nothing is seen there.
Outcome<fit::Answer> Stop(const Asked& asked) {
  return Stops(
      asked, {.machine = Out().machine, .way = Out(), .question = {.speed = fit::MilesPerHour(5)}});
}

std::vector<Row> Rows() {
  const Ask path = [](const Asked& asked) { return LineOf(KeepsClear(asked, Out(), {})); };
  const Ask leaves = [](const Asked& asked) { return LineOf(LeavesFree(asked, Out(), {})); };
  const Ask under = [](const Asked& asked) {
    return LineOf(GoesUnder(asked, Out(), fit::Travel::kForwards));
  };
  const Ask carries = [](const Asked& asked) { return LineOf(GroundCarries(asked, Out())); };
  const Ask stops = [](const Asked& asked) { return LineOf(Stop(asked)); };
  const Ask route = [](const Asked& asked) { return LineOf(FindsWay(asked, Out(), {})); };
  std::vector<Row> rows;
  const auto add = [&](const char* name, const Ask& ask, const char* subject,
                       const std::vector<std::string>& quantities) {
    for (const std::string& quantity : quantities)
      rows.push_back({.name = name, .ask = ask, .subject = subject, .quantity = quantity});
  };
  for (const char* unit : {"DL-961", "FT-962"}) {
    const std::vector<std::string> lengths = {"coupling-to-axle", "trailer-front-overhang",
                                              "trailer-rear-overhang", "carried-length"};
    add("path", path, unit, lengths);
    add("path", path, unit, {"carried-width"});
    add("leaves", leaves, unit, {"carried-width"});
    add("under", under, unit, lengths);
    add("under", under, unit,
        {"coupling-height", "carried-height", "belly-clearance", "wheel-radius"});
    add("carries", carries, unit, {"mass"});
    add("stops", stops, unit, {"mass", "coupling-to-axle", "trailer-rear-overhang"});
    add("route", route, unit, {"mass", "carried-height", "carried-width", "coupling-to-axle"});
  }
  add("stops", stops, "DL-961", {"coupling-height"});
  for (const char* unit : {"ST-104", "DL-961"}) {
    add("path", path, unit, {"hitch-behind-axle"});
    add("under", under, unit, {"hitch-behind-axle"});
    add("stops", stops, unit, {"hitch-behind-axle"});
  }
  return rows;
}

yard::Yard Changed(const Row& row, const std::function<void(yard::Measurement&)>& change) {
  yard::Yard yard = TrainYard();
  yard::ChangeReadings(yard, [&](yard::Measurement& reading) {
    if (reading.subject == row.subject && reading.quantity == row.quantity) change(reading);
  });
  return yard;
}

class UnknownOfATrain : public ::testing::TestWithParam<Row> {};

TEST_P(UnknownOfATrain, IsRefusedByName) {
  const Row& row = GetParam();
  const std::string name = fmt::format("refused: {} of {}", row.quantity, row.subject);
  ASSERT_THAT(row.ask(At(TrainYard())), ::testing::Not(HasSubstr("refused")));
  yard::Yard without = TrainYard();
  yard::LoseReadings(without, [&](const yard::Measurement& reading) {
    return reading.subject == row.subject && reading.quantity == row.quantity;
  });
  EXPECT_THAT(row.ask(At(without)), AllOf(HasSubstr(name), HasSubstr("nobody has measured it")));
  const yard::Yard old =
      Changed(row, [](yard::Measurement& reading) { reading.when = kNoon - fit::Days(396); });
  EXPECT_THAT(row.ask(At(old)), AllOf(HasSubstr(name), HasSubstr("counts for 365 days")));
  const yard::Yard early =
      Changed(row, [](yard::Measurement& reading) { reading.when = kNoon + fit::Days(1); });
  EXPECT_THAT(row.ask(At(early)), AllOf(HasSubstr(name), HasSubstr("still to come")));
}

std::string NameOf(const ::testing::TestParamInfo<Row>& one) {
  std::string name = fmt::format("{}_{}_{}", one.param.name, one.param.subject, one.param.quantity);
  std::ranges::replace(name, '-', '_');
  return name;
}
INSTANTIATE_TEST_SUITE_P(Law2, UnknownOfATrain, ::testing::ValuesIn(Rows()), NameOf);

TEST(UnknownOfATrain, ALengthOfNothingIsRefused) {
  for (const char* unit : {"DL-961", "FT-962"}) {
    for (const double metres : {0.0, -2.0}) {
      yard::Yard yard = TrainYard();
      ChangeReading(yard, unit, "coupling-to-axle", fit::InMetres(metres));
      const std::string name = fmt::format("coupling-to-axle of {}", unit);
      EXPECT_THAT(LineOf(KeepsClear(At(yard), Out(), {})), HasSubstr(name));
      EXPECT_THAT(LineOf(GoesUnder(At(yard), Out(), fit::Travel::kForwards)), HasSubstr(name));
      EXPECT_THAT(LineOf(Stop(At(yard))), HasSubstr(name));
    }
  }
}

TEST(UnknownOfATrain, ReadingsThatContradictEachOtherAreNoTrain) {
  const auto said = [](const char* unit, const char* quantity, fit::Metres value) {
    yard::Yard yard = TrainYard();
    ChangeReading(yard, unit, quantity, value);
    for (const std::string& line :
         {LineOf(KeepsClear(At(yard), Out(), {})), LineOf(Stop(At(yard)))})
      EXPECT_THAT(line, HasSubstr("refused")) << unit << " " << quantity;
    return LineOf(GoesUnder(At(yard), Out(), fit::Travel::kForwards));
  };
  // 3 ft, 20 ft and 4 ft are its 27 ft.
  EXPECT_THAT(said("FT-962", "coupling-to-axle", fit::Feet(2)),
              HasSubstr("carried-length of FT-962"));
  EXPECT_THAT(said("FT-962", "carried-length", fit::Feet(36)),
              HasSubstr("carried-length of FT-962"));
  // The dolly would roll under the truck, the body under the dolly.
  EXPECT_THAT(said("ST-104", "hitch-behind-axle", -fit::Feet(15)),
              HasSubstr("hitch-behind-axle of ST-104 puts DL-961 under"));
  EXPECT_THAT(said("DL-961", "hitch-behind-axle", -fit::Feet(10)),
              HasSubstr("hitch-behind-axle of DL-961 puts FT-962 under"));
}

TEST(UnknownOfATrain, NobodyPromisesToBackItOverTwoCouplings) {
  const yard::Yard yard = TrainYard();
  for (const auto& answer : {KeepsClear(At(yard), Out(), {.travel = fit::Travel::kReversing}),
                             LeavesFree(At(yard), Out(), {.travel = fit::Travel::kReversing})}) {
    EXPECT_THAT(LineOf(answer), HasSubstr("backs over 2 couplings"));
  }
  const auto searched = SearchOf(At(yard), Out(), {});
  ASSERT_TRUE(searched) << searched.error().Text();
  EXPECT_EQ(searched->question.reversals, fit::RouteQuestion::Reversals::kNone);
  EXPECT_EQ(searched->question.depart, fit::LaneFacing::kNoseFirst);
}

TEST(UnknownOfATrain, WhatKnowsSingleMachinesAloneRefusesIt) {
  const yard::Yard yard = TrainYard();
  const Asked asked = At(yard);
  const yard::MachineId truck("ST-104"), lowboy("CA-901"), trailer("TR-951");
  const std::vector<std::string> said = {
      LineOf(Stands(asked, {.machine = truck, .place = yard::PlaceId("truck-row")})),
      LineOf(AxlesHavePlace(asked, {.machine = truck, .carrier = lowboy})),
      LineOf(AxlesCarry(asked, {.machine = truck, .carrier = lowboy, .at = fit::Feet(8)})),
      LineOf(ClimbsOnto(asked, {.machine = truck, .carrier = lowboy})),
      LineOf(LoadHolds(asked, {.machine = truck, .carrier = lowboy, .ties = {}})),
      LineOf(EntersTrailer(asked, {.forklift = truck,
                                   .trailer = trailer,
                                   .dock = yard::PlaceId("parts-dock"),
                                   .load = fit::Pounds(500),
                                   .load_length = fit::Feet(4)})),
      LineOf(AlarmIsHeard(
          asked,
          {.machine = truck, .place = yard::PlaceId("s1-apron"), .distance = fit::Feet(20)}))};
  for (const std::string& line : said) {
    EXPECT_THAT(line, HasSubstr("refused: ST-104 tows DL-961, FT-962: "));
    EXPECT_THAT(line, HasSubstr(" is not computed for a train; unhitch it, and take what it tows"));
  }
}

TEST(UnknownOfATrain, WhatHangsBehindDoesNotGoByItself) {
  const yard::Yard yard = TrainYard();
  const Trip trip = TripOf("FT-962", "truck-row", "s1-apron");
  const std::vector<std::string> said = {LineOf(KeepsClear(At(yard), trip, {})),
                                         LineOf(GroundCarries(At(yard), trip)),
                                         LineOf(GoesUnder(At(yard), trip, fit::Travel::kForwards)),
                                         LineOf(FindsWay(At(yard), trip, {}))};
  for (const std::string& line : said)
    EXPECT_THAT(line, HasSubstr("machine FT-962 hangs behind ST-104 and does not go by itself"));
}

TEST(Register, PassesWhatIsTowedInTheRowsOfWhatTowsIt) {
  const yard::Yard yard = TrainYard(), apart = Unhitched(yard);
  const auto rows_of = [](const yard::Yard& of, const char* machine) {
    const FitRegister all = RegisterOf(At(of), [](Progress) {});
    std::vector<FitRow> rows;
    std::ranges::copy_if(all.rows, std::back_inserter(rows),
                         [&](const FitRow& row) { return row.machine == machine; });
    return rows;
  };
  EXPECT_TRUE(rows_of(yard, "FT-962").empty());
  const auto together = rows_of(yard, "ST-104"), alone = rows_of(apart, "ST-104");
  ASSERT_FALSE(alone.empty());
  ASSERT_EQ(together.size(), alone.size());
  for (size_t i = 0; i < alone.size(); ++i) {
    ASSERT_TRUE(together[i].above && alone[i].above) << together[i].why;
    // 4 in higher, 3 in wider in all, a belly 2 in lower, and every overhang of its own.
    EXPECT_LT(*together[i].above, *alone[i].above) << alone[i].door;
    EXPECT_LT(*together[i].each_side, *alone[i].each_side) << alone[i].door;
    EXPECT_LT(*together[i].below, *alone[i].below) << alone[i].door;
  }
}

// By hand at 5 mph on 0.6 %, read 0.2 % steeper: what brakes is weighed 1 % light, all that rolls 1
// % heavy, tapes 1/2 in off. Of ST-104 21,300 lb of 31,400 stand on braked wheels, 17,600 lb hang
// behind at 30 in.
TEST(Stops, WithWhatItTowsItHasItsOwnBrakesAlone) {
  const yard::Yard yard = TrainYard();
  Readings readings(yard, At(yard).when);
  const auto motion = MotionOf(readings, MachineIn(yard, "ST-104"), fit::Percent(-0.8));
  ASSERT_TRUE(motion) << motion.error().Text();
  const double own = 1.01 * 31'400, behind = 1.01 * 17'600, all = own + behind;
  EXPECT_NEAR(motion->wheels.share, 0.99 * 21'300 / all, 1e-12);
  const double base_in = 206 - 0.5;
  EXPECT_NEAR(motion->wheels.height_over_wheelbase,
              (own * 56.5 / base_in + behind * 30.5 / base_in) / all, 1e-12);
  const auto together = Stop(At(yard)), alone = Stop(At(Unhitched(yard)));
  ASSERT_TRUE(together && alone) << LineOf(together) << LineOf(alone);
  const auto told = [](const fit::Answer& answer) {
    return std::ranges::any_of(answer.inputs, [](const fit::Input& input) {
      return input.name == "brakes of what it tows" && input.value == "not counted";
    });
  };
  EXPECT_TRUE(told(*together));
  EXPECT_FALSE(told(*alone));
}

TEST(Stops, WhereEveryWheelBrakesItsShareIsOfAllThatRolls) {
  yard::Yard yard = TrainYard();
  ChangeReading(yard, "ST-104", "braked-mass", fit::Pounds(31'400));
  Readings readings(yard, At(yard).when);
  const auto motion = MotionOf(readings, MachineIn(yard, "ST-104"), fit::Percent(0));
  ASSERT_TRUE(motion) << motion.error().Text();
  EXPECT_NEAR(motion->wheels.share, 0.99 * 31'400 / (0.99 * 31'400 + 1.01 * 17'600), 1e-12);
  EXPECT_EQ(motion->wheels.height_over_wheelbase, 0);
}

TEST(Sight, WhatHangsBehindHidesAllBehindIt) {
  yard::YardFiles files = DemoFiles();
  files.measurements_csv += "ST-104 ground-seen-rear,3 ft,,crane,dov,2026-11-02T08:00:00Z\n";
  const yard::Yard alone = Read(files);
  files.machines_csv = TowedRegister(files.machines_csv, "ST-104", "DL-961; FT-962",
                                     "DL-961,Trailer dolly,trailer,truck-row,,0,,\n"
                                     "FT-962,Trailer body,trailer,truck-row,,2,,\n");
  files.measurements_csv += kTrainReadings;
  const yard::Yard train = Read(files);
  // Its eye is 1 ft 8 in left of the middle; whoever stands straight behind it, 100 ft off.
  const fit::Point behind{-30, 0.5}, far_right{-2, -25};
  for (const bool tows : {false, true}) {
    const yard::Yard& yard = tows ? train : alone;
    const auto driven = DriveOf(At(yard), Out(), {});
    ASSERT_TRUE(driven) << driven.error().Text();
    Readings readings(yard, At(yard).when);
    const auto sight = Sight(readings, MachineIn(yard, "ST-104"), {}, *driven);
    ASSERT_TRUE(sight) << sight.error().Text();
    ASSERT_EQ(sight->zones.size(), 1u);
    EXPECT_EQ(fit::Hides(sight->zones.front(), behind), tows);
    // Nobody has tried what is seen on the right: it is hidden either way.
    EXPECT_TRUE(fit::Hides(sight->zones.front(), far_right));
  }
}

TEST(Horn, IsFartherFromWhoeverStandsAtTheTail) {
  const yard::Yard yard = TrainYard();
  const HornAsked horn{.machine = yard::MachineId("ST-104"),
                       .place = yard::PlaceId("s1-apron"),
                       .distance = fit::Feet(20)};
  const auto together = HornIsHeard(At(yard), horn);
  // 60 ft 2 in of train less 29 ft 8 in of truck.
  HornAsked farther = horn;
  farther.distance = fit::Feet(20) + fit::Feet(30) + fit::Inches(6);
  EXPECT_EQ(LineOf(together), LineOf(HornIsHeard(At(Unhitched(yard)), farther)));
  EXPECT_NE(LineOf(together), LineOf(HornIsHeard(At(Unhitched(yard)), horn)));
}

}  // namespace
}  // namespace chockwise::survey
