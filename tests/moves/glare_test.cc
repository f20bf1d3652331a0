// The sun low ahead on the way: seen when it comes, cleared by somebody who has looked with it
// there, refused outright where the rules name no such gate, and seen by the audit's eyes too.
//
// The small yard lies at 20 degrees north, 40 degrees west. On 2026-11-24 the sun there is 35.8
// degrees up at 12:00Z, and low in the west-southwest at 19:30Z: 5.4 degrees up at azimuth 245.7 (a
// second reckoning, with the Astronomical Almanac's low-precision formulas, from memory). The way
// to the pad ends to the west, that to the line to the east, both after a lane to the north.
#include <gmock/gmock.h>

#include "tests/moves/taped.h"

namespace chockwise::moves {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

constexpr const char* kLightReaches = "light-reaches";

Files WithLight() {
  Files files = ReadYardFolder("tests/moves/yard_small");
  files.rules_txtpb = Replaced(files.rules_txtpb, R"("hop-ground", "hop-parked")",
                               R"("hop-ground", "light-reaches", "light-enough", "hop-parked")");
  // Room on the pad beside the carrier, and a lamp.
  files.map_geojson = Replaced(files.map_geojson, R"("Carrier pad", "capacity": 1)",
                               R"("Carrier pad", "capacity": 2)");
  TapeForSurvey(files);
  AddReadings(files, {"pad light-level,60 lx,,", "out-way lane-light-level,60 lx,,",
                      "line-way lane-light-level,60 lx,,", "pad-way lane-light-level,60 lx,,"});
  return files;
}

/// Of a safety lead who takes nobody's word against the sun.
Files WithoutGlareGate() {
  Files files = WithLight();
  files.rules_txtpb += R"(gates {
  id: "light-reaches" title: "light" question: "Is it light?" remedy: "Wait."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  computed { computation: "light-enough" parameters { key: "max_age" value: "365 days" } }
  sources: ["common practice"]
}
)";
  return files;
}

/// A hop to the pad (west) or the line (east), that many minutes after 19:00Z.
class Hop {
 public:
  Hop(const Files& files, const char* to, int64_t minutes) : story_(Story::SmallFrom(files)) {
    story_.Advance(fit::Hours(7) + fit::Minutes(minutes));
    move_ = story_.Ask({.kind = "short-hop", .machine = "TH-1", .to = to});
  }
  void Looks() { story_.Must("sam", story_.WordOn(move_, "light-enough")); }
  void After(int64_t minutes) { story_.Advance(fit::Minutes(minutes)); }
  GateStatus Gate() const { return story_.Gate(move_, kLightReaches); }
  Story& story() { return story_; }
  MoveNumber move() const { return move_; }

 private:
  Story story_;
  MoveNumber move_ = 0;
};

TEST(Glare, AHighSunIsInNobodysWay) {
  for (const char* to : {"pad", "line"}) {
    Hop hop(WithLight(), to, -7 * 60);
    EXPECT_EQ(hop.Gate().state, kClear) << hop.Gate().reason;
    EXPECT_THAT(hop.Gate().reason, Not(HasSubstr("GLARE")));
  }
}

TEST(Glare, ALowWesternSunIsAheadToTheWestAndNotToTheEast) {
  Hop west(WithLight(), "pad", 35);
  EXPECT_EQ(west.Gate().state, kNotAsked);
  // 270 less 246.2 degrees of azimuth, at 19:35Z.
  EXPECT_THAT(west.Gate().reason, HasSubstr("GLARE AHEAD on pad-way: sun 23."));
  EXPECT_THAT(west.Gate().reason, HasSubstr("light-enough"));
  Hop east(WithLight(), "line", 35);
  EXPECT_EQ(east.Gate().state, kClear) << east.Gate().reason;
}

TEST(Glare, SomebodyWhoHasLookedWithTheSunThereClearsIt) {
  Hop hop(WithLight(), "pad", 35);
  hop.Looks();
  EXPECT_EQ(hop.Gate().state, kClear);
  EXPECT_THAT(hop.Gate().reason, HasSubstr("GLARE AHEAD on pad-way")) << "told all the same";
  EXPECT_THAT(hop.Gate().reason, HasSubstr("sam has looked"));
}

