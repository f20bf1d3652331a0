// What the questions answer on the yard of the scenario, against numbers worked out by hand from
// its readings, and against fit's closed forms.
#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <regex>

#include "services/fit/ride_forms.h"
#include "services/survey/lighting.h"
#include "services/survey/seeing.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::HasSubstr;
using ::testing::StartsWith;

TEST(GoesUnder, ALevelBayLeavesTheTapedMarginLessTheBounce) {
  // door-5: 13 ft 6 in; WL-401 is 11 ft 2 in and bounces 3 in. The bay is level for 12 m around the
  // door, so all that is left is 13'6" - 11'2" - 3" = 25 in, less what the profile's error may do.
  const yard::Yard yard = DemoYard();
  const auto ridden =
      RideOf(At(yard), TripOf("WL-401", "s2-bay-3", "wash-pad"), fit::Travel::kForwards);
  ASSERT_TRUE(ridden) << ridden.error().Text();
  ASSERT_TRUE(ridden->ride.least_overhead);
  const fit::TightSpot& spot = ridden->ride.overheads[*ridden->ride.least_overhead];
  EXPECT_EQ(spot.at, "door-5");
  EXPECT_EQ(spot.verdict, fit::Verdict::kClear);
  EXPECT_NEAR(spot.margin.inches(), 25, 3) << "pitch over the sill of 1 in stays";
  EXPECT_LE(spot.margin.inches(), 25 + 0.5) << "never more than the tape leaves";
}

TEST(GoesUnder, ATallMachineIsTold) {
  // door-4 is 4.27 m (14 ft 0 in); 15 ft 6 in and the bounce do not go under.
  const yard::Yard yard = DemoYard([](std::string& text) {
    text = std::regex_replace(text, std::regex("EX-301 carried-height,10 ft 4 in"),
                              "EX-301 carried-height,15 ft 6 in");
  });
  const auto answer =
      GoesUnder(At(yard), TripOf("EX-301", "s2-bay-2", "yard-cross"), fit::Travel::kForwards);
  EXPECT_EQ(VerdictOf(answer), fit::Verdict::kConflict) << LineOf(answer);
  EXPECT_THAT(LineOf(answer), StartsWith("STOP door-4: "));
  EXPECT_THAT(LineOf(answer), HasSubstr("short"));
}

TEST(GoesUnder, TheUnitOfAReadingNeverChangesTheAnswer) {
  const Trip trip = TripOf("ST-101", "s1-bay-1", "s1-apron");
  const yard::Yard inches = DemoYard();
  const yard::Yard metres = DemoYard([](std::string& text) {
    text = std::regex_replace(text, std::regex("ST-101 wheelbase,13 ft 6 in"),
                              "ST-101 wheelbase,4.1148 m");
    text = std::regex_replace(text, std::regex("door-1 clear-height,12 ft 0 in"),
                              "door-1 clear-height,3657.6 mm");
  });
  EXPECT_EQ(LineOf(GoesUnder(At(inches), trip, fit::Travel::kForwards)),
            LineOf(GoesUnder(At(metres), trip, fit::Travel::kForwards)));
  EXPECT_EQ(LineOf(ClearsGround(At(inches), trip, fit::Travel::kForwards)),
            LineOf(ClearsGround(At(metres), trip, fit::Travel::kForwards)));
}

TEST(GoesUnder, BothWaysPassTheSameGround) {
  const yard::Yard yard = DemoYard();
  const auto out =
      RideOf(At(yard), TripOf("ST-101", "s1-bay-1", "s1-apron"), fit::Travel::kForwards);
  ASSERT_TRUE(out) << out.error().Text();
  for (const fit::TightSpot& spot : out->ride.overheads)
    EXPECT_NEAR(spot.margin.inches(), 12 * 12 - (9 * 12 + 10) - 3, 3) << spot.at;
}

TEST(GroundCarries, TheWeakestLaneRules) {
  const yard::Yard yard = DemoYard();
  // heavy-2-way 80,000 lb, cross-way 120,000 lb; EX-301 52,300 lb, by a scale that may be off 1 %.
  EXPECT_EQ(LineOf(GroundCarries(At(yard), TripOf("EX-301", "s2-bay-2", "yard-cross"))),
            "GROUND CARRIES on heavy-2-way: 27,177 lb to spare");
  // parts-way is rated for 26,000 lb.
  const auto heavy = GroundCarries(At(yard), TripOf("EX-301", "yard-cross", "parts-dock"));
  EXPECT_EQ(VerdictOf(heavy), fit::Verdict::kConflict);
  EXPECT_EQ(LineOf(heavy), "STAY OFF parts-way: 26,823 lb too heavy");
}

