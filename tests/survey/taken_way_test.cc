// The lanes that the desk asks about: those that a move of the trip would take, and why.
#include "services/survey/taken_way.h"

#include <gmock/gmock.h>

#include <set>

#include "services/survey/rules_asked.h"
#include "tests/survey/demo_yard.h"

namespace chockwise::survey {
namespace {

using ::testing::ElementsAre;
using ::testing::HasSubstr;

std::vector<std::string> LanesOf(const TakenWay& taken) {
  std::vector<std::string> lanes;
  for (const yard::LaneId& lane : taken.trip.by) lanes.push_back(lane.value());
  return lanes;
}

/// The ring way is the shorter one from the wash pad; the other goes back over the yard cross.
const Trip kDigger = TripOf("EX-301", "wash-pad", "ready-line");

TEST(TakeWay, IsTheShortestThatItFits) {
  const yard::Yard yard = DemoYard();
  const TakenWay taken = TakeWay(At(yard), kDigger);
  EXPECT_THAT(LanesOf(taken), ElementsAre("ring-way"));
  EXPECT_EQ(taken.told.name, "way (the shortest that it fits)");
  EXPECT_EQ(taken.told.value, "ring-way");
}

TEST(TakeWay, GoesRoundWhatDoesNotBearIt) {
  // The digger weighs 52,300 lb.
  const yard::Yard yard = With("ring-way rated-mass,\"60,000 lb\"", "ring-way rated-mass,40000 lb");
  const TakenWay taken = TakeWay(At(yard), kDigger);
  EXPECT_THAT(LanesOf(taken), ElementsAre("wash-way", "ready-way"));
  EXPECT_EQ(taken.told.value, "wash-way, ready-way");
  // And so does the question that is asked of it, which fails on the shortest way.
  EXPECT_EQ(GroundCarries(At(yard), taken.trip)->verdict, fit::Verdict::kClear);
  EXPECT_EQ(GroundCarries(At(yard), kDigger)->verdict, fit::Verdict::kConflict);
}

TEST(TakeWay, WhereNoneFitsIsTheShortestAndSaysSo) {
  yard::Yard yard = DemoYard();
  for (const char* lane : {"ring-way", "wash-way"})
    ChangeReading(yard, lane, "rated-mass", fit::Pounds(40'000));
  const TakenWay taken = TakeWay(At(yard), kDigger);
  EXPECT_THAT(LanesOf(taken), ElementsAre("ring-way"));
  EXPECT_EQ(taken.told.name, "way (the shortest; it fits none)");
}

/// Law 2: what is not known to fit is not said to.
TEST(TakeWay, WhereNobodyKnowsWhetherItFitsIsTheShortestAndSaysSo) {
  const yard::Yard yard = DemoYard();
  const TakenWay taken = TakeWay(At(yard), TripOf("TH-202", "ready-line", "yard-cross"));
  EXPECT_THAT(LanesOf(taken), ElementsAre("ready-way"));
  EXPECT_EQ(taken.told.name, "way (the shortest; whether it fits is not known)");
  const TakenWay no_machine = TakeWay(At(yard), TripOf("", "ready-line", "yard-cross"));
  EXPECT_THAT(LanesOf(no_machine), ElementsAre("ready-way"));
  EXPECT_EQ(no_machine.told.name, "way (the shortest)");
}

TEST(TakeWay, LanesThatAreNamedAreTaken) {
  const yard::Yard yard = DemoYard();
  Trip trip = kDigger;
  trip.by = {yard::LaneId("wash-way"), yard::LaneId("ready-way")};
  const TakenWay taken = TakeWay(At(yard), trip);
  EXPECT_THAT(LanesOf(taken), ElementsAre("wash-way", "ready-way"));
  EXPECT_EQ(taken.told.name, "way");
  EXPECT_EQ(taken.told.by, "as asked");
  trip.by = {yard::LaneId("wash-way"), yard::LaneId("row-way")};
  const auto none = GroundCarries(At(yard), TakeWay(At(yard), trip).trip);
  ASSERT_FALSE(none) << "lanes that do not join are refused, not mended";
  EXPECT_THAT(none.error().Text(), HasSubstr("there is none by the lanes named"));
}

TEST(TakeWay, WhereNoLanesLeadTheQuestionSaysSo) {
  const yard::Yard yard = DemoYard();
  const TakenWay taken = TakeWay(At(yard), TripOf("TH-201", "s2-bay-1", "moon"));
  EXPECT_TRUE(taken.trip.by.empty());
  EXPECT_EQ(taken.told.value, "none");
  EXPECT_FALSE(GroundCarries(At(yard), taken.trip));
}

TEST(RulesAsked, TheStricterOfEveryGateThatAsksIsTaken) {
  yard::Yard yard = DemoYard();
  const auto gate = [&](const char* side, const char* grade) {
    v1::GateRule& more = *yard.rules.add_gates();
    more.mutable_computed()->set_computation("fits-route");
    (*more.mutable_computed()->mutable_parameters())["each_side"] = side;
    (*more.mutable_computed()->mutable_parameters())["most_grade"] = grade;
  };
  gate("30 in", "20 %");
  gate("1 in", "5 %");
  const auto side = [&](const std::optional<fit::Metres>& as_asked = {}) {
    return SideAskedFor(yard.rules, "fits-route", fit::Travel::kForwards, as_asked).value;
  };
  const auto grade = [&] { return GradeAskedFor(yard.rules, "fits-route", {}).value; };
  EXPECT_EQ(side(), fit::Inches(30));
  EXPECT_EQ(grade(), fit::Percent(5));
  EXPECT_EQ(side(fit::Inches(2)), fit::Inches(2)) << "who asks has said";
  yard.rules.clear_gates();
  EXPECT_EQ(side(), kBesideMachine);
  EXPECT_EQ(grade(), kMostGrade);
}

}  // namespace
}  // namespace chockwise::survey
