// Laws 5 to 11, one by one, at the heart's own door: restarts at a line, ground, restarts of the
// service, the record, hands and eyes, versions. Counts (law 9) have a file of their own.
#include <gtest/gtest.h>

#include <algorithm>
#include <set>

#include "services/moves/apply.h"
#include "services/moves/decide.h"
#include "tests/moves/open_states.h"

namespace chockwise::moves {
namespace {

// --- Law 6 ---

TEST(Law6, TwoMovesShareNoGroundAndNothingIsTakenInPart) {
  Story story = Story::Small();
  const MoveNumber first = story.Ask(kWalk);
  const MoveNumber second = story.Ask({.kind = "service-truck-reverses-out",
                                       .machine = "ST-1",
                                       .to = "apron",
                                       .driver = "eli",
                                       .spotter = "sue"});
  story.ClearAll(second);
  story.Release(second);
  const auto taken = story.state().taken;
  story.ClearAll(first, "lead-word");
  const Outcome<Entries> refused = story.TryRelease(first);
  ASSERT_FALSE(refused);
  EXPECT_EQ(refused.error().gates.front().gate_id(), "ground-free");
  EXPECT_EQ(story.state().taken, taken) << "a move that waits holds nothing";
  story.Begin(second);
  story.Park(second);
  EXPECT_FALSE(story.Gate(first, "ground-free").state == v1::GATE_STATE_CLEAR)
      << "until it has closed";
  story.ClearAll(second);
  story.Close(second);
  EXPECT_TRUE(story.state().taken.empty());
  story.ClearAll(first);
  story.Release(first);
}

TEST(Law6, AMachinePutOnGroundThatIsTakenStopsWhoIsOnIt) {
  Story story = Story::Small();
  const MoveNumber first = story.Ask({.kind = "short-hop", .machine = "WL-1", .to = "south"});
  story.Go(first);
  auto broke = On<v1::ReportBreakdownRequest>(story, first);
  broke.set_text("hose burst");
  story.Must("dana", broke);
  const MoveNumber second = story.Ask(
      {.kind = "short-hop", .machine = "TH-1", .to = "apron", .driver = "eli", .spotter = "sue"});
  story.Go(second);
  auto clear = On<v1::ClearGroundRequest>(story, first);
  clear.set_place("apron");
  story.Must("lee", clear);
  EXPECT_EQ(story.move(second).state, v1::MOVE_STATE_STOPPED);
}

// --- Law 7 ---

TEST(Law7, NothingIsReleasedAfterARestartOrAClockStep) {
  for (const v1::MoveState state : kOpenStates) {
    for (const int64_t by_us : {int64_t{0}, int64_t{-7'200'000'000}, int64_t{7'200'000'000}}) {
      Story story = InState(state);
      v1::ClockStep step;
      step.set_by_us(by_us);
      if (by_us == 0) {
        story.Must("", v1::Restart());
      } else {
        story.Must("", step);
      }
      EXPECT_FALSE(story.move(1).release);
      EXPECT_TRUE(AllStale(story.move(1)));
      const v1::MoveState wanted = state == v1::MOVE_STATE_RELEASED    ? v1::MOVE_STATE_REQUESTED
                                   : state == v1::MOVE_STATE_UNDER_WAY ? v1::MOVE_STATE_STOPPED
                                                                       : state;
      EXPECT_EQ(story.move(1).state, wanted);
      if (state != v1::MOVE_STATE_UNDER_WAY) continue;
      for (const char* person : {"dana", "sam", "roy", "tess"}) {
        story.MustRefuse(person, On<v1::AllowRestartRequest>(story, 1), RefusalKind::kNotAllowed);
      }
      story.Must("lee", On<v1::AllowRestartRequest>(story, 1));
    }
  }
}

TEST(Law7, AReleaseFromAHoldPointFallsBackToIt) {
  Story story = InState(v1::MOVE_STATE_HELD);
  story.ClearAll(1);
  story.Release(1);
  story.Must("", v1::Restart());
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_HELD);
  EXPECT_FALSE(story.state().taken.empty()) << "it stands on its way";
}

TEST(Law7, TimeDoesNotRunBackInTheLedger) {
  Story story = InState(v1::MOVE_STATE_REQUESTED);
  const Instant last = story.state().last_time;
  story.Advance(Duration() - fit::Hours(3));
  story.ClearAll(1);
  EXPECT_EQ(story.state().last_time, last);
}

// --- Law 8 ---

TEST(Law8, TheSameEntriesMakeTheSameYard) {
  for (const v1::MoveState state : kOpenStates) InState(state).CheckReplay();
}

TEST(Law8, AnUnreadableYardReleasesNothingAndIsReplaced) {
  // An older build took what this one cannot read.
  YardState state;
  v1::Entry loaded;
  loaded.set_time_us(kNoon.micros());
  loaded.set_person("ada");
  loaded.mutable_yard_loaded()->set_version(1);
  (*loaded.mutable_yard_loaded()->mutable_files())["rules.txtpb"] = "yard_id: 7";
  Apply(state, loaded);
  EXPECT_FALSE(state.version.trouble.empty());
  v1::RequestMoveRequest request;
  request.set_parent("yards/");
  request.set_kind("short-hop");
  EXPECT_FALSE(Decide(state, CommandBy("ada", request), kNoon));
  EXPECT_FALSE(Decide(state, CommandBy("lee", LoadOf(Story::Small().files(), 2)), kNoon))
      << "the first is a safety lead's";
  const Outcome<Entries> again =
      Decide(state, CommandBy("ada", LoadOf(Story::Small().files(), 2)), kNoon);
  ASSERT_TRUE(again) << RefusalText(again.error());
  for (const v1::Entry& entry : *again) Apply(state, entry);
  EXPECT_EQ(state.yard->id, "small");
  EXPECT_TRUE(state.version.trouble.empty());
}

// --- Law 5 ---

/// Everything but one gate, those given last at the end.
void ClearBut(Story& story, const std::string& but) {
  for (const bool last : {false, true}) {
    for (const GateStatus& gate : story.Gates(1)) {
      const bool now = gate.rule->has_looked_at() && gate.rule->looked_at().given_last() == last;
      if (now && gate.state != v1::GATE_STATE_CLEAR && gate.rule->id() != but)
        story.Clear(1, *gate.rule);
    }
  }
}

bool Asks(const Story& story, const std::string& gate_id) {
  const std::vector<GateStatus> gates = story.Gates(1);
  return std::any_of(gates.begin(), gates.end(),
                     [&](const GateStatus& gate) { return gate.rule->id() == gate_id; });
}

TEST(Law5, StoppedAtAHoldPointTheStartAndTheLineAreAskedAgain) {
  Story story = AtTheLine();
  story.Must("roy", On<v1::StopMoveRequest>(story, 1));
  story.Must("roy", On<v1::AllowRestartRequest>(story, 1));
  EXPECT_TRUE(Asks(story, "walk-around"));
  ClearBut(story, "word-at-line");
  const Outcome<Entries> refused = story.TryRelease(1);
  ASSERT_FALSE(refused);
  ASSERT_EQ(refused.error().gates.size(), 1u);
  EXPECT_EQ(refused.error().gates.front().gate_id(), "word-at-line");
  auto word = story.WordOn(1, "word-at-line");
  const std::string code = word.post_code();
  word.set_post_code("BA1");
  story.MustRefuse("sam", word, RefusalKind::kInvalid);
  word.set_post_code(code);
  story.Must("sam", word);
  story.Release(1);
  story.Begin(1);
  story.Must("roy", On<v1::StopMoveRequest>(story, 1));
  EXPECT_TRUE(Asks(story, "walk-around"));
  EXPECT_FALSE(Asks(story, "word-at-line")) << "it stands past the line";
  story.CheckReplay();
}

TEST(Law5, AReleaseAtALineThatIsTakenBackByAStopAsksForBoth) {
  Story story = AtTheLine();
  story.ClearAll(1);
  story.Release(1);
  story.Must("roy", On<v1::StopMoveRequest>(story, 1));
  EXPECT_TRUE(Asks(story, "word-at-line"));
  EXPECT_TRUE(Asks(story, "walk-around"));
}

TEST(Law5, AFindingAtTheLineTakesTheRestartsReleaseBack) {
  Story story = AtTheLine();
  story.Must("roy", On<v1::StopMoveRequest>(story, 1));
  story.Must("roy", On<v1::AllowRestartRequest>(story, 1));
  story.ClearAll(1);
  story.Release(1);
  auto finding = On<v1::ConfirmRequest>(story, 1);
  finding.set_gate_id("word-at-line");
  finding.set_finding("somebody walks there");
  story.Must("sam", finding);
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_STOPPED);
}

