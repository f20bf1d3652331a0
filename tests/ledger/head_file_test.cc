#include "services/ledger/head_file.h"

#include <gtest/gtest.h>

#include "tests/ledger/scratch.h"

namespace chockwise::ledger {
namespace {

Head HeadOf(uint64_t size) {
  Head head{.size = size, .root = LeafHash(std::to_string(size)), .checkpoints = size / 10};
  head.id.fill(0xab);
  return head;
}

TEST(HeadFile, ReadsBackTheNewestOfItsTwoSlots) {
  const ScratchFolder folder;
  const std::string path = folder.File("head");
  auto file = *HeadFile::Create(path, HeadOf(0));
  for (uint64_t size = 1; size <= 25; ++size) {
    ASSERT_OK(file->Write(HeadOf(size)));
    ASSERT_EQ(ReadHeadFile(path)->head, HeadOf(size));
    ASSERT_EQ(std::filesystem::file_size(path), 2 * kHeadSlotBytes);
    if (size % 7 == 0) file = *HeadFile::Open(path);
  }
}

// Golden: the layout on the page of the header.
TEST(HeadFile, HasTheLayoutOfItsPage) {
  const ScratchFolder folder;
  const std::string path = folder.File("head");
  auto file = HeadFile::Create(path, HeadOf(0x0102));
  ASSERT_OK(file.status());
  const std::string slot = ReadBytes(path).substr(0, kHeadSlotBytes);
  EXPECT_EQ(slot.substr(0, 16), "chockwise head 1");
  EXPECT_EQ(slot.substr(16, 16), std::string(16, '\xab'));
  EXPECT_EQ(slot.substr(32, 8), std::string("\2\1\0\0\0\0\0\0", 8));
  EXPECT_EQ(slot.substr(40, 8), std::string("\31\0\0\0\0\0\0\0", 8));
  EXPECT_EQ(slot.substr(48, 32), AsChars(HeadOf(0x0102).root));
  EXPECT_EQ(slot.substr(80, 3984), std::string(3984, '\0'));
  EXPECT_EQ(slot.substr(4064), AsChars(Sha256({slot.substr(0, 4064)})));
}

// A write that power cut in two leaves the other slot, at every length it may have got to.
TEST(HeadFile, ATornSlotLeavesTheOther) {
  const ScratchFolder folder;
  const std::string path = folder.File("head");
  auto file = *HeadFile::Create(path, HeadOf(0));
  ASSERT_OK(file->Write(HeadOf(1)));
  const std::string before = ReadBytes(path);
  ASSERT_OK(file->Write(HeadOf(2)));
  const std::string after = ReadBytes(path);
  size_t slot_at = 0;
  while (before[slot_at] == after[slot_at]) ++slot_at;
  slot_at = slot_at / kHeadSlotBytes * kHeadSlotBytes;
  int old_head = 0;
  int new_head = 0;
  for (size_t torn = 0; torn <= kHeadSlotBytes; torn += 64) {
    std::string bytes = before;
    bytes.replace(slot_at, torn, after, slot_at, torn);
    WriteBytes(path, bytes);
    const HeadReading reading = *ReadHeadFile(path);
    ASSERT_TRUE(reading.head) << torn;
    ASSERT_TRUE(*reading.head == HeadOf(1) || *reading.head == HeadOf(2)) << torn;
    ++(*reading.head == HeadOf(1) ? old_head : new_head);
    // And the next writes go on from there.
    auto reopened = *HeadFile::Open(path);
    ASSERT_OK(reopened->Write(HeadOf(3)));
    ASSERT_EQ(ReadHeadFile(path)->head, HeadOf(3)) << torn;
  }
  EXPECT_GT(old_head, 0);
  EXPECT_GT(new_head, 0);
}

TEST(HeadFile, ALateHeadDoesNotOverwriteANewerOne) {
  const ScratchFolder folder;
  const std::string path = folder.File("head");
  auto file = *HeadFile::Create(path, HeadOf(0));
  ASSERT_OK(file->Write(HeadOf(9)));
  ASSERT_OK(file->Write(HeadOf(5)));
  EXPECT_EQ(ReadHeadFile(path)->head, HeadOf(9));
}

TEST(HeadFile, ForeignOrDamagedFilesAreNotHeads) {
  const ScratchFolder folder;
  const std::string path = folder.File("head");
  EXPECT_EQ(ReadHeadFile(path).status().code(), absl::StatusCode::kNotFound);
  ASSERT_OK(HeadFile::Create(path, HeadOf(4)).status());
  Head other = HeadOf(5);
  other.id.fill(1);
  EXPECT_EQ((*HeadFile::Open(path))->Write(other).code(), absl::StatusCode::kInvalidArgument);
  const std::string good = ReadBytes(path);
  for (const std::string& bad :
       {std::string(), good.substr(0, 4096), good + "x", std::string(8192, '\0')}) {
    WriteBytes(path, bad);
    EXPECT_EQ(ReadHeadFile(path)->head, std::nullopt) << bad.size();
    EXPECT_EQ(HeadFile::Open(path).status().code(), absl::StatusCode::kDataLoss);
  }
}

}  // namespace
}  // namespace chockwise::ledger
