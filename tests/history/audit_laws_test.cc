// What the other laws forbid: laws 3 to 11.
#include "audit_rows.h"

namespace chockwise::history {
namespace {

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

}  // namespace
}  // namespace chockwise::history
