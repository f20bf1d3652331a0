// Every single bit of a small ledger is flipped, one at a time: in the closed file, in the
// write-ahead log that a dead writer left, and in the head. Each flip must be detected, by verify
// and by opening, or change nothing that either gives. Law 8.
#include <gtest/gtest.h>

#include <cstdio>
#include <optional>
#include <set>
#include <string>
#include <utility>
#include <vector>

#include "services/ledger/ledger.h"
#include "services/ledger/verify.h"
#include "tests/ledger/scratch.h"

namespace chockwise::ledger {
namespace {

// Three files are written anew for each of some 130,000 flips: on a memory file system where there
// is one.
std::string FastFolder() {
  return std::filesystem::is_directory("/dev/shm") ? "/dev/shm" : testing::TempDir();
}

struct Files {
  std::string database;
  std::string log;  ///< empty: there is none
  std::string head;
};

struct Counts {
  int detected = 0;
  int noted = 0;  ///< nothing lost, and the report says what is damaged
  int harmless = 0;
};

void Print(const char* what, const char* how, const Counts& counts) {
  std::printf("%-8s %-7s %6d flips: %6d detected, %5d noted, %5d harmless\n", what, how,
              counts.detected + counts.noted + counts.harmless, counts.detected, counts.noted,
              counts.harmless);
}

class BitFlip : public testing::Test {
 protected:
  BitFlip()
      : folder_(FastFolder()),
        database_(folder_.File("yard.ledger")),
        head_(folder_.File("yard.head")) {}

  LedgerOptions SmallOptions() {
    LedgerOptions options = OptionsIn(folder_);
    options.page_bytes = 512;
    options.id_if_new = LedgerId{0x5a};
    return options;
  }

  // Six entries under a checkpoint and two under none.
  void FillAndClose() {
    auto ledger = *Ledger::Open(SmallOptions(), NoReplay());
    ASSERT_OK(AppendAcknowledged(*ledger, 1, 5));
    ASSERT_OK(ledger->SignCheckpoint(kTestMicros).status());
    ASSERT_OK(AppendAcknowledged(*ledger, 6, 2));
  }

  Files Take() { return {ReadBytes(database_), ReadBytes(database_ + "-wal"), ReadBytes(head_)}; }

  void Put(const Files& files) {
    WriteBytes(database_, files.database);
    WriteBytes(head_, files.head);
    std::filesystem::remove(database_ + "-shm");
    std::filesystem::remove(database_ + "-wal");
    if (!files.log.empty()) WriteBytes(database_ + "-wal", files.log);
  }

  std::string PathOf(std::string Files::*which) const {
    if (which == &Files::log) return database_ + "-wal";
    return which == &Files::head ? head_ : database_;
  }

  // Verify leaves the files as they are, so one byte there and back is enough.
  static void PutByte(const std::string& path, size_t at, char byte) {
    std::fstream file(path, std::ios::binary | std::ios::in | std::ios::out);
    file.seekp(static_cast<std::streamoff>(at));
    file.put(byte);
  }

  VerifyReport Verify() {
    return VerifyLedger({.database_path = database_, .key = &key_, .head_path = head_});
  }

  // What opening gave: every entry, and the root; or nothing where it refused.
  std::optional<std::vector<std::string>> OpenAndRead(std::vector<std::string>* notes) {
    std::vector<std::string> read;
    auto ledger = Ledger::Open(SmallOptions(), [&](uint64_t, std::string_view bytes) {
      read.emplace_back(bytes);
      return absl::OkStatus();
    });
    if (!ledger.ok()) return std::nullopt;
    read.push_back(ToHex((*ledger)->head().root));
    read.push_back(std::to_string((*ledger)->head().checkpoints));
    *notes = (*ledger)->open_report().notes;
    return read;
  }

  // Verify sees every bit; opening, which costs twice as much, one bit of every byte.
  void FlipAll(const char* what, std::string Files::*which) {
    Remember();
    Counts verified;
    Counts opened;
    for (size_t bit = 0; bit < (good_.*which).size() * 8; ++bit) {
      Files flipped = good_;
      char& byte = (flipped.*which)[bit / 8];
      byte = static_cast<char>(byte ^ (1 << bit % 8));
      PutByte(PathOf(which), bit / 8, byte);
      CountVerify(bit, &verified);
      if (bit % 8 == bit / 8 % 8) {
        CountOpen(flipped, bit, &opened);
        Put(good_);
      } else {
        PutByte(PathOf(which), bit / 8, (good_.*which)[bit / 8]);
      }
      if (HasFatalFailure()) return;
    }
    Print(what, "verify", verified);
    Print(what, "open", opened);
    EXPECT_GT(verified.detected, 0);
    EXPECT_GT(opened.detected, 0);
  }