TEST(GroundCarries, WithinWhatTheScaleMayBeOffIsUndecided) {
  const auto on = [](const std::string& rating) {
    const yard::Yard yard = DemoYard([&](std::string& text) {
      text = std::regex_replace(text, std::regex("parts-way rated-mass,\"26,000 lb\""),
                                "parts-way rated-mass,\"" + rating + "\"");
    });
    return VerdictOf(GroundCarries(At(yard), TripOf("EX-301", "yard-cross", "parts-dock")));
  };
  // 52,300 lb and 1 % of it are 52,823 lb; less 1 %, 51,777 lb.
  EXPECT_EQ(on("52,823 lb"), fit::Verdict::kClear) << "at the rating is within it";
  EXPECT_EQ(on("52,822 lb"), fit::Verdict::kUndecided);
  EXPECT_EQ(on("52,300 lb"), fit::Verdict::kUndecided);
  EXPECT_EQ(on("51,776 lb"), fit::Verdict::kConflict);
}

TEST(WiresAreClear, AWireOfADistributionLineAsksTenFeet) {
  // 27 ft 6 in less 2 ft sag, 12 ft 11 in carried and 3 in bounce leaves 12 ft 4 in: 2 ft 4 in more
  // than the 10 ft of 29 CFR 1926.1408 Table A to 50 kV. The wire's height may be 3 in off, and the
  // machine's by what the ground may.
  const auto answer = WiresAreClear(At(DemoYard()), TripOf("WL-402", "wash-pad", "ready-line"),
                                    fit::Travel::kForwards);
  EXPECT_EQ(VerdictOf(answer), fit::Verdict::kClear) << LineOf(answer);
  EXPECT_THAT(LineOf(answer), HasSubstr("1 ft 11 in beyond the 10 ft"));
}

TEST(WiresAreClear, AnUnknownVoltageKeepsTwentyFeet) {
  const yard::Yard yard = DemoYard([](std::string& text) {
    text = std::regex_replace(text, std::regex("\nring-wire voltage,[^\n]*"), "");
  });
  const auto answer =
      WiresAreClear(At(yard), TripOf("WL-402", "wash-pad", "ready-line"), fit::Travel::kForwards);
  EXPECT_EQ(VerdictOf(answer), fit::Verdict::kConflict) << LineOf(answer);
}

TEST(HornIsHeard, LevelFallsWithDistance) {
  // 104 dB at 2 m are 84.5 dB(A) at 60 ft (18.3 m: 20 lg 9.14 = 19.2 dB); the apron has 70.
  const yard::Yard yard = DemoYard();
  const HornAsked near{.machine = yard::MachineId("ST-101"),
                       .place = yard::PlaceId("s1-apron"),
                       .distance = fit::Feet(40)};
  EXPECT_EQ(VerdictOf(HornIsHeard(At(yard), near)), fit::Verdict::kClear);
  HornAsked far = near;
  far.distance = fit::Feet(400);
  EXPECT_EQ(VerdictOf(HornIsHeard(At(yard), far)), fit::Verdict::kConflict);
}

TEST(AlarmIsHeard, IsJudgedByItsOwnLevel) {
  // 98 dB at 2 m are 85.7 dB(A) at 27 ft (8.2 m: 20 lg 4.1 = 12.3 dB), and 80 and twice 2 dB of the
  // meter are asked for over the 70 of the apron.
  const yard::Yard yard = DemoYard();
  HornAsked asked{.machine = yard::MachineId("ST-101"),
                  .place = yard::PlaceId("s1-apron"),
                  .distance = fit::Feet(27)};
  EXPECT_EQ(VerdictOf(AlarmIsHeard(At(yard), asked)), fit::Verdict::kClear);
  EXPECT_EQ(LineOf(AlarmIsHeard(At(yard), asked)).find("Reverse alarm HEARD"), 0u);
  asked.distance = fit::Feet(90);
  EXPECT_EQ(VerdictOf(AlarmIsHeard(At(yard), asked)), fit::Verdict::kConflict);
  EXPECT_EQ(VerdictOf(HornIsHeard(At(yard), asked)), fit::Verdict::kUndecided) << "the louder one";
}