/// Asked again at every look: what was clear is not kept past its truth.
TEST(Glare, ThatComesAfterTheLookIsSeenAtTheNext) {
  Hop hop(WithLight(), "pad", 15);
  hop.Looks();
  EXPECT_EQ(hop.Gate().state, kClear) << hop.Gate().reason;
  EXPECT_THAT(hop.Gate().reason, Not(HasSubstr("GLARE")));
  hop.After(20);
  EXPECT_EQ(hop.story().Gate(hop.move(), "light-enough").state, kClear) << "20 of 30 minutes old";
  EXPECT_EQ(hop.Gate().state, kStale);
  EXPECT_THAT(hop.Gate().reason, HasSubstr("sam looked before it did"));
  hop.Looks();
  EXPECT_EQ(hop.Gate().state, kClear);
}

TEST(Glare, ALookThatHasGrownOldNoLongerClears) {
  Hop hop(WithLight(), "pad", 28);
  hop.Looks();
  hop.After(30);
  EXPECT_EQ(hop.Gate().state, kClear) << hop.Gate().reason;
  hop.After(1);
  EXPECT_EQ(hop.Gate().state, kNotAsked) << hop.Gate().reason;
}

TEST(Glare, AFindingIsNoLookThatClears) {
  Hop hop(WithLight(), "pad", 35);
  auto word = hop.story().WordOn(hop.move(), "light-enough");
  word.set_finding("nothing to be seen against the sun");
  hop.story().Must("sam", word);
  EXPECT_EQ(hop.Gate().state, kNotAsked);
}

TEST(Glare, TheLookOfASpotterWhoIsReplacedDoesNotCount) {
  Hop hop(WithLight(), "pad", 35);
  hop.Looks();
  auto swap = On<v1::NameSpotterRequest>(hop.story(), hop.move());
  swap.set_spotter("sue");
  hop.story().Must("lee", swap);
  EXPECT_NE(hop.Gate().state, kClear);
}

TEST(Glare, KeepsAReleaseBackUntilSomebodyLooks) {
  Hop hop(WithLight(), "pad", 15);
  hop.story().ClearAll(hop.move());
  Story early = hop.story();
  EXPECT_TRUE(early.TryRelease(hop.move()));
  hop.After(20);
  hop.story().ClearAll(hop.move(), "light-enough");
  const auto refused = hop.story().TryRelease(hop.move());
  ASSERT_FALSE(refused);
  ASSERT_FALSE(refused.error().gates.empty());
  EXPECT_EQ(refused.error().gates[0].gate_id(), kLightReaches);
  hop.Looks();
  hop.story().ClearAll(hop.move());
  EXPECT_TRUE(hop.story().TryRelease(hop.move()));
}

TEST(Glare, RefusesOutrightWhereTheRulesNameNoGateForIt) {
  Hop hop(WithoutGlareGate(), "pad", 35);
  hop.Looks();
  EXPECT_EQ(hop.Gate().state, kNotClear);
  EXPECT_THAT(hop.Gate().reason, HasSubstr("GLARE AHEAD on pad-way"));
  Hop east(WithoutGlareGate(), "line", 35);
  EXPECT_EQ(east.Gate().state, kClear);
}

TEST(Glare, DarknessIsNotLookedAway) {
  Files files = WithLight();
  files.measurements_csv =
      Replaced(files.measurements_csv, "bay light-level,120 lx", "bay light-level,6 lx");
  // 19:57Z: the upper edge is still up, and the centre is below the horizon.
  Hop hop(files, "pad", 57);
  hop.Looks();
  EXPECT_EQ(hop.Gate().state, kNotClear);
  EXPECT_THAT(hop.Gate().reason, HasSubstr("bay: TOO DARK"));
}

}  // namespace
}  // namespace chockwise::moves
