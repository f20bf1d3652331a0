// What the ledger does when the disk says no, the log is lost, or the process dies. Law 8
// throughout.
#include <gmock/gmock.h>
#include <gtest/gtest.h>
#include <signal.h>
#include <sys/wait.h>

#include <chrono>
#include <random>
#include <thread>

#include "services/ledger/ledger.h"
#include "services/ledger/verify.h"
#include "tests/ledger/fault_vfs.h"
#include "tests/ledger/scratch.h"

namespace chockwise::ledger {
namespace {

using testing::HasSubstr;

std::string Said(const absl::Status& status) { return std::string(status.message()); }

struct FaultCase {
  std::string name;
  Fault fault;
};
void PrintTo(const FaultCase& fault_case, std::ostream* out) { *out << fault_case.name; }

class CommitFaults : public testing::TestWithParam<FaultCase> {};

TEST_P(CommitFaults, AreSaidOnceThenEveryCallFailsAndWhatWasAcknowledgedStays) {
  const ScratchFolder folder;
  FaultVfs vfs("faulty");
  LedgerOptions options = OptionsIn(folder);
  options.vfs = "faulty";
  auto ledger = *Ledger::Open(options, NoReplay());
  ASSERT_OK(AppendAcknowledged(*ledger, 1, 5));
  const Head acknowledged = ledger->head();

  vfs.Arm(GetParam().fault);
  const absl::Status failed = ledger->Append(Payloads(6, 3)).status();
  EXPECT_EQ(failed.code(), absl::StatusCode::kUnavailable) << failed;
  EXPECT_THAT(Said(failed), HasSubstr("entries 6 to 8"));
  EXPECT_EQ(vfs.faults(), 1);  // never tried again
  vfs.Disarm();
  EXPECT_EQ(ledger->Append(Payloads(6, 3)).status().code(), absl::StatusCode::kUnavailable);
  EXPECT_EQ(ledger->SignCheckpoint(kTestMicros).status().code(), absl::StatusCode::kUnavailable);
  EXPECT_EQ(ledger->WriteHead(acknowledged).code(), absl::StatusCode::kUnavailable);
  EXPECT_EQ(ledger->head(), acknowledged);
  EXPECT_THAT(Said(ledger->health()), HasSubstr("Open it again"));
  ledger.reset();

  std::vector<std::string> replayed;
  absl::StatusOr<std::unique_ptr<Ledger>> again =
      Ledger::Open(options, [&](uint64_t, std::string_view bytes) {
        replayed.emplace_back(bytes);
        return absl::OkStatus();
      });
  ASSERT_OK(again.status());
  // The failed batch is there as a whole or not at all; nobody was told either way.
  EXPECT_TRUE(replayed == Payloads(1, 5) || replayed == Payloads(1, 8)) << replayed.size();
  ASSERT_OK(AppendAcknowledged(**again, replayed.size() + 1, 2));
  again->reset();
  const PublicKey key = KnownKey().Public();
  const VerifyReport report = VerifyLedger(
      {.database_path = options.database_path, .key = &key, .head_path = options.head_path});
  EXPECT_TRUE(report.sound()) << report.Text();
}

INSTANTIATE_TEST_SUITE_P(
    Log, CommitFaults,
    testing::Values(
        FaultCase{"SyncFails", {.kind = Fault::Kind::kSyncFails, .file_ends_with = "-wal"}},
        FaultCase{"DiskFull", {.kind = Fault::Kind::kDiskFull, .file_ends_with = "-wal"}},
        FaultCase{"DiskFullLater",
                  {.kind = Fault::Kind::kDiskFull, .file_ends_with = "-wal", .skip = 1}},
        FaultCase{"ShortWrite", {.kind = Fault::Kind::kShortWrite, .file_ends_with = "-wal"}},
        FaultCase{"ShortWriteLater",
                  {.kind = Fault::Kind::kShortWrite, .file_ends_with = "-wal", .skip = 1}}),
    [](const auto& row) { return row.param.name; });

// SQLite itself would swallow this one: a sync of the database that fails while the log is folded
// into it.
TEST(FoldFaults, AFailedSyncWhileTheLogIsFoldedIsSaid) {
  const ScratchFolder folder;
  FaultVfs vfs("faulty");
  LedgerOptions options = OptionsIn(folder);
  options.vfs = "faulty";
  auto ledger = *Ledger::Open(options, NoReplay());
  vfs.Arm({.kind = Fault::Kind::kSyncFails, .file_ends_with = "yard.ledger"});
  uint64_t acknowledged = 0;
  absl::Status failed;
  const std::vector<std::string> batch(64, std::string(4000, 'x'));
  for (int i = 0; i < 200 && failed.ok(); ++i) {
    absl::StatusOr<Head> head = ledger->Append(batch);
    failed = head.status();
    if (!head.ok()) break;
    ASSERT_OK(ledger->WriteHead(*head));
    acknowledged = head->size;
  }
  EXPECT_EQ(failed.code(), absl::StatusCode::kUnavailable);
  EXPECT_EQ(vfs.faults(), 1);
  EXPECT_GT(acknowledged, 1000u);
  ledger.reset();
  // Opening folds too, and must not go on where that fails.
  EXPECT_FALSE(Ledger::Open(options, NoReplay()).ok());
  vfs.Disarm();
  auto again = *Ledger::Open(options, NoReplay());
  EXPECT_GE(again->head().size, acknowledged);
}

// The seam above SQLite: the store says no before anything was written.
class RefusingStore final : public Store {
 public:
  RefusingStore(std::unique_ptr<Store> real, const bool* refuses)
      : real_(std::move(real)), refuses_(refuses) {}
  absl::StatusOr<Meta> ReadMeta() override { return real_->ReadMeta(); }
  absl::StatusOr<std::vector<CheckpointRow>> ReadCheckpoints() override {
    return real_->ReadCheckpoints();
  }
  absl::Status Scan(int64_t first, const EntryVisitor& visit) override {
    return real_->Scan(first, visit);
  }
  absl::StatusOr<StoreState> State() override { return real_->State(); }
  absl::Status Create(const Meta& meta, const NewEntry& genesis) override {
    return real_->Create(meta, genesis);
  }
  absl::Status Append(uint64_t first_seq, std::span<const NewEntry> entries) override {
    return *refuses_ ? absl::ResourceExhaustedError("no room") : real_->Append(first_seq, entries);
  }
  absl::Status AppendCheckpoint(uint64_t number, std::string_view text) override {
    return *refuses_ ? absl::ResourceExhaustedError("no room")
                     : real_->AppendCheckpoint(number, text);
  }
  absl::Status FoldLog() override { return real_->FoldLog(); }
  void LeaveTidy() override { real_->LeaveTidy(); }

