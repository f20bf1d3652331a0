// What the heart records and what the audit makes of it: two implementations that share no line, on
// the ways of a move that no shift reaches often.
#include <gtest/gtest.h>

#include "services/history/audit.h"
#include "tests/moves/story/story.h"

namespace chockwise::sim {
namespace {

using history::AuditFinding;
using moves::Entries;
using moves::Story;

/// A kind whose own rules ask one thing, and no law.
constexpr const char* kBare = R"(
gates {
  id: "bare-look"
  title: "looked over"
  question: "Looked it over?"
  remedy: "Look."
  gate_class: GATE_CLASS_HARD
  phases: [PHASE_START]
  looked_at { parties: [PARTY_DRIVER] }
  sources: ["common practice"]
}
kinds {
  id: "bare"
  title: "a machine goes somewhere"
  machine_classes: ["telehandler"]
  gate_ids: ["bare-look"]
  hold_at_doors: true
}
)";

Story WithBareKind() {
  yard::YardFiles files = moves::ReadYardFolder("tests/moves/yard_small");
  files.rules_txtpb += kBare;
  return Story::SmallFrom(files);
}

/// What the audit finds, but for the made-up digests of the story's files.
std::vector<AuditFinding> FindingsOf(const Entries& entries) {
  history::Auditor auditor;
  for (size_t i = 0; i < entries.size(); ++i)
    auditor.Take(static_cast<int64_t>(i) + 1, entries[i].SerializeAsString());
  std::vector<AuditFinding> findings = auditor.Finish().findings;
  std::erase_if(findings, [&](const AuditFinding& finding) {
    return entries[static_cast<size_t>(finding.entry) - 1].has_yard_loaded() &&
           finding.sentence.find("SHA-256") != std::string::npos;
  });
  return findings;
}

void ExpectNothingFound(const Story& story) {
  for (const AuditFinding& finding : FindingsOf(story.entries())) {
    ADD_FAILURE() << finding.rule << " " << finding.gate_id << " in entry " << finding.entry << ": "
                  << finding.sentence;
  }
}

void StopAndAllow(Story& story, moves::MoveNumber move) {
  story.Must("roy", moves::On<v1::StopMoveRequest>(story, move));
  story.Must("roy", moves::On<v1::AllowRestartRequest>(story, move));
}

TEST(AuditOfTheHeart, AKindThatLeavesTheLawsOutIsSound) {
  Story story = WithBareKind();
  const auto move = story.Ask({.kind = "bare", .machine = "TH-1", .to = "line"});
  story.BringTo(move, v1::PHASE_HOLD_POINT);
  story.RunToTheEnd(move);
  ExpectNothingFound(story);
}

TEST(AuditOfTheHeart, ALawsOwnGateThatIsNotInTheRecordIsFound) {
  Story story = WithBareKind();
  const auto move = story.Ask({.kind = "bare", .machine = "TH-1", .to = "line"});
  story.RunToTheEnd(move);
  int left_out = 0;
  for (size_t at = 0; at < story.entries().size(); ++at) {
    const v1::Entry& entry = story.entries()[at];
    const int gates = entry.released().gates_size() + entry.move_closed().gates_size();
    for (int gate = 0; gate < gates; ++gate) {
      Entries entries = story.entries();
      auto& kept = *(entry.has_released() ? entries[at].mutable_released()->mutable_gates()
                                          : entries[at].mutable_move_closed()->mutable_gates());
      const std::string id = kept[gate].gate_id();
      kept.DeleteSubrange(gate, 1);
      const std::vector<AuditFinding> findings = FindingsOf(entries);
      ASSERT_EQ(findings.size(), 1u) << id;
      EXPECT_EQ(findings[0].rule, "law 11");
      EXPECT_EQ(findings[0].gate_id, id);
      if (id.starts_with("law-")) ++left_out;
    }
  }
  // Nine computed and the second word, at the start and at two lines; the counts at the close.
  EXPECT_EQ(left_out, 31);
}

TEST(AuditOfTheHeart, ARestartAtTheLineIsSoundAndItsWordAtTheLineIsMissed) {
  for (const char* kind : {"bare", "machine-through-door"}) {
    Story story = WithBareKind();
    const auto move = story.Ask({.kind = kind, .machine = "TH-1", .to = "line"});
    story.BringTo(move, v1::PHASE_HOLD_POINT);
    StopAndAllow(story, move);
    const size_t restart = story.entries().size();
    story.Go(move);
    StopAndAllow(story, move);
    story.RunToTheEnd(move);
    ExpectNothingFound(story);
    const std::string word = kind == std::string("bare") ? "law-second-word" : "word-at-line";
    Entries entries = story.entries();
    size_t at = restart;
    while (entries.at(at).gate_confirmed().gate_id() != word) ++at;
    entries.erase(entries.begin() + static_cast<std::ptrdiff_t>(at));
    const std::vector<AuditFinding> findings = FindingsOf(entries);
    ASSERT_FALSE(findings.empty()) << kind;
    EXPECT_EQ(findings[0].gate_id, word);
  }
}

TEST(AuditOfTheHeart, CountsThatAMoveLeftBehindAreSoundAndMissedWhereTheyAreDropped) {
  Story story = Story::Small();
  const moves::Asked load = {
      .kind = "load-onto-carrier", .machine = "TH-1", .to = "pad", .carrier = "CA-1"};
  for (int i = 0; i < 2; ++i) {
    const auto move = story.Ask(load);
    story.ClearAll(move);
    auto withdraw = moves::On<v1::WithdrawMoveRequest>(story, move);
    withdraw.set_reason("rain");
    story.Must("dana", withdraw);
  }
  v1::RecordPutDownRequest none;
  none.set_name("yards/small/machines/CA-1");
  none.set_item("people");
  none.set_count(1);
  story.MustRefuse("sam", none, moves::RefusalKind::kPrecondition);
  story.Must("dana", none);
  story.RunToTheEnd(story.Ask(load));
  ExpectNothingFound(story);
  // The same with five chocks in the first move: the third one counted four.
  Entries entries = story.entries();
  size_t at = 0;
  while (entries.at(at).gate_confirmed().gate_id() != "carrier-chocked") ++at;
  entries[at].mutable_gate_confirmed()->set_count(5);
  const std::vector<AuditFinding> findings = FindingsOf(entries);
  ASSERT_FALSE(findings.empty());
  EXPECT_EQ(findings[0].rule, "law 9");
  EXPECT_EQ(findings[0].gate_id, "carrier-chocked");
}

TEST(AuditOfTheHeart, AMachineThatLeavesTheRegisterAndComesBackIsSound) {
  Story story = Story::Small();
  yard::YardFiles files = story.files();
  const std::string row = "WL-1,Wheel loader,wheel-loader,north,bucket,0\n";
  files.machines_csv = moves::Replaced(files.machines_csv, row, "");
  for (size_t at; (at = files.measurements_csv.find("\nWL-1 ")) != std::string::npos;)
    files.measurements_csv.erase(at + 1, files.measurements_csv.find('\n', at + 1) - at);
  story.Must("lee", moves::LoadOf(files, 2));
  files = story.files();
  files.machines_csv =
      moves::Replaced(files.machines_csv, row, "WL-1,Wheel loader,wheel-loader,north,bucket,2\n");
  story.Must("lee", moves::LoadOf(files, 3));
  EXPECT_EQ(story.state().machines.at(moves::MachineId("WL-1")).StandThere("chocks"), 2);
  v1::RecordInspectionRequest inspection;
  inspection.set_name("yards/small/machines/WL-1");
  story.Must("dana", inspection);
  ExpectNothingFound(story);
}

/// A hop to the west at 19:35Z with the sun low ahead, looked at before it was and again since.
TEST(AuditOfTheHeart, ALookThatCameBeforeTheGlareIsFound) {
  yard::YardFiles files = moves::ReadYardFolder("tests/moves/yard_small");
  files.rules_txtpb =
      moves::Replaced(files.rules_txtpb, R"("hop-ground", "hop-parked")",
                      R"("hop-ground", "light-reaches", "light-enough", "hop-parked")");
  files.map_geojson = moves::Replaced(files.map_geojson, R"("Carrier pad", "capacity": 1)",
                                      R"("Carrier pad", "capacity": 2)");
  files.measurements_csv += "bay light-level,120 lx,,,lee,2026-11-01T08:00:00Z\n";
  Story story = Story::SmallFrom(files);
  story.Advance(fit::Hours(7) + fit::Minutes(15));
  const auto move = story.Ask({.kind = "short-hop", .machine = "TH-1", .to = "pad"});
  story.Must("sam", story.WordOn(move, "light-enough"));
  story.Advance(fit::Minutes(20));
  const size_t look = story.entries().size();
  story.Must("sam", story.WordOn(move, "light-enough"));
  story.RunToTheEnd(move);
  ExpectNothingFound(story);
  Entries entries = story.entries();
  ASSERT_EQ(entries.at(look).gate_confirmed().gate_id(), "light-enough");
  entries.erase(entries.begin() + static_cast<std::ptrdiff_t>(look));
  const std::vector<AuditFinding> findings = FindingsOf(entries);
  ASSERT_FALSE(findings.empty());
  EXPECT_EQ(findings[0].gate_id, "light-reaches");
  EXPECT_NE(findings[0].sentence.find("GLARE AHEAD on pad-way"), std::string::npos)
      << findings[0].sentence;
}

}  // namespace
}  // namespace chockwise::sim
