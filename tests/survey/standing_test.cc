// Where a machine stands, on the yard of the scenario, against numbers worked out by hand from its
// readings.
#include "services/survey/standing.h"

#include <fmt/format.h>
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::HasSubstr;
using ::testing::StartsWith;

Parking ParkingAt(const char* machine, const char* place) {
  return {.machine = yard::MachineId(machine), .place = yard::PlaceId(place)};
}

/// The area with its marked ground moved to a square of 2 m, its middle so far north of a place.
yard::Yard Moved(yard::Yard yard, const char* area, const char* place, fit::Metres north) {
  constexpr double kNorthMPerDeg = 110'704, kEastMPerDeg = 104'647;  // at 20 degrees north, WGS 84
  yard::Position middle = yard.places.at(yard::PlaceId(place)).position;
  middle.latitude_deg += north.metres() / kNorthMPerDeg;
  const double e = 1 / kEastMPerDeg, n = 1 / kNorthMPerDeg;
  const double x = middle.longitude_deg, y = middle.latitude_deg;
  yard.areas.at(yard::AreaId(area)).rings = {
      {{x - e, y - n}, {x + e, y - n}, {x + e, y + n}, {x - e, y + n}, {x - e, y - n}}};
  return yard;
}

TEST(Stands, EveryPartAgainstTheTape) {
  // Slope √(1.4² + 1.1²) = 1.78 % with 0.2 % of error each. Tyres on what is wet: 0.7 of 0.20;
  // 12,300 of 19,500 lb less 2 % are braked, and 46 1/2 over 161 1/2 in of what it holds shifts off
  // them: 0.14 x 0.618 / 1.040 = 8.3 %, over 1.5 5.5 %. Its chocks were tried on 8 %. 71 1/2 in
  // over twice 46 1/2 in tips at 37.55 degrees. The fire way's edge is 22.0 m (72 ft 2 in) south
  // and half the diagonal of 24 ft 6 in by 8 ft 2 in is 12 ft 11 in.
  const auto stands = Stands(At(DemoYard()), ParkingAt("ST-101", "s1-apron"));
  EXPECT_EQ(VerdictOf(stands), fit::Verdict::kClear);
  EXPECT_THAT(LinesOf(stands),
              testing::UnorderedElementsAre("BRAKES HOLD: grade 1.8 %, grip to 5.5 %",
                                            "CHOCKS HOLD: grade 1.8 %, tried to 7.8 %",
                                            "STANDS: leans as on 1.1 deg, tips at 37.5 deg",
                                            "LEAVES FREE: 59 ft 1 in to spare at fire-way"));
  EXPECT_LE(stands->answer.assumptions.size(), 2u);
}

TEST(Stands, SteelTracksHaveNoChocks) {
  const auto stands = Stands(At(DemoYard()), ParkingAt("EX-301", "ready-line"));
  ASSERT_EQ(LinesOf(stands).size(), 3u) << LineOf(stands);
  for (const std::string& line : LinesOf(stands)) EXPECT_EQ(line.find("CHOCK"), std::string::npos);
}

TEST(Stands, ABrakeHoldsNoSteeperThanItWasTriedOn) {
  const yard::Yard yard = With("ST-101 parking-brake-grade,20 %", "ST-101 parking-brake-grade,1 %");
  EXPECT_EQ(LineOf(Stands(At(yard), ParkingAt("ST-101", "s1-apron"))),
            "WILL ROLL: grade 1.8 %, grip to 0.8 %");
}

TEST(Stands, AChockThatIsTooLowIsClimbed) {
  // 1 in under a wheel of 36 in, read 1/2 in low and the wheel 1/2 in small: √(1.5 x 33.5) / 16 =
  // 0.443; 34.8 % on 0.6435 less 0.28 x 0.348 of the weight are 0.64, however the readings are off.
  yard::Yard yard = With("ST-101 chock-contact-height,7 in", "ST-101 chock-contact-height,1 in");
  ChangeReading(yard, "s1-apron", "long-slope", fit::Percent(35));
  Parking parking = ParkingAt("ST-101", "s1-apron");
  parking.surface = fit::Surface::kDryConcrete;
  const auto stands = Stands(At(yard), parking);
  EXPECT_EQ(VerdictOf(stands), fit::Verdict::kConflict);
  EXPECT_THAT(LinesOf(stands), testing::Contains("CHOCK TOO LOW: take a higher one"));
  // On 24 %, 0.413 as the readings favour it and 0.442 over 0.237 as they do not.
  ChangeReading(yard, "s1-apron", "long-slope", fit::Percent(24));
  EXPECT_THAT(LinesOf(Stands(At(yard), parking)),
              testing::Contains(StartsWith("CHOCK TOO LOW: take a higher one, or not: ")));
}

