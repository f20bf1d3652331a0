// 49 CFR Parts 391 to 396, motor carriers: the clauses that the gates state. 393.130 was read only
// where others quote it.
#include <gtest/gtest.h>

#include "tests/published/clause_story.h"

namespace chockwise::published {
namespace {

// 393.130 (from 10,000 lb up; second-hand): accessories lowered and secured, articulation locked,
// at least four tie-downs. 393.106(d): together half the weight. 392.9: the driver sees to it
// before it is driven.
TEST(Fmcsa49, _393_130TiedDownBeforeItIsHandedOver) {
  EXPECT_TRUE(Cites("secured", "49 CFR 393.130 (from 10,000 lb up; second-hand)"));
  EXPECT_TRUE(Cites("secured", "49 CFR 393.102, 393.106(d)"));
  EXPECT_TRUE(Cites("secured", "49 CFR 392.9"));
  const std::string& question = Story::Small().state().yard->FindGate("secured")->question();
  EXPECT_NE(question.find("four tie-downs or more"), std::string::npos) << question;
  EXPECT_NE(question.find("articulation locked"), std::string::npos) << question;
  Story story = Onto("parked");
  EXPECT_TRUE(HoldsBack(story, "secured"));
  auto blank = story.WordOn(1, "secured");
  blank.clear_note();
  story.MustRefuse("sam", blank, RefusalKind::kInvalid);  // how many is said, not ticked
}

// 392.9: no driver drives until the cargo is secured. The carrier's key goes back after everything
// else (common practice).
TEST(Fmcsa49, _392_9TheKeyGoesBackAfterTheLastChain) {
  Story story = Onto("parked");
  const auto refusal =
      story.MustRefuse("sam", story.WordOn(1, "keys-back"), RefusalKind::kPrecondition);
  bool secured = false;
  for (const v1::UnmetGate& gate : refusal.gates) secured |= gate.gate_id() == "secured";
  EXPECT_TRUE(secured);
  EXPECT_TRUE(HoldsBack(story, "keys-back"));
  EXPECT_TRUE(Cites("keys-back", "common practice"));
}

// 396.11, 396.13: reports of defects; the next driver is satisfied of its condition and reads the
// last report.
TEST(Fmcsa49, _396_13TheNextDriverReadsTheLastReport) {
  EXPECT_TRUE(Cites("inspected-this-shift", "49 CFR 396.11, 396.13"));
  EXPECT_TRUE(Cites("road-ready", "49 CFR 396.13"));
  EXPECT_TRUE(Cites("road-ready", "49 CFR 392.9"));
  // It is not asked of a truck that stays in the yard: recorded, and in nobody's way.
  EXPECT_FALSE(HoldsBack(Truck(), "road-ready"));
}

// 391 (road driving): who may drive what is on record.
TEST(Fmcsa49, _391Drivers) { EXPECT_TRUE(Cites("driver-authorised", "49 CFR 391 (road driving)")); }

// What was not read says so. A clause that somebody read later loses its mark here and in the
// rules.
TEST(Sources, WhatWasNotReadSaysSo) {
  struct Row {
    const char* clause;
    const char* mark;
  };
  const Row rows[] = {{"1910.147", "from memory"},      {"1910.132", "from memory"},
                      {"1910.22(", "from memory"},      {"49 CFR 392.3 ", "from memory"},
                      {"49 CFR 392.14", "from memory"}, {"HSG250", "from memory"},
                      {"HSG136", "from memory"},        {"56.9200", "from memory"},
                      {"56.14200", "from memory"},      {"393.130", "second-hand"},
                      {"393.41", "second-hand"},        {"1926.1411", "second-hand"}};
  const Story story = Story::Small();
  for (const Row& row : rows) {
    int seen = 0;
    for (const v1::GateRule& gate : story.state().yard->rules.gates()) {
      for (const std::string& source : gate.sources()) {
        if (source.find(row.clause) == std::string::npos) continue;
        ++seen;
        EXPECT_NE(source.find(row.mark), std::string::npos) << gate.id() << ": " << source;
      }
    }
    EXPECT_GT(seen, 0) << row.clause << " is cited nowhere";
  }
}

TEST(Sources, EveryGateSaysWhereItComesFrom) {
  const Story story = Story::Full();
  for (const v1::GateRule& gate : story.state().yard->rules.gates()) {
    EXPECT_GT(gate.sources_size(), 0) << gate.id();
    // No clause gives the freshness of a look: it is the safety lead's to set, and says so.
    const bool timed = gate.looked_at().has_fresh_for();
    const bool says = std::any_of(
        gate.sources().begin(), gate.sources().end(),
        [](const std::string& source) { return source == "default: the safety lead's to set"; });
    EXPECT_TRUE(!timed || says) << gate.id();
  }
}

}  // namespace
}  // namespace chockwise::published
