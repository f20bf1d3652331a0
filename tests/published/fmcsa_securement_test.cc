// 49 CFR Part 393 Subpart I, cargo securement. 393.102, .106, .108 and .110 were read in a public
// mirror of the eCFR (the captions of the rope tables from memory); 393.128 and .130 second-hand.
// Sums and counts: computed from the rule by an independent script.
#include <gtest/gtest.h>

#include "services/fit/securement.h"
#include "services/fit/securement_forces.h"

namespace chockwise::fit {
namespace {

constexpr std::array kSizes = {TieSize::k1_4,  TieSize::k5_16, TieSize::k3_8,
                               TieSize::k7_16, TieSize::k1_2,  TieSize::k5_8,
                               TieSize::k3_4,  TieSize::k7_8,  TieSize::k1};
constexpr PrintedLimit kBlank = {0, 0};

// 393.108, chain; marks 3/30/300, 4/43/430, 7/70/700, 8/80/800, 10/100/1000. Rows as printed: size;
// grade 30 proof coil, 43 high test, 70 transport, 80 alloy, 100 alloy; kg (lb).
TEST(Fmcsa393_108, ChainTableWhole) {
  const std::vector<std::array<PrintedLimit, 5>> rows = {
      {{{580, 1300}, {1180, 2600}, {1430, 3150}, {1570, 3500}, {1950, 4300}}},
      {{{860, 1900}, {1770, 3900}, {2130, 4700}, {2000, 4500}, {2600, 5700}}},
      {{{1200, 2650}, {2450, 5400}, {2990, 6600}, {3200, 7100}, {4000, 8800}}},
      {{{1680, 3700}, {3270, 7200}, {3970, 8750}, kBlank, kBlank}},
      {{{2030, 4500}, {4170, 9200}, {5130, 11300}, {5400, 12000}, {6800, 15000}}},
      {{{3130, 6900}, {5910, 13000}, {7170, 15800}, {8200, 18100}, {10300, 22600}}}};
  constexpr std::array kGrades = {ChainGrade::k30, ChainGrade::k43, ChainGrade::k70,
                                  ChainGrade::k80, ChainGrade::k100};
  for (size_t size = 0; size < rows.size(); ++size) {
    for (size_t grade = 0; grade < kGrades.size(); ++grade) {
      EXPECT_EQ(ChainLimit(kGrades[grade], kSizes[size]).value_or(kBlank), rows[size][grade])
          << SizeText(kSizes[size]) << " " << GradeText(kGrades[grade]);
    }
  }
}

// Printed anomaly: grade 80 in 5/16 in is weaker than grade 70.
TEST(Fmcsa393_108, GradeIsNoLadder) {
  EXPECT_EQ(ChainLimit(ChainGrade::k80, TieSize::k5_16)->lb, 4'500);
  EXPECT_EQ(ChainLimit(ChainGrade::k70, TieSize::k5_16)->lb, 4'700);
}

// Rows: size; wire rope 6x37 fibre core, manila, polypropylene, polyester, nylon, double braid.
TEST(Fmcsa393_108, RopeTablesWhole) {
  const std::vector<std::array<PrintedLimit, 6>> rows = {
      {{{640, 1400}, kBlank, kBlank, kBlank, kBlank, kBlank}},
      {{{950, 2100}, kBlank, kBlank, kBlank, kBlank, kBlank}},
      {{{1360, 3000}, {90, 205}, {180, 400}, {250, 555}, {130, 278}, {150, 336}}},
      {{{1860, 4100}, {120, 265}, {240, 525}, {340, 750}, {190, 410}, {230, 502}}},
      {{{2400, 5300}, {150, 315}, {280, 625}, {440, 960}, {240, 525}, {300, 655}}},
      {{{3770, 8300}, {210, 465}, {420, 925}, {680, 1500}, {420, 935}, {510, 1130}}},
      {{{4940, 10900}, {290, 640}, {580, 1275}, {850, 1880}, {640, 1420}, {830, 1840}}},
      {{{7300, 16100}, kBlank, kBlank, kBlank, kBlank, kBlank}},
      {{{9480, 20900}, {480, 1050}, {950, 2100}, {1500, 3300}, {1140, 2520}, {1470, 3250}}}};
  constexpr std::array kKinds = {RopeKind::kWire,          RopeKind::kManila,
                                 RopeKind::kPolypropylene, RopeKind::kPolyester,
                                 RopeKind::kNylon,         RopeKind::kDoubleBraidNylon};
  for (size_t size = 0; size < rows.size(); ++size) {
    for (size_t kind = 0; kind < kKinds.size(); ++kind) {
      EXPECT_EQ(RopeLimit(kKinds[kind], kSizes[size]).value_or(kBlank), rows[size][kind])
          << SizeText(kSizes[size]) << " kind " << kind;
    }
  }
}

TEST(Fmcsa393_108, WebbingAndStrapping) {
  EXPECT_EQ(WebbingLimit(WebbingWidth::k1_3_4), (PrintedLimit{790, 1'750}));
  EXPECT_EQ(WebbingLimit(WebbingWidth::k2), (PrintedLimit{910, 2'000}));
  EXPECT_EQ(WebbingLimit(WebbingWidth::k3), (PrintedLimit{1'360, 3'000}));
  EXPECT_EQ(WebbingLimit(WebbingWidth::k4), (PrintedLimit{1'810, 4'000}));
  EXPECT_EQ(StrapLimit(StrapSize::k1_1_4x0_035), (PrintedLimit{540, 1'190}));
  EXPECT_EQ(StrapLimit(StrapSize::k1_1_4x0_050), (PrintedLimit{770, 1'690}));
  EXPECT_EQ(StrapLimit(StrapSize::k1_1_4x0_057), (PrintedLimit{870, 1'925}));
  EXPECT_EQ(StrapLimit(StrapSize::k2x0_050), (PrintedLimit{1'200, 2'650}));
}

/// Its binder and anchor are stronger than any device of the tables.
Tie Tied(const Device& device, int count, TieEnd end = TieEnd::kFront) {
  return {.device = device,
          .binder = Pounds(50'000),
          .anchor = Pounds(50'000),
          .end = end,
          .count = count};
}

/// As many at the rear as at the front, or one less.
LoadOnDeck Machine(double pounds, const Device& device, int count) {
  return {.weight = Pounds(pounds),
          .length = Feet(20),
          .articulation = Restraint::kNoneNeeded,
          .accessories = Restraint::kRestrained,
          .ties = {Tied(device, (count + 1) / 2), Tied(device, count / 2, TieEnd::kRear)}};
}
Verdict Tied(const LoadOnDeck& load) { return JudgeSecurement(load)->verdict; }
constexpr Chain kThreeEighths70 = {TieSize::k3_8, ChainGrade::k70};
constexpr Chain kHalf70 = {TieSize::k1_2, ChainGrade::k70};

// 393.106(d): half the weight; to the cargo counts half.
TEST(Fmcsa393_106, FourDirectChainsHoldToThePound) {
  EXPECT_EQ(Tied(Machine(26'400, kThreeEighths70, 4)), Verdict::kClear);
  EXPECT_EQ(Tied(Machine(26'401, kThreeEighths70, 4)), Verdict::kConflict);
  EXPECT_EQ(Tied(Machine(45'200, kHalf70, 4)), Verdict::kClear);
  EXPECT_EQ(Tied(Machine(45'201, kHalf70, 4)), Verdict::kConflict);
  EXPECT_DOUBLE_EQ(JudgeSecurement(Machine(26'400, kThreeEighths70, 4))->effective.pounds(),
                   13'200);
}

TEST(Fmcsa393_106, OverAndDownTheOtherSideCountsInFull) {
  LoadOnDeck crate = {.weight = Pounds(8'000), .length = Feet(8), .kind = LoadKind::kArticle};
  crate.ties = {Tied(Webbing{WebbingWidth::k2}, 2)};
  crate.ties[0].path = TiePath::kOtherSide;
  EXPECT_EQ(Tied(crate), Verdict::kClear);
  crate.weight = Pounds(8'001);
  EXPECT_EQ(Tied(crate), Verdict::kConflict);
  crate.weight = Pounds(4'000);
  crate.ties[0].path = TiePath::kSameSide;
  EXPECT_EQ(Tied(crate), Verdict::kClear);
  crate.weight = Pounds(4'001);
  EXPECT_EQ(Tied(crate), Verdict::kConflict);
}

TEST(Fmcsa393_106, AMachineOf42000) {
  const auto four = JudgeSecurement(Machine(42'000, kThreeEighths70, 4));
  EXPECT_EQ(four->verdict, Verdict::kConflict);
  EXPECT_DOUBLE_EQ(four->needed.pounds(), 21'000);
  EXPECT_DOUBLE_EQ(four->effective.pounds(), 13'200);
  EXPECT_EQ(four->add, 3);
  EXPECT_EQ(DriversLine(*four, UnitSystem::kUs),
            "4 chains: SHORT 7,800 lb. Add 3 more of 6,600 lb");
  const auto seven = JudgeSecurement(Machine(42'000, kThreeEighths70, 7));
  EXPECT_EQ(seven->verdict, Verdict::kClear);
  EXPECT_DOUBLE_EQ(seven->effective.pounds(), 23'100);
  const auto heavier = JudgeSecurement(Machine(42'000, kHalf70, 4));
  EXPECT_EQ(heavier->verdict, Verdict::kClear);
  EXPECT_DOUBLE_EQ(heavier->effective.pounds(), 22'600);
}

// 393.108(a): the lowest of any component or of the anchor point.
TEST(Fmcsa393_108, TheWeakestOfChainBinderAndAnchor) {
  LoadOnDeck machine = Machine(20'000, kHalf70, 4);
  for (Tie& tie : machine.ties) {
    tie.binder = Pounds(6'600);
    tie.anchor = Pounds(5'000);
  }
  EXPECT_DOUBLE_EQ(JudgeSecurement(machine)->effective.pounds(), 4 * 5'000 / 2.0);
}

// 393.108(d): unmarked chain is grade 30; (c): unmarked cordage is polypropylene.
TEST(Fmcsa393_108, UnmarkedIsTheLowest) {
  const auto chain = JudgeSecurement(Machine(20'000, Chain{TieSize::k3_8, {}}, 4));
  EXPECT_DOUBLE_EQ(chain->effective.pounds(), 4 * 2'650 / 2.0);
  const auto rope = JudgeSecurement(Machine(9'000, Rope{TieSize::k1, {}}, 2));
  EXPECT_DOUBLE_EQ(rope->effective.pounds(), 2 * 2'100 / 2.0);
}

// 393.130(c)(1), second-hand: restrained forward and rearward by at least four tie-downs; (c)(2):
// near the ends or at mounting points. Chapter 9 of the drivers' handbook, second-hand: "at least
// two tiedowns at both the front and rear".
TEST(Fmcsa393_130, AMountingPointHoldsNoMoreThanItsEnd) {
  LoadOnDeck loader = Machine(41'600, Chain{TieSize::k5_8, ChainGrade::k100}, 3);
  loader.ties[1] = Tied(Chain{TieSize::k1_4, ChainGrade::k70}, 1);
  loader.ties[0].count = 3;
  EXPECT_GT(JudgeSecurement(loader)->margin, Pounds(14'000)) << "strong enough, and one way only";
  EXPECT_EQ(Tied(loader), Verdict::kConflict);
  loader.ties[1].end = TieEnd::kRear;
  EXPECT_EQ(Tied(loader), Verdict::kConflict) << "one at the rear is not two";
  loader.ties[1].count = 2;
  EXPECT_EQ(Tied(loader), Verdict::kClear);
}

TEST(Fmcsa393_108, KilogramsAreATableOfTheirOwn) {
  LoadOnDeck machine = Machine(0, kThreeEighths70, 4);
  machine.column = UnitSystem::kSi;
  machine.weight = InKilograms(4 * 2'990);  // 11,960 kg is 26,367 lb
  EXPECT_EQ(Tied(machine), Verdict::kClear);
  machine.weight = InKilograms(4 * 2'990 + 1);
  EXPECT_EQ(Tied(machine), Verdict::kConflict);
}

TEST(Fmcsa393_110, HowMany) {
  const auto us = [](double feet, double pounds, Blocked blocked = Blocked::kNot) {
    return *TiesNeeded({.weight = Pounds(pounds), .length = Feet(feet), .blocked = blocked});
  };
  EXPECT_EQ(us(5, 1'100), 1);
  EXPECT_EQ(us(5, 1'101), 2);
  EXPECT_EQ(us(5.01, 100), 2);
  EXPECT_EQ(us(10, 50'000), 2);
  EXPECT_EQ(us(10.01, 500), 3);
  EXPECT_EQ(us(20, 500), 3);
  EXPECT_EQ(us(22, 500), 4);
  EXPECT_EQ(us(30, 500), 4);
  EXPECT_EQ(us(30.01, 500), 5);
  EXPECT_EQ(us(22, 500, Blocked::kForward), 3);
  EXPECT_EQ(us(4, 500, Blocked::kForward), 1);
  EXPECT_EQ(us(10, 500, Blocked::kForward), 1);
  // The metric column prints 3.04 m, so 10 ft (3.048 m) is above it.
  const auto si = [](double metres, double kilograms) {
    return *TiesNeeded(
        {.weight = InKilograms(kilograms), .length = InMetres(metres), .column = UnitSystem::kSi});
  };
  EXPECT_EQ(si(1.52, 500), 1);
  EXPECT_EQ(si(1.52, 501), 2);
  EXPECT_EQ(si(1.53, 500), 2);
  EXPECT_EQ(si(3.04, 9'000), 2);
  EXPECT_EQ(si(3.048, 9'000), 3);
  EXPECT_EQ(si(6.08, 9'000), 3);
  EXPECT_EQ(si(6.09, 9'000), 4);
}

// 393.130(c)(1): at least four; (b): articulation and accessories.
TEST(Fmcsa393_130, FourTiesHoweverStrong) {
  const Marked strong = {"chain", Pounds(30'000)};
  EXPECT_EQ(Tied(Machine(10'000, strong, 3)), Verdict::kConflict);
  EXPECT_EQ(Tied(Machine(10'000, strong, 4)), Verdict::kClear);
  EXPECT_EQ(Tied(Machine(9'999, strong, 3)), Verdict::kConflict) << "stricter than 393.128 may be";
  EXPECT_EQ(Tied(Machine(9'999, strong, 4)), Verdict::kClear);
  LoadOnDeck bends = Machine(10'000, strong, 4);
  bends.articulation = Restraint::kFree;
  EXPECT_EQ(Tied(bends), Verdict::kConflict);
  LoadOnDeck bucket = Machine(10'000, strong, 4);
  bucket.accessories = Restraint::kFree;
  EXPECT_EQ(Tied(bucket), Verdict::kConflict);
}

// 393.102(a)(2): against working load limits 0.435 g forward, 0.5 g rearward, 0.25 g sideways;
// (b): a fifth of the weight downward. 0.8 g is against breaking strength.
TEST(Fmcsa393_102, WorkingLoadsAreHeldAgainstTheirOwnShares) {
  ForcesOnLoad load = {.weight = Pounds(10'000), .friction = 0.5};
  load.ties = {{.limit = Pounds(2'000), .below_level = Degrees(90)}};
  const auto held = JudgeForces(load);
  EXPECT_NEAR(held->pushes[0].needed.pounds(), 4'350, 1e-9);
  EXPECT_NEAR(held->pushes[1].needed.pounds(), 5'000, 1e-9);
  EXPECT_NEAR(held->pushes[2].needed.pounds(), 2'500, 1e-9);
  EXPECT_NEAR(held->pushes[3].needed.pounds(), 2'500, 1e-9);
  EXPECT_NEAR(held->pushes[4].needed.pounds(), 2'000, 1e-9);
}

}  // namespace
}  // namespace chockwise::fit
