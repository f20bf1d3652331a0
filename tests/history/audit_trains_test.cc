// The audit's own look at what hangs behind a machine: the shift in which it went out with a dolly
// that somebody had not inspected, tagged, weighed, taped or counted.
#include <gmock/gmock.h>

#include <algorithm>

#include "audit_rows.h"

namespace chockwise::history {
namespace {

using ::testing::HasSubstr;
using ::testing::Not;

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

size_t IndexOf(const std::vector<StoryEntry>& entries, std::string_view label) {
  const auto found = std::ranges::find(entries, label, &StoryEntry::label);
  EXPECT_NE(found, entries.end()) << label;
  return static_cast<size_t>(found - entries.begin());
}

/// The shift of `before`, in which the files of `now` come into force after an entry. Release 1 of
/// move 1 names the version that is in force by then.
std::vector<StoryEntry> Reloaded(const Story& before, const Story& now, std::string_view after) {
  std::vector<StoryEntry> entries = before.Entries();
  const size_t at = IndexOf(entries, after);
  StoryEntry load = now.Entries()[IndexOf(now.Entries(), "load")];
  load.label = "reload";
  load.entry.set_time_us(entries[at].entry.time_us());
  load.entry.set_person("lee");
  load.entry.set_request_id("sixteen bytes id");
  load.entry.mutable_yard_loaded()->set_version(2);
  if (at < IndexOf(entries, "m1.release")) {
    v1::Released& released = *entries[IndexOf(entries, "m1.release")].entry.mutable_released();
    released.set_yard_version(2);
    released.set_yard_digest(load.entry.yard_loaded().digest());
  }
  entries.insert(entries.begin() + static_cast<std::ptrdiff_t>(at) + 1, std::move(load));
  return entries;
}

/// Every finding about one entry, a line each: rule, gate and sentence.
std::string FoundAt(const std::vector<StoryEntry>& entries, std::string_view label) {
  std::string found;
  for (const AuditFinding& finding : AuditOf(entries).findings) {
    if (entries[static_cast<size_t>(finding.entry) - 1].label == label)
      found += finding.rule + " " + finding.gate_id + ": " + finding.sentence + "\n";
  }
  return found;
}

Story HitchedShift(const char* height = "8 ft 0 in") {
  Story story = GoodShift();
  Hitch(story);
  story.ReplaceInFile("measurements.csv", "DL-01 carried-height,8 ft 0 in",
                      std::string("DL-01 carried-height,") + height);
  return story;
}

// The record moves what hung there when the move was asked for: law 11 leaves no other.
TEST(AuditOfATrain, FindsAReleaseAfterAReloadThatChangedWhatItTows) {
  const Story alone = GoodShift(), hitched = HitchedShift();
  EXPECT_THAT(FoundAt(Reloaded(alone, hitched, "m1.accept"), "m1.release"),
              HasSubstr("law 2 law-ground-free: released although TH-07 towed nothing when the "
                        "move was asked for and tows DL-01 now"));
  EXPECT_THAT(FoundAt(Reloaded(hitched, alone, "m1.accept"), "m1.release"),
              HasSubstr("TH-07 towed DL-01 when the move was asked for and tows nothing now"));
  // Before it was asked for, and where other words of the files change, it is the same train.
  for (const auto& same : {Reloaded(alone, hitched, "inspect-st"),
                           Reloaded(hitched, HitchedShift("8 ft 1 in"), "m1.accept")})
    EXPECT_THAT(FoundAt(same, "m1.release"), Not(HasSubstr("law-ground-free")));
}

TEST(AuditOfATrain, FindsThatItWentOnAfterAReloadThatChangedWhatItTows) {
  const Story alone = GoodShift(), hitched = HitchedShift();
  const auto next_of_move_1 = [](const std::vector<StoryEntry>& entries) {
    const auto reload = entries.begin() + static_cast<std::ptrdiff_t>(IndexOf(entries, "reload"));
    return std::find_if(reload, entries.end(),
                        [](const StoryEntry& one) { return one.entry.move() == 1; })
        ->label;
  };
  const auto unhitched = Reloaded(hitched, alone, "m1.begin");
  EXPECT_THAT(FoundAt(unhitched, next_of_move_1(unhitched)),
              HasSubstr("that had to stop it: what it tows was changed"));
  const auto same = Reloaded(hitched, HitchedShift("8 ft 1 in"), "m1.begin");
  EXPECT_THAT(FoundAt(same, next_of_move_1(same)), Not(HasSubstr("what it tows was changed")));
}

}  // namespace
}  // namespace chockwise::history