/// A chock that nobody tried is not proved by a wheel so small on wet ground: the line says so, and
/// says what would.
TEST(Stands, AChockThatNobodyTriedIsUndecided) {
  const auto stands = Stands(At(DemoYard()), ParkingAt("FL-501", "parts-dock"));
  EXPECT_NE(VerdictOf(stands), fit::Verdict::kClear);
  EXPECT_THAT(LinesOf(stands), testing::Contains(StartsWith("CHOCKS NOT PROVED: they may slide")));
  yard::Yard yard = With("FL-501 chock-contact-height,120 mm,,forks,dov,2026-10-22T08:20:00Z",
                         "FL-501 chock-contact-height,120 mm,,forks,dov,2026-10-22T08:20:00Z\n"
                         "FL-501 chock-grade,6 %,,forks,dov,2026-10-22T08:24:00Z");
  EXPECT_THAT(LinesOf(Stands(At(yard), ParkingAt("FL-501", "parts-dock"))),
              testing::Contains("CHOCKS HOLD: grade 1.0 %, tried to 5.8 %"));
}

TEST(Stands, ATrialOnWetGroundSaysNothingOfIce) {
  const yard::Yard yard = DemoYard();
  Parking parking = ParkingAt("ST-101", "s1-apron");
  parking.surface = fit::Surface::kIce;
  EXPECT_THAT(LinesOf(Stands(At(yard), parking)),
              testing::Contains(StartsWith("CHOCKS NOT PROVED")));
}

TEST(Stands, CloserThanTheReadingsMayBeOffIsUndecided) {
  // As read 2.0 and 0.9 % are 2.19 %, and the brake was tried on 2.2 %; both may be 0.2 % off.
  yard::Yard yard = DemoYard();
  ChangeReading(yard, "ST-101", "parking-brake-grade", fit::Percent(2.2));
  ChangeReading(yard, "s1-apron", "long-slope", fit::Percent(2.0));
  const auto stands = Stands(At(yard), ParkingAt("ST-101", "s1-apron"));
  EXPECT_EQ(VerdictOf(stands), fit::Verdict::kUndecided);
  EXPECT_THAT(LineOf(stands), StartsWith("WILL ROLL: grade 2.5 %, grip to 2.0 %, or not: "));
  ChangeReading(yard, "s1-apron", "long-slope", fit::Percent(2.8));
  EXPECT_EQ(VerdictOf(Stands(At(yard), ParkingAt("ST-101", "s1-apron"))), fit::Verdict::kConflict);
  ChangeReading(yard, "s1-apron", "long-slope", fit::Percent(1.0));
  EXPECT_EQ(VerdictOf(Stands(At(yard), ParkingAt("ST-101", "s1-apron"))), fit::Verdict::kClear);
}

TEST(Stands, WhatIsTopHeavyMayTip) {
  // 72 in over twice 240 in is 0.15, and with the reserve 0.10; the slope is 12 %, read 0.2 %
  // short.
  yard::Yard yard = With("ST-101 centre-height,3 ft 10 in", "ST-101 centre-height,20 ft");
  ChangeReading(yard, "s1-apron", "cross-slope", fit::Percent(12));
  Parking parking = ParkingAt("ST-101", "s1-apron");
  parking.surface = fit::Surface::kDryConcrete;
  EXPECT_THAT(LineOf(Stands(At(yard), parking)), StartsWith("MAY TIP: leans as on 7.1 deg"));
}

/// Steeper and slipperier is never better, whichever of the two slopes it is.
TEST(Stands, NothingHoldsOnASteeperSlopeThatDidNotOnAGentler) {
  for (const char* slope : {"long-slope", "cross-slope"}) {
    for (const fit::Surface surface :
         {fit::Surface::kDryConcrete, fit::Surface::kGravel, fit::Surface::kIce}) {
      bool held = true;
      int refused = 0;
      for (double percent = 0; percent <= 50; percent += 1) {
        yard::Yard yard = DemoYard();
        ChangeReading(yard, "s1-apron", slope, fit::Percent(percent));
        Parking parking = ParkingAt("ST-101", "s1-apron");
        parking.surface = surface;
        const bool holds = VerdictOf(Stands(At(yard), parking)) == fit::Verdict::kClear;
        EXPECT_TRUE(held || !holds) << slope << " " << percent;
        held = holds;
        refused += holds ? 0 : 1;
      }
      EXPECT_GT(refused, 10);
    }
  }
}

