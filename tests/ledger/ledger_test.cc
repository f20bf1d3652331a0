// The ledger's promises in ordinary life: create, append, acknowledge, sign, reopen, refuse.
#include "services/ledger/ledger.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <atomic>
#include <thread>

#include "services/ledger/verify.h"
#include "tests/ledger/scratch.h"

namespace chockwise::ledger {
namespace {

using testing::HasSubstr;

std::string Said(const absl::Status& status) { return std::string(status.message()); }

struct Replayed {
  std::vector<std::string> entries;
  Replay Taker() {
    return [this](uint64_t seq, std::string_view bytes) {
      EXPECT_EQ(seq, entries.size() + 1);
      entries.emplace_back(bytes);
      return absl::OkStatus();
    };
  }
};

TEST(Ledger, GivesBackEveryByteInOrderAfterReopening) {
  const ScratchFolder folder;
  Head last;
  const std::string binary("\0\1\2\xff\n", 5);
  {
    auto ledger = *Ledger::Open(OptionsIn(folder), NoReplay());
    EXPECT_TRUE(ledger->open_report().created);
    EXPECT_EQ(ledger->head().size, 1u);  // the genesis
    ASSERT_OK(AppendAcknowledged(*ledger, 1, 3));
    last = *ledger->Append(std::vector<std::string>{binary, "", "last"});
    ASSERT_OK(ledger->WriteHead(last));
    EXPECT_EQ(last.size, 7u);
  }
  Replayed replayed;
  auto ledger = *Ledger::Open(OptionsIn(folder), replayed.Taker());
  EXPECT_THAT(replayed.entries,
              testing::ElementsAre(Payload(1), Payload(2), Payload(3), binary, "", "last"));
  EXPECT_EQ(ledger->head(), last);
  EXPECT_FALSE(ledger->open_report().created);
  EXPECT_EQ(ledger->open_report().entries_after_head, 0u);
}

TEST(Ledger, RootIsThatOfTheEntriesWhateverTheBatches) {
  const ScratchFolder one_by_one;
  const ScratchFolder all_at_once;
  auto first = OptionsIn(one_by_one);
  auto second = OptionsIn(all_at_once);
  first.id_if_new = second.id_if_new = LedgerId{1, 2, 3};
  auto a = *Ledger::Open(first, NoReplay());
  auto b = *Ledger::Open(second, NoReplay());
  for (uint64_t seq = 1; seq <= 20; ++seq) ASSERT_OK(AppendAcknowledged(*a, seq, 1));
  ASSERT_OK(AppendAcknowledged(*b, 1, 20));
  CompactTree tree;
  tree.Append(LeafHash(GenesisBytes(a->identity())));
  for (uint64_t seq = 1; seq <= 20; ++seq) tree.Append(LeafHash(Payload(seq)));
  EXPECT_EQ(a->head().root, tree.Root());
  EXPECT_EQ(a->head(), b->head());
}

TEST(Ledger, AnEmptyBatchIsThePresentHeadAndTooMuchIsRefusedUnharmed) {
  const ScratchFolder folder;
  auto ledger = *Ledger::Open(OptionsIn(folder), NoReplay());
  const Head head = ledger->head();
  EXPECT_EQ(*ledger->Append({}), head);
  const std::vector<std::string> too_long{std::string(kMaxEntryBytes + 1, 'x')};
  EXPECT_EQ(ledger->Append(too_long).status().code(), absl::StatusCode::kInvalidArgument);
  const std::vector<std::string> too_many(kMaxBatchEntries + 1);
  EXPECT_EQ(ledger->Append(too_many).status().code(), absl::StatusCode::kInvalidArgument);
  EXPECT_EQ(ledger->head(), head);
  const std::vector<std::string> just_fits{std::string(kMaxEntryBytes, 'x')};
  ASSERT_OK(ledger->WriteHead(*ledger->Append(just_fits)));
}

TEST(Ledger, TwoWritersAreRefusedAndTheHolderIsNamed) {
  const ScratchFolder folder;
  auto ledger = *Ledger::Open(OptionsIn(folder), NoReplay());
  const absl::Status second = Ledger::Open(OptionsIn(folder), NoReplay()).status();
  EXPECT_EQ(second.code(), absl::StatusCode::kFailedPrecondition);
  EXPECT_THAT(Said(second), HasSubstr("pid " + std::to_string(::getpid())));
  ASSERT_OK(AppendAcknowledged(*ledger, 1, 1));
  ledger.reset();
  EXPECT_TRUE(Ledger::Open(OptionsIn(folder), NoReplay()).ok());
}

TEST(Ledger, ARehearsalIsNeverOpenedAsRealNorTheOtherWayRound) {
  for (const auto& [made, asked] : {std::pair(LedgerKind::kRehearsal, LedgerKind::kReal),
                                    std::pair(LedgerKind::kReal, LedgerKind::kRehearsal)}) {
    const ScratchFolder folder;
    LedgerOptions options = OptionsIn(folder);
    options.kind = made;
    { ASSERT_OK(AppendAcknowledged(**Ledger::Open(options, NoReplay()), 1, 2)); }
    options.kind = asked;
    const absl::Status status = Ledger::Open(options, NoReplay()).status();
    EXPECT_EQ(status.code(), absl::StatusCode::kFailedPrecondition);
    EXPECT_THAT(Said(status), HasSubstr("REHEARSAL"));
    options.kind = made;
    EXPECT_TRUE(Ledger::Open(options, NoReplay()).ok());
  }
}

TEST(Ledger, AnotherYardOrAnotherKeyIsNamedAsSuch) {
  const ScratchFolder folder;
  {
    auto ledger = *Ledger::Open(OptionsIn(folder), NoReplay());
    ASSERT_OK(ledger->SignCheckpoint(kTestMicros).status());
  }
  LedgerOptions options = OptionsIn(folder);
  options.yard = "other-yard";
  EXPECT_EQ(Ledger::Open(options, NoReplay()).status().code(),
            absl::StatusCode::kFailedPrecondition);
  options = OptionsIn(folder);
  options.key = *SigningKey::Generate();
  const absl::Status status = Ledger::Open(options, NoReplay()).status();
  EXPECT_EQ(status.code(), absl::StatusCode::kFailedPrecondition);
  EXPECT_THAT(Said(status), HasSubstr("key"));
  EXPECT_TRUE(Ledger::Open(OptionsIn(folder), NoReplay()).ok());
}

TEST(Ledger, AMissingLedgerIsNotMadeWhereOneWasExpected) {
  const ScratchFolder folder;
  LedgerOptions options = OptionsIn(folder);
  options.mode = OpenMode::kExisting;
  EXPECT_EQ(Ledger::Open(options, NoReplay()).status().code(), absl::StatusCode::kNotFound);
  EXPECT_TRUE(std::filesystem::is_empty(folder.path()));
}

TEST(Ledger, CheckpointsAreNumberedSignedAndKept) {
  const ScratchFolder folder;
  Checkpoint second;
  {
    auto ledger = *Ledger::Open(OptionsIn(folder), NoReplay());
    ASSERT_OK(AppendAcknowledged(*ledger, 1, 4));
    EXPECT_EQ(ledger->SignCheckpoint(kTestMicros)->number, 0u);
    ASSERT_OK(AppendAcknowledged(*ledger, 5, 4));
    second = *ledger->SignCheckpoint(kTestMicros + 1);
    ASSERT_OK(AppendAcknowledged(*ledger, 9, 2));
  }
  EXPECT_EQ(second.number, 1u);
  EXPECT_EQ(second.size, 9u);
  EXPECT_TRUE(VerifyCheckpoint(second, KnownKey().Public()).ok());
  auto ledger = *Ledger::Open(OptionsIn(folder), NoReplay());
  EXPECT_EQ(ledger->open_report().checkpoints, 2u);
  EXPECT_EQ(ledger->open_report().unsigned_entries, 2u);
  EXPECT_EQ(ledger->SignCheckpoint(kTestMicros + 2)->number, 2u);
  EXPECT_EQ((*ledger->NewReader())->Checkpoints()->at(1), second);
}

TEST(Ledger, AReplayThatFailsEndsTheOpening) {
  const ScratchFolder folder;
  { ASSERT_OK(AppendAcknowledged(**Ledger::Open(OptionsIn(folder), NoReplay()), 1, 5)); }
  int seen = 0;
  const absl::Status status =
      Ledger::Open(OptionsIn(folder), [&](uint64_t seq, std::string_view) {
        ++seen;
        return seq == 3 ? absl::UnimplementedError("from a later version") : absl::OkStatus();
      }).status();
  EXPECT_EQ(status.code(), absl::StatusCode::kUnimplemented);
  EXPECT_EQ(seen, 3);
}

// The server's shape: one thread commits, another writes heads and acknowledges, a third reads
// along.
TEST(Ledger, AcknowledgedMeansInTheHeadWhileTheNextBatchCommits) {
  const ScratchFolder folder;
  auto ledger = *Ledger::Open(OptionsIn(folder), NoReplay());
  constexpr uint64_t kBatches = 200;
  std::mutex mutex;
  std::vector<Head> committed;
  std::atomic<bool> done = false;
  std::thread completer([&] {
    for (size_t next = 0; next < kBatches;) {
      Head head;
      {
        std::lock_guard lock(mutex);
        if (committed.size() <= next) continue;
        next = committed.size();
        head = committed.back();
      }
      ASSERT_OK(ledger->WriteHead(head));
      const HeadReading reading = *ReadHeadFile(folder.File("yard.head"));
      ASSERT_GE(reading.head->size, head.size);
    }
  });
  std::thread follower([&] {
    auto reader = *ledger->NewReader();
    uint64_t next = 0;
    while (!done || next < ledger->head().size) {
      const absl::StatusOr<std::vector<Entry>> page = reader->Read(next, 100);
      ASSERT_OK(page.status());
      for (const Entry& entry : *page) {
        ASSERT_EQ(entry.seq, next);
        ASSERT_TRUE(next == 0 || entry.bytes == Payload(next));
        ++next;
      }
    }
  });
  for (uint64_t batch = 0; batch < kBatches; ++batch) {
    const Head head = *ledger->Append(Payloads(1 + batch * 3, 3));
    std::lock_guard lock(mutex);
    committed.push_back(head);
    if (batch % 50 != 49) continue;
    ASSERT_OK(ledger->SignCheckpoint(kTestMicros).status());
  }
  done = true;
  completer.join();
  follower.join();
  EXPECT_EQ(ReadHeadFile(folder.File("yard.head"))->head, ledger->head());
}

TEST(Reader, ProvesEntriesAndGrowth) {
  const ScratchFolder folder;
  auto ledger = *Ledger::Open(OptionsIn(folder), NoReplay());
  ASSERT_OK(AppendAcknowledged(*ledger, 1, 700));
  const Head old_head = ledger->head();
  ASSERT_OK(AppendAcknowledged(*ledger, 701, 600));
  const Head new_head = ledger->head();
  auto beside = *ledger->NewReader();
  auto alone = *Reader::Open(folder.File("yard.ledger"), nullptr);
  for (Reader* reader : {beside.get(), alone.get()}) {
    EXPECT_EQ(*reader->RootAt(old_head.size), old_head.root);
    const Proof proof = *reader->ProveInclusion({.index = 300, .size = new_head.size});
    EXPECT_TRUE(VerifyInclusion({.leaf = LeafHash(Payload(300)),
                                 .index = 300,
                                 .size = new_head.size,
                                 .root = new_head.root},
                                proof));
    const Proof growth =
        *reader->ProveConsistency({.old_size = old_head.size, .new_size = new_head.size});
    EXPECT_TRUE(VerifyConsistency({.old_size = old_head.size,
                                   .old_root = old_head.root,
                                   .new_size = new_head.size,
                                   .new_root = new_head.root},
                                  growth));
    EXPECT_EQ(reader->ProveInclusion({.index = 1, .size = 5000}).status().code(),
              absl::StatusCode::kOutOfRange);
    EXPECT_EQ(reader->ProveInclusion({.index = 5, .size = 5}).status().code(),
              absl::StatusCode::kInvalidArgument);
  }
}

TEST(Reader, GivesPagesAndAnEmptyOneAtTheEnd) {
  const ScratchFolder folder;
  auto ledger = *Ledger::Open(OptionsIn(folder), NoReplay());
  ASSERT_OK(AppendAcknowledged(*ledger, 1, 10));
  auto reader = *ledger->NewReader();
  EXPECT_EQ(*reader->Size(), 11u);
  EXPECT_EQ(reader->Read(9, 100)->size(), 2u);
  EXPECT_EQ(reader->Read(3, 4)->back().bytes, Payload(6));
  EXPECT_TRUE(reader->Read(11, 100)->empty());
  EXPECT_TRUE(reader->Read(0, 0)->empty());
}

}  // namespace
}  // namespace chockwise::ledger
