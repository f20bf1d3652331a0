#include "test_ledger.h"

#include <gtest/gtest.h>

#include <cstdlib>
#include <filesystem>

namespace chockwise::history {

TestFolder::TestFolder() : folder_(testing::TempDir() + "history-XXXXXX") {
  if (mkdtemp(folder_.data()) == nullptr) throw std::runtime_error("no folder " + folder_);
}

TestFolder::~TestFolder() {
  std::error_code ignored;
  std::filesystem::remove_all(folder_, ignored);
}

TestLedger::TestLedger(uint8_t id) {
  auto key = ledger::LoadOrCreateKey(
      {.private_path = folder.Path("key"), .public_path = folder.Path("key.pub")});
  if (!key.ok()) throw std::runtime_error(key.status().ToString());
  ledger::LedgerId ledger_id;
  ledger_id.fill(id);
  auto opened = ledger::Ledger::Open({.database_path = folder.Path("small-yard.ledger"),
                                      .head_path = folder.Path("small-yard.head"),
                                      .yard = "small-yard",
                                      .kind = ledger::LedgerKind::kRehearsal,
                                      .key = *key,
                                      .now_micros = kStoryBeginUs,
                                      .id_if_new = ledger_id,
                                      .vfs = {},
                                      .wrap_store = {},
                                      .wrap_head = {}},
                                     nullptr);
  if (!opened.ok()) throw std::runtime_error(opened.status().ToString());
  ledger = *std::move(opened);
}

void TestLedger::Append(const std::vector<StoryEntry>& entries) {
  std::vector<std::string> bytes;
  for (const StoryEntry& entry : entries) bytes.push_back(entry.entry.SerializeAsString());
  auto head = ledger->Append(bytes);
  ASSERT_TRUE(head.ok()) << head.status();
  ASSERT_TRUE(ledger->WriteHead(*head).ok());
}

std::unique_ptr<ledger::Reader> TestLedger::Reader() const {
  auto reader = ledger->NewReader();
  if (!reader.ok()) throw std::runtime_error(reader.status().ToString());
  return *std::move(reader);
}

Queries TestLedger::Ask(const std::string& projection) const {
  return Queries({.projection_path = folder.Path(projection),
                  .open_reader = [this] { return ledger->NewReader(); }});
}

}  // namespace chockwise::history