 private:
  std::unique_ptr<Store> real_;
  const bool* refuses_;
};

TEST(StoreFaults, AFailedCheckpointStopsTheLedgerToo) {
  const ScratchFolder folder;
  bool refuses = false;
  LedgerOptions options = OptionsIn(folder);
  options.wrap_store = [&](std::unique_ptr<Store> real) {
    return std::make_unique<RefusingStore>(std::move(real), &refuses);
  };
  auto ledger = *Ledger::Open(options, NoReplay());
  ASSERT_OK(AppendAcknowledged(*ledger, 1, 2));
  refuses = true;
  EXPECT_EQ(ledger->SignCheckpoint(kTestMicros).status().code(), absl::StatusCode::kUnavailable);
  refuses = false;
  EXPECT_EQ(ledger->Append(Payloads(3, 1)).status().code(), absl::StatusCode::kUnavailable);
}

class RefusingHead final : public HeadWriter {
 public:
  RefusingHead(std::unique_ptr<HeadWriter> real, const bool* refuses)
      : real_(std::move(real)), refuses_(refuses) {}
  absl::Status Write(const Head& head) override {
    return *refuses_ ? absl::UnavailableError("the head's disk is gone") : real_->Write(head);
  }

 private:
  std::unique_ptr<HeadWriter> real_;
  const bool* refuses_;
};

TEST(HeadFaults, NothingIsAcknowledgedWithoutTheHeadAndTheEntriesComeBack) {
  const ScratchFolder folder;
  bool refuses = false;
  LedgerOptions options = OptionsIn(folder);
  options.wrap_head = [&](std::unique_ptr<HeadWriter> real) {
    return std::make_unique<RefusingHead>(std::move(real), &refuses);
  };
  auto ledger = *Ledger::Open(options, NoReplay());
  ASSERT_OK(AppendAcknowledged(*ledger, 1, 2));
  const Head head = *ledger->Append(Payloads(3, 2));
  refuses = true;
  EXPECT_EQ(ledger->WriteHead(head).code(), absl::StatusCode::kUnavailable);
  refuses = false;
  EXPECT_EQ(ledger->Append(Payloads(5, 1)).status().code(), absl::StatusCode::kUnavailable);
  ledger.reset();
  auto again = *Ledger::Open(options, NoReplay());
  EXPECT_EQ(again->open_report().entries_after_head, 2u);
  EXPECT_EQ(again->head(), head);
  EXPECT_THAT(again->open_report().notes,
              testing::Contains(HasSubstr("entries 3 to 4 after the head")));
}

// Traps that SQLite does not report: a lost log, and one damaged byte in it that drops every later
// commit.
struct LossCase {
  std::string name;
  void (*harm)(const ScratchFolder& folder);
};
void PrintTo(const LossCase& loss, std::ostream* out) { *out << loss.name; }

class Losses : public testing::TestWithParam<LossCase> {};

TEST_P(Losses, AreRefusedWithDataLossAndTheFilesStayAsTheyAre) {
  const ScratchFolder live;
  const ScratchFolder crashed;
  auto ledger = *Ledger::Open(OptionsIn(live), NoReplay());
  for (uint64_t seq = 1; seq <= 40; ++seq) ASSERT_OK(AppendAcknowledged(*ledger, seq, 1));
  CopyAsCrashed(live, crashed);
  GetParam().harm(crashed);
  const std::string database = ReadBytes(crashed.File("yard.ledger"));
  const std::string log = ReadBytes(crashed.File("yard.ledger-wal"));
  const absl::Status status = Ledger::Open(OptionsIn(crashed), NoReplay()).status();
  EXPECT_EQ(status.code(), absl::StatusCode::kDataLoss) << status;
  EXPECT_THAT(Said(status), HasSubstr(crashed.File("yard.ledger")));
  EXPECT_THAT(Said(status), HasSubstr("Copy"));
  EXPECT_THAT(Said(status), HasSubstr("chockwise ledger verify"));
  EXPECT_EQ(ReadBytes(crashed.File("yard.ledger")), database);
  EXPECT_EQ(ReadBytes(crashed.File("yard.ledger-wal")), log);
}

void FlipByte(const std::string& path, size_t at) {
  std::string bytes = ReadBytes(path);
  ASSERT_LT(at, bytes.size());
  bytes[at] = static_cast<char>(bytes[at] ^ 0x10);
  WriteBytes(path, bytes);
}

INSTANTIATE_TEST_SUITE_P(
    Traps, Losses,
    testing::Values(
        LossCase{
            "LostLog",
            [](const ScratchFolder& f) { std::filesystem::remove(f.File("yard.ledger-wal")); }},
        LossCase{"LogByteNearTheEnd",
                 [](const ScratchFolder& f) {
                   const auto size = std::filesystem::file_size(f.File("yard.ledger-wal"));
                   FlipByte(f.File("yard.ledger-wal"), size - 2000);
                 }},
        LossCase{"LogByteInTheMiddle",
                 [](const ScratchFolder& f) {
                   const auto size = std::filesystem::file_size(f.File("yard.ledger-wal"));
                   FlipByte(f.File("yard.ledger-wal"), size / 2);
                 }},
        LossCase{"LogHeader",
                 [](const ScratchFolder& f) { FlipByte(f.File("yard.ledger-wal"), 2); }},
        LossCase{"LogCutShort",
                 [](const ScratchFolder& f) {
                   const auto size = std::filesystem::file_size(f.File("yard.ledger-wal"));
                   std::filesystem::resize_file(f.File("yard.ledger-wal"), size - 4120);
                 }},
        LossCase{"BothHeadSlots",
                 [](const ScratchFolder& f) {
                   FlipByte(f.File("yard.head"), 100);
                   FlipByte(f.File("yard.head"), 5000);
                 }},
        LossCase{"DatabaseEmptied",
                 [](const ScratchFolder& f) {
                   WriteBytes(f.File("yard.ledger"), "");
                   std::filesystem::remove(f.File("yard.ledger-wal"));
                 }}),
    [](const auto& row) { return row.param.name; });

TEST(Losses, AGoneDatabaseIsNotBegunAnew) {
  const ScratchFolder folder;
  { ASSERT_OK(AppendAcknowledged(**Ledger::Open(OptionsIn(folder), NoReplay()), 1, 3)); }
  std::filesystem::remove(folder.File("yard.ledger"));
  EXPECT_EQ(Ledger::Open(OptionsIn(folder), NoReplay()).status().code(),
            absl::StatusCode::kDataLoss);
  EXPECT_FALSE(std::filesystem::exists(folder.File("yard.ledger")));
}

TEST(Losses, AMissingHeadIsRefusedUntilSomebodyAsksForANewOne) {
  const ScratchFolder folder;
  { ASSERT_OK(AppendAcknowledged(**Ledger::Open(OptionsIn(folder), NoReplay()), 1, 3)); }
  std::filesystem::remove(folder.File("yard.head"));
  const absl::Status status = Ledger::Open(OptionsIn(folder), NoReplay()).status();
  EXPECT_EQ(status.code(), absl::StatusCode::kFailedPrecondition);
  EXPECT_THAT(Said(status), HasSubstr("mounted"));
  LedgerOptions options = OptionsIn(folder);
  options.missing_head = MissingHead::kRebuild;
  { EXPECT_EQ((*Ledger::Open(options, NoReplay()))->head().size, 4u); }
  EXPECT_TRUE(Ledger::Open(OptionsIn(folder), NoReplay()).ok());
}

TEST(Losses, AHeadOfAnotherLedgerIsRefused) {
  const ScratchFolder one;
  const ScratchFolder two;
  { ASSERT_OK(AppendAcknowledged(**Ledger::Open(OptionsIn(one), NoReplay()), 1, 3)); }
  { ASSERT_OK(AppendAcknowledged(**Ledger::Open(OptionsIn(two), NoReplay()), 1, 3)); }
  std::filesystem::copy_file(two.File("yard.head"), one.File("yard.head"),
                             std::filesystem::copy_options::overwrite_existing);
  EXPECT_EQ(Ledger::Open(OptionsIn(one), NoReplay()).status().code(), absl::StatusCode::kDataLoss);
}

// Creation that dies at each of its durable steps is begun again or goes on; never refused.
TEST(Creation, SurvivesDyingBetweenItsSteps) {
  const ScratchFolder folder;
  ASSERT_OK(HeadFile::Create(folder.File("yard.head"), {.id = {7}, .size = 0, .root = EmptyRoot()})
                .status());
  { ASSERT_OK(Ledger::Open(OptionsIn(folder), NoReplay()).status()); }
  const ScratchFolder genesis_only;
  LedgerOptions options = OptionsIn(genesis_only);
  bool refuses = true;
  options.wrap_head = [&](std::unique_ptr<HeadWriter> real) {
    return std::make_unique<RefusingHead>(std::move(real), &refuses);
  };
  EXPECT_FALSE(Ledger::Open(options, NoReplay()).ok());
  refuses = false;
  auto ledger = Ledger::Open(options, NoReplay());
  ASSERT_OK(ledger.status());
  EXPECT_EQ((*ledger)->open_report().entries_after_head, 1u);
}

// In the child: append and acknowledge until killed, telling each acknowledged size through the
// pipe.
[[noreturn]] void WriteUntilKilled(const ScratchFolder& folder, int acknowledgements,
                                   unsigned seed) {
  std::mt19937 random(seed);
  absl::StatusOr<std::unique_ptr<Ledger>> ledger = Ledger::Open(OptionsIn(folder), NoReplay());
  if (!ledger.ok()) ::_exit(3);
  while (true) {
    const uint64_t size = (*ledger)->head().size;
    if (!AppendAcknowledged(**ledger, size, 1 + random() % 9).ok()) ::_exit(4);
    if (random() % 8 == 0 && !(*ledger)->SignCheckpoint(kTestMicros).ok()) ::_exit(5);
    const uint64_t acknowledged = (*ledger)->head().size;
    if (::write(acknowledgements, &acknowledged, sizeof acknowledged) < 0) ::_exit(6);
  }
}

TEST(Kill, WhatWasAcknowledgedIsThereAfterFortyKills) {
  constexpr int kRounds = 40;
  const ScratchFolder folder;
  std::mt19937 random(20261124);
  uint64_t acknowledged = 0;
  uint64_t total_after_head = 0;
  for (int round = 0; round < kRounds; ++round) {
    int ends[2];
    ASSERT_EQ(::pipe(ends), 0);
    const pid_t child = ::fork();
    ASSERT_GE(child, 0);
    if (child == 0) WriteUntilKilled(folder, ends[1], static_cast<unsigned>(random()));
    ::close(ends[1]);
    // However slow the machine: the child lives until it has acknowledged something.
    ASSERT_EQ(::read(ends[0], &acknowledged, sizeof acknowledged),
              static_cast<ssize_t>(sizeof acknowledged));
    std::this_thread::sleep_for(std::chrono::microseconds(random() % 40'000));
    ASSERT_EQ(::kill(child, SIGKILL), 0);
    int status = 0;
    ASSERT_EQ(::waitpid(child, &status, 0), child);
    ASSERT_TRUE(WIFSIGNALED(status)) << "the child ended by itself, code " << WEXITSTATUS(status);
    for (uint64_t size = 0; ::read(ends[0], &size, sizeof size) == sizeof size;)
      acknowledged = size;
    ::close(ends[0]);

    uint64_t replayed = 0;
    absl::StatusOr<std::unique_ptr<Ledger>> ledger =
        Ledger::Open(OptionsIn(folder), [&](uint64_t seq, std::string_view b) {
          ++replayed;
          return b == Payload(seq) ? absl::OkStatus() : absl::DataLossError("another entry");
        });
    ASSERT_OK(ledger.status());
    ASSERT_GE(replayed + 1, acknowledged) << "round " << round;
    total_after_head += (*ledger)->open_report().entries_after_head;
  }
  EXPECT_GT(acknowledged, 40u);
  const PublicKey key = KnownKey().Public();
  const VerifyReport report = VerifyLedger({.database_path = folder.File("yard.ledger"),
                                            .key = &key,
                                            .head_path = folder.File("yard.head")});
  EXPECT_TRUE(report.sound()) << report.Text();
  std::printf(
      "%d kills, %lu entries acknowledged, all present; %lu more were found after the head\n",
      kRounds, acknowledged, total_after_head);
}

}  // namespace
}  // namespace chockwise::ledger
