// Onto a carrier and into a trailer, on the yard of the scenario, against numbers worked out by
// hand from its readings.
#include "services/survey/loading.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>

#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::Contains;
using ::testing::HasSubstr;
using ::testing::StartsWith;

OntoCarrier Onto(const char* machine, const char* carrier = "CA-901") {
  return {.machine = yard::MachineId(machine),
          .carrier = yard::MachineId(carrier),
          .at = std::nullopt,
          .ramp_friction = 0.6,
          .surface = fit::Surface::kDryConcrete};
}

IntoTrailer Into(const char* forklift) {
  return {.forklift = yard::MachineId(forklift),
          .trailer = yard::MachineId("TR-951"),
          .dock = yard::PlaceId("parts-dock"),
          .load = fit::Pounds(2'000),
          .load_length = fit::Inches(48),
          .coupled = Trailer::kOnItsLegs,
          .stands = NoseStands::kNone,
          .nose = fit::Kilograms()};
}

TEST(ClimbsOnto, EveryPartAgainstTheTape) {
  // 22 in over 12 ft is 8.79 degrees, 15.46 %, and with the pad's 1.1 % it is 16.59 %. 41,000 lb at
  // 4 ft 10 in behind the axles lift 6,606 of 9,400 lb off the pin 30 ft before them; 2,350 must
  // stay. The brakes hold 0.7 x 0.75 of 23,600 - 6,606 lb, 8,922 lbf; the climb pushes with 6,802
  // and 75,800 lb roll down 1.1 % with 834. The belly loses 107 in x 15.46 % / 4 = 4.1 in.
  const auto climbs = ClimbsOnto(At(DemoYard()), Onto("DZ-701"));
  EXPECT_EQ(VerdictOf(climbs), fit::Verdict::kClear);
  EXPECT_THAT(LinesOf(climbs),
              testing::UnorderedElementsAre(
                  "GO UP: 16.6 %, grips to 40.0 %", "CLEARS the ramp: 8 in to spare at its top",
                  "DECK CARRIES: 28,590 lb to spare", "CARRIER HOLDS: 1,287 lbf to spare",
                  "PIN KEEPS 2,794 lb: 444 lb to spare"));
  EXPECT_LE(climbs->answer.assumptions.size(), 2u);
}

constexpr const char* kTriedOnRamp = "CA-901 ramp-grip,42 %,,,dov,2026-10-22T11:20:00Z\n";
constexpr const char* kTriedOnPad = "carrier-pad-1 ground-grip,55 %,,,dov,2026-10-22T11:30:00Z\n";

TEST(ClimbsOnto, SteelOnWetSteelIsWinched) {
  OntoCarrier what = Onto("DZ-701");
  what.ramp_friction = std::nullopt;
  const auto climbs = ClimbsOnto(At(With(kTriedOnRamp, "")), what);
  EXPECT_EQ(VerdictOf(climbs), fit::Verdict::kConflict);
  EXPECT_EQ(LineOf(climbs), "TOO STEEP: 16.6 %, grips to 6.6 %. WINCH");
}

TEST(ClimbsOnto, ACarrierOnWhatNobodyNamedWillShift) {
  // 0.14 of 16,994 lb are 2,379 lbf against 7,635.
  OntoCarrier what = Onto("DZ-701");
  what.surface = std::nullopt;
  EXPECT_EQ(LineOf(ClimbsOnto(At(With(kTriedOnPad, "")), what)),
            "CARRIER WILL SHIFT: 5,256 lbf short. CHOCK IT");
}

OntoCarrier OntoAsTried(const char* machine, const char* carrier, const char* at) {
  return {.machine = yard::MachineId(machine),
          .carrier = yard::MachineId(carrier),
          .at = yard::PlaceId(at)};
}
OntoCarrier DozerAsTried() { return OntoAsTried("DZ-701", "CA-901", "carrier-pad-1"); }
bool Names(const Outcome<PartedAnswer>& parted, const char* input) {
  return parted && std::ranges::any_of(parted->answer.inputs, [&](const fit::Input& one) {
           return one.name.find(input) != std::string::npos;
         });
}

TEST(ClimbsOnto, WhatWasTriedOnRampAndGroundCounts) {
  // 42 % over 1.5; 0.55 of 16,994 lb are 9,346 lbf against 7,635.
  const auto climbs = ClimbsOnto(At(DemoYard()), DozerAsTried());
  EXPECT_EQ(VerdictOf(climbs), fit::Verdict::kClear);
  EXPECT_THAT(LinesOf(climbs), Contains("GO UP: 16.6 %, grips to 28.0 %"));
  EXPECT_THAT(LinesOf(climbs), Contains("CARRIER HOLDS: 1,711 lbf to spare"));
  EXPECT_TRUE(Names(climbs, "ramp-grip"));
  EXPECT_TRUE(Names(climbs, "ground-grip"));
  EXPECT_FALSE(Names(climbs, "friction"));
  // The caller's word stands before it.
  EXPECT_FALSE(Names(ClimbsOnto(At(DemoYard()), Onto("DZ-701")), "grip"));
}

TEST(ClimbsOnto, WhatWasTriedTooLongAgoIsRefused) {
  for (const char* tried : {kTriedOnRamp, kTriedOnPad}) {
    std::string old = tried;
    old.replace(old.find("2026"), 4, "2024");
    const auto climbs = ClimbsOnto(At(With(tried, old)), DozerAsTried());
    ASSERT_FALSE(climbs) << LineOf(climbs);
    EXPECT_EQ(climbs.error().sort, NoAnswer::Sort::kStale);
    EXPECT_THAT(climbs.error().Text(), HasSubstr("grip"));
  }
}

// What the scripted day loads, the survey finds clear; what it has not tried, it does not.
TEST(ClimbsOnto, BothLoadsOfTheScriptedDayAreClear) {
  for (const OntoCarrier& what :
       {DozerAsTried(), OntoAsTried("SS-601", "CA-902", "carrier-pad-2")}) {
    const auto climbs = ClimbsOnto(At(DemoYard()), what);
    EXPECT_EQ(VerdictOf(climbs), fit::Verdict::kClear) << LineOf(climbs);
  }
  EXPECT_EQ(VerdictOf(ClimbsOnto(At(DemoYard()), OntoAsTried("DZ-701", "CA-901", "carrier-pad-3"))),
            fit::Verdict::kConflict);
}

TEST(ClimbsOnto, AHeavyMachineLiftsTheTail) {
  // 52,300 lb lift 8,426 lb; 974 are 1,376 short of a quarter of 9,400.
  EXPECT_THAT(LinesOf(ClimbsOnto(At(DemoYard()), Onto("EX-301"))),
              Contains("NEEDS TAIL STANDS: 1,377 lb short on the pin"));
}

TEST(ClimbsOnto, ALowNoseGroundsAtTheToe) {
  // TH-201: 6 ft 9 in ahead of its axle rise 12.5 in; 12 in less 1 in are there.
  const auto climbs = ClimbsOnto(At(DemoYard()), Onto("TH-201"));
  EXPECT_EQ(VerdictOf(climbs), fit::Verdict::kConflict);
  EXPECT_EQ(LineOf(climbs), "WILL GROUND at the ramp toe: 2 in short");
}

TEST(ClimbsOnto, ALowBellyGroundsAtTheTop) {
  // 5 in less 4.1 in and the reserve of 1 in.
  const yard::Yard yard = With("DZ-701 belly-clearance,14 in", "DZ-701 belly-clearance,5 in");
  EXPECT_EQ(LineOf(ClimbsOnto(At(yard), Onto("DZ-701"))),
            "WILL GROUND at the ramp top: 1 in short");
}

/// Its belly read along it: so far behind its front, so high.
struct BellyAt {
  double behind_in, high_in;
};
yard::Yard WithBelly(const char* machine, std::initializer_list<BellyAt> spots) {
  yard::Yard yard = DemoYard();
  std::vector<yard::Measurement> readings;
  const yard::Machine* of = yard.FindMachine(machine);
  for (const BellyAt& spot : spots) {
    readings.push_back({.subject = machine,
                        .quantity = "belly-clearance",
                        .attachment = of->attachment,
                        .at = fit::Inches(spot.behind_in),
                        .value = fit::Inches(spot.high_in),
                        .as_written = "as read",
                        .by = yard::PersonId("petra"),
                        .when = kNoon - fit::Days(3)});
  }
  yard::AddReadings(yard, readings);
  return yard;
}
std::string ClearanceLine(const Outcome<PartedAnswer>& climbs) {
  for (const std::string& line : LinesOf(climbs))
    if (line.starts_with("CLEARS the ramp") || line.starts_with("WILL GROUND")) return line;
  return LineOf(climbs);
}
bool Assumes(const Outcome<PartedAnswer>& climbs, const char* what) {
  return climbs && climbs->answer.assumptions.front().find(what) != std::string::npos;
}

TEST(ClimbsOnto, WithoutAnOutlineTheClosedFormsJudgeAndItIsSaid) {
  const auto climbs = ClimbsOnto(At(DemoYard()), Onto("DZ-701"));
  EXPECT_TRUE(Assumes(climbs, "its outline is not read along it, so closed forms"));
  EXPECT_FALSE(Names(climbs, "a height may be off"));
}

// The dozer with its belly read as low at three spots as it was at its lowest: 8 in by the closed
// forms, and less by what the readings may be off.
TEST(ClimbsOnto, AnOutlineIsRiddenNoLessCarefullyThanTheClosedForms) {
  const yard::Yard yard = WithBelly("DZ-701", {{0, 14}, {100, 14}, {200, 14}});
  const auto climbs = ClimbsOnto(At(yard), Onto("DZ-701"));
  EXPECT_EQ(VerdictOf(climbs), fit::Verdict::kClear);
  EXPECT_TRUE(Assumes(climbs, "its outline is ridden"));
  EXPECT_LE(climbs->answer.assumptions.size(), 2u);
  EXPECT_TRUE(Names(climbs, "a height may be off"));
  EXPECT_TRUE(Names(climbs, "belly-clearance of DZ-701 with blade at 8 ft 4 in"));
  const auto part = std::ranges::find_if(
      climbs->parts, [](const Part& one) { return one.line.starts_with("CLEARS the ramp"); });
  ASSERT_NE(part, climbs->parts.end());
  ASSERT_TRUE(part->spare);
  EXPECT_LT(part->spare->value - part->spare->error, fit::Inches(8.9).metres());
  EXPECT_GT(part->spare->error, fit::Inches(0.25).metres());
}

// As low as 5 in at the front end of its tracks alone, where the crest does not come up: a machine
// that is taken to be as low everywhere would ground.
TEST(ClimbsOnto, ALowSpotCountsWhereItIs) {
  const yard::Yard lowest = With("DZ-701 belly-clearance,14 in", "DZ-701 belly-clearance,5 in");
  EXPECT_THAT(ClearanceLine(ClimbsOnto(At(lowest), Onto("DZ-701"))), StartsWith("WILL GROUND"));
  const yard::Yard demo = DemoYard();
  const auto* front = demo.measurements.Latest("DZ-701", "front-overhang", "blade");
  ASSERT_NE(front, nullptr);
  const double axle_in = std::get<fit::Metres>(front->value).inches();
  const yard::Yard there =
      WithBelly("DZ-701", {{0, 24}, {axle_in - 1, 24}, {axle_in, 5}, {axle_in + 1, 24}, {200, 24}});
  EXPECT_THAT(ClearanceLine(ClimbsOnto(At(there), Onto("DZ-701"))), StartsWith("CLEARS the ramp"));
}

// A spot between its axles says nothing of a nose.
TEST(ClimbsOnto, SpotsAloneStandForNoEnd) {
  for (const char* end : {"nose-clearance", "tail-clearance", "belly-clearance"}) {
    yard::Yard yard = WithBelly("TH-201", {{120, 16}});
    yard::LoseReadings(yard, [&](const yard::Measurement& reading) {
      return reading.subject == "TH-201" && reading.quantity == end && !reading.at;
    });
    EXPECT_THAT(LineOf(ClimbsOnto(At(yard), Onto("TH-201"))),
                StartsWith(std::string("refused: ") + end + " of TH-201"));
  }
}

TEST(ClimbsOnto, WhatTheRideAloneNeedsLeavesTheClosedForms) {
  yard::Yard yard = WithBelly("DZ-701", {{0, 14}, {100, 14}, {200, 14}});
  yard::LoseReadings(yard, [](const yard::Measurement& reading) {
    return reading.subject == "DZ-701" && reading.quantity == "carried-height";
  });
  const auto climbs = ClimbsOnto(At(yard), Onto("DZ-701"));
  ASSERT_TRUE(climbs) << climbs.error().Text();
  EXPECT_FALSE(Assumes(climbs, "its outline is ridden"));
}

TEST(ClimbsOnto, CloserThanTheReadingsMayBeOffIsUndecided) {
  const auto line_of = [](double high_in) {
    const auto climbs = ClimbsOnto(
        At(WithBelly("DZ-701", {{0, high_in}, {100, high_in}, {200, high_in}})), Onto("DZ-701"));
    return ClearanceLine(climbs);
  };
  int clear = 0, undecided = 0, grounds = 0;
  for (double high_in = 1; high_in <= 15; high_in += 0.25) {
    const std::string line = line_of(high_in);
    if (line.starts_with("CLEARS")) {
      ++clear;
    } else if (line.find("MEASURE AGAIN") != std::string::npos) {
      ++undecided;
      EXPECT_EQ(clear, 0) << "no lower one was clear";
    } else {
      ++grounds;
      EXPECT_EQ(undecided + clear, 0);
    }
  }
  EXPECT_GT(clear, 10);
  EXPECT_GT(undecided, 0);
  EXPECT_GT(grounds, 5);
}

TEST(ClimbsOnto, AnOutlineThatWasReadTooLongAgoIsRefused) {
  yard::Yard yard = WithBelly("DZ-701", {{0, 14}, {200, 14}});
  yard::ChangeReadings(yard, [](yard::Measurement& reading) {
    if (reading.at) reading.when = kNoon - fit::Days(400);
  });
  const auto climbs = ClimbsOnto(At(yard), Onto("DZ-701"));
  ASSERT_FALSE(climbs) << LineOf(climbs);
  EXPECT_EQ(climbs.error().sort, NoAnswer::Sort::kStale);
}

TEST(ClimbsOnto, GroundingIsToldThoughItDoesNotGripEither) {
  OntoCarrier what = Onto("TH-201");
  what.ramp_friction = 0.1;
  const auto lines = LinesOf(ClimbsOnto(At(DemoYard()), what));
  EXPECT_THAT(lines, Contains(StartsWith("TOO STEEP: ")));
  EXPECT_THAT(lines, Contains(StartsWith("WILL GROUND at the ramp toe: ")));
}

TEST(ClimbsOnto, TheSlopeWhereTheCarrierStandsCounts) {
  OntoCarrier what = Onto("DZ-701");
  what.at = yard::PlaceId("carrier-pad-3");  // 2.4 %
  EXPECT_THAT(LinesOf(ClimbsOnto(At(DemoYard()), what)),
              Contains("GO UP: 18.0 %, grips to 40.0 %"));
  what.at = yard::PlaceId("moon");
  EXPECT_THAT(LineOf(ClimbsOnto(At(DemoYard()), what)), HasSubstr("place moon"));
}

TEST(ClimbsOnto, OverhangsThatDoNotFitTheLengthAreRefused) {
  const yard::Yard yard = With("DZ-701 carried-length,16 ft 8 in", "DZ-701 carried-length,12 ft");
  const auto climbs = ClimbsOnto(At(yard), Onto("DZ-701"));
  ASSERT_FALSE(climbs) << LineOf(climbs);
  EXPECT_EQ(climbs.error().input, "tail overhang of DZ-701");
}

TEST(EntersTrailer, EveryPartAgainstTheTape) {
  // 5,050 kg and 1 %, a driver of 250 lb and 2,000 lb are 13,495 lb. The board takes 18,000 / 1.25,
  // a wheel has 45 %: 6,073 of 6,500 lb; 4 of 21 ft, each 1/2 in off, lift 2,602 of 3,960 lb, and
  // 990 must stay; on 53.9 sq ft they are 251 of 350 psf; at a load centre of 24 in the forks take
  // 2,000 kg x 500 / 609.6 = 3,616 lb; with 4,040 lb of the trailer's own, 1.5 times 17,535 are
  // 26,302 of 30,000 lb on a stand.
  IntoTrailer what = Into("FL-501");
  what.stands = NoseStands::kUnderNose;
  const auto enters = EntersTrailer(At(DemoYard()), what);
  EXPECT_EQ(VerdictOf(enters), fit::Verdict::kClear);
  EXPECT_THAT(LinesOf(enters),
              testing::UnorderedElementsAre("BOARD TAKES 14,400 lb: 905 lb to spare",
                                            "FLOOR BEARS: wheel 427 lb to spare, in the trailer",
                                            "FLOOR BEARS: 99 psf to spare, at the dock",
                                            "PIN KEEPS 1,357 lb: 367 lb to spare",
                                            "LIFTS it: 1,616 lb to spare",
                                            "STAND HOLDS: 3,697 lb to spare"));
  EXPECT_LE(enters->answer.assumptions.size(), 2u);
}

TEST(EntersTrailer, ItsNoseGoesDownWithoutStands) {
  // 13,495 / 7,524 x 96.5 / 89.5 in is 1.93, 2.9 times the allowed 1 / 1.5.
  EXPECT_EQ(LineOf(EntersTrailer(At(DemoYard()), Into("FL-501"))),
            "NEEDS NOSE STANDS: 2.9 times what is allowed");
}

TEST(EntersTrailer, CargoThatNobodyLookedForNeedsStands) {
  yard::Yard yard = DemoYard();
  ChangeReading(yard, "TR-951", "legs-behind-front", fit::Feet(1));
  IntoTrailer what = Into("FL-501");
  EXPECT_EQ(VerdictOf(EntersTrailer(At(yard), what)), fit::Verdict::kClear);
  what.nose = std::nullopt;
  EXPECT_EQ(LineOf(EntersTrailer(At(yard), what)),
            "NEEDS NOSE STANDS: cargo at the nose is not known");
}

TEST(EntersTrailer, CargoThatNobodyLookedForIsOnTheStandsToo) {
  IntoTrailer what = Into("FL-501");
  what.stands = NoseStands::kUnderNose;
  what.nose = std::nullopt;
  const auto enters = EntersTrailer(At(DemoYard()), what);
  EXPECT_EQ(VerdictOf(enters), fit::Verdict::kConflict);
  EXPECT_EQ(LineOf(enters), "LOOK INTO THE TRAILER: cargo at the nose is not known");
}

TEST(EntersTrailer, CargoAtTheNoseIsOnTheStands) {
  // 3,698 lb over 1.5 are 2,465 lb of cargo.
  IntoTrailer what = Into("FL-501");
  what.stands = NoseStands::kUnderNose;
  what.nose = fit::Pounds(2'400);
  EXPECT_THAT(LinesOf(EntersTrailer(At(DemoYard()), what)),
              Contains("STAND HOLDS: 97 lb to spare"));
  what.nose = fit::Pounds(3'000);
  EXPECT_THAT(LinesOf(EntersTrailer(At(DemoYard()), what)), Contains("STAND TOO WEAK by 803 lb"));
  what.nose = fit::Pounds(-100);
  EXPECT_THAT(LineOf(EntersTrailer(At(DemoYard()), what)), HasSubstr("less than nothing"));
}

TEST(EntersTrailer, TheTrailersOwnShareIsOnTheStands) {
  yard::Yard yard = DemoYard();
  ChangeReading(yard, "TR-951", "coupling-mass", fit::Pounds(7'000));
  IntoTrailer what = Into("FL-501");
  what.stands = NoseStands::kUnderNose;
  EXPECT_THAT(LinesOf(EntersTrailer(At(yard), what)), Contains("STAND TOO WEAK by 848 lb"));
}

TEST(EntersTrailer, KnownCargoTipsItsNoseWithTheForklift) {
  yard::Yard yard = DemoYard();
  ChangeReading(yard, "TR-951", "legs-behind-front", fit::Feet(2));
  IntoTrailer what = Into("FL-501");
  EXPECT_EQ(VerdictOf(EntersTrailer(At(yard), what)), fit::Verdict::kClear);
  what.nose = fit::Pounds(8'000);
  EXPECT_THAT(LinesOf(EntersTrailer(At(yard), what)), Contains(StartsWith("NEEDS NOSE STANDS")));
}

TEST(EntersTrailer, CloserThanTheScaleMayBeOffIsUndecided) {
  // 14,383 lb as read are 17 lb within the board's 14,400, and 95 lb over it with 1 % more
  // forklift.
  IntoTrailer what = Into("FL-501");
  what.coupled = Trailer::kCoupled;
  what.load = fit::Pounds(3'000);
  const auto enters = EntersTrailer(At(DemoYard()), what);
  EXPECT_EQ(VerdictOf(enters), fit::Verdict::kUndecided);
  EXPECT_THAT(LinesOf(enters),
              Contains("BOARD TAKES 14,400 lb: you are 95 lb over. NO, or not: the readings may be "
                       "off by as much. MEASURE AGAIN"));
}

TEST(EntersTrailer, ACoupledTrailerKeepsItsNose) {
  IntoTrailer what = Into("FL-501");
  what.coupled = Trailer::kCoupled;
  what.nose = std::nullopt;
  EXPECT_EQ(VerdictOf(EntersTrailer(At(DemoYard()), what)), fit::Verdict::kClear);
}

TEST(EntersTrailer, TheHeavyForkliftIsTooMuchForTheBoard) {
  // 6,900 kg and 1 %, 250 lb and 2,000 lb are 17,614 lb.
  IntoTrailer what = Into("FL-502");
  what.coupled = Trailer::kCoupled;
  const auto enters = EntersTrailer(At(DemoYard()), what);
  EXPECT_EQ(VerdictOf(enters), fit::Verdict::kConflict);
  EXPECT_THAT(LinesOf(enters), Contains("BOARD TAKES 14,400 lb: you are 3,215 lb over. NO"));
}

TEST(EntersTrailer, ALongLoadIsTooHeavyForTheForks) {
  // 2,000 kg x 500 mm over 4 ft (1,219.2 mm) is 1,808 lb.
  IntoTrailer what = Into("FL-501");
  what.stands = NoseStands::kUnderNose;
  what.load_length = fit::Feet(8);
  EXPECT_EQ(LineOf(EntersTrailer(At(DemoYard()), what)),
            "TOO HEAVY for the forks: 192 lb over at that length");
}

TEST(EntersTrailer, WithoutALoadNothingIsLifted) {
  IntoTrailer what = Into("FL-501");
  what.load = fit::Kilograms();
  for (const std::string& line : LinesOf(EntersTrailer(At(DemoYard()), what)))
    EXPECT_EQ(line.find("LIFTS"), std::string::npos) << line;
}

/// A heavier load never makes anything better.
TEST(EntersTrailer, HeavierIsNeverBetter) {
  const yard::Yard yard = DemoYard();
  IntoTrailer what = Into("FL-501");
  what.stands = NoseStands::kUnderNose;
  bool clear = true;
  for (int pounds = 0; pounds <= 6'000; pounds += 100) {
    what.load = fit::Pounds(pounds);
    const bool now = VerdictOf(EntersTrailer(At(yard), what)) == fit::Verdict::kClear;
    EXPECT_TRUE(clear || !now) << pounds;
    clear = now;
  }
  EXPECT_FALSE(clear);
}

TEST(Parts, TheWorstSpeaksAndStandsFirst) {
  const auto enters = EntersTrailer(At(DemoYard()), Into("FL-502"));
  ASSERT_TRUE(enters) << LineOf(enters);
  EXPECT_EQ(enters->parts.front().line, enters->answer.line);
  EXPECT_TRUE(std::ranges::is_sorted(enters->parts, [](const Part& a, const Part& b) {
    const bool a_refuses = a.verdict != fit::Verdict::kClear;
    const bool b_refuses = b.verdict != fit::Verdict::kClear;
    return a_refuses != b_refuses ? a_refuses : a.used > b.used;
  }));
}

}  // namespace
}  // namespace chockwise::survey
