// Releases whose gates were not clear: laws 1 and 2.
#include "audit_rows.h"

namespace chockwise::history {
namespace {

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

}  // namespace
}  // namespace chockwise::history
