// 30 CFR Part 56, surface metal and nonmetal mines: the clauses on mobile equipment that the gates
// state. Read in secondary copies; 56.14200 and 56.9200 from memory only.
#include <gtest/gtest.h>

#include "tests/published/clause_story.h"

namespace chockwise::published {
namespace {

// 56.14132: (a) horns kept functional; (b)(1) an obstructed rear view wants an alarm or an
// observer; (b)(2) audible above the surrounding noise. 56.14200 (from memory): a warning before
// moving.
TEST(Msha56, _14132TheHornIsHeardJustNow) {
  EXPECT_TRUE(Cites("horn-heard", "30 CFR 56.14132"));
  EXPECT_TRUE(Cites("horn-heard", "56.14200 from memory"));
  Story story = Truck();
  story.ClearAll(1, "horn-heard");
  story.Must("sam", story.WordOn(1, "horn-heard"));
  EXPECT_EQ(story.Gate(1, "horn-heard").state, v1::GATE_STATE_CLEAR);
  story.Advance(fit::Seconds(121));  // default of the base rules: two minutes
  EXPECT_EQ(story.Gate(1, "horn-heard").state, v1::GATE_STATE_STALE);
}

// 56.14207: not left unattended unless the controls are in park and the brake is set; on a grade,
// wheels or tracks chocked or turned into a bank.
TEST(Msha56, _14207ParkedAndChocked) {
  EXPECT_TRUE(Cites("parked", "56.14207"));
  EXPECT_TRUE(Cites("chocks-set", "30 CFR 56.14207"));
  Story story = Truck();
  story.BringTo(1, v1::PHASE_CLOSE_OUT);
  EXPECT_TRUE(HoldsBack(story, "parked"));
  EXPECT_TRUE(HoldsBack(story, "chocks-set"));
  auto none = story.WordOn(1, "chocks-set");
  none.clear_count();
  story.MustRefuse("dana", none, RefusalKind::kInvalid);  // none needed is 0, and is said
}

// 56.14100: (a) inspected by the operator before it is operated on that shift; (b) defects
// corrected in a timely manner; (c) hazardous: out of service and tagged; (d) the record is kept
// until the defect is corrected.
TEST(Msha56, _14100InspectedOnThatShiftAndTaggedUntilCorrected) {
  EXPECT_TRUE(Cites("inspected-this-shift", "30 CFR 56.14100(a), (c)"));
  EXPECT_TRUE(Cites("no-tags", "30 CFR 56.14100(c), 56.14105"));
  Story story = Truck();
  Inspect(story, "ST-1", "brake line weeps");
  EXPECT_TRUE(HoldsBack(story, "no-tags"));
  // The record outlives the shift, a restart of the service and a reload of the yard.
  story.Advance(fit::Hours(9));
  story.Must("lee", NextShift(story));
  story.Must("", v1::Restart());
  yard::YardFiles files = story.files();
  files.rules_txtpb = moves::Replaced(files.rules_txtpb, "version: \"one\"", "version: \"two\"");
  story.Must("lee", moves::LoadOf(files, 2));
  Inspect(story, "ST-1", "");  // looks good to the next driver: the tag stays
  EXPECT_TRUE(HoldsBack(story, "no-tags"));
  EXPECT_EQ(story.Gate(1, "no-tags").reason, "tag 1 on ST-1 by dana: defect: brake line weeps");
}

// 56.14206: (a) moved between workplaces with boom, forks and bucket in travel mode; (b)
// unattended, lowered to the ground.
TEST(Msha56, _14206InTravelModeAndLowered) {
  EXPECT_TRUE(Cites("travel-mode", "30 CFR 56.14206(a)"));
  EXPECT_TRUE(Cites("parked", "56.14206(b)"));
  EXPECT_TRUE(HoldsBack(Telehandler(), "travel-mode"));
}

// 56.14130(g), (i): seat belts worn, and kept functional. 56.9200 (from memory): no riders.
TEST(Msha56, _14130BeltOnAndSeen) {
  EXPECT_TRUE(Cites("belt-on", "30 CFR 56.14130(g), (i)"));
  EXPECT_TRUE(Cites("belt-on", "56.9200 from memory"));
  Story story = Telehandler();
  story.Must("dana", story.WordOn(1, "belt-on"));
  EXPECT_EQ(story.Gate(1, "belt-on").state, v1::GATE_STATE_NOT_ASKED) << "the spotter sees it too";
  EXPECT_TRUE(HoldsBack(story, "belt-on"));
}

// 56.9201: loaded and moved so that nothing falls, on what can carry it.
TEST(Msha56, _9201WithinTheCarriersCapacity) {
  EXPECT_TRUE(Cites("mass-within-capacity", "30 CFR 56.9201"));
  yard::YardFiles files = moves::ReadYardFolder("tests/moves/yard_small");
  files.measurements_csv = moves::Replaced(files.measurements_csv, "deck-capacity,\"70,000 lb\"",
                                           "deck-capacity,\"24,000 lb\"");
  Story story = Story::SmallFrom(files);
  story.Ask({.kind = "load-onto-carrier", .machine = "TH-1", .to = "pad", .carrier = "CA-1"});
  EXPECT_TRUE(HoldsBack(story, "mass-within-capacity"));
}

}  // namespace
}  // namespace chockwise::published
