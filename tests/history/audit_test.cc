#include "services/history/audit.h"

#include <gmock/gmock.h>

#include "audit_rows.h"
#include "services/history/audit_computed.h"
#include "services/yard/computations.h"
#include "services/yard/yard.h"

namespace chockwise::history {
namespace {

using testing::HasSubstr;

TEST(Audit, AGoodShiftHasNoFinding) {
  const AuditReport report = AuditOf(GoodShift().Entries());
  EXPECT_TRUE(report.sound()) << report.Text();
  EXPECT_EQ(report.counts.releases, 7);
  EXPECT_EQ(report.counts.first_motions, 5);
  EXPECT_EQ(report.counts.closes, 2);
  EXPECT_EQ(report.counts.moves, 5);
  EXPECT_EQ(report.counts.stops, 1);
  EXPECT_EQ(report.counts.yard_versions, 1);
  EXPECT_THAT(report.Text(), HasSubstr("nothing found: "));
}

INSTANTIATE_TEST_SUITE_P(
    TheRecord, AuditFinds,
    testing::Values(
        Wrong{"time goes back", Later("m3.accept", -1), "m3.accept", "time", "",
              "after an entry recorded at"},
        Wrong{"request twice", [](Story& story) { story.At("m4.near").request = "m4.accept"; },
              "m4.near", "request ids", "", "recorded again"},
        Wrong{"parked without moving", Add("m3.accept", "x 0 ann 3 REQUESTED\nmove_parked {}"), "x",
              "states", "", "from requested to requested"},
        Wrong{"closed twice", Add("m1.close", "x 0 ann 1 CLOSED\nmove_closed {}"), "x", "states",
              "", "is over"},
        Wrong{"move nobody asked for", Add("day", "x 0 ann 1 RELEASED\nmove_begun {}"), "x",
              "states", "", "nobody asked for"},
        Wrong{"under way over a restart", Add("m2.begin2", "x 0 - 0 -\nrestarted {}"), "m2.park",
              "law 7", "", "parked although the stop"},
        Wrong{"machine on two moves",
              Add("m5.ask",
                  "x 0 cal 6 REQUESTED\nmove_requested { kind: \"through-door\" machine: \"ST-01\" "
                  "driver: \"cal\" lanes: \"lane-2\" ground: \"lane/lane-2\" }"),
              "x", "states", "", "on move 5 already"},
        Wrong{"release asked for by the spotter", By("m1.release", "bob"), "m1.release",
              "right people", "", "the driver's"},
        Wrong{"role taken by somebody else", By("m1.accept", "dot"), "m1.accept", "right people",
              "", "themselves"},
        Wrong{"tag taken off by another", By("untag", "sam"), "untag", "right people", "",
              "theirs who hung it"},
        Wrong{"refusal's tag taken off by who asked", By("m3.untag", "lee"), "m3.untag",
              "right people", "", "neither asked"},
        Wrong{"door given back by a tech", By("door-back", "ted"), "door-back", "right people", "",
              "a lead's"},
        Wrong{"ground freed by a driver", By("m4.free", "ann"), "m4.free", "right people", "",
              "a lead's"},
        Wrong{"asked for another driver", By("m3.ask", "cal"), "m3.ask", "right people", "",
              "is no lead"}));

INSTANTIATE_TEST_SUITE_P(
    WithWhatFollows, AuditFindsFirst,
    testing::Values(Wrong{"spotter named and not bound", Drop("m4.accept"), "m4.release", "law 4",
                          "spotter-bound", "nobody has taken"},
                    Wrong{"acceptance by the driver", By("m2.take", "cal"), "m2.take",
                          "right people", "", "neither driver nor spotter"},
                    Wrong{
                        "went on without the spotter",
                        Add("m2.begin2", "x 0 dot 2 UNDER_WAY\nspotting_left { spotter: \"dot\" }"),
                        "m2.park", "law 5", "", "the spotter left"},
                    Wrong{"ground under a machine left standing",
                          [](Story& story) {
                            story.Drop("m4.free");
                            story.Replace("m5.ask", "ground: [", "ground: [\"place/bay-1\", ");
                            story.Insert("m5.accept",
                                         "x 0 cal 5 RELEASED\nreleased { number: 1 phase: "
                                         "PHASE_START start_by_time_us: $+300 "
                                         "yard_version: 1 yard_digest: \"$DIGEST\" }");
                          },
                          "x", "law 6", "law-ground-free", "place/bay-1 by move 4"},
                    Wrong{"door on the way not named", Swap("m4.ask", "stops: \"door-1\"", ""),
                          "m4.ask", "law 6", "", "door-1"},
                    Wrong{"no word after the clock stepped",
                          Add("m4.walk", "x 0 - 0 -\nclock_stepped { by_us: 1 }"), "m4.release",
                          "law 7", "weather", "the clock stepped"},
                    Wrong{"version skipped", Swap("load", "version: 1", "version: 3"), "load",
                          "law 11", "", "version 3 follows version 0"},
                    Wrong{"files that do not read",
                          File("measurements.csv", "ST-01 mass,\"19,500\",lb", "ST-01 mass,19,"),
                          "load", "law 11", "", "does not read: measurements.csv:7"},
                    Wrong{"taken back after the wheels turned",
                          Add("m2.allow2", "x 0 cal 2 WITHDRAWN\nmove_withdrawn {}"), "x", "states",
                          "", "after the wheels had turned"}));

TEST(Audit, Law9FewerIsRightWhenTwoPeopleSayTheSame) {
  Story story = GoodShift();
  story.Insert("m3.untag",
               "x 0 bob 0 -\nput_down { machine: \"TH-07\" item: \"chocks\" count: 1 stood: 2 }");
  story.Insert("x", "y 0 dot 0 -\nput_down { machine: \"TH-07\" item: \"chocks\" count: 1 }");
  story.Replace("m4.chocks-d", "count: 2", "count: 1");
  story.Replace("m4.chocks-s", "count: 2", "count: 1");
  const AuditReport report = AuditOf(story.Entries());
  EXPECT_TRUE(report.sound()) << report.Text();
}

std::vector<std::string> Rules(const AuditReport& report) {
  std::vector<std::string> rules;
  for (const AuditFinding& finding : report.findings)
    rules.push_back(finding.rule + " " + finding.gate_id);
  return rules;
}

// A shift's end undoes words too, so these come together.
TEST(Audit, Law1NoReleaseWithoutAShift) {
  Story story = GoodShift();
  story.Insert("m1.last", "x 0 lee 0 -\nshift_ended { open_moves: 1 }");
  story.Insert("m1.release", "y 0 lee 0 -\nshift_begun { title: \"day\" end_time_us: $+30000 }");
  EXPECT_THAT(Rules(AuditOf(story.Entries())),
              testing::IsSupersetOf({"law 1 shift-running", "law 1 walk-around"}));
}

TEST(Audit, Law4OneSpotterOneMachine) {
  Story story = GoodShift();
  for (const char* label :
       {"m2.accept", "m2.soft", "m2a.path", "m2a.people", "m2a.chocks-s", "m2a.last"}) {
    story.At(label).person = "bob";
  }
  story.Replace("m2.name", "dot", "bob");
  story.Replace("m2.accept", "dot", "bob");
  const AuditReport report = AuditOf(story.Entries());
  ASSERT_FALSE(report.findings.empty());
  EXPECT_EQ(report.findings.front().rule, "law 4");
  EXPECT_EQ(report.findings.front().gate_id, "spotter-bound");
  EXPECT_THAT(report.findings.front().sentence, HasSubstr("bob spots move 1 too"));
}

TEST(Audit, BytesThatAreNoEntryAreAFinding) {
  Auditor auditor;
  auditor.Take(1, "\xff\xff\xff");
  auditor.Take(2, "");
  EXPECT_THAT(Rules(auditor.Finish()), testing::ElementsAre("record ", "record "));
}

TEST(Audit, FindingsAreKeptUpToALimitAndCountedBeyondIt) {
  Auditor auditor;
  for (size_t i = 1; i <= kMaxFindings + 5; ++i) auditor.Take(static_cast<int64_t>(i), "");
  const AuditReport report = auditor.Finish();
  EXPECT_EQ(report.findings.size(), kMaxFindings);
  EXPECT_EQ(report.findings_left_out, 5);
  EXPECT_THAT(report.Text(), HasSubstr("1005 found"));
}

// A version was taken by the build of its day, which may have asked for fewer parameters.
TEST(Audit, AVersionThatLeavesOutWhatIsRequiredTodayIsRead) {
  Story story = GoodShift();
  story.ReplaceInFile("base_rules.txtpb", "parameters { key: \"bounce\" value: \"3 in\" } ", "");
  const AuditReport report = AuditOf(story.Entries());
  EXPECT_TRUE(report.sound()) << report.Text();
}

// Every computation that rules may name is one that the audit judges.
TEST(Audit, RulesNameNoComputationThatTheAuditDoesNotJudge) {
  Book book;
  AuditedMove move;
  book.in_force.yard.emplace();
  for (const auto& [name, computation] : yard::KnownComputations()) {
    v1::Computed computed;
    computed.set_computation(name);
    const auto fault = JudgeComputed({.book = book, .move = move}, computed);
    EXPECT_THAT(fault ? fault->text : "", testing::Not(HasSubstr("does not know"))) << name;
  }
  std::string rules(yard::BaseRulesText());
  for (size_t at = 0; (at = rules.find("computation: \"", at)) != std::string::npos;) {
    at += 14;
    EXPECT_TRUE(yard::KnownComputations().contains(rules.substr(at, rules.find('"', at) - at)));
  }
}

}  // namespace
}  // namespace chockwise::history