// --- Law 10 ---

TEST(Law10, AMoveUnderWayTakesNoWord) {
  Story story = InState(v1::MOVE_STATE_UNDER_WAY);
  auto word = On<v1::ConfirmRequest>(story, 1);
  word.set_gate_id("belt-on");
  for (const char* person : {"dana", "sam", "lee"}) {
    EXPECT_EQ(story.MustRefuse(person, word, RefusalKind::kPrecondition).rule, "law 10");
  }
  auto name = On<v1::NameSpotterRequest>(story, 1);
  name.set_spotter("sue");
  EXPECT_EQ(story.MustRefuse("dana", name, RefusalKind::kPrecondition).rule, "law 10");
  auto swap = On<v1::SwapDriverRequest>(story, 1);
  swap.set_driver("eli");
  EXPECT_EQ(story.MustRefuse("eli", swap, RefusalKind::kPrecondition).rule, "law 10");
}

TEST(Law10, WhoeverIsOnAMoveUnderWayHasNoScreenForAnother) {
  Story story = Story::Small();
  story.Ask({.kind = "short-hop", .machine = "WL-1", .to = "south", .driver = "pat"});
  const MoveNumber other = story.Ask(
      {.kind = "short-hop", .machine = "TH-1", .to = "apron", .driver = "eli", .spotter = "sue"});
  story.ClearAll(1);
  story.Release(1);
  story.Must("pat", story.WordOn(other, "hop-ground"));
  story.Begin(1);
  EXPECT_EQ(
      story.MustRefuse("pat", story.WordOn(other, "hop-ground"), RefusalKind::kPrecondition).rule,
      "law 10");
  story.Must("lee", story.WordOn(other, "hop-ground"));
}

