// The search for a way against the questions that a gate asks of the way it finds: wires, ride and
// swept path. What one of them refuses, the search does not take.
#include "services/survey/route.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <regex>

#include "services/survey/path.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

bool IsClear(const Outcome<fit::Answer>& answer) {
  return answer && answer->verdict == fit::Verdict::kClear;
}

Trip By(Trip trip, std::initializer_list<const char*> lanes) {
  for (const char* lane : lanes) trip.by.emplace_back(lane);
  return trip;
}

// 29 CFR 1926.1408 Table A: 10 ft to 50 kV, 15 ft to 200 kV; (a)(2): 20 ft where nobody knows.
TEST(FindsWay, AWireKeepsTheClearanceOfItsVoltage) {
  const Trip trip = By(TripOf("WL-402", "wash-pad", "ready-line"), {"ring-way"});
  int clear = 0, kept_out = 0;
  for (const char* voltage : {"12.47 kV", "138 kV", "345 kV", ""}) {
    for (int feet = 22; feet <= 42; ++feet) {
      const yard::Yard yard = DemoYard([&](std::string& text) {
        text = std::regex_replace(text, std::regex("ring-wire headroom,[^,]*"),
                                  fmt::format("ring-wire headroom,{} ft 3 in", feet));
        text = *voltage == '\0'
                   ? std::regex_replace(text, std::regex("ring-wire voltage,[^\n]*\n"), "")
                   : std::regex_replace(text, std::regex("ring-wire voltage,[^,]*"),
                                        fmt::format("ring-wire voltage,{}", voltage));
      });
      const auto wires = WiresAreClear(At(yard), trip, fit::Travel::kForwards);
      const auto route = FindsWay(At(yard), trip, {});
      EXPECT_EQ(IsClear(route), IsClear(wires))
          << voltage << " at " << feet << " ft: " << LineOf(wires) << "; " << LineOf(route);
      ++(IsClear(wires) ? clear : kept_out);
    }
  }
  EXPECT_GT(clear, 20);
  EXPECT_GT(kept_out, 20);
}

TEST(FindsWay, GoesRoundAWireThatIsTooLow) {
  const Trip trip = TripOf("WL-402", "wash-pad", "ready-line");
  const yard::Yard low = With("ring-wire headroom,27 ft 6 in", "ring-wire headroom,22 ft");
  EXPECT_THAT(LineOf(WiresAreClear(At(low), By(trip, {"ring-way"}), fit::Travel::kForwards)),
              HasSubstr("KEEP OUT"));
  const auto round = SearchOf(At(low), trip, {});
  ASSERT_TRUE(round) << round.error().Text();
  ASSERT_TRUE(round->found.route) << DriversLine(round->found, fit::UnitSystem::kUs);
  EXPECT_THAT(LanesOf(*round, *round->found.route),
              ElementsAre(yard::LaneId("wash-way"), yard::LaneId("ready-way")));
}

/// In the order of the answer; empty where it is no way.
std::vector<std::string> LanesOfWay(const Outcome<SearchedRoute>& searched) {
  std::vector<std::string> lanes;
  if (!searched || !searched->found.route) return lanes;
  for (const yard::LaneId& lane : LanesOf(*searched, *searched->found.route))
    lanes.push_back(lane.value());
  return lanes;
}

fit::Travel TravelOf(const fit::RouteLeg& leg) {
  return leg.facing == fit::LaneFacing::kTailFirst ? fit::Travel::kReversing
                                                   : fit::Travel::kForwards;
}

