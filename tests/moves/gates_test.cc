// Every gate that feet and eyes answer, of every kind: clear, not asked, a finding, too old,
// undone, another person's, too late. Every computed gate: nobody's word counts, and nobody
// overrides it.
#include <gtest/gtest.h>

#include <algorithm>
#include <set>

#include "services/moves/apply.h"
#include "services/moves/parties.h"
#include "tests/moves/gate_rows.h"

namespace chockwise::moves {
namespace {

class LookedAtGate : public testing::TestWithParam<GateRow> {
 protected:
  LookedAtGate() : story_(StoryAt(GetParam())), rule_(*story_.Gate(1, GetParam().gate_id).rule) {}

  bool Recorded() const { return rule_.gate_class() == v1::GATE_CLASS_RECORD; }
  const v1::LookedAt& looked_at() const { return rule_.looked_at(); }
  GateStatus Status() const { return GateAt(story_.state(), GetParam(), story_.now()); }

  /// Everything clear but the row's gate. Whoever speaks last has not spoken, unless this gate is
  /// only recorded.
  void ClearTheOthers() {
    story_.ClearAll(1, rule_.id());
    if (Recorded()) SpeakLast();
  }

  /// Whoever speaks last does, with everything else as it is.
  void SpeakLast() {
    for (const GateStatus& gate : story_.Gates(1)) {
      const bool last = gate.rule->looked_at().given_last() && gate.rule->id() != rule_.id();
      if (last && gate.state != v1::GATE_STATE_CLEAR) story_.Clear(1, *gate.rule);
    }
  }

  /// The parties whose words ClearAll() gives.
  std::set<v1::Party> Given() const {
    std::set<v1::Party> given;
    for (const int party : looked_at().parties()) {
      given.insert(static_cast<v1::Party>(party));
      if (looked_at().any_party()) break;
    }
    return given;
  }

  v1::ConfirmRequest Finding() const {
    auto word = On<v1::ConfirmRequest>(story_, 1);
    word.set_gate_id(rule_.id());
    word.set_finding("a hose across the way");
    return word;
  }
  std::string Speaker(int index = 0) const {
    return story_.PersonFor(1, static_cast<v1::Party>(looked_at().parties(index)));
  }

