// What the survey found is kept exactly as long as it would be found again.
#include "services/moves/kept_findings.h"

#include "services/moves/findings.h"
#include "services/moves/limits.h"
#include "tests/moves/taped.h"
#include "tests/support/change_readings.h"

namespace chockwise::moves {
namespace {

/// Counts how often it is asked.
class Asker {
 public:
  explicit Asker(std::shared_ptr<const yard::Yard> yard) : kept_(std::move(yard)) {}
  int AskedAfter(const std::string& question, Instant now) {
    kept_.Find(question, now, [this] {
      ++asked_;
      return Clear();
    });
    return asked_;
  }

 private:
  KeptFindings kept_;
  int asked_ = 0;
};

Story Surveyed() {
  Files files = ReadYardFolder("tests/moves/yard_small");
  files.rules_txtpb = Replaced(
      files.rules_txtpb, R"("hop-ground", "hop-parked")",
      R"("hop-ground", "fits-route", "goes-under", "clears-ground", "ground-carries", "hop-parked")");
  TapeForSurvey(files);
  return Story::SmallFrom(files);
}

TEST(KeptFindings, AQuestionIsAskedOnce) {
  Asker asker(Surveyed().state().yard);
  EXPECT_EQ(asker.AskedAfter("a", kNoon), 1);
  EXPECT_EQ(asker.AskedAfter("a", kNoon + fit::Days(30)), 1);
  EXPECT_EQ(asker.AskedAfter("b", kNoon), 2);
}

TEST(KeptFindings, AreAskedAnewTheMomentAReadingStopsCounting) {
  // Every reading of the yard is of 2026-11-01T08:00Z and counts for 365 days.
  Asker asker(Surveyed().state().yard);
  const Instant measured = kNoon - fit::Days(23) - Duration::FromMicros(4 * 3'600'000'000);
  EXPECT_EQ(asker.AskedAfter("a", measured + fit::Days(365)), 1);
  EXPECT_EQ(asker.AskedAfter("a", measured + fit::Days(365) + kTick), 2);
  EXPECT_EQ(asker.AskedAfter("a", measured + fit::Days(365)), 3) << "a clock that was set back";
}

TEST(KeptFindings, AreAskedAnewWhenAReadingBeginsToCount) {
  yard::Yard yard = *Surveyed().state().yard;
  const Instant measured = yard.measurements.all().front().when;
  yard::ChangeReadings(yard, [&](yard::Measurement& reading) {
    if (reading.when == measured) reading.when = kNoon + fit::Days(1);
  });
  Asker asker(std::make_shared<const yard::Yard>(std::move(yard)));
  EXPECT_EQ(asker.AskedAfter("a", kNoon + fit::Days(1) - kTick), 1);
  EXPECT_EQ(asker.AskedAfter("a", kNoon + fit::Days(1)), 2);
}

TEST(KeptFindings, AreNotWithoutEnd) {
  Asker asker(Surveyed().state().yard);
  for (size_t i = 0; i < kMaxKeptFindings; ++i) asker.AskedAfter(std::to_string(i), kNoon);
  const int before = asker.AskedAfter("0", kNoon);
  EXPECT_EQ(before, static_cast<int>(kMaxKeptFindings) + 1) << "the first one made room";
}

/// Whatever was kept before: a gate reads as it does to somebody who kept nothing.
TEST(KeptFindings, ChangeNoGate) {
  Story story = Surveyed();
  const MoveNumber hop = story.Ask({.kind = "short-hop", .machine = "TH-1", .to = "line"});
  int stale = 0;
  for (const int day : {0, 100, 341, 342, 343, 100, 0, 400}) {
    for (const Duration off : {Duration(), Duration::FromMicros(-1), kTick}) {
      const Instant now = kNoon + fit::Days(day) - Duration::FromMicros(4 * 3'600'000'000) + off;
      YardState fresh = story.state();
      fresh.kept_findings = std::make_shared<KeptFindings>(fresh.yard);
      const auto kept = EvaluatePhase(story.state(), story.move(hop), v1::PHASE_START, now);
      const auto found = EvaluatePhase(fresh, story.move(hop), v1::PHASE_START, now);
      ASSERT_EQ(kept.size(), found.size());
      for (size_t i = 0; i < kept.size(); ++i) {
        EXPECT_EQ(kept[i].state, found[i].state) << kept[i].rule->id() << " on day " << day;
        EXPECT_EQ(kept[i].reason, found[i].reason);
        if (kept[i].rule->has_computed() && kept[i].state == v1::GATE_STATE_STALE) ++stale;
      }
    }
  }
  EXPECT_GT(stale, 8) << "the readings turned stale on the way";
}

TEST(KeptFindings, AReloadKeepsNothing) {
  Story story = Surveyed();
  const MoveNumber hop = story.Ask({.kind = "short-hop", .machine = "TH-1", .to = "line"});
  EXPECT_EQ(story.Gate(hop, "goes-under").state, v1::GATE_STATE_CLEAR);
  Reload(Measured("TH-1 carried-height,8 ft 5 in", "TH-1 carried-height,14 ft 5 in"))(story);
  EXPECT_EQ(story.Gate(hop, "goes-under").state, v1::GATE_STATE_NOT_CLEAR);
}

}  // namespace
}  // namespace chockwise::moves
