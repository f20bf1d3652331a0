// 29 CFR 1926, construction: the clauses on motor vehicles (Subpart O) and on signals (Subpart CC,
// written for cranes) that the gates state. Read in a public mirror of the eCFR text.
#include <gtest/gtest.h>

#include "tests/published/clause_story.h"

namespace chockwise::published {
namespace {

// .601(b)(4), .602(a)(9): no vehicle with an obstructed rear view backs up without an alarm above
// the surrounding noise or an observer who says that it may. Here both are asked for: common
// practice.
TEST(Osha1926, _601b4ReversingWantsAlarmHeardAndAnObserver) {
  EXPECT_TRUE(Cites("horn-heard", "29 CFR 1926.601(b)(4), 1926.602(a)(9)"));
  EXPECT_TRUE(HoldsBack(Truck(), "horn-heard"));
  Story story = Truck();
  story.ClearAll(1);
  Find(story, "sam", "horn-heard", "not heard over the compressor");
  EXPECT_FALSE(story.TryRelease(1));
  story.MustRefuse("dana", story.WordOn(1, "horn-heard"),
                   RefusalKind::kNotAllowed);  // who drives does not say it was heard
  Story alone = Truck();
  alone.Must("sam", On<v1::LeaveSpottingRequest>(alone, 1));
  EXPECT_EQ(alone.Gate(1, "spotter-bound").state, v1::GATE_STATE_NOT_ASKED);
  EXPECT_FALSE(alone.TryRelease(1)) << "no observer";
}

// .601(b)(14): checked at the beginning of each shift; defects corrected before it is placed in
// service.
TEST(Osha1926, _601b14CheckedEachShift) {
  EXPECT_TRUE(Cites("inspected-this-shift", "29 CFR 1926.601(b)(14)"));
  Story story = Truck();
  Inspect(story, "ST-1", "tyre cut");
  EXPECT_TRUE(HoldsBack(story, "inspected-this-shift"));
}

// .602(d): operator training as in 1910.178(l).
TEST(Osha1926, _602dTrainingAsFor1910_178) {
  EXPECT_TRUE(Cites("driver-authorised", "29 CFR 1926.602(d)"));
}

// .600(a)(1): left at night by traffic it is lit or marked. (a)(3)(i): blades, buckets and bodies
// lowered or blocked, brake set. (a)(3)(ii): parked on an incline, wheels chocked and brake set.
TEST(Osha1926, _600aLeftLoweredBrakedChockedAndLit) {
  EXPECT_TRUE(Cites("load-down-and-dry", "29 CFR 1926.600(a)(1)"));
  EXPECT_TRUE(Cites("parked", "29 CFR 1926.600(a)(3)(i)"));
  EXPECT_TRUE(Cites("chocks-set", "29 CFR 1926.600(a)(3)(ii)"));
  Story story = Truck();
  story.BringTo(1, v1::PHASE_CLOSE_OUT);
  for (const char* gate : {"load-down-and-dry", "parked", "chocks-set"})
    EXPECT_TRUE(HoldsBack(story, gate)) << gate;
}

Story UnderWay() {
  Story story = Telehandler();
  story.Go(1);
  return story;
}

// .1417(y): the operator obeys a stop signal, irrespective of who gives it. .1419(j): anyone who
// becomes aware of a safety problem gives the stop.
TEST(Osha1926, _1417yAStopIsObeyedWhoeverGivesIt) {
  EXPECT_TRUE(Cites("signals-agreed", "1926.1417(y)"));
  EXPECT_TRUE(Cites("signals-agreed", "(written for cranes)"));
  const Story moving = UnderWay();
  for (const auto& [id, person] : moving.state().yard->people) {
    Story story = moving;
    story.Must(id.value(), On<v1::StopMoveRequest>(story, 1));
    EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_STOPPED) << id.value();
  }
}

// .1419(f): signals interrupted: stop until they are re-established and a proper signal is given
// and understood.
TEST(Osha1926, _1419fALostSignalStopsUntilSignalsAreAgreedAnew) {
  Story story = UnderWay();
  auto lost = On<v1::StopMoveRequest>(story, 1);
  lost.set_cause(v1::STOP_CAUSE_SIGNAL_NOT_UNDERSTOOD);
  story.Must("dana", lost);
  story.Must("dana", On<v1::AllowRestartRequest>(story, 1));
  EXPECT_EQ(story.Gate(1, "signals-agreed").state, v1::GATE_STATE_STALE);
  EXPECT_TRUE(HoldsBack(story, "signals-agreed")) << "the stop is latched";
  story.Must("dana", story.WordOn(1, "signals-agreed"));
  EXPECT_EQ(story.Gate(1, "signals-agreed").missing, std::vector<v1::Party>{v1::PARTY_SPOTTER})
      << "given and understood";
  story.ClearAll(1);
  story.Release(1);
}

// .1419(g): an operator who becomes aware of a problem stops; the work goes on only when both agree
// that it is resolved.
TEST(Osha1926, _1419gBothAgreeBeforeItGoesOn) {
  Story story = UnderWay();
  story.Must("dana", On<v1::StopMoveRequest>(story, 1));
  story.MustRefuse("sam", On<v1::AllowRestartRequest>(story, 1), RefusalKind::kNotAllowed);
  story.Must("dana", On<v1::AllowRestartRequest>(story, 1));
  story.ClearAll(1, "signals-agreed");
  story.Must("dana", story.WordOn(1, "signals-agreed"));
  EXPECT_FALSE(story.TryRelease(1));
}

// .1419(h): one signaller at a time.
TEST(Osha1926, _1419hOneSignaller) {
  Story story = Telehandler();
  auto accept = On<v1::AcceptSpottingRequest>(story, 1);
  accept.set_machine("TH-1");
  story.MustRefuse("sue", accept, RefusalKind::kNotAllowed);
  story.MustRefuse("sue", story.WordOn(1, "people-clear"), RefusalKind::kNotAllowed);
  EXPECT_TRUE(Cites("signals-agreed", "1926.1419(f), (h), (j)"));
}

}  // namespace
}  // namespace chockwise::published