TEST(Stands, MoreBrakedThanItWeighsIsASlipOfThePen) {
  const yard::Yard yard =
      With("ST-101 braked-mass,\"12,300 lb\"", "ST-101 braked-mass,\"21,300 lb\"");
  const auto stands = Stands(At(yard), ParkingAt("ST-101", "s1-apron"));
  ASSERT_FALSE(stands) << LineOf(stands);
  EXPECT_EQ(stands.error().input, "braked-mass of ST-101");
  EXPECT_EQ(stands.error().sort, NoAnswer::Sort::kUnusable);
}

TEST(StandsFree, TheWayItPointsDecides) {
  // Pad 1 is 26 ft 2 in south of the fire way; CA-901 is 53 ft by 8 ft 6 in.
  const yard::Yard yard = DemoYard();
  const auto pointing = [&](std::optional<fit::Angle> bearing) {
    Parking parking = ParkingAt("CA-901", "carrier-pad-1");
    parking.bearing = bearing;
    return Stands(At(yard), parking);
  };
  EXPECT_THAT(LinesOf(pointing(fit::Degrees(90))),
              testing::Contains("LEAVES FREE: 21 ft 10 in to spare at fire-way"));
  EXPECT_THAT(LinesOf(pointing(fit::Degrees(270))),
              testing::Contains("LEAVES FREE: 21 ft 10 in to spare at fire-way"));
  EXPECT_EQ(VerdictOf(pointing(fit::Degrees(0))), fit::Verdict::kConflict);
  EXPECT_THAT(LineOf(pointing(std::nullopt)), StartsWith("MOVE OFF fire-way"));
}

/// Whatever stands free pointing any way stands free pointing one way, and with no more to spare.
TEST(StandsFree, AnyWayIsNoBetterThanTheWorstWay) {
  const yard::Yard yard = DemoYard();
  for (const char* place : {"carrier-pad-1", "ready-line", "truck-row", "s2-bay-1"}) {
    for (const char* machine : {"DZ-701", "EX-301", "CA-901", "FL-501"}) {
      Parking parking = ParkingAt(machine, place);
      const bool any = VerdictOf(Stands(At(yard), parking)) == fit::Verdict::kClear;
      for (double degrees = 0; degrees < 360; degrees += 15) {
        parking.bearing = fit::Degrees(degrees);
        const auto one = Stands(At(yard), parking);
        ASSERT_TRUE(one) << LineOf(one);
        EXPECT_TRUE(!any || VerdictOf(one) == fit::Verdict::kClear)
            << machine << " at " << place << " " << degrees;
      }
    }
  }
}

TEST(StandsFree, ANarrowFireWayNeedsTheGroundBesideIt) {
  // DZ-701 at pad 1 is 16 ft 2 in off it. Marked 14 ft wide, 6 ft beside it make the 20 ft; marked
  // 3 ft wide it would take 17 ft. An inch more is for tape and map.
  const auto marked = [](const char* width) {
    return Stands(At(With("fire-way marked-width,20 ft 2 in",
                          fmt::format("fire-way marked-width,{}", width))),
                  ParkingAt("DZ-701", "carrier-pad-1"));
  };
  EXPECT_THAT(LinesOf(marked("14 ft")),
              testing::Contains(StartsWith("LEAVES FREE: 10 ft 1 in to spare at fire-way")));
  EXPECT_EQ(LineOf(marked("3 ft")), "MOVE OFF fire-way: 11 in short");
}

TEST(StandsFree, AnExitOf28InchesIsWideEnough) {
  // DZ-701 covers 9 ft 11.6 in about the middle of pad 2; the exit's edge is 12 ft north of that,
  // 2 ft off: nearer than its 28 in.
  const fit::Metres north = fit::Feet(12) + fit::InMetres(1);
  const auto marked = [&](const char* width) {
    return Stands(At(Moved(With("shop-2-exit marked-width,12 ft 6 in",
                                fmt::format("shop-2-exit marked-width,{}", width)),
                           "shop-2-exit", "carrier-pad-2", north)),
                  ParkingAt("DZ-701", "carrier-pad-2"));
  };
  EXPECT_THAT(LinesOf(marked("28 in")),
              testing::Contains(StartsWith("LEAVES FREE: 1 ft 11 in to spare at shop-2-exit")));
  // 4 in short of its own width, it takes 4 in of the ground before it, and an inch for the tape.
  EXPECT_THAT(LinesOf(marked("24 in")),
              testing::Contains(StartsWith("LEAVES FREE: 1 ft 7 in to spare at shop-2-exit")));
}