TEST(Law10, TheNextStretchWantsAFreshWordAtTheLine) {
  Story story = InState(v1::MOVE_STATE_HELD);
  EXPECT_EQ(story.move(1).way->stops, (std::vector<std::string>{"door-1", "corner"}));
  story.ClearAll(1, "word-at-line");
  auto word = story.WordOn(1, "word-at-line");
  EXPECT_EQ(word.post_code(), "DO7");
  for (const char* code : {"", "BA1", "CO8", "LI3"}) {
    word.set_post_code(code);
    story.MustRefuse("sam", word, RefusalKind::kInvalid);
  }
  EXPECT_FALSE(story.TryRelease(1));
  story.ClearAll(1);
  story.Release(1);
  EXPECT_EQ(story.move(1).release->limit, "corner");
  story.Begin(1);
  story.Hold(1);
  for (const GateStatus& gate : story.Gates(1)) {
    if (!gate.rule->has_looked_at()) continue;
    EXPECT_EQ(gate.state, v1::GATE_STATE_STALE) << gate.rule->id() << ": another line";
  }
}

TEST(Law10, AReleaseEndsWhereItsLimitIs) {
  Story story = InState(v1::MOVE_STATE_UNDER_WAY);
  auto hold = On<v1::HoldMoveRequest>(story, 1);
  for (const char* stop : {"corner", "", "line", "door-2"}) {
    hold.set_stop(stop);
    EXPECT_EQ(story.MustRefuse("dana", hold, RefusalKind::kPrecondition).rule, "hold point");
  }
  story.MustRefuse("dana", On<v1::ParkMoveRequest>(story, 1), RefusalKind::kPrecondition);
  hold.set_stop("door-1");
  story.MustRefuse("lee", hold, RefusalKind::kNotAllowed);
  story.Must("sam", hold);
}

