#include "services/fit/bridge_formula.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

TEST(BridgeFormula, FeetThatEnterIt) {
  const auto planned = [](double feet) {
    return FormulaFeet(Feet(feet), BridgeRounding::kPlanned);
  };
  const auto published = [](double feet) {
    return FormulaFeet(Feet(feet), BridgeRounding::kPublished);
  };
  EXPECT_EQ(planned(51), 51);
  EXPECT_EQ(planned(51.99), 51);
  EXPECT_EQ(published(51.5), 51);  // ties down
  EXPECT_EQ(published(51.51), 52);
  EXPECT_EQ(published(51), 51);
  EXPECT_EQ(published(8.9), 8);  // "more than 8, less than 9"
  EXPECT_EQ(planned(8.9), 8);
  for (int inches = 8 * 12; inches < 9 * 12; ++inches)
    EXPECT_EQ(FormulaFeet(Inches(inches), BridgeRounding::kPublished), 8) << inches;
  for (int feet = 4; feet <= 120; ++feet)
    for (BridgeRounding rounding : {BridgeRounding::kPlanned, BridgeRounding::kPublished})
      EXPECT_EQ(FormulaFeet(Inches(feet * 12), rounding), feet);
}

TEST(BridgeFormula, AnInputOutOfItsDomainIsNamed) {
  const auto of = [](int feet, int axles) {
    return UnusableOf(BridgeFormula({.span_ft = feet, .axles = axles}));
  };
  ExpectNamed({{"no span", of(0, 5), "span of the axles, ft"},
               {"negative span", of(-10, 5), "span of the axles, ft"},
               {"span in inches", of(612, 5), "span of the axles, ft"},
               {"one axle", of(20, 1), "number of axles"},
               {"no axle", of(20, 0), "number of axles"},
               {"absurd axles", of(20, 21), "number of axles"}});
}

RC_GTEST_PROP(BridgeFormulaProperty, PlannedIsNeverAbovePublishedAndAtMostOneStepBelow, ()) {
  const AxleSet set = {*rc::gen::inRange(4, 201), *rc::gen::inRange(2, 21)};
  const BridgeLimit limit = *BridgeFormula(set);
  const int step = limit.published_lb - limit.planned_lb;
  RC_ASSERT(step == 0 || step == 500);
}

RC_GTEST_PROP(BridgeFormulaProperty, MoreSpanNeverAllowsLess, ()) {
  const AxleSet set = {*rc::gen::inRange(4, 200), *rc::gen::inRange(2, 21)};
  const BridgeLimit less = *BridgeFormula(set);
  const BridgeLimit more = *BridgeFormula({set.span_ft + 1, set.axles});
  RC_ASSERT(more.published_lb >= less.published_lb);
  RC_ASSERT(more.planned_lb >= less.planned_lb);
}

}  // namespace
}  // namespace chockwise::fit
