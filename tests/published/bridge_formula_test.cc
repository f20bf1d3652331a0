// 23 U.S.C. 127(a) and 23 CFR 658.17: limits and formula, read in secondary copies. Rev. Code Wash.
// 46.44.041: its table, read on the legislature's page. FHWA's five-axle example: weights read
// second-hand, spacings and outcomes from memory.
#include "services/fit/bridge_formula.h"

#include <gtest/gtest.h>

#include "services/fit/axle_loads.h"

namespace chockwise::fit {
namespace {

TEST(Washington46_44_041, TableAsPrinted) {
  struct Row {
    int span_ft, axles, lb;
  };
  const std::vector<Row> rows = {
      {4, 2, 34'000},  {5, 2, 34'000},  {6, 2, 34'000},  {7, 2, 34'000},  {8, 2, 34'000},
      {8, 3, 34'000},  {9, 2, 39'000},  {9, 3, 42'500},  {10, 2, 40'000}, {10, 3, 43'500},
      {12, 3, 45'000}, {12, 4, 50'000}, {16, 3, 48'000}, {16, 4, 52'500}, {16, 5, 58'000},
      {20, 3, 51'000}, {20, 4, 55'500}, {20, 5, 60'500}, {20, 6, 66'000}, {24, 3, 54'000},
      {24, 4, 58'000}, {24, 5, 63'000}, {24, 6, 68'500}, {24, 7, 74'000}, {28, 3, 57'000},
      {28, 4, 60'500}, {28, 5, 65'500}, {28, 6, 71'000}, {28, 7, 76'500}, {32, 3, 60'000},
      {32, 4, 63'500}, {32, 5, 68'000}, {32, 6, 73'000}, {32, 7, 78'500}};
  for (const Row& row : rows) {
    EXPECT_EQ(WashingtonLimitLb({row.span_ft, row.axles}).value_or(0), row.lb)
        << row.span_ft << " ft, " << row.axles << " axles";
    if (row.span_ft > 8) {
      EXPECT_EQ(BridgeFormula({row.span_ft, row.axles})->published_lb, row.lb) << row.span_ft;
    }
  }
}

// The state's additions at short spacings are floored: 11 ft and 4 axles is 49,333.
TEST(Washington46_44_041, AdditionsBelowTheFederalTable) {
  struct Row {
    int span_ft, axles, lb;
  };
  const std::vector<Row> rows = {{11, 4, 49'000}, {14, 5, 56'500}, {15, 5, 57'000}, {18, 6, 64'500},
                                 {19, 6, 65'000}, {22, 7, 72'500}, {25, 8, 80'000}};
  for (const Row& row : rows)
    EXPECT_EQ(WashingtonLimitLb({row.span_ft, row.axles}).value_or(0), row.lb) << row.span_ft;
}

TEST(Washington46_44_041, BlankCellsAreBlank) {
  EXPECT_FALSE(WashingtonLimitLb({9, 4}).has_value());
  EXPECT_FALSE(WashingtonLimitLb({12, 5}).has_value());
  EXPECT_FALSE(WashingtonLimitLb({16, 6}).has_value());
  EXPECT_FALSE(WashingtonLimitLb({20, 7}).has_value());
  EXPECT_FALSE(WashingtonLimitLb({12, 2}).has_value());
}

// "to the nearest five hundred pounds": ties go down, as FHWA's text on 9 ft and 3 axles says.
TEST(BridgeFormulaPublished, TiesGoDown) {
  EXPECT_EQ(BridgeFormula({9, 3})->published_lb, 42'500);  // 42,750
  EXPECT_EQ(BridgeFormula({10, 3})->published_lb, 43'500);
  EXPECT_EQ(BridgeFormula({36, 4})->published_lb, 66'000);
  EXPECT_EQ(BridgeFormula({38, 4})->published_lb, 67'500);  // 67,333.3
  EXPECT_EQ(BridgeFormula({39, 4})->published_lb, 68'000);
  EXPECT_EQ(BridgeFormula({21, 4})->published_lb, 56'000);
  EXPECT_EQ(BridgeFormula({48, 5})->published_lb, 78'000);
}

// 51 ft and 5 axles make 79,875: the printed table shows 80,000, and 79,500 is planned with.
TEST(BridgeFormulaPublished, BothRoundingsAreShown) {
  EXPECT_EQ(BridgeFormula({51, 5})->published_lb, 80'000);
  EXPECT_EQ(BridgeFormula({51, 5})->planned_lb, 79'500);
  EXPECT_EQ(BridgeFormula({9, 3})->planned_lb, 42'500);
  EXPECT_EQ(BridgeFormula({38, 4})->planned_lb, 67'000);
}

TEST(FederalCaps, AsPrintedInBothUnits) {
  EXPECT_EQ(kSingleAxleCap.lb, 20'000);
  EXPECT_EQ(kSingleAxleCap.kg, 9'072);
  EXPECT_EQ(kTandemCap.lb, 34'000);
  EXPECT_EQ(kTandemCap.kg, 15'422);
  EXPECT_EQ(kGrossCap.lb, 80'000);
  EXPECT_EQ(kGrossCap.kg, 36'287);
  EXPECT_NEAR(Pounds(80'000).kilograms(), 36'287.4, 0.05);
}

/// FHWA's truck: 12,000, 17,000, 17,000, 17,000, 17,000 lb; axles 1 to 3 over 20 ft, 1 to 5 over
/// 51, 2 to 5 over `rear_span_ft`. Tares carry all but a pound of machine: the example has no deck.
LoadedVehicle FhwaTruck(double second_axle_ft) {
  const auto axle = [](double feet, double lb) {
    return RoadAxle{.at = Feet(feet), .tare = Pounds(lb)};
  };
  return {.units = {{.front = {axle(0, 12'000)},
                     .rear = {axle(second_axle_ft, 17'000), axle(20, 17'000)},
                     .coupling = Feet(18)},
                    {.rear = {axle(47, 17'000), axle(51, 16'999)}}},
          .machine = Pounds(1),
          .machine_at = Feet(49),
          .deck_front = Feet(20),
          .deck_rear = Feet(51),
          .rounding = BridgeRounding::kPublished};
}

AxleLimit Group(const AxleJudgement& judged, int first, int last) {
  for (const AxleLimit& group : judged.groups)
    if (group.first == first && group.last == last && group.rule != AxleRule::kGross) return group;
  return {};
}

TEST(FhwaExample, FiveAxlesOver51Feet) {
  const auto judged = JudgeAxles(FhwaTruck(16));
  ASSERT_TRUE(judged.has_value());
  const AxleLimit front = Group(*judged, 1, 3), all = Group(*judged, 1, 5);
  EXPECT_NEAR(front.actual.pounds(), 46'000, 1);
  EXPECT_NEAR(front.allowed.pounds(), 51'000, 1e-6);
  EXPECT_GT(front.margin, Kilograms());
  EXPECT_NEAR(all.actual.pounds(), 80'000, 1e-6);
  EXPECT_NEAR(all.allowed.pounds(), 80'000, 1e-6);
  EXPECT_EQ(all.bridge.planned_lb, 79'500);
  EXPECT_GE(all.margin, Pounds(-1e-6));
  const AxleLimit rear = Group(*judged, 2, 5);
  EXPECT_NEAR(rear.actual.pounds(), 68'000, 1);
  EXPECT_NEAR(rear.allowed.pounds(), 65'500, 1e-6);  // 65,333
  EXPECT_EQ(rear.rule, AxleRule::kBridge);
  EXPECT_LT(rear.margin, Kilograms());
  EXPECT_EQ(judged->verdict, Verdict::kConflict);
}

// From 36 ft on, two tandems in a row may carry 34,000 lb each.
TEST(FhwaExample, PassesWhereTheTandemsStand36FeetApart) {
  LoadedVehicle truck = FhwaTruck(15);
  truck.units[0].rear[1].at = Feet(19);  // a tandem again, 15 to 51 ft
  const auto judged = JudgeAxles(truck);
  const AxleLimit rear = Group(*judged, 2, 5);
  EXPECT_EQ(rear.rule, AxleRule::kTandemPair);
  EXPECT_NEAR(rear.allowed.pounds(), 68'000, 1e-6);
  EXPECT_EQ(judged->verdict, Verdict::kClear);
}

// Pin 42,000 x 17/38 = 18,789; trailer axles 23,211; the tractor's steering +1,409 and drive
// +17,380 with the fifth wheel 1.5 ft ahead of the drive axle on a 20 ft wheelbase. Computed from
// the rule by an independent script.
TEST(StaticsOfALowboy, PinTandemAndSteer) {
  const auto axle = [](double feet) { return RoadAxle{.at = Feet(feet), .tare = Pounds(5'000)}; };
  LoadedVehicle lowboy = {
      .units = {{.front = {axle(0)}, .rear = {axle(20)}, .coupling = Feet(18.5)},
                {.rear = {axle(56.5)}}},
      .machine = Pounds(42'000),
      .machine_at = Feet(18.5 + 21),
      .deck_front = Feet(20),
      .deck_rear = Feet(60)};
  const auto judged = JudgeAxles(lowboy);
  EXPECT_NEAR(judged->couplings[0].pounds(), 18'789, 0.5);
  EXPECT_NEAR(judged->axles[2].pounds() - 5'000, 23'211, 0.5);
  EXPECT_NEAR(judged->axles[0].pounds() - 5'000, 1'409, 0.5);
  EXPECT_NEAR(judged->axles[1].pounds() - 5'000, 17'380, 0.5);
}

}  // namespace
}  // namespace chockwise::fit
