#include "audit_rows.h"

#include <gmock/gmock.h>

namespace chockwise::history {
namespace {

using testing::HasSubstr;

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

}  // namespace
}  // namespace chockwise::history
