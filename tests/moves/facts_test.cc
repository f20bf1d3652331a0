// Each fact of the tables in computations_*_test.cc, put to the proof.
#include "tests/moves/facts.h"

#include <gtest/gtest.h>

namespace chockwise::moves {

TEST_P(ComputedFact, IsAsTheBookSays) {
  const Fact& fact = GetParam();
  Files files = ReadYardFolder("tests/moves/yard_small");
  fact.files(files);
  Story story = Story::SmallFrom(files);
  const bool onto = std::string(fact.kind) == "load-onto-carrier";
  story.Ask({.kind = fact.kind,
             .machine = "TH-1",
             .to = onto ? "pad" : "line",
             .spotter = fact.spotter,
             .carrier = onto ? "CA-1" : ""});
  fact.then(story);
  const GateStatus gate = story.Gate(1, fact.gate);
  EXPECT_EQ(v1::GateState_Name(gate.state), v1::GateState_Name(fact.state)) << gate.reason;
  EXPECT_NE(gate.reason.find(fact.reason), std::string::npos) << gate.reason;
  const Outcome<Entries> released =
      story.TryRelease(1);  // much else is not clear: it is refused in any case
  ASSERT_FALSE(released);
  if (released.error().kind == RefusalKind::kNotAllowed) return;  // nobody in the register asks
  bool listed = false;
  for (const v1::UnmetGate& unmet : released.error().gates) listed |= unmet.gate_id() == fact.gate;
  EXPECT_EQ(listed, fact.state != kClear) << "laws 1 and 2: only clear is clear";
}

}  // namespace chockwise::moves