// 30 CFR 56.14207: on a grade the tracks are chocked or turned into a bank. Nobody can see that
// from readings, so it is not clear.
TEST(Stands, TracksOnAGradeAreNotClear) {
  const auto on = [](const char* grade) {
    return Stands(At(With("carrier-pad-2 long-slope,1.9 %",
                          std::string("carrier-pad-2 long-slope,") + grade)),
                  ParkingAt("DZ-701", "carrier-pad-2"));
  };
  EXPECT_EQ(VerdictOf(on("1.9 %")), fit::Verdict::kClear);
  EXPECT_EQ(VerdictOf(on("4 %")), fit::Verdict::kUndecided);
  EXPECT_THAT(LinesOf(on("4 %")), testing::Contains(StartsWith("CHOCK THE TRACKS")));
}

TEST(StandsFree, APanelAsksItsDepthByItsVoltage) {
  // Table S-1 with live parts opposite: 4 ft to 600 V, 3 ft to 150 V. Marked 1 ft 6 in deep, 2 ft
  // 6 in or 1 ft 6 in are missing; 2 ft are there.
  const fit::Metres north = fit::Feet(12) + fit::InMetres(1);
  const auto panel = [&](const char* voltage) {
    yard::Yard yard =
        With("shop-1-panel marked-width,6 ft 6 in", "shop-1-panel marked-width,18 in");
    if (*voltage == '\0') {
      yard::LoseReadings(yard, [](const yard::Measurement& reading) {
        return reading.quantity == "panel-voltage";
      });
    } else {
      ChangeReading(yard, "shop-1-panel", "panel-voltage", *yard::ReadMeasuredValue(voltage));
    }
    return Stands(At(Moved(std::move(yard), "shop-1-panel", "carrier-pad-2", north)),
                  ParkingAt("DZ-701", "carrier-pad-2"));
  };
  EXPECT_EQ(VerdictOf(panel("120 V")), fit::Verdict::kClear);
  EXPECT_THAT(LineOf(panel("277 V")), StartsWith("MOVE OFF shop-1-panel: "));
  EXPECT_THAT(LineOf(panel("")), StartsWith("MOVE OFF shop-1-panel: ")) << "nobody knows: the most";
}

TEST(StandsFree, TouchingIsStandingOnIt) {
  const yard::Yard yard =
      Moved(DemoYard(), "shop-1-panel", "carrier-pad-2", fit::InMetres(1) + fit::Feet(9));
  EXPECT_THAT(LineOf(Stands(At(yard), ParkingAt("DZ-701", "carrier-pad-2"))),
              StartsWith("MOVE OFF shop-1-panel: "));
}

TEST(StandsFree, ARefugeIsForPeopleAndLampsAreForAll) {
  const Parking parking = ParkingAt("DZ-701", "carrier-pad-2");
  const yard::Yard refuge = Moved(DemoYard(), "loading-refuge", "carrier-pad-2", fit::Metres());
  EXPECT_EQ(VerdictOf(Stands(At(refuge), parking)), fit::Verdict::kConflict);
  EXPECT_THAT(LineOf(Stands(At(refuge), parking)), HasSubstr("loading-refuge"));
  const yard::Yard lamps = Moved(DemoYard(), "apron-lamps", "carrier-pad-2", fit::Metres());
  EXPECT_EQ(VerdictOf(Stands(At(lamps), parking)), fit::Verdict::kClear);
}

TEST(StandsFree, APanelVoltageThatIsThereMustBeFresh) {
  yard::Yard yard =
      Moved(DemoYard(), "shop-1-panel", "carrier-pad-2", fit::InMetres(1) + fit::Feet(12));
  yard::ChangeReadings(yard, [](yard::Measurement& reading) {
    if (reading.quantity == "panel-voltage") reading.when = kNoon - fit::Days(396);
  });
  const auto stands = Stands(At(yard), ParkingAt("DZ-701", "carrier-pad-2"));
  ASSERT_FALSE(stands) << LineOf(stands);
  EXPECT_EQ(stands.error().input, "panel-voltage of shop-1-panel");
  EXPECT_EQ(stands.error().sort, NoAnswer::Sort::kStale);
}

TEST(Stands, WhatIsNotThereIsNamed) {
  const yard::Yard yard = DemoYard();
  EXPECT_THAT(LineOf(Stands(At(yard), ParkingAt("ZZ-9", "s1-apron"))), HasSubstr("machine ZZ-9"));
  EXPECT_THAT(LineOf(Stands(At(yard), ParkingAt("ST-101", "moon"))), HasSubstr("place moon"));
}

}  // namespace
}  // namespace chockwise::survey