// ST-104 is 12 ft 4 in and bounces 3 in: half an inch is left on level ground, and the sill lifts
// it by 2 in.
TEST(FindsWay, ASillLiftsTheMachineUnderTheDoor) {
  yard::Yard yard = With(
      "door-2 clear-height,14 ft 0 in,,,dov,2026-09-14T08:20:00Z\ndoor-2 clear-width,14 ft 0 "
      "in,,,dov,2026-09-14T08:20:00Z\ndoor-2 sill-height,1/2 in",
      "door-2 clear-height,12 ft 7 1/2 in,,,dov,2026-09-14T08:20:00Z\ndoor-2 clear-width,14 ft "
      "0 in,,,dov,2026-09-14T08:20:00Z\ndoor-2 sill-height,2 in");
  const Trip trip = TripOf("ST-104", "s1-bay-2", "s1-apron");
  EXPECT_THAT(LineOf(GoesUnder(At(yard), trip, fit::Travel::kForwards)),
              HasSubstr("STOP door-2: 4 in short"));
  const auto route = FindsWay(At(yard), trip, {});
  EXPECT_FALSE(IsClear(route)) << LineOf(route);
  EXPECT_THAT(LineOf(route), HasSubstr("NO WAY: bay-2-way: door-2 is "));
}

/// What would have to change is enough, and what the question about it alone says is in it: the
/// door raised by so much goes, and raised by what was short before the ride does not.
TEST(FindsWay, SaysHowMuchWouldSurelyDo) {
  const Trip trip = TripOf("ST-102", "s1-bay-1", "s1-apron");
  const auto at = [&](fit::Metres height) {
    yard::Yard yard = DemoYard();
    ChangeReading(yard, "door-1", "clear-height", height);
    return yard;
  };
  // 11 ft 2 in and 3 in of bounce: 7 in short without the sill of half an inch.
  const fit::Metres low = fit::Feet(10) + fit::Inches(10);
  const auto short_by = SearchOf(At(at(low)), trip, {.travel = fit::Travel::kForwards});
  ASSERT_TRUE(short_by) << short_by.error().Text();
  ASSERT_FALSE(short_by->found.route);
  ASSERT_EQ(short_by->found.changes.size(), 1u)
      << Text(short_by->found.changes[1], At(at(low)).units);
  const fit::LaneShort& change = short_by->found.changes.front();
  EXPECT_EQ(change.at, "door-1");
  ASSERT_TRUE(change.length);
  EXPECT_GT(*change.length, fit::Inches(7.4));
  // The readings and the ground may be off by some 2 in together.
  EXPECT_LT(*change.length, fit::Inches(10));
  const RouteAsked forwards{.travel = fit::Travel::kForwards};
  EXPECT_TRUE(
      IsClear(FindsWay(At(at(low + *change.length + fit::Millimetres(1))), trip, forwards)));
  EXPECT_FALSE(IsClear(FindsWay(At(at(low + fit::Inches(7))), trip, forwards)));
}

// A sag of 16 % right under the door: the middle of the machine hangs over it, A x L / 4 less under
// the header (the room's own closed form), and the search alone does not see it.
TEST(FindsWay, ADipUnderADoorIsRidden) {
  yard::Yard yard = DemoYard();
  yard::Lane& lane = yard.lanes.at(yard::LaneId("bay-1-way"));
  const yard::Door& door = yard.doors.at(yard::DoorId("door-1"));
  // Down at 8 % to the door, and up again behind it: 12 m each way.
  const double metre_deg = 1 / 110'700.0;
  const yard::Position start = lane.line.front();
  const auto at = [&](double along_m, double elevation_m) {
    return yard::Position{.longitude_deg = start.longitude_deg,
                          .latitude_deg = start.latitude_deg - along_m * metre_deg,
                          .elevation_m = elevation_m};
  };
  const double door_m = door.along.metres();
  lane.line = {start, at(door_m, 12.2 - 0.08 * door_m), at(2 * door_m, 12.2), lane.line.back()};
  const Trip trip = TripOf("ST-102", "s1-bay-1", "s1-apron");
  ChangeReading(yard, "door-1", "clear-height", fit::Feet(11) + fit::Inches(9));
  const auto under = GoesUnder(At(yard), trip, fit::Travel::kForwards);
  EXPECT_THAT(LineOf(under), HasSubstr("STOP door-1"));
  const auto route = FindsWay(At(yard), trip, {});
  EXPECT_FALSE(IsClear(route)) << LineOf(route);
  EXPECT_THAT(LineOf(route), HasSubstr("door-1 is "));
}

