// The drawings: well-formed SVG whatever is written in the yard's files, with all that must be read
// off them in words.
#include "services/survey/drawing.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <algorithm>
#include <cmath>
#include <string>

#include "services/survey/drawing_labels.h"
#include "services/survey/drawing_svg.h"
#include "tests/survey/demo_yard.h"
#include "tests/survey/well_formed.h"

namespace chockwise::survey {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

TEST(Escaped, LeavesNoMarkupAndNothingThatXmlForbids) {
  EXPECT_EQ(Escaped("a<b>&\"c\""), "a&lt;b&gt;&amp;&quot;c&quot;");
  EXPECT_EQ(Escaped("t\x01\x1b\x7f\n"), "t????");
  EXPECT_EQ(Escaped("caf\xc3\xa9 \xe2\x9c\x93"), "caf\xc3\xa9 \xe2\x9c\x93");
  EXPECT_EQ(Escaped("\xc3"), "?") << "cut short";
  EXPECT_EQ(Escaped("\xc0\xaf"), "??") << "overlong";
  EXPECT_EQ(Escaped("\xed\xa0\x80"), "???") << "a surrogate";
  EXPECT_EQ(Escaped("\xef\xbf\xbe"), "???") << "U+FFFE";
  EXPECT_EQ(Escaped("\xc2\x85"), "??") << "a C1 control";
}

TEST(PlanSvg, ShowsTheWayTheBlindGroundAndTheSpotter) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("ST-101", "s1-bay-1", "s1-apron");
  const auto seen = SeeOf(At(yard), trip, {});
  ASSERT_TRUE(seen) << seen.error().Text();
  const std::string svg = PlanSvg(PlanOf(At(yard), trip, *seen));
  EXPECT_TRUE(IsWellFormed(svg));
  for (const char* word :
       {"ST-101 from s1-bay-1 to s1-apron", "STAND ", "2026-11-24", "door-1", ">N<", " ft<",
        "spotter stands here", "driver sees nobody here", "tightest spot", "machine: ", "to spare",
        "ground it covers", "hold point", "A drawing, not a release."})
    EXPECT_THAT(svg, HasSubstr(word));
  EXPECT_THAT(svg, Not(HasSubstr("nan")));
  EXPECT_THAT(svg, Not(HasSubstr("inf,")));
}

/// Where a word stands: `x` of its text.
double PlaceOfWord(const fit::Line& line) {
  Sheet sheet({.width_px = 400, .height_px = 400}, "");
  Labels labels({.width_px = 400, .height_px = 400}, {0, 0});
  labels.Avoid(line);
  labels.Put(sheet, {.at = {200, 200}, .clear_px = 6}, "word", {.size_px = 14},
             Labels::Crowded::kDrawAnyway);
  const std::string svg = std::move(sheet).Svg();
  const size_t at = svg.find("<text x=\"");
  return at == std::string::npos ? -1 : std::stod(svg.substr(at + 9));
}

TEST(Labels, GoWhereNoLineRunsThroughThem) {
  EXPECT_GT(PlaceOfWord({}), 200) << "to the right of its thing, where nothing is";
  EXPECT_LT(PlaceOfWord({{200, 200}, {400, 200}}), 200);
  EXPECT_GT(PlaceOfWord({{200, 200}, {0, 200}}), 200);
}

TEST(PlanSvg, ShowsWhichEndIsTheFront) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("ST-101", "s1-bay-1", "s1-apron");
  const auto forwards = DriveOf(At(yard), trip, {});
  const auto reversing = DriveOf(At(yard), trip, {.travel = fit::Travel::kReversing});
  ASSERT_TRUE(forwards && reversing);
  const auto middle = [](const fit::Line& front) { return 0.5 * (front[0] + front[1]); };
  const fit::Line ahead = PlanOf(At(yard), trip, *forwards).fronts.front();
  const fit::Line behind = PlanOf(At(yard), trip, *reversing).fronts.front();
  const fit::Point from = forwards->way.middle.front(), to = forwards->way.middle.back();
  EXPECT_GT(Dot(middle(ahead) - middle(behind), to - from), 0) << "its front leads, or it trails";
  EXPECT_THAT(PlanSvg(PlanOf(At(yard), trip, *forwards)), HasSubstr("thick: its front"));
}

TEST(PlanSvg, ShowsTheRingAroundASlewingTailWhereItIsTightest) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("EX-301", "s2-bay-2", "wash-pad");
  const auto slewing = DriveOf(At(yard), trip, {.upper = Upper::kSlewing});
  ASSERT_TRUE(slewing) << slewing.error().Text();
  const PlanDrawing plan = PlanOf(At(yard), trip, *slewing);
  ASSERT_FALSE(plan.slew.empty());
  const double radius_m =
      (slewing->machine.upper->tail_radius + slewing->machine.upper->clearance).metres();
  for (size_t i = 0; i < plan.slew.size() / 2; ++i)
    EXPECT_NEAR(fit::LengthM(plan.slew[i] - plan.slew[i + plan.slew.size() / 2]), 2 * radius_m,
                1e-6);
  EXPECT_THAT(PlanSvg(plan), HasSubstr("its tail may swing here"));
  const auto in_line = DriveOf(At(yard), trip, {});
  ASSERT_TRUE(in_line);
  EXPECT_TRUE(PlanOf(At(yard), trip, *in_line).slew.empty());
}

