// Kinds and gates that exist in rules text alone: no line of the heart knows them. They work from
// end to end, and the laws ask what they leave out.
#include <gtest/gtest.h>

#include <map>
#include <set>

#include "tests/moves/story/story.h"

namespace chockwise::moves {
namespace {

constexpr const char* kTow = R"(
gates {
  id: "tow-bar"
  title: "tow bar pinned"
  question: "Bar pinned at both ends? Say the pin's number."
  remedy: "Pin it."
  gate_class: GATE_CLASS_HARD
  phases: [PHASE_START, PHASE_HOLD_POINT]
  looked_at { parties: [PARTY_DRIVER] evidence: EVIDENCE_NOTE fresh_for { seconds: 60 } }
  sources: ["common practice"]
}
gates {
  id: "tow-flags"
  title: "flags out"
  question: "Flags set along the way: how many?"
  remedy: "Set at least three."
  gate_class: GATE_CLASS_HARD
  phases: [PHASE_START]
  looked_at {
    parties: [PARTY_SPOTTER]
    evidence: EVIDENCE_COUNT_PUT_DOWN
    item: "flags"
    least_count: 3
  }
  sources: ["common practice"]
}
gates {
  id: "tow-flags-in"
  title: "flags in"
  question: "Flags picked up: how many?"
  remedy: "Count again."
  gate_class: GATE_CLASS_HARD
  phases: [PHASE_CLOSE_OUT]
  looked_at { parties: [PARTY_SPOTTER] evidence: EVIDENCE_COUNT_PICKED_UP item: "flags" }
  sources: ["common practice"]
}
gates {
  id: "tow-clearance"
  title: "enough under it"
  question: "Is the belly clearance at least what a tow needs?"
  remedy: "Tape it again."
  gate_class: GATE_CLASS_HARD
  phases: [PHASE_START, PHASE_HOLD_POINT]
  computed {
    computation: "measured"
    parameters { key: "subject" value: "machine" }
    parameters { key: "quantity" value: "belly-clearance" }
    parameters { key: "at_least" value: "9 in" }
    parameters { key: "max_age" value: "24 days" }
  }
  while_moving: true
  sources: ["common practice"]
}
gates {
  id: "two-looked"
  title: "tech and lead looked"
  question: "Did a tech and a lead each look at it?"
  remedy: "Fetch both."
  gate_class: GATE_CLASS_HARD
  phases: [PHASE_START]
  looked_at { parties: [PARTY_TECH, PARTY_YARD_LEAD] }
  sources: ["common practice"]
}
gates {
  id: "soft-tags"
  title: "tags, softly"
  question: "No tag on it?"
  remedy: "Clear it."
  gate_class: GATE_CLASS_LEAD_MAY_ACCEPT
  phases: [PHASE_START, PHASE_HOLD_POINT]
  computed { computation: "no-tags" }
  controls: ["a promise"]
  sources: ["common practice"]
}
kinds {
  id: "tow-away"
  title: "a machine is towed away"
  machine_classes: ["telehandler", "wheel-loader"]
  gate_ids: ["tow-bar", "tow-flags", "tow-clearance", "tow-flags-in"]
  hold_at_doors: true
}
kinds {
  id: "two-people"
  title: "two people look"
  machine_classes: ["wheel-loader"]
  gate_ids: ["two-looked", "soft-tags"]
}
)";

Story WithTow() {
  static const Story opened = [] {
    yard::YardFiles files = ReadYardFolder("tests/moves/yard_small");
    files.rules_txtpb += kTow;
    return Story::SmallFrom(files);
  }();
  return opened;
}

TEST(RulesOnly, AKindThatIsOnlyTextGoesThroughToItsEnd) {
  Story story = WithTow();
  const MoveNumber move = story.Ask({.kind = "tow-away", .machine = "TH-1", .to = "line"});
  EXPECT_EQ(story.move(move).way->stops, (std::vector<std::string>{"door-1", "corner"}));
  EXPECT_EQ(story.Gate(move, "tow-clearance").state, v1::GATE_STATE_CLEAR);
  auto flags = story.WordOn(move, "tow-flags");
  flags.set_count(2);
  story.Must("sam", flags);
  EXPECT_EQ(story.Gate(move, "tow-flags").reason, "flags put down: 2, at least 3 are asked for");
  story.BringTo(move, v1::PHASE_CLOSE_OUT);
  EXPECT_EQ(story.Gate(move, "law-counts-balance").reason, "flags put down: 3, not counted in yet");
  story.ClearAll(move);
  story.Close(move);
  story.CheckReplay();
}

TEST(RulesOnly, TheLawsAskWhatAKindLeavesOut) {
  Story story = WithTow();
  const KindPlan& plan = *story.state().FindPlan("tow-away");
  const auto asked = [&](v1::Phase phase) {
    std::set<std::string> ids;
    for (const v1::GateRule* rule : plan.gates) {
      if (AsksIn(*rule, phase) && rule->id().starts_with("law-")) ids.insert(rule->id());
    }
    return ids;
  };
  const std::set<std::string> moving = {
      "law-attended",      "law-doors-in-service", "law-driver-authorised", "law-ground-free",
      "law-no-tags",       "law-no-yard-hold",     "law-second-word",       "law-shift-running",
      "law-spotter-bound", "law-start-window"};
  EXPECT_EQ(asked(v1::PHASE_START), moving);
  EXPECT_EQ(asked(v1::PHASE_HOLD_POINT), moving);
  EXPECT_EQ(asked(v1::PHASE_CLOSE_OUT), std::set<std::string>{"law-counts-balance"});
  for (const char* kind :
       {"service-truck-reverses-out", "machine-through-door", "load-onto-carrier"}) {
    for (const v1::GateRule* rule : story.state().FindPlan(kind)->gates) {
      EXPECT_FALSE(rule->id().starts_with("law-"))
          << kind << " asks this in its own words: " << rule->id();
    }
  }
}

TEST(RulesOnly, ASofterGateOfItsOwnDoesNotStandForALaw) {
  Story story = WithTow();
  const MoveNumber move = story.Ask({.kind = "two-people", .machine = "WL-1", .to = "south"});
  v1::HangTagRequest tag;
  tag.set_name(MachineName("small", "WL-1"));
  tag.set_text("under it");
  story.Must("tess", tag);
  EXPECT_EQ(story.Gate(move, "law-no-tags").state, v1::GATE_STATE_NOT_CLEAR);
  auto accept = On<v1::AcceptGateRequest>(story, move);
  accept.set_gate_id("law-no-tags");
  accept.set_control("a promise");
  accept.set_reason("in a hurry");
  story.MustRefuse("lee", accept, RefusalKind::kPrecondition);
}

TEST(RulesOnly, Law4APersonWithTwoRolesCountsOnce) {
  Story story = WithTow();
  story.Ask({.kind = "two-people", .machine = "WL-1", .to = "south"});
  auto word = On<v1::ConfirmRequest>(story, 1);
  word.set_gate_id("two-looked");
  for (int i = 0; i < 3; ++i) story.Must("pat", word);
  EXPECT_EQ(story.Gate(1, "two-looked").state, v1::GATE_STATE_NOT_ASKED)
      << "Pat is a tech and a lead, and one person";
  story.Must("lee", word);
  EXPECT_EQ(story.Gate(1, "two-looked").state, v1::GATE_STATE_CLEAR);
}

TEST(RulesOnly, APersonWithTwoRolesFillsTheOneThatIsWanted) {
  for (const char* first : {"tess", "lee"}) {
    Story story = WithTow();
    story.Ask({.kind = "two-people", .machine = "WL-1", .to = "south"});
    auto word = On<v1::ConfirmRequest>(story, 1);
    word.set_gate_id("two-looked");
    story.Must(first, word);
    story.Must("pat", word);
    EXPECT_EQ(story.Gate(1, "two-looked").state, v1::GATE_STATE_CLEAR) << "after " << first;
  }
}

TEST(RulesOnly, Law10TheLawsOwnWordBehindAHoldPointIsGivenAtTheLine) {
  Story story = WithTow();
  const MoveNumber move = story.Ask({.kind = "tow-away", .machine = "TH-1", .to = "line"});
  story.BringTo(move, v1::PHASE_HOLD_POINT);
  story.ClearAll(move, "law-second-word");
  auto word = story.WordOn(move, "law-second-word");
  word.set_post_code("BA1");
  story.MustRefuse("sam", word, RefusalKind::kInvalid);
  word.set_post_code("DO7");
  story.MustRefuse("lee", word, RefusalKind::kNotAllowed);
  story.Must("sam", word);
  story.Release(move);
}

TEST(RulesOnly, StoppedAtAHoldPointTheLawsOwnWordIsAskedOnceAndAtTheLine) {
  Story story = WithTow();
  const MoveNumber move = story.Ask({.kind = "tow-away", .machine = "TH-1", .to = "line"});
  story.BringTo(move, v1::PHASE_HOLD_POINT);
  story.Must("roy", On<v1::StopMoveRequest>(story, move));
  story.Must("roy", On<v1::AllowRestartRequest>(story, move));
  std::map<std::string, int> asked;
  for (const GateStatus& gate : story.Gates(move)) ++asked[gate.rule->id()];
  for (const auto& [id, times] : asked) EXPECT_EQ(times, 1) << id;
  story.ClearAll(move, "law-second-word");
  auto word = story.WordOn(move, "law-second-word");
  EXPECT_EQ(word.post_code(), "DO7");
  story.MustRefuse("lee", word, RefusalKind::kNotAllowed);
  story.Must("sam", word);
  story.Release(move);
}

TEST(RulesOnly, AFactThatIsWatchedWhileMovingStopsTheMoveWhenItTurns) {
  Story story = WithTow();
  // Taped on 2026-11-01 at 08:00 and good for 24 days: until tomorrow at 08:00.
  v1::BeginShiftRequest night;
  night.set_name(YardName("small"));
  night.set_title("night");
  story.Advance(fit::Hours(9));
  night.mutable_end_time()->set_seconds((story.now() + fit::Hours(16)).micros() / 1'000'000);
  story.Must("lee", night);
  story.Advance(fit::Hours(10) + fit::Minutes(58));
  const MoveNumber move = story.Ask({.kind = "tow-away", .machine = "TH-1", .to = "line"});
  story.Go(move);
  story.Advance(fit::Minutes(2));
  story.Must("", v1::Tick());
  EXPECT_EQ(story.move(move).state, v1::MOVE_STATE_UNDER_WAY) << "in its last instant";
  story.Advance(Duration::FromMicros(1));
  story.Must("", v1::Tick());
  EXPECT_EQ(story.move(move).state, v1::MOVE_STATE_STOPPED);
  EXPECT_EQ(story.entries().back().move_stopped().cause(), v1::STOP_CAUSE_FACT_CHANGED);
  EXPECT_NE(story.entries().back().move_stopped().text().find("enough under it"),
            std::string::npos);
}

}  // namespace
}  // namespace chockwise::moves