TEST(FindsWay, WhatStrikesOnTheWayIsNoWay) {
  // The lowboy of 53 ft leaves the bay towards the wall between the doors.
  const Trip trip = TripOf("CA-901", "s1-bay-1", "s1-apron");
  for (const fit::Travel travel : {fit::Travel::kForwards, fit::Travel::kReversing})
    EXPECT_FALSE(IsClear(KeepsClear(At(DemoYard()), trip, {.travel = travel})));
  const auto route = FindsWay(At(DemoYard()), trip, {});
  EXPECT_FALSE(IsClear(route)) << LineOf(route);
  EXPECT_THAT(LineOf(route), HasSubstr("NO WAY: bay-1-way"));
}

TEST(FindsWay, TurnsBetweenLanesCount) {
  const yard::Yard yard = DemoYard();
  // Out of one bay and into the next is a turn of about 150 deg on the apron.
  const Trip trip = TripOf("ST-104", "s1-bay-2", "s1-bay-3");
  EXPECT_THAT(LineOf(KeepsClear(At(yard), trip, {})), HasSubstr("WILL NOT TURN"));
  for (const fit::Travel travel : {fit::Travel::kForwards, fit::Travel::kReversing}) {
    const auto route = FindsWay(At(yard), trip, {.travel = travel});
    EXPECT_FALSE(IsClear(route)) << LineOf(route);
  }
  const auto turning = SearchOf(At(yard), trip, {});
  ASSERT_TRUE(turning) << turning.error().Text();
  ASSERT_TRUE(turning->found.route) << DriversLine(turning->found, fit::UnitSystem::kUs);
  EXPECT_GE(turning->found.route->reversals, 1);
  const auto lowboy = FindsWay(At(yard), TripOf("CA-901", "s1-bay-1", "street-gate"), {});
  EXPECT_FALSE(IsClear(lowboy)) << LineOf(lowboy);
}

/// Every way that it finds without a reversal is clear by each question that a gate asks of it.
TEST(FindsWay, WhatItFindsEveryQuestionAgreesTo) {
  const yard::Yard yard = DemoYard();
  int ways = 0, reversed = 0, refused = 0;
  size_t pair = 0;
  for (const auto& [machine, unused] : yard.machines) {
    for (const auto& [from, start] : yard.places) {
      for (const auto& [to, end] : yard.places) {
        if (from == to || ++pair % 17 != 0) continue;
        const Trip trip{.machine = machine, .from = from, .to = to};
        const auto found = SearchOf(At(yard), trip, {});
        if (!found) continue;
        if (!found->found.route || found->found.route->reversals > 0) {
          ++(found->found.route ? reversed : refused);
          continue;
        }
        ++ways;
        Trip by = trip;
        by.by = LanesOf(*found, *found->found.route);
        const fit::Travel travel = TravelOf(found->found.route->legs.front());
        // What it was proven by is what the questions find that are asked alone.
        ASSERT_EQ(found->proven.size(), 1u);
        const ProvenStretch& proven = found->proven.front();
        EXPECT_EQ(proven.ridden.ride.below.margin, RideOf(At(yard), by, travel)->ride.below.margin);
        const auto driven = DriveOf(At(yard), by, {.travel = travel});
        ASSERT_EQ(proven.driven.swept.margins.size(), driven->swept.margins.size());
        for (size_t i = 0; i < driven->swept.margins.size(); ++i) {
          EXPECT_EQ(proven.driven.swept.margins[i].margin, driven->swept.margins[i].margin);
        }
        for (const auto& answer :
             {GoesUnder(At(yard), by, travel), ClearsGround(At(yard), by, travel),
              KeepsClear(At(yard), by, {.travel = travel}), WiresAreClear(At(yard), by, travel),
              GroundCarries(At(yard), by), FindsWay(At(yard), by, {.travel = travel})}) {
          EXPECT_TRUE(IsClear(answer)) << machine.value() << " from " << from.value() << " to "
                                       << to.value() << ": " << LineOf(answer);
        }
      }
    }
  }
  EXPECT_GT(ways, 40);
  EXPECT_GT(refused, 10);
  RecordProperty("ways", ways);
  RecordProperty("reversed", reversed);
  RecordProperty("refused", refused);
}

