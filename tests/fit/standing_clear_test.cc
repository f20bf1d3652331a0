#include "services/fit/standing_clear.h"

#include <gtest/gtest.h>
#include <rapidcheck/gtest.h>

#include "tests/fit/unusable_row.h"

namespace chockwise::fit {
namespace {

const ClearanceNeed kExit = ExitWidth(UnitSystem::kUs);

std::string LineOf(const std::vector<LeftClear>& items) {
  return DriversLine(*JudgeKeptClear(items), UnitSystem::kUs);
}

TEST(KeptClear, TheWorstIsSaidFirst) {
  const ClearanceNeed panel = *PanelDepth({.to_ground = InVolts(277)});
  EXPECT_EQ(LineOf({{"exit 3", Inches(30), kExit}, {"panel P-2", Inches(40), panel}}),
            "MOVE OFF panel P-2: 2 in short");
  EXPECT_EQ(LineOf({{"exit 3", Inches(32), kExit}, {"panel P-2", Inches(43), panel}}),
            "LEAVES FREE: 1 in to spare at panel P-2");
}

TEST(KeptClear, ExactlyTheNeedIsEnough) {
  for (double inches : {28.0, 28.000001})
    EXPECT_EQ(JudgeKeptClear({{"exit", Inches(inches), kExit}})->verdict, Verdict::kClear);
  EXPECT_EQ(JudgeKeptClear({{"exit", Inches(27.99), kExit}})->verdict, Verdict::kConflict);
}

TEST(KeptClear, ACoveredItemHasNothingLeft) {
  EXPECT_EQ(LineOf({{"extinguisher 7", Metres(), ExtinguisherFront()}}),
            "MOVE OFF extinguisher 7: 3 ft short");
}

TEST(KeptClear, AnInputOutOfItsDomainIsNamed) {
  ExpectNamed({
      {"nothing listed", UnusableOf(JudgeKeptClear({})), "items"},
      {"negative", UnusableOf(JudgeKeptClear({{"exit", Inches(-1), kExit}})),
       "distance left at exit"},
      {"absurd", UnusableOf(JudgeKeptClear({{"exit", Feet(10'001), kExit}})),
       "distance left at exit"},
      {"no need", UnusableOf(JudgeKeptClear({{"exit", Feet(1), {}}})), "distance needed at exit"},
      {"no voltage", UnusableOf(PanelDepth({.to_ground = InVolts(0)})), "voltage to ground"},
      {"negative", UnusableOf(PanelDepth({.to_ground = InVolts(-5)})), "voltage to ground"},
      {"high voltage", UnusableOf(PanelDepth({.to_ground = InVolts(601)})), "voltage to ground"},
      {"no panel", UnusableOf(PanelWidth(Feet(0))), "width of the equipment"},
      {"absurd panel", UnusableOf(PanelWidth(Feet(31))), "width of the equipment"},
  });
}

RC_GTEST_PROP(KeptClearProperty, MoreRoomNeverTurnsClearIntoConflict, ()) {
  const Metres left = Inches(*rc::gen::inRange(0, 100));
  const Metres more = left + Inches(*rc::gen::inRange(0, 100));
  const auto before = JudgeKeptClear({{"exit", left, kExit}});
  const auto after = JudgeKeptClear({{"exit", more, kExit}});
  if (before->verdict == Verdict::kClear) RC_ASSERT(after->verdict == Verdict::kClear);
}

RC_GTEST_PROP(KeptClearProperty, TheUnitOfInputNeverChangesTheAnswer, ()) {
  const int inches = *rc::gen::inRange(0, 100);
  RC_ASSERT(JudgeKeptClear({{"exit", Inches(inches), kExit}})->verdict ==
            JudgeKeptClear({{"exit", Millimetres(inches * 25.4), kExit}})->verdict);
}

}  // namespace
}  // namespace chockwise::fit