  Story story_;
  const v1::GateRule& rule_;
};

std::set<std::string> Ids(const Outcome<Entries>& outcome) {
  std::set<std::string> ids;
  if (outcome) return ids;
  for (const v1::UnmetGate& gate : outcome.error().gates) ids.insert(gate.gate_id());
  return ids;
}

TEST_P(LookedAtGate, IsClearWithItsWordsAndLetsGo) {
  story_.ClearAll(1);
  EXPECT_EQ(Status().state, v1::GATE_STATE_CLEAR) << Status().reason;
  EXPECT_TRUE(Status().missing.empty());
  EXPECT_TRUE(TryForward(story_, 1));
}

TEST_P(LookedAtGate, Law2NotAskedHoldsBackAndSaysWhoIsWanted) {
  ClearTheOthers();
  EXPECT_EQ(Status().state, v1::GATE_STATE_NOT_ASKED);
  EXPECT_EQ(Status().missing.size(), static_cast<size_t>(looked_at().parties_size()));
  const Outcome<Entries> outcome = TryForward(story_, 1);
  if (Recorded()) {
    EXPECT_TRUE(outcome) << "only recorded: it stands in nobody's way";
    return;
  }
  ASSERT_FALSE(outcome);
  ASSERT_TRUE(Ids(outcome).contains(rule_.id()));
  for (const v1::UnmetGate& gate : outcome.error().gates) {
    const bool last = story_.Gate(1, gate.gate_id()).rule->looked_at().given_last();
    // Law 9: what is not counted in is out of balance, too.
    const bool balance = gate.gate_id() == "counts-balance" &&
                         looked_at().evidence() == v1::EVIDENCE_COUNT_PICKED_UP;
    // What is computed from this word waits for it.
    const auto& parameters = story_.Gate(1, gate.gate_id()).rule->computed().parameters();
    const bool stands_on_it =
        std::any_of(parameters.begin(), parameters.end(),
                    [&](const auto& parameter) { return parameter.second == rule_.id(); });
    EXPECT_TRUE(gate.gate_id() == rule_.id() || last || balance || stands_on_it)
        << gate.gate_id() << ": " << gate.reason();
    if (gate.gate_id() != rule_.id()) continue;
    EXPECT_EQ(gate.state(), v1::GATE_STATE_NOT_ASKED);
    EXPECT_EQ(gate.remedy(), rule_.remedy());
    EXPECT_EQ(gate.parties_size(), looked_at().parties_size());
    EXPECT_GT(gate.people_size(), 0) << "nobody is named who can clear it";
  }
}

TEST_P(LookedAtGate, EveryPartyIsWanted) {
  if (looked_at().any_party() || looked_at().parties_size() < 2) return;
  ClearTheOthers();
  story_.Must(Speaker(0), story_.WordOn(1, rule_));
  EXPECT_EQ(Status().state, v1::GATE_STATE_NOT_ASKED) << "one of two is not both";
  story_.Must(Speaker(0), story_.WordOn(1, rule_));
  EXPECT_EQ(Status().state, v1::GATE_STATE_NOT_ASKED) << "one person twice is not two people";
  story_.Must(Speaker(1), story_.WordOn(1, rule_));
  EXPECT_EQ(Status().state, v1::GATE_STATE_CLEAR) << Status().reason;
}

TEST_P(LookedAtGate, AFindingKeepsItFromBeingClear) {
  for (int i = 0; i < looked_at().parties_size(); ++i) {
    Story story = story_;
    story.ClearAll(1);
    story.Must(Speaker(i), Finding());
    const GateStatus status = GateAt(story.state(), GetParam(), story.now());
    EXPECT_EQ(status.state, v1::GATE_STATE_NOT_CLEAR) << "party " << i;
    EXPECT_NE(status.reason.find("a hose across the way"), std::string::npos);
    const Outcome<Entries> outcome = TryForward(story, 1);
    EXPECT_EQ(outcome.has_value(), Recorded());
    EXPECT_EQ(Ids(outcome).contains(rule_.id()), !Recorded());
  }
}

TEST_P(LookedAtGate, Law1OnlyALeadTakesAFindingAndOnlyWhereTheRulesLetThem) {
  story_.ClearAll(1);
  story_.Must(Speaker(), Finding());
  auto accept = On<v1::AcceptGateRequest>(story_, 1);
  accept.set_gate_id(rule_.id());
  accept.set_control(rule_.controls_size() > 0 ? rule_.controls(0) : "go slow");
  accept.set_reason("the way is short");
  const Move& move = story_.move(1);
  story_.MustRefuse(move.driver.value(), accept, RefusalKind::kNotAllowed);
  story_.MustRefuse(move.spotter.value(), accept, RefusalKind::kNotAllowed);
  const std::string lead = story_.PersonFor(1, v1::PARTY_YARD_LEAD);
  if (rule_.gate_class() != v1::GATE_CLASS_LEAD_MAY_ACCEPT) {
    EXPECT_EQ(story_.MustRefuse(lead, accept, RefusalKind::kPrecondition).rule, "law 1");
    return;
  }
  accept.set_control("wing it");
  story_.MustRefuse(lead, accept, RefusalKind::kInvalid);
  accept.set_control(rule_.controls(0));
  accept.clear_reason();
  story_.MustRefuse(lead, accept, RefusalKind::kInvalid);
  accept.set_reason("the way is short");
  story_.Must(lead, accept);
  EXPECT_EQ(Status().accepted_by.value(), lead);
  SpeakLast();
  EXPECT_EQ(Status().state, v1::GATE_STATE_NOT_CLEAR) << "accepted is not clear";
  EXPECT_TRUE(TryForward(story_, 1));
}

TEST_P(LookedAtGate, AnotherFindingIsNotTheOneThatWasAccepted) {
  if (rule_.gate_class() != v1::GATE_CLASS_LEAD_MAY_ACCEPT) return;
  story_.ClearAll(1);
  story_.Must(Speaker(), Finding());
  auto accept = On<v1::AcceptGateRequest>(story_, 1);
  accept.set_gate_id(rule_.id());
  accept.set_control(rule_.controls(0));
  accept.set_reason("the way is short");
  story_.Must(story_.PersonFor(1, v1::PARTY_YARD_LEAD), accept);
  v1::ConfirmRequest worse = Finding();
  worse.set_finding("two hoses");
  story_.Must(Speaker(), worse);
  EXPECT_TRUE(Status().accepted_by.empty());
  EXPECT_TRUE(Ids(TryForward(story_, 1)).contains(rule_.id()));
}

TEST_P(LookedAtGate, IsWorthSomethingForAsLongAsTheRulesSay) {
  story_.ClearAll(1);
  const Instant given = story_.now();
  if (!looked_at().has_fresh_for()) {
    EXPECT_EQ(GateAt(story_.state(), GetParam(), given + fit::Days(30)).state,
              v1::GATE_STATE_CLEAR);
    return;
  }
  const Instant last = given + ToDuration(looked_at().fresh_for());
  EXPECT_EQ(GateAt(story_.state(), GetParam(), last).state, v1::GATE_STATE_CLEAR);
  EXPECT_EQ(Status().stale_at, last);
  const Instant after = last + Duration::FromMicros(1);
  EXPECT_EQ(GateAt(story_.state(), GetParam(), after).state, v1::GATE_STATE_STALE);
  story_.Advance(after - given);
  const std::set<std::string> unmet = Ids(TryForward(story_, 1));
  EXPECT_EQ(unmet.contains(rule_.id()), !Recorded());
}

TEST_P(LookedAtGate, OnlyItsPartiesGiveAWord) {
  ClearTheOthers();
  for (const auto& [id, person] : story_.state().yard->people) {
    const bool party =
        std::any_of(looked_at().parties().begin(), looked_at().parties().end(), [&](int number) {
          return ActsAs(story_.state(), story_.move(1), id, static_cast<v1::Party>(number));
        });
    Story story = story_;
    if (party) {
      story.Must(id.value(), story.WordOn(1, rule_));
    } else {
      story.MustRefuse(id.value(), story.WordOn(1, rule_), RefusalKind::kNotAllowed);
      story.MustRefuse(id.value(), Finding(), RefusalKind::kNotAllowed);
    }
  }
  story_.MustRefuse("nobody-we-know", story_.WordOn(1, rule_), RefusalKind::kNotAllowed);
}

TEST_P(LookedAtGate, TakesItsEvidenceAndNoOther) {
  ClearTheOthers();
  const v1::ConfirmRequest right = story_.WordOn(1, rule_);
  v1::ConfirmRequest bare = right;
  bare.clear_count();
  bare.clear_post_code();
  bare.clear_note();
  v1::ConfirmRequest wrong = right;
  const bool counts = right.has_count();
  if (looked_at().evidence() == v1::EVIDENCE_UNSPECIFIED) {
    wrong.set_count(1);
    story_.MustRefuse(Speaker(), wrong, RefusalKind::kInvalid);
    return;
  }
  const bool on_the_way = story_.move(1).begun && GetParam().phase == v1::PHASE_START;
  ASSERT_FALSE(on_the_way);
  story_.MustRefuse(Speaker(), bare, RefusalKind::kInvalid);
  if (counts) {
    for (const int64_t count : {int64_t{-1}, int64_t{1'001}}) {
      wrong.set_count(count);
      story_.MustRefuse(Speaker(), wrong, RefusalKind::kInvalid);
    }
  } else if (looked_at().evidence() == v1::EVIDENCE_POST_CODE) {
    wrong.set_post_code("ZZ9");
    story_.MustRefuse(Speaker(), wrong, RefusalKind::kInvalid);
  } else {
    wrong.set_note("   ");
    story_.MustRefuse(Speaker(), wrong, RefusalKind::kInvalid);
    wrong.set_note("\x1b[2J");
    story_.MustRefuse(Speaker(), wrong, RefusalKind::kInvalid);
    wrong.set_note(std::string(81, 'x'));
    story_.MustRefuse(Speaker(), wrong, RefusalKind::kInvalid);
  }
  EXPECT_EQ(Status().state, v1::GATE_STATE_NOT_ASKED) << "what was refused left a mark";
}

TEST_P(LookedAtGate, Law9CountsHaveToBalance) {
  const bool picked_up = looked_at().evidence() == v1::EVIDENCE_COUNT_PICKED_UP;
  const bool put_down = looked_at().evidence() == v1::EVIDENCE_COUNT_PUT_DOWN;
  if (!picked_up && !put_down) return;
  ClearTheOthers();
  v1::ConfirmRequest word = story_.WordOn(1, rule_);
  if (picked_up || looked_at().parties_size() > 1) {
    if (put_down) story_.Must(Speaker(0), word);
    word.set_count(word.count() + 1);
    for (int i = put_down ? 1 : 0; i < looked_at().parties_size(); ++i)
      story_.Must(Speaker(i), word);
    EXPECT_EQ(Status().state, v1::GATE_STATE_NOT_CLEAR);
    EXPECT_NE(Status().reason.find(looked_at().item()), std::string::npos) << Status().reason;
    EXPECT_TRUE(Ids(TryForward(story_, 1)).contains(rule_.id()));
  } else if (looked_at().least_count() > 0) {
    word.set_count(looked_at().least_count() - 1);
    story_.Must(Speaker(), word);
    EXPECT_EQ(Status().state, v1::GATE_STATE_NOT_CLEAR);
  }
  story_.Clear(1, rule_);
  EXPECT_EQ(Status().state, v1::GATE_STATE_CLEAR) << Status().reason;
}

TEST_P(LookedAtGate, TooLateAfterTheReleaseUnderWayAndAfterTheEnd) {
  story_.ClearAll(1);
  const v1::ConfirmRequest word = story_.WordOn(1, rule_);
  ASSERT_TRUE(TryForward(story_, 1));
  story_.MustRefuse(Speaker(), word, RefusalKind::kPrecondition);
  if (GetParam().phase == v1::PHASE_CLOSE_OUT) return;
  Story found = story_;
  found.Must(Speaker(), Finding());
  EXPECT_FALSE(found.move(1).release) << "a finding takes the release back";
  EXPECT_EQ(GateAt(found.state(), GetParam(), found.now()).state, v1::GATE_STATE_NOT_CLEAR);
  story_.Begin(1);
  EXPECT_EQ(story_.MustRefuse(Speaker(), word, RefusalKind::kPrecondition).rule, "law 10");
  story_.MustRefuse(Speaker(), Finding(), RefusalKind::kPrecondition);
}

TEST_P(LookedAtGate, AStopUndoesIt) {
  story_.ClearAll(1);
  auto stop = On<v1::StopMoveRequest>(story_, 1);
  story_.Must(Speaker(), stop);
  EXPECT_EQ(Status().state, v1::GATE_STATE_STALE) << "law 5";
}

TEST_P(LookedAtGate, ARestartOfTheServiceAndAClockStepUndoIt) {
  for (const bool restart : {true, false}) {
    Story story = story_;
    story.ClearAll(1);
    v1::ClockStep step;
    step.set_by_us(-3'600'000'000);
    if (restart) {
      story.Must("", v1::Restart());
    } else {
      story.Must("", step);
    }
    EXPECT_EQ(GateAt(story.state(), GetParam(), story.now()).state, v1::GATE_STATE_STALE)
        << "law 7";
  }
}

INSTANTIATE_TEST_SUITE_P(Rules, LookedAtGate, testing::ValuesIn(RowsOf(Sort::kLookedAt)), RowName);

// --- Computed ---

class ComputedGate : public testing::TestWithParam<GateRow> {
 protected:
  ComputedGate() : story_(StoryAt(GetParam())) {}
  Story story_;
};

TEST_P(ComputedGate, IsClearOnceAllIsLookedAt) {
  story_.ClearAll(1);
  const GateStatus status = GateAt(story_.state(), GetParam(), story_.now());
  EXPECT_EQ(status.state, v1::GATE_STATE_CLEAR) << status.reason;
}

TEST_P(ComputedGate, TakesNobodysWord) {
  for (const auto& [id, person] : story_.state().yard->people) {
    auto word = On<v1::ConfirmRequest>(story_, 1);
    word.set_gate_id(GetParam().gate_id);
    story_.MustRefuse(id.value(), word, RefusalKind::kPrecondition);
  }
}

TEST_P(ComputedGate, IsNotAcceptedWhereItIsClear) {
  story_.ClearAll(1);
  const GateStatus status = story_.Gate(1, GetParam().gate_id);
  auto accept = On<v1::AcceptGateRequest>(story_, 1);
  accept.set_gate_id(GetParam().gate_id);
  accept.set_control(status.rule->controls_size() > 0 ? status.rule->controls(0) : "go slow");
  accept.set_reason("in a hurry");
  story_.MustRefuse(story_.PersonFor(1, v1::PARTY_YARD_LEAD), accept, RefusalKind::kPrecondition);
}

INSTANTIATE_TEST_SUITE_P(Rules, ComputedGate, testing::ValuesIn(RowsOf(Sort::kComputed)), RowName);

// --- All of them ---

TEST(GateTable, HasEveryGateOfTheBaseRulesAndOfBothYards) {
  std::set<std::string> rows;
  for (const Sort sort : {Sort::kLookedAt, Sort::kComputed}) {
    for (const GateRow& row : RowsOf(sort)) rows.insert(row.gate_id);
  }
  for (const Story& story : {Story::Small(), Story::Full()}) {
    for (const v1::GateRule& gate : story.state().yard->rules.gates()) {
      EXPECT_TRUE(rows.contains(gate.id()))
          << gate.id() << " is asked by no kind: nothing tests it";
    }
  }
}

TEST(GateTable, EveryKindGoesThroughToItsEnd) {
  for (const Scene& scene : Scenes()) {
    Story story = StoryAt(scene, v1::PHASE_START);
    story.RunToTheEnd(1);
    EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_CLOSED) << scene.asked.kind;
    story.CheckReplay();
  }
}

TEST(GateTable, ARefusalListsEveryGateThatIsNotClear) {
  for (const Scene& scene : Scenes()) {
    for (const v1::Phase phase : {v1::PHASE_START, v1::PHASE_HOLD_POINT, v1::PHASE_CLOSE_OUT}) {
      Story story = StoryAt(scene, phase);
      std::set<std::string> blocking;
      for (const GateStatus& gate : story.Gates(1)) {
        if (gate.Blocks()) blocking.insert(gate.rule->id());
      }
      EXPECT_FALSE(blocking.empty());
      EXPECT_EQ(Ids(TryForward(story, 1)), blocking)
          << scene.asked.kind << " " << v1::Phase_Name(phase);
    }
  }
}

}  // namespace
}  // namespace chockwise::moves
