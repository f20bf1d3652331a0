// A ledger in a folder of its own, filled from a story, and what reads it.
#pragma once

#include <memory>
#include <string>
#include <vector>

#include "services/history/queries.h"
#include "services/ledger/ledger.h"
#include "story.h"

namespace chockwise::history {

/// A folder that goes with the test.
class TestFolder {
 public:
  TestFolder();
  ~TestFolder();
  std::string Path(const std::string& name) const { return folder_ + "/" + name; }

 private:
  std::string folder_;
};

struct TestLedger {
  TestFolder folder;
  std::unique_ptr<ledger::Ledger> ledger;

  /// Its id is 16 times `id`.
  explicit TestLedger(uint8_t id = 7);
  void Append(const std::vector<StoryEntry>& entries);
  std::unique_ptr<ledger::Reader> Reader() const;
  Queries Ask(const std::string& projection) const;
};

}  // namespace chockwise::history