TEST(FindsWay, TheSteeperOfReadingAndMapCounts) {
  // The parts dock lies 3.2 m above the cross, 38 m off: more than 8 % on the map.
  const yard::Yard yard = With("parts-way grade,8.4 %", "parts-way grade,0.1 %");
  const Trip trip = TripOf("FL-501", "parts-dock", "yard-cross");
  const auto steep = FindsWay(At(yard), trip, {.most_grade = fit::Percent(2)});
  EXPECT_FALSE(IsClear(steep)) << LineOf(steep);
  EXPECT_THAT(LineOf(steep), HasSubstr("parts-way: "));
  EXPECT_THAT(LineOf(steep), HasSubstr("too steep by the map's elevations"));
  // And a reading that is steeper than the map stands.
  const yard::Yard read = With("parts-way grade,8.4 %", "parts-way grade,11 %");
  EXPECT_THAT(LineOf(FindsWay(At(read), trip, {.most_grade = fit::Percent(10)})),
              HasSubstr("parts-way: 1.0 % too steep"));
}

TEST(FindsWay, AnOldReadingIsNamedAndNotCalledAConflict) {
  const yard::Yard yard = DemoYard([](std::string& text) {
    text = std::regex_replace(text, std::regex("(\nheavy-1-way rated-mass,[^\n]*,)20[^\n]*"),
                              "$012025-01-01T08:00:00Z");
  });
  const auto route = FindsWay(At(yard), TripOf("TH-201", "s2-bay-1", "yard-cross"), {});
  ASSERT_FALSE(route) << route->line;
  EXPECT_EQ(route.error().sort, NoAnswer::Sort::kStale);
  EXPECT_EQ(route.error().input, "rated-mass of heavy-1-way");
}

TEST(FindsWay, TakenGroundAndClosedLanesAreNamed) {
  const Trip trip = TripOf("TH-201", "s2-bay-1", "yard-cross");
  const yard::LaneId lane("heavy-1-way");
  EXPECT_EQ(LineOf(FindsWay(At(DemoYard()), trip, {.taken = {{lane, "WL-402"}}})),
            "NO WAY: heavy-1-way: taken by WL-402");
  EXPECT_EQ(LineOf(FindsWay(At(DemoYard()), trip, {.closed = {{lane, "door-3, out of service"}}})),
            "NO WAY: heavy-1-way: closed by door-3, out of service");
}

/// The lanes that a trip names are asked in their order, however they lie on the map.
TEST(FindsWay, NamedLanesAreTakenAsNamed) {
  const Trip round = By(TripOf("TH-201", "s2-bay-1", "s2-bay-1"),
                        {"heavy-1-way", "ready-way", "ready-way", "heavy-1-way"});
  const auto route = SearchOf(At(DemoYard()), round, {});
  ASSERT_TRUE(route) << route.error().Text();
  EXPECT_FALSE(route->found.route) << "it turns about on one lane without a reversal";
  const Trip there = By(TripOf("TH-201", "s2-bay-1", "ready-line"), {"heavy-1-way", "ready-way"});
  EXPECT_THAT(LanesOfWay(SearchOf(At(DemoYard()), there, {})),
              ElementsAre("heavy-1-way", "ready-way"));
}

}  // namespace
}  // namespace chockwise::survey
