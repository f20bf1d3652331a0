// The audit's own look at what hangs behind a machine: the shift in which it went out with a dolly
// that somebody had not inspected, tagged, weighed, taped or counted.
#include "audit_rows.h"

namespace chockwise::history {
namespace {

/// TH-07 tows DL-01 all day. The bound of its mass, of the machine alone, is taken out of the
/// rules.
void Hitch(Story& story, const char* chocks = "0") {
  story.ReplaceInFile("machines.csv", "attachment,chocks\n", "attachment,chocks,tows\n");
  story.ReplaceInFile("machines.csv", "forks,2\n", "forks,2,DL-01\n");
  story.ReplaceInFile("machines.csv", "apron,,0\n",
                      std::string("apron,,0,\nDL-01,Dolly,trailer,bay-1,,") + chocks + ",\n");
  story.ReplaceInFile("measurements.csv", "ST-01 mass",
                      "DL-01 carried-height,8 ft 0 in,,,lee,2026-11-02\n"
                      "DL-01 carried-width,8 ft 0 in,,,lee,2026-11-02\n"
                      "DL-01 mass,\"5,200\",lb,,lee,2026-11-02\nST-01 mass");
  story.ReplaceInFile("base_rules.txtpb", "parameters { key: \"at_most\" value: \"40,000 lb\" } ",
                      "");
}

void InspectDolly(Story& story) {
  story.Insert("inspect-th", "inspect-dl 0 ann 0 -\ninspection_recorded { machine: \"DL-01\" }");
}

void HitchAnd(Story& story, const char* reading, const char* by) {
  Hitch(story);
  InspectDolly(story);
  story.ReplaceInFile("measurements.csv", reading, by);
}

TEST(AuditOfATrain, FindsNothingWhereAllOfItWasLookedAt) {
  Story story = GoodShift();
  Hitch(story);
  InspectDolly(story);
  EXPECT_TRUE(AuditOf(story.Entries()).findings.empty()) << AuditOf(story.Entries()).Text();
}

INSTANTIATE_TEST_SUITE_P(
    Trains, AuditFindsFirst,
    testing::Values(
        Wrong{"a unit not inspected", [](Story& story) { Hitch(story); }, "m1.release", "law 1",
              "inspected", "DL-01 was not inspected"},
        Wrong{"a unit tagged",
              [](Story& story) {
                Hitch(story);
                InspectDolly(story);
                story.Insert("inspect-st",
                             "x 0 ted 0 -\ntag_hung { machine: \"DL-01\" tag: 1 text: \"eye\" }");
              },
              "m1.release", "law 1", "law-no-tags", "tag 1 hangs on DL-01"},
        Wrong{
            "a unit not weighed",
            [](Story& story) { HitchAnd(story, "DL-01 mass,\"5,200\",lb,,lee,2026-11-02\n", ""); },
            "m1.release", "law 2", "mass-known", "no reading of mass of DL-01"},
        Wrong{"a bound of the machine alone",
              [](Story& story) {
                HitchAnd(story, "DL-01 mass", "DL-01 mass");
                story.ReplaceInFile("base_rules.txtpb",
                                    "parameters { key: \"quantity\" value: \"mass\" }",
                                    "parameters { key: \"quantity\" value: \"mass\" } "
                                    "parameters { key: \"at_most\" value: \"40,000 lb\" }");
              },
              "m1.release", "law 2", "mass-known", "TH-07 and what it tows is not known"},
        Wrong{"a unit too high for the door",
              [](Story& story) {
                HitchAnd(story, "DL-01 carried-height,8 ft 0 in",
                         "DL-01 carried-height,11 ft 6 in");
              },
              "m1.release", "law 1", "fits", "door-1: "},
        Wrong{"chocks under a unit",
              [](Story& story) {
                Hitch(story, "1");
                InspectDolly(story);
              },
              "m1.release", "law 9", "", "1 chocks lie at DL-01"}));

}  // namespace
}  // namespace chockwise::history