  // What the untouched files give, both ways.
  void Remember() {
    good_ = Take();
    sound_ = Verify();
    ASSERT_TRUE(sound_.sound()) << sound_.Text();
    std::vector<std::string> notes;
    entries_ = OpenAndRead(&notes);
    ASSERT_TRUE(entries_);
    Put(good_);
  }

  void CountOpen(const Files& flipped, size_t bit, Counts* counts) {
    Put(flipped);
    std::vector<std::string> notes;
    const auto read = OpenAndRead(&notes);
    ASSERT_TRUE(!read || read == entries_) << "bit " << bit << ": opening gave something else";
    ++(!read ? counts->detected : notes.empty() ? counts->harmless : counts->noted);
  }

  void CountVerify(size_t bit, Counts* counts) {
    const VerifyReport report = Verify();
    if (!report.sound()) {
      ++counts->detected;
      return;
    }
    ASSERT_EQ(report.root, sound_.root) << "bit " << bit;
    ASSERT_EQ(report.entries, sound_.entries) << "bit " << bit;
    ASSERT_EQ(report.checkpoints, sound_.checkpoints) << "bit " << bit;
    ASSERT_EQ(report.unsigned_entries, sound_.unsigned_entries) << "bit " << bit;
    ++(report.Text() == sound_.Text() ? counts->harmless : counts->noted);
  }

  ScratchFolder folder_;
  const std::string database_;
  const std::string head_;
  const PublicKey key_ = KnownKey().Public();
  Files good_;
  VerifyReport sound_;
  std::optional<std::vector<std::string>> entries_;
};

TEST_F(BitFlip, EveryBitOfTheClosedFileIsDetectedOrHarmless) {
  FillAndClose();
  FlipAll("file", &Files::database);
}

TEST_F(BitFlip, EveryBitOfADeadWritersLogIsDetectedOrHarmless) {
  FillAndClose();
  auto ledger = *Ledger::Open(SmallOptions(), NoReplay());
  ASSERT_OK(AppendAcknowledged(*ledger, 8, 1));
  ASSERT_OK(ledger->SignCheckpoint(kTestMicros + 1).status());
  ASSERT_OK(AppendAcknowledged(*ledger, 9, 1));
  const Files crashed = Take();
  ledger.reset();
  Put(crashed);
  ASSERT_FALSE(crashed.log.empty());
  FlipAll("log", &Files::log);
}

// A ledger is judged by what is read out of its head, so every bit goes through the reading, and
// what comes out of it is judged once for each different outcome.
TEST_F(BitFlip, EveryBitOfTheHeadIsDetectedOrHarmless) {
  FillAndClose();
  Remember();
  const HeadReading good = *ReadHeadFile(head_);
  Counts read;
  Counts verified;
  Counts opened;
  std::set<std::pair<uint64_t, int>> outcomes;
  for (size_t bit = 0; bit < good_.head.size() * 8; ++bit) {
    Files flipped = good_;
    flipped.head[bit / 8] = static_cast<char>(flipped.head[bit / 8] ^ (1 << bit % 8));
    WriteBytes(head_, flipped.head);
    const HeadReading reading = *ReadHeadFile(head_);
    ASSERT_EQ(reading.damaged_slots, 1) << "bit " << bit;
    ASSERT_TRUE(reading.head) << "bit " << bit;
    ASSERT_LE(reading.head->size, good.head->size) << "bit " << bit;
    ++read.noted;
    if (!outcomes.emplace(reading.head->size, reading.newest_slot).second) continue;
    Put(flipped);
    CountVerify(bit, &verified);
    CountOpen(flipped, bit, &opened);
  }
  Print("head", "read", read);
  Print("head", "verify", verified);
  Print("head", "open", opened);
  EXPECT_EQ(outcomes.size(), 2u);  // the newer slot counts, or the older
}

}  // namespace
}  // namespace chockwise::ledger