TEST(LightAtPlace, ByDayAndByNight) {
  const yard::Yard yard = DemoYard();
  const auto light_at = [&](const char* place, fit::Instant when) {
    return LightAtPlace(At(yard, when), {.place = yard::PlaceId(place)}).value().parted.answer;
  };
  EXPECT_EQ(light_at("parts-dock", kNoon).verdict, fit::Verdict::kClear);
  // 2026-11-25T03:00Z: night at 40 degrees west. Carrier pad 3 has 30 lx and mixed ground asks 50.
  const fit::Instant night = kNoon + fit::Hours(15);
  EXPECT_EQ(light_at("s1-apron", night).verdict, fit::Verdict::kClear);
  EXPECT_EQ(light_at("carrier-pad-3", night).verdict, fit::Verdict::kConflict);
}

/// Whoever does a number again needs the errors that were taken off it.
TEST(Answers, ListTheErrorsOfTheirMeters) {
  const yard::Yard yard = DemoYard();
  const auto value_of = [](const std::vector<fit::Input>& inputs, std::string_view name) {
    const auto input = std::ranges::find(inputs, name, &fit::Input::name);
    return input == inputs.end() ? "not listed" : input->value;
  };
  const auto horn = HornIsHeard(At(yard), {.machine = yard::MachineId("ST-101"),
                                           .place = yard::PlaceId("s1-apron"),
                                           .distance = fit::Feet(40)});
  ASSERT_TRUE(horn) << horn.error().Text();
  EXPECT_EQ(value_of(horn->inputs, "a sound level meter may be off, each time it is read"),
            "2.0 dB");
  const auto seen = SpotterIsSeen(At(yard), TripOf("ST-101", "s1-bay-1", "s1-apron"), {});
  ASSERT_TRUE(seen) << seen.error().Text();
  EXPECT_EQ(value_of(seen->answer.inputs, "a length of the driver's view may be off"), "1 in");
}

TEST(AxlesCarry, SaysWhereToMoveTheMachine) {
  const yard::Yard yard = DemoYard();
  const auto answer = AxlesCarry(At(yard), {.machine = yard::MachineId("SS-601"),
                                            .carrier = yard::MachineId("CA-901"),
                                            .at = fit::Feet(10)});
  EXPECT_EQ(VerdictOf(answer), fit::Verdict::kClear) << LineOf(answer);
  const auto heavy = AxlesCarry(At(yard), {.machine = yard::MachineId("EX-301"),
                                           .carrier = yard::MachineId("CA-901"),
                                           .at = fit::Feet(10)});
  EXPECT_EQ(VerdictOf(heavy), fit::Verdict::kConflict) << "87,100 lb are more than 80,000 lb";
}

