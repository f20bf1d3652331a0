// One thing changed in the good shift, and the one finding that has to come of it: rows for the
// tables of audit_gates_test.cc, audit_laws_test.cc and audit_test.cc. audit_rows_test.cc holds the
// audit to each.
#pragma once

#include <gtest/gtest.h>

#include <functional>
#include <ostream>
#include <string>
#include <vector>

#include "services/history/audit.h"
#include "story.h"

namespace chockwise::history {

inline AuditReport AuditOf(const std::vector<StoryEntry>& entries) {
  Auditor auditor;
  auditor.Take(0, "the genesis is not an entry");
  for (size_t i = 0; i < entries.size(); ++i) {
    auditor.Take(static_cast<int64_t>(i) + 1, entries[i].entry.SerializeAsString());
  }
  return auditor.Finish();
}

inline Story GoodShift() { return Story::Read("stories/good_shift.txt"); }

/// One thing changed in the good shift, and the one finding that has to come of it.
struct Wrong {
  const char* name;
  std::function<void(Story&)> change;
  const char* entry;  // label of the entry that is found wrong
  const char* rule;
  const char* gate;
  const char* sentence;  // part of it
};
inline void PrintTo(const Wrong& wrong, std::ostream* out) { *out << wrong.name; }

inline std::function<void(Story&)> Drop(const char* label) {
  return [=](Story& story) { story.Drop(label); };
}
inline std::function<void(Story&)> Swap(const char* label, const char* text, const char* by) {
  return [=](Story& story) { story.Replace(label, text, by); };
}
inline std::function<void(Story&)> Add(const char* after, const char* block) {
  return [=](Story& story) { story.Insert(after, block); };
}
inline std::function<void(Story&)> By(const char* label, const char* person) {
  return [=](Story& story) { story.At(label).person = person; };
}
inline std::function<void(Story&)> Later(const char* label, int64_t seconds) {
  return [=](Story& story) { story.At(label).later_s = seconds; };
}
inline std::function<void(Story&)> File(const char* file, const char* text, const char* by) {
  return [=](Story& story) { story.ReplaceInFile(file, text, by); };
}

class AuditFinds : public testing::TestWithParam<Wrong> {};

/// The same where more follows from it: the first finding is the one that matters.
class AuditFindsFirst : public testing::TestWithParam<Wrong> {};

}  // namespace chockwise::history
