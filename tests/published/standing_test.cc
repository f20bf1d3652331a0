// Slopes, chocks and tipping: statics, computed from the rule by an independent script (formulas
// from memory). Distances: 29 CFR 1910.36, .178 read in a public mirror; 1910.303 Table S-1 in a
// state's copy of it. Grade of parking brakes, 49 CFR 571.121: from memory.
#include "services/fit/standing.h"

#include <gtest/gtest.h>

#include "services/fit/standing_clear.h"

namespace chockwise::fit {
namespace {

TEST(SlopeFigures, PullOf80000Pounds) {
  struct Row {
    double percent, degrees, sine, pounds_force, newtons;
  };
  const std::vector<Row> rows = {
      {2, 1.146, 0.02000, 1'600, 7'116},    {5, 2.862, 0.04994, 3'995, 17'771},
      {6, 3.434, 0.05989, 4'791, 21'313},   {10, 5.711, 0.09950, 7'960, 35'409},
      {15, 8.531, 0.14834, 11'867, 52'788}, {20, 11.310, 0.19612, 15'689, 69'789}};
  for (const Row& row : rows) {
    const auto hold =
        JudgeHold({.grade = Percent(row.percent), .friction = 0.6, .weight = Pounds(80'000)});
    EXPECT_NEAR(hold->angle.degrees(), row.degrees, 0.0005) << row.percent;
    EXPECT_NEAR(std::sin(hold->angle.radians()), row.sine, 5e-6) << row.percent;
    EXPECT_NEAR(hold->pull.pounds_force(), row.pounds_force, 0.5) << row.percent;
    EXPECT_NEAR(hold->pull.newtons(), row.newtons, 0.6) << row.percent;
  }
}

// The ratio at which a wheel climbs. That a chock holds whatever pushes less than its friction, as
// is often written beside it, takes it to carry all of its wheel's load, which it does only at the
// climb: see JudgeChock.
TEST(ChockFigures, ContactAndRatio) {
  struct Row {
    double diameter_m, height_m, degrees, ratio;
  };
  for (const Row& row :
       {Row{1.0, 0.25, 60.00, 1.732}, {1.0, 0.20, 53.13, 1.333}, {0.9, 0.20, 56.25, 1.497}}) {
    const auto chock = JudgeChock({.diameter = InMetres(row.diameter_m),
                                   .contact_height = InMetres(row.height_m),
                                   .chock_friction = 0.5,
                                   .grade = Percent(5),
                                   .chocked = {}});
    EXPECT_NEAR(chock->contact.degrees(), row.degrees, 0.005) << row.height_m;
    EXPECT_NEAR(chock->to_climb, row.ratio, 0.0005) << row.height_m;
  }
}

TEST(TipFigures, AngleAndLateralG) {
  const auto tip = [](double track, double height) {
    return *JudgeSideTip({.track = InMetres(track), .centre_height = InMetres(height)});
  };
  EXPECT_NEAR(tip(1.8, 1.2).tips_at.degrees(), 36.87, 0.005);
  EXPECT_NEAR(tip(1.8, 1.2).tips_at_g, 0.750, 1e-12);
  EXPECT_NEAR(tip(2.0, 1.5).tips_at.degrees(), 33.69, 0.005);
  EXPECT_NEAR(tip(1.2, 1.0).tips_at.degrees(), 30.96, 0.005);
}

TEST(Osha1910_303, TableS1Depths) {
  const auto feet = [](double volts, PanelOpposite opposite) {
    return PanelDepth({.to_ground = InVolts(volts), .opposite = opposite})->least.feet();
  };
  for (double volts : {1.0, 120.0, 150.0}) {
    EXPECT_DOUBLE_EQ(feet(volts, PanelOpposite::kNothingLive), 3.0);
    EXPECT_DOUBLE_EQ(feet(volts, PanelOpposite::kGrounded), 3.0);
    EXPECT_DOUBLE_EQ(feet(volts, PanelOpposite::kLive), 3.0);
  }
  for (double volts : {150.5, 151.0, 277.0, 600.0}) {
    EXPECT_DOUBLE_EQ(feet(volts, PanelOpposite::kNothingLive), 3.0);
    EXPECT_DOUBLE_EQ(feet(volts, PanelOpposite::kGrounded), 3.5);
    EXPECT_DOUBLE_EQ(feet(volts, PanelOpposite::kLive), 4.0);
  }
  EXPECT_FALSE(PanelDepth({.to_ground = InVolts(600.1)}).has_value());
  EXPECT_EQ(PanelWidth(Inches(20))->least, Inches(30));
  EXPECT_EQ(PanelWidth(Inches(42))->least, Inches(42));
}

TEST(Osha1910_303, TableS1InMetresIsAColumnOfItsOwn) {
  const auto metres = [](double volts, PanelOpposite opposite) {
    return PanelDepth({InVolts(volts), opposite, UnitSystem::kSi})->least.metres();
  };
  EXPECT_EQ(metres(120, PanelOpposite::kLive), 0.9);
  EXPECT_EQ(metres(480, PanelOpposite::kNothingLive), 0.9);
  EXPECT_EQ(metres(480, PanelOpposite::kGrounded), 1.07);
  EXPECT_EQ(metres(480, PanelOpposite::kLive), 1.2);
}

// μ·k >= tan θ, where only a share k of the weight stands on braked wheels: statics, from memory.
// We keep a reserve of 1.5 on it: common practice. 49 CFR 571.121 asks of a parking brake 20 %
// (from memory): it holds just that and no more.
TEST(SlopeFigures, ABrakedShareAndABrakeOfTwentyPercent) {
  const auto hold = [](double percent, double friction, double share) {
    return JudgeHold({.grade = Percent(percent),
                      .friction = friction,
                      .wheels = {.share = share},
                      .weight = Pounds(80'000),
                      .brake_holds = Percent(20)});
  };
  EXPECT_NEAR(hold(1, 0.20, 0.6)->slides_at.percent(), 12, 1e-9);
  EXPECT_EQ(hold(7.9, 0.20, 0.6)->verdict, Verdict::kClear);
  EXPECT_EQ(hold(8.1, 0.20, 0.6)->verdict, Verdict::kConflict);
  EXPECT_EQ(hold(19.9, 0.75, 1)->verdict, Verdict::kClear);
  EXPECT_EQ(hold(20.1, 0.75, 1)->verdict, Verdict::kConflict);
}

// 20 ft on a fire apparatus road: International Fire Code 503.2.1, from memory. 36 in before an
// extinguisher: 1910.157(c)(1) prints no number; default, the safety lead's to set.
TEST(FireCode, WaysAndExtinguishers) {
  EXPECT_EQ(FireWayWidth().least, Feet(20));
  EXPECT_EQ(ExtinguisherFront().least, Inches(36));
}

// 1910.36(g)(2): 28 in (71.1 cm); 1910.178(n)(5): 8 ft (2.44 m).
TEST(Osha1910, ExitsAndTracks) {
  EXPECT_EQ(ExitWidth(UnitSystem::kUs).least, Inches(28));
  EXPECT_EQ(ExitWidth(UnitSystem::kSi).least, Millimetres(711));
  EXPECT_EQ(FromTrackCentre(UnitSystem::kUs).least, Feet(8));
  EXPECT_EQ(FromTrackCentre(UnitSystem::kSi).least, InMetres(2.44));
}

}  // namespace
}  // namespace chockwise::fit