TEST(LoadHolds, CountsTheTies) {
  const yard::Yard yard = DemoYard();
  TiedDown tied{.machine = yard::MachineId("DZ-701"),  // 41,000 lb
                .carrier = yard::MachineId("CA-901"),
                .ties = {{.device = fit::Chain{fit::TieSize::k3_8, fit::ChainGrade::k70},
                          .end = fit::TieEnd::kFront,
                          .count = 2},
                         {.device = fit::Chain{fit::TieSize::k3_8, fit::ChainGrade::k70},
                          .end = fit::TieEnd::kRear,
                          .count = 2}},
                .articulation = fit::Restraint::kNoneNeeded,
                .accessories = fit::Restraint::kRestrained};
  // 4 direct ties of 6,600 lb count 13,200 lb; half of 41,000 lb is 20,500 lb, and the scale may be
  // off by 1 %.
  const auto answer = LoadHolds(At(yard), tied);
  EXPECT_EQ(VerdictOf(answer), fit::Verdict::kConflict);
  EXPECT_THAT(LineOf(answer), HasSubstr("7,505 lb"));
  // Four of 1/2 in would hold 22,600 lb; the carrier's binders of 9,200 lb do not let them.
  for (fit::Tie& tie : tied.ties) tie.device = fit::Chain{fit::TieSize::k1_2, fit::ChainGrade::k70};
  EXPECT_EQ(LineOf(LoadHolds(At(yard), tied)),
            "4 chains: SHORT 2,305 lb, held back by its binder. Add 1 more of 9,200 lb");
  for (fit::Tie& tie : tied.ties) tie.binder = fit::Pounds(13'000);
  EXPECT_EQ(VerdictOf(LoadHolds(At(yard), tied)), fit::Verdict::kClear) << "better ones are named";
  tied.ties[0].anchor = fit::Pounds(5'000);
  EXPECT_THAT(LineOf(LoadHolds(At(yard), tied)), HasSubstr("held back by its anchor point"));
  tied.ties[0].anchor = std::nullopt;
  tied.carrier = std::nullopt;
  EXPECT_THAT(LineOf(LoadHolds(At(yard), tied)),
              HasSubstr("anchor-rating of a tie-down is unknown"));
  tied.carrier = yard::MachineId("CA-901");
  tied.accessories = fit::Restraint::kUnknown;
  EXPECT_FALSE(LoadHolds(At(yard), tied)) << "nobody has looked at the blade: law 2";
}

/// 41,000 lb held by so many chains of 9,200 lb each, with the binder, at each end.
TiedDown ChainsAtEachEnd(int count) {
  TiedDown tied{.machine = yard::MachineId("DZ-701"),
                .carrier = yard::MachineId("CA-901"),
                .ties = {},
                .articulation = fit::Restraint::kNoneNeeded,
                .accessories = fit::Restraint::kRestrained};
  for (const fit::TieEnd end : {fit::TieEnd::kFront, fit::TieEnd::kRear}) {
    tied.ties.push_back({.device = fit::Chain{fit::TieSize::k1_2, fit::ChainGrade::k70},
                         .end = end,
                         .count = count});
  }
  return tied;
}

// 49 CFR 393.102(a)(2), (b), by hand: rearward 0.5 x 41,000 = 20,500 lb against the chains of the
// front alone, sideways 10,250 lb, upward 8,200 lb; each 1 % more, as the scale may be off.
TEST(TiesHold, TheForcesAreAPartWhereTheAnglesAreKnown) {
  const yard::Yard yard = DemoYard();
  const auto unsaid = TiesHold(At(yard), ChainsAtEachEnd(3), std::nullopt);
  ASSERT_TRUE(unsaid) << unsaid.error().Text();
  EXPECT_EQ(unsaid->parts.size(), 1u);
  EXPECT_EQ(unsaid->answer.inputs.back().value, "not judged: nobody has said the angles");
  const auto told = [&](int count, double down, double aside) {
    const Pull pull{.below_level = fit::Degrees(down), .aside = fit::Degrees(aside)};
    const auto answer = TiesHold(At(yard), ChainsAtEachEnd(count), pull);
    return answer ? answer->answer.line : answer.error().Text();
  };
  // Rearward 4 x 9,200 x cos 45 x cos 30 = 22,535 lb; sideways 4 x 9,200 x cos 45 x sin 30 = 13,010
  // lb; upward 8 x 9,200 x sin 45 = 52,043 lb. By count 36,800 lb of 20,500: less of it is used.
  EXPECT_EQ(told(4, 45, 30), "49 CFR 393.102: HOLDS: 1,830 lb to spare");
  // Two of the three are aside, one to each; the odd one pulls to neither: 2 x 9,200 x cos 45 x sin
  // 30 = 6,505 lb.
  EXPECT_THAT(told(3, 45, 30), HasSubstr("SHORT 3,848 lb"));
  EXPECT_THAT(told(4, 0, 30), HasSubstr("WILL LIFT: SHORT 8,282 lb"));
  EXPECT_THAT(told(4, 91, 30), HasSubstr("angle below level"));
}

TEST(TiesHold, WhatGoesOverIsNotCreditedToItsEnd) {
  const yard::Yard yard = DemoYard();
  TiedDown tied = ChainsAtEachEnd(4);
  const Pull pull{.below_level = fit::Degrees(45), .aside = fit::Degrees(30)};
  tied.ties[1].path = fit::TiePath::kOtherSide;
  const auto answer = TiesHold(At(yard), tied, pull);
  ASSERT_TRUE(answer) << answer.error().Text();
  EXPECT_EQ(answer->answer.line, "49 CFR 393.102: WILL SHIFT forward: SHORT 18,014 lb");
}

}  // namespace
}  // namespace chockwise::survey