TEST(PlanSvg, MarksWhereTheMachineCannotTurnAndExplainsNothingThatIsNotThere) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("CA-901", "s1-bay-1", "street-gate");
  const auto driven = DriveOf(At(yard), trip, {});
  ASSERT_TRUE(driven) << driven.error().Text();
  ASSERT_TRUE(driven->swept.driven.shortfall);
  const PlanDrawing plan = PlanOf(At(yard), trip, *driven);
  ASSERT_TRUE(plan.tight);
  EXPECT_EQ(plan.tight->name, "cannot follow the lane here");
  const std::string svg = PlanSvg(plan);
  EXPECT_EQ(svg.find("ground it covers") == std::string::npos, plan.swept.empty());
}

TEST(PlanSvg, WithoutSightThereIsNoWedge) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("EX-301", "s2-bay-2", "ready-line");
  const auto driven = DriveOf(At(yard), trip, {.needed_each_side = fit::Inches(12)});
  ASSERT_TRUE(driven) << driven.error().Text();
  const std::string svg = PlanSvg(PlanOf(At(yard), trip, *driven));
  EXPECT_TRUE(IsWellFormed(svg));
  EXPECT_THAT(svg, Not(HasSubstr("driver sees nobody here")));
  EXPECT_THAT(svg, HasSubstr("TOO TIGHT at door-4"));
  EXPECT_THAT(svg, HasSubstr(">10 in to spare<"));
}

TEST(PlanSvg, ReadsTheWorstThatPeopleWrite) {
  PlanDrawing plan;
  plan.titles = {.title = "</title><script>\"&'\x01\xff", .line = "<", .asked_on = "&"};
  plan.route = {{{0, 0}, {10, 0}}};
  plan.places = {{.name = "]]>\x1b[2J", .at = {5, 0}}};
  const std::string svg = PlanSvg(plan);
  EXPECT_TRUE(IsWellFormed(svg));
  EXPECT_THAT(svg, Not(HasSubstr("<script")));
}

TEST(SideSvg, ShowsTheGapWithItsNumber) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("ST-101", "s1-bay-1", "s1-apron");
  const auto ridden = RideOf(At(yard), trip, fit::Travel::kForwards);
  ASSERT_TRUE(ridden) << ridden.error().Text();
  for (const Look look : {Look::kAbove, Look::kBelow}) {
    const auto side = SideOf(At(yard), trip, *ridden, look);
    ASSERT_TRUE(side) << side.error().Text();
    const fit::TightSpot& spot = look == Look::kAbove
                                     ? ridden->ride.overheads[*ridden->ride.least_overhead]
                                     : ridden->ride.below;
    EXPECT_NEAR(std::abs(side->gap.from.y_m - side->gap.to.y_m), std::abs(spot.gap.metres()), 1e-9);
    const std::string svg = SideSvg(*side);
    EXPECT_TRUE(IsWellFormed(svg));
    EXPECT_THAT(svg, HasSubstr(side->gap.text));
    EXPECT_THAT(side->gap.from_what, HasSubstr("of error"));
    EXPECT_THAT(svg, HasSubstr(" ft<"));
    EXPECT_THAT(svg, Not(HasSubstr("nan")));
  }
}

/// The drawn machine touches the drawn header at the gap: what was computed is what is shown.
TEST(SideSvg, TheGapEndsAtTheMachine) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("WL-401", "s2-bay-3", "wash-pad");
  for (const fit::Travel travel : {fit::Travel::kForwards, fit::Travel::kReversing}) {
    const auto ridden = RideOf(At(yard), trip, travel);
    ASSERT_TRUE(ridden) << ridden.error().Text();
    const auto side = SideOf(At(yard), trip, *ridden, Look::kAbove);
    ASSERT_TRUE(side) << side.error().Text();
    double nearest_m = 1e9;
    for (const fit::UnitPose& unit : side->machine) {
      for (size_t i = 1; i < unit.top.size(); ++i) {
        const fit::Point a = unit.top[i - 1], b = unit.top[i];
        const double run = b.x_m - a.x_m;
        if (std::abs(run) < 1e-9) continue;
        const double share = std::clamp((side->gap.to.x_m - a.x_m) / run, 0.0, 1.0);
        const fit::Point on = a + share * (b - a);
        nearest_m = std::min(nearest_m, fit::LengthM(on - side->gap.to));
      }
    }
    EXPECT_LT(nearest_m, 0.01);
  }
}

TEST(SideSvg, SaysThatItBacksAndDrawsItTailFirst) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("ST-101", "s1-bay-1", "s1-apron");
  const auto ridden = RideOf(At(yard), trip, fit::Travel::kReversing);
  ASSERT_TRUE(ridden) << ridden.error().Text();
  const auto side = SideOf(At(yard), trip, *ridden, Look::kBelow);
  ASSERT_TRUE(side) << side.error().Text();
  const fit::Line& top = side->machine.front().top;
  EXPECT_LT(top.front().x_m, top.back().x_m) << "its front comes last";
  const std::string svg = SideSvg(*side);
  EXPECT_TRUE(IsWellFormed(svg));
  EXPECT_THAT(svg, HasSubstr("to s1-apron, reversing"));
  EXPECT_THAT(svg, HasSubstr("it backs this way, rear first"));
}

TEST(SideOf, NothingAboveIsRefused) {
  const yard::Yard yard = DemoYard();
  const Trip trip = TripOf("ST-104", "truck-row", "s1-apron");
  const auto ridden = RideOf(At(yard), trip, fit::Travel::kForwards);
  ASSERT_TRUE(ridden) << ridden.error().Text();
  EXPECT_FALSE(SideOf(At(yard), trip, *ridden, Look::kAbove));
  EXPECT_TRUE(SideOf(At(yard), trip, *ridden, Look::kBelow));
}

}  // namespace
}  // namespace chockwise::survey