// --- Law 11 ---

TEST(Law11, AReleaseNamesTheVersionAndEveryGateItStoodOn) {
  Story story = InState(v1::MOVE_STATE_RELEASED);
  const v1::Released& released = story.entries().back().released();
  EXPECT_EQ(released.yard_version(), 1);
  EXPECT_EQ(released.yard_digest(), "digest-1");
  std::set<std::string> asked, recorded;
  for (const GateStatus& gate : story.Gates(1)) asked.insert(gate.rule->id());
  for (const v1::GateBasis& gate : released.gates()) recorded.insert(gate.gate_id());
  EXPECT_EQ(recorded, asked);
  EXPECT_EQ(story.entries().front().yard_loaded().files().at("map.geojson"),
            story.files().map_geojson);
  EXPECT_EQ(story.entries().front().yard_loaded().files().at("base_rules.txtpb"),
            yard::BaseRulesText());
}

TEST(Law11, AReloadTakesBackWhatWasNotUsed) {
  Story story = InState(v1::MOVE_STATE_RELEASED);
  yard::YardFiles files = story.files();
  files.rules_txtpb = Replaced(files.rules_txtpb, "version: \"one\"", "version: \"two\"");
  story.Must("lee", LoadOf(files, 2));
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_REQUESTED);
  story.ClearAll(1);
  story.Release(1);
  EXPECT_EQ(story.entries().back().released().yard_version(), 2);
}

TEST(Law11, AReloadStopsWhatItWouldNotHaveLetGo) {
  Story story = InState(v1::MOVE_STATE_UNDER_WAY);
  yard::YardFiles files = story.files();
  files.rules_txtpb = Replaced(files.rules_txtpb, "version: \"one\"", "version: \"two\"");
  story.Must("lee", LoadOf(files, 2));
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_UNDER_WAY) << "nothing that it stands on changed";
  files.measurements_csv = Replaced(files.measurements_csv, "8 ft 5 in", "13 ft 11 in");
  story.Must("lee", LoadOf(files, 3));
  EXPECT_EQ(story.move(1).state, v1::MOVE_STATE_STOPPED);
  EXPECT_EQ(story.entries().back().move_stopped().cause(), v1::STOP_CAUSE_FACT_CHANGED);
}

TEST(Law11, OnlyALeadReloadsAndOnlyTheSameYard) {
  Story story = Story::Small();
  yard::YardFiles files = story.files();
  story.MustRefuse("lee", LoadOf(files, 1), RefusalKind::kPrecondition);
  for (const char* person : {"dana", "sam", "tess", "roy", "nobody-we-know"}) {
    story.MustRefuse(person, LoadOf(files, 2), RefusalKind::kNotAllowed);
  }
  files.rules_txtpb = Replaced(files.rules_txtpb, "yard_id: \"small\"", "yard_id: \"other\"");
  story.MustRefuse("lee", LoadOf(files, 2), RefusalKind::kInvalid);
  files.rules_txtpb = "garbage";
  EXPECT_FALSE(story.MustRefuse("lee", LoadOf(files, 2), RefusalKind::kInvalid).violations.empty());
  EXPECT_EQ(story.state().version.number, 1);
}

}  // namespace
}  // namespace chockwise::moves
