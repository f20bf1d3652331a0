#include "services/history/audit.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <functional>
#include <ostream>
#include <string>
#include <vector>

#include "services/history/audit_computed.h"
#include "services/yard/computations.h"
#include "services/yard/yard.h"
#include "story.h"

namespace chockwise::history {
namespace {

using testing::HasSubstr;

AuditReport AuditOf(const std::vector<StoryEntry>& entries) {
  Auditor auditor;
  auditor.Take(0, "the genesis is not an entry");
  for (size_t i = 0; i < entries.size(); ++i) {
    auditor.Take(static_cast<int64_t>(i) + 1, entries[i].entry.SerializeAsString());
  }
  return auditor.Finish();
}

Story GoodShift() { return Story::Read("stories/good_shift.txt"); }

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

/// One thing changed in the good shift, and the one finding that has to come of it.
struct Wrong {
  const char* name;
  std::function<void(Story&)> change;
  const char* entry;  // label of the entry that is found wrong
  const char* rule;
  const char* gate;
  const char* sentence;  // part of it
};
void PrintTo(const Wrong& wrong, std::ostream* out) { *out << wrong.name; }

std::function<void(Story&)> Drop(const char* label) {
  return [=](Story& story) { story.Drop(label); };
}
std::function<void(Story&)> Swap(const char* label, const char* text, const char* by) {
  return [=](Story& story) { story.Replace(label, text, by); };
}
std::function<void(Story&)> Add(const char* after, const char* block) {
  return [=](Story& story) { story.Insert(after, block); };
}
std::function<void(Story&)> By(const char* label, const char* person) {
  return [=](Story& story) { story.At(label).person = person; };
}
std::function<void(Story&)> Later(const char* label, int64_t seconds) {
  return [=](Story& story) { story.At(label).later_s = seconds; };
}
std::function<void(Story&)> File(const char* file, const char* text, const char* by) {
  return [=](Story& story) { story.ReplaceInFile(file, text, by); };
}

class AuditFinds : public testing::TestWithParam<Wrong> {};

TEST_P(AuditFinds, ExactlyThis) {
  const Wrong& wrong = GetParam();
  Story story = GoodShift();
  wrong.change(story);
  const std::vector<StoryEntry> entries = story.Entries();
  const AuditReport report = AuditOf(entries);
  ASSERT_FALSE(report.findings.empty());
  const AuditFinding& finding = report.findings.front();
  // A wrong that lasts is found again at the next release that stands on it; nothing else may be.
  for (const AuditFinding& again : report.findings) {
    EXPECT_EQ(again.rule + again.gate_id, finding.rule + finding.gate_id) << report.Text();
  }
  EXPECT_EQ(entries[static_cast<size_t>(finding.entry) - 1].label, wrong.entry) << report.Text();
  EXPECT_EQ(finding.rule, wrong.rule) << report.Text();
  EXPECT_EQ(finding.gate_id, wrong.gate) << report.Text();
  EXPECT_THAT(finding.sentence, HasSubstr(wrong.sentence));
}

INSTANTIATE_TEST_SUITE_P(
    Law1, AuditFinds,
    testing::Values(
        Wrong{"word missing", Drop("m1.walk"), "m1.release", "law 1", "walk-around",
              "no word by the driver"},
        Wrong{"finding", Swap("m1.path", "note:", "finding: \"hose\" note:"), "m1.release", "law 1",
              "path-walked", "\"hose\""},
        Wrong{"finding outweighs another's clear word",
              Add("m1.weather",
                  "m1.ice 0 lee 1 REQUESTED\ngate_confirmed { gate_id: \"weather\" phase: "
                  "PHASE_START parties: PARTY_YARD_LEAD "
                  "finding: \"ice\" }"),
              "m1.release", "law 1", "weather", "\"ice\""},
        Wrong{"not at the spot", Swap("m1.walk", "at_the_spot: true", ""), "m1.release", "law 1",
              "walk-around", "not given at the spot"},
        Wrong{"no note", Swap("m1.path", "note: \"end stop seen\"", ""), "m1.release", "law 1",
              "path-walked", "brings no note"},
        Wrong{"word of another phase", Swap("m1.walk", "PHASE_START", "PHASE_HOLD_POINT"),
              "m1.release", "law 1", "walk-around", "no word"},
        Wrong{"word older than it is worth at the release", Later("m1.release", 121), "m1.release",
              "law 1", "spotter-word", "2 min 1 s old and is worth 2 min 0 s"},
        Wrong{"word too old at first motion", Later("m1.begin", 111), "m1.begin", "law 1",
              "spotter-word", "2 min 1 s old"},
        Wrong{"last word not last",
              [](Story& story) {
                story.Drop("m1.walk");
                story.Insert("m1.last",
                             "m1.walk 1 ann 1 REQUESTED\ngate_confirmed { gate_id: \"walk-around\" "
                             "phase: PHASE_START parties: PARTY_DRIVER at_the_spot: true }");
              },
              "m1.release", "law 1", "spotter-word", "came before walk-around"},
        Wrong{"begun after the end of the start window",
              [](Story& story) {
                story.Replace("m1.release", "$+300", "$+30");
                story.At("m1.begin").later_s = 31;
              },
              "m1.begin", "law 1", "law-start-window", "the start window had ended"},
        Wrong{"start window too long", Swap("m1.release", "$+300", "$+301"), "m1.release", "law 1",
              "law-start-window", "a start window of 5 min 1 s, the rules give 5 min 0 s"},
        Wrong{"hard gate accepted",
              [](Story& story) {
                story.Insert("m1.last",
                             "m1.take 0 lee 1 REQUESTED\ngate_accepted { gate_id: \"walk-around\" "
                             "phase: PHASE_START control: \"care\" reason: \"hurry\" }");
              },
              "m1.take", "law 1", "walk-around", "which nobody may"},
        Wrong{"accepted without a control", Swap("m2.take", "creep speed", "care"), "m2.take",
              "law 1", "weather", "controls"},
        Wrong{"too little of the shift left", Swap("day", "$+36000", "$+400"), "m1.release",
              "law 1", "shift-running", "of the shift are left"},
        Wrong{"yard hold", Add("m3.untag", "x 0 dot 0 -\nyard_held {}"), "m4.release", "law 1",
              "law-no-yard-hold", "the yard is held"},
        Wrong{"door out of service",
              Add("m3.untag",
                  "x 0 ted 0 -\ndoor_reported { door: \"door-1\" report: DOOR_REPORT_FAULTY }"),
              "m4.release", "law 1", "law-doors-in-service", "door-1 is out of service"},
        Wrong{"tag", Drop("m3.untag"), "m4.release", "law 1", "law-no-tags",
              "tag 1 hangs on TH-07"},
        Wrong{"not inspected this shift", Drop("inspect-st"), "m2.release1", "law 1", "inspected",
              "was not inspected"},
        Wrong{"inspected with a defect",
              Swap("inspect-st", "machine:", "defect: \"horn\" machine:"), "m2.release1", "law 1",
              "inspected", "\"horn\""},
        Wrong{"door moved, path not walked again",
              [](Story& story) {
                story.Insert(
                    "m4.path",
                    "x 0 ted 0 -\ndoor_reported { door: \"door-1\" report: DOOR_REPORT_MOVED }");
                story.Insert("x", "y 0 lee 0 -\ndoor_returned { door: \"door-1\" }");
              },
              "m4.release", "law 1", "path-walked", "a door on the route moved"},
        Wrong{"left unattended, not walked round again",
              Add("m4.walk",
                  "x 0 bob 4 REQUESTED\ndriver_away { distance_mm: 7620 in_view: true unattended: "
                  "true }"),
              "m4.release", "law 1", "walk-around", "left unattended"},
        Wrong{"neighbour released",
              Add("m4.walk",
                  "x 0 - 4 REQUESTED\ngates_staled { happening: HAPPENING_NEIGHBOUR_MOVED }"),
              "m4.release", "law 1", "walk-around", "a neighbour was released"},
        Wrong{"25 ft recorded as attended", Swap("m4.near", "3000", "7620"), "m4.near", "law 1", "",
              "1910.178(m)(5)(ii)"},
        Wrong{"out of sight recorded as attended", Swap("m4.near", "in_view: true", ""), "m4.near",
              "law 1", "", "1910.178"}));

INSTANTIATE_TEST_SUITE_P(
    Law2, AuditFinds,
    testing::Values(Wrong{"no reading",
                          File("measurements.csv",
                               "TH-07 carried-height,8 ft 2 in,,forks,lee,2026-11-02\n", ""),
                          "m1.release", "law 2", "fits",
                          "no reading of carried-height of TH-07 with forks"},
                    Wrong{"reading of another attachment",
                          File("measurements.csv", "ST-01 mass,\"19,500\",lb,,",
                               "ST-01 mass,\"19,500\",lb,crane,"),
                          "m2.release1", "law 2", "mass-known", "no reading of mass of ST-01"},
                    Wrong{"reading too old",
                          File("measurements.csv", "ST-01 mass,\"19,500\",lb,,lee,2026-11-02",
                               "ST-01 mass,\"19,500\",lb,,lee,2025-11-02"),
                          "m2.release1", "law 2", "mass-known", "at most 365 days"},
                    Wrong{"reading out of the future",
                          File("measurements.csv", "ST-01 mass,\"19,500\",lb,,lee,2026-11-02",
                               "ST-01 mass,\"19,500\",lb,,lee,2026-11-29"),
                          "m2.release1", "law 2", "mass-known", "in the future"},
                    Wrong{"kind unknown", Swap("m3.ask", "through-door", "by-crane"), "m3.ask",
                          "law 2", "", "no kind by-crane"},
                    Wrong{"machine unknown", Swap("m5.ask", "\"ST-01\"", "\"ST-10\""), "m5.ask",
                          "law 2", "", "ST-10"}));

INSTANTIATE_TEST_SUITE_P(
    Law1Computed, AuditFinds,
    testing::Values(
        Wrong{"door too low",
              File("measurements.csv", "carried-height,8 ft 2 in", "carried-height,11 ft 4 in"),
              "m1.release", "law 1", "fits", "door-1: 127 mm to spare in height"},
        Wrong{"door too narrow",
              File("measurements.csv", "carried-width,7 ft 6 in", "carried-width,10 ft 1 in"),
              "m1.release", "law 1", "fits", "584 mm in width"},
        Wrong{"too heavy", File("measurements.csv", "19,500", "40,001"), "m2.release1", "law 1",
              "mass-known", "at most 40,000 lb"},
        Wrong{"not authorised for this class",
              File("people.csv", "service-truck until 2027-03-01; ", ""), "m2.release1", "law 1",
              "driver-authorised", "not authorised for service-truck"},
        Wrong{
            "authorisation over",
            File("people.csv", "service-truck until 2027-03-01", "service-truck until 2026-11-23"),
            "m2.release1", "law 1", "driver-authorised", "was authorised for service-truck until"},
        Wrong{"spotter's training over",
              File("people.csv", "dot,Dot Ashe,spotter,,2027-03-01",
                   "dot,Dot Ashe,spotter,,2026-11-01"),
              "m2.release1", "law 1", "spotter-bound", "not trained to spot"}));

INSTANTIATE_TEST_SUITE_P(
    Law3, AuditFinds,
    testing::Values(
        Wrong{"released by the system", By("m1.release", ""), "m1.release", "law 3", "",
              "by the system"},
        Wrong{"begun by the system", By("m1.begin", ""), "m1.begin", "law 3", "", "by the system"},
        Wrong{"restart allowed by the system",
              [](Story& story) { story.Insert("m2.allow", "x 0 - 2 STOPPED\nrestart_allowed {}"); },
              "x", "law 3", "", "only people move a move forward"},
        Wrong{"hold lifted by the system", By("lift", ""), "lift", "law 3", "", "by the system"}));

INSTANTIATE_TEST_SUITE_P(Law4, AuditFinds,
                         testing::Values(Wrong{"spotter's word by the driver", By("m1.path", "ann"),
                                               "m1.release", "law 4", "path-walked",
                                               "not the spotter"}));

INSTANTIATE_TEST_SUITE_P(
    Law5, AuditFinds,
    testing::Values(Wrong{"restart nobody allowed", Drop("m2.allow"), "m2.release2", "law 5", "",
                          "was not lifted"},
                    Wrong{"restart allowed by a third person", By("m2.allow", "bob"), "m2.release2",
                          "law 5", "", "by ted was not lifted"},
                    Wrong{"a second stop not lifted",
                          Add("m2.allow",
                              "x 1 bob 2 STOPPED\nmove_stopped { cause: STOP_CAUSE_CALLED }"),
                          "m2.release2", "law 5", "", "by bob was not lifted"},
                    Wrong{"not looked at again after a stop", Drop("m2b.walk"), "m2.release2",
                          "law 5", "walk-around", "the move was stopped"},
                    Wrong{"went on through a yard hold",
                          [](Story& story) {
                            story.Insert("m2.begin2", "x 0 dot 0 -\nyard_held {}");
                            story.Insert("x", "y 0 lee 0 -\nhold_lifted {}");
                          },
                          "m2.park", "law 5", "", "the yard was held"}));

INSTANTIATE_TEST_SUITE_P(
    Law6, AuditFinds,
    testing::Values(Wrong{"ground of a move under way",
                          Swap("m2.ask", "ground: [", "ground: [\"lane/lane-1\", "), "m2.release1",
                          "law 6", "law-ground-free", "lane/lane-1 by move 1"},
                    Wrong{"lane not taken", Swap("m1.ask", "\"lane/lane-1\", ", ""), "m1.ask",
                          "law 6", "", "lane/lane-1"},
                    Wrong{"lane that is not on the map",
                          Swap("m3.ask", "lanes: \"lane-2\" ground: [",
                               "lanes: \"lane-9\" ground: [\"lane/lane-9\", "),
                          "m3.ask", "law 6", "", "lane-9 on the map"}));

INSTANTIATE_TEST_SUITE_P(
    Law7, AuditFinds,
    testing::Values(Wrong{"not looked at again after a restart", Drop("m2d.walk"), "m2.release4",
                          "law 7", "walk-around", "the service started again"},
                    Wrong{"no lead's word after a restart", Drop("m2.allow2"), "m2.release4",
                          "law 7", "", "by the system was not lifted"}));

INSTANTIATE_TEST_SUITE_P(
    Law9, AuditFinds,
    testing::Values(
        Wrong{"fewer chocks picked up than were put down",
              [](Story& story) {
                story.Replace("m1.chocks-d", "count: 2", "count: 1");
                story.Replace("m1.chocks-s", "count: 2", "count: 1");
              },
              "m1.release", "law 9", "chocks-in", "1 chocks picked up, 2 put down"},
        Wrong{"two counts", Swap("m1.chocks-s", "count: 2", "count: 3"), "m1.release", "law 9",
              "chocks-in", "ann counts 2 chocks, bob counts 3"},
        Wrong{"no count", Swap("m1.chocks-s", "count: 2", ""), "m1.release", "law 9", "chocks-in",
              "brings no count"},
        Wrong{"chocks set at the close count at the next start",
              [](Story& story) {
                story.Replace("m1.set-d", "count: 2", "count: 3");
                story.Replace("m1.set-s", "count: 2", "count: 3");
              },
              "m4.release", "law 9", "chocks-in", "2 chocks picked up, 3 put down"},
        Wrong{"chocks put down between moves",
              Add("m3.untag",
                  "x 0 bob 0 -\nput_down { machine: \"TH-07\" item: \"chocks\" count: 4 }"),
              "m4.release", "law 9", "chocks-in", "4 put down"},
        Wrong{"chocks that the register knows of",
              File("machines.csv", "bay-1,forks,2", "bay-1,forks,4"), "m1.release", "law 9",
              "chocks-in", "4 put down"},
        Wrong{"fewer chocks said to lie there than did, by one person",
              [](Story& story) {
                story.Insert(
                    "m3.untag",
                    "x 0 bob 0 -\nput_down { machine: \"TH-07\" item: \"chocks\" count: 1 }");
                story.Replace("m4.chocks-d", "count: 2", "count: 1");
                story.Replace("m4.chocks-s", "count: 2", "count: 1");
              },
              "x", "law 9", "", "1 chocks counted in at TH-07 on one person's word, 2 lay there"},
        Wrong{
            "a first word that names more than lay there",
            Add("m3.untag",
                "x 0 bob 0 -\nput_down { machine: \"TH-07\" item: \"chocks\" count: 1 stood: 3 }"),
            "x", "law 9", "", "where 2 lay at TH-07"},
        Wrong{"people that a withdrawn move had counted out and the next one lost",
              [](Story& story) {
                story.At("m3.no").text = "move_withdrawn { reason: \"rain\" }";
                story.At("m3.no").person = "ann";
                story.At("m3.no").state = "WITHDRAWN";
                story.Drop("m3.untag");
                story.Insert(
                    "m3.accept",
                    "x 0 bob 3 REQUESTED\ngate_confirmed { gate_id: \"people-clear\" phase: "
                    "PHASE_START parties: PARTY_SPOTTER count: 5 }");
              },
              "m4.release", "law 9", "people-clear", "3 people counted, 5 left there by a move"},
        Wrong{"fewer people counted than the rules ask", Swap("m4.people", "count: 3", "count: 0"),
              "m4.release", "law 9", "people-clear", "at least 1"},
        Wrong{"a person missing at the close", Swap("m1.again", "count: 3", "count: 2"), "m1.close",
              "law 9", "people-again", "2 people picked up, 3 put down"}));

INSTANTIATE_TEST_SUITE_P(
    Law10, AuditFinds,
    testing::Values(Wrong{"a word asked for under way",
                          Add("m1.begin",
                              "x 1 bob 1 UNDER_WAY\ngate_confirmed { gate_id: \"path-walked\" "
                              "phase: PHASE_START parties: PARTY_SPOTTER note: \"x\" }"),
                          "x", "law 10", "", "under way"},
                    Wrong{
                        "released past a door line",
                        [](Story& story) { story.Replace("m4.release", "limit: \"door-1\" ", ""); },
                        "m4.release", "law 10", "",
                        "as far as the end of the route, where it had to end at door-1"},
                    Wrong{"held elsewhere", Swap("m1.held", "door-1", "door-2"), "m1.held",
                          "law 10", "", "as far as door-1, held at door-2"}));

INSTANTIATE_TEST_SUITE_P(
    Law11, AuditFinds,
    testing::Values(
        Wrong{"another version", Swap("m1.release", "yard_version: 1", "yard_version: 2"),
              "m1.release", "law 11", "", "version 2"},
        Wrong{"another digest", Swap("m1.release", "$DIGEST", "00"), "m1.release", "law 11", "",
              "(00)"},
        Wrong{"files that are not those of the digest", Swap("load", "$DIGEST", "00"), "load",
              "law 11", "", "SHA-256"},
        Wrong{"gate left out of the record", Swap("m1.release", " walk-around", ""), "m1.release",
              "law 11", "walk-around", "not among the gates recorded"},
        Wrong{"a law's own gate left out of the record", Swap("m1.release", " law-no-tags", ""),
              "m1.release", "law 11", "law-no-tags", "not among the gates recorded"},
        Wrong{"a law's own gate left out at the line", Swap("m1.release2", " law-attended", ""),
              "m1.release2", "law 11", "law-attended", "not among the gates recorded"},
        Wrong{"gate too many in the record",
              Swap("m1.release", " walk-around", " walk-around level"), "m1.release", "law 11",
              "level", "was not asked"},
        Wrong{"acceptance recorded as clear",
              Swap("m2.release1",
                   "state: GATE_STATE_NOT_CLEAR reason: \"soft by the pad\" accepted_by: \"lee\"",
                   "state: GATE_STATE_CLEAR"),
              "m2.release1", "law 11", "weather", "accepted by lee"},
        Wrong{"acceptance nobody gave",
              Swap("m2.release2", "gates {",
                   "gates { gate_id: \"weather\" state: GATE_STATE_NOT_CLEAR "
                   "accepted_by: \"lee\" } gates {"),
              "m2.release2", "law 11", "weather", "accepted by nobody"}));

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

/// The same where more follows from it: the first finding is the one that matters.
class AuditFindsFirst : public testing::TestWithParam<Wrong> {};

TEST_P(AuditFindsFirst, This) {
  const Wrong& wrong = GetParam();
  Story story = GoodShift();
  wrong.change(story);
  const std::vector<StoryEntry> entries = story.Entries();
  const AuditReport report = AuditOf(entries);
  ASSERT_FALSE(report.findings.empty());
  const AuditFinding& finding = report.findings.front();
  EXPECT_EQ(entries[static_cast<size_t>(finding.entry) - 1].label, wrong.entry) << report.Text();
  EXPECT_EQ(finding.rule, wrong.rule) << report.Text();
  EXPECT_EQ(finding.gate_id, wrong.gate) << report.Text();
  EXPECT_THAT(finding.sentence, HasSubstr(wrong.sentence));
}

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
