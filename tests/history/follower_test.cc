#include "services/history/follower.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <filesystem>
#include <fstream>

#include "test_ledger.h"

namespace chockwise::history {
namespace {

std::vector<StoryEntry> GoodShift() { return Story::Read("stories/good_shift.txt").Entries(); }

std::vector<StoryEntry> First(std::vector<StoryEntry> entries, size_t count) {
  entries.resize(count);
  return entries;
}

std::unique_ptr<Follower> Open(const TestLedger& ledger, const std::string& name, size_t batch) {
  auto follower =
      Follower::Open({.path = ledger.folder.Path(name), .batch_entries = batch}, ledger.Reader());
  EXPECT_TRUE(follower.ok()) << follower.status();
  return *std::move(follower);
}

void CatchUp(const TestLedger& ledger, const std::string& name, size_t batch = 5000) {
  const absl::Status status = Open(ledger, name, batch)->CatchUp();
  ASSERT_TRUE(status.ok()) << status;
}

/// Everything that history says of a projection, as text.
std::string AllOf(const TestLedger& ledger, const std::string& name) {
  const Queries queries = ledger.Ask(name);
  std::string all;
  auto add = [&all](const auto& answer) {
    EXPECT_TRUE(answer.ok()) << answer.status();
    if (answer.ok()) all += answer->DebugString() + "----\n";
  };
  v1::ListMoveRecordsRequest moves;
  moves.set_parent("yards/small-yard");
  add(queries.ListMoveRecords(moves));
  v1::ListRefusalsRequest refusals;
  refusals.set_parent("yards/small-yard");
  add(queries.ListRefusals(refusals));
  v1::SummariseMovesRequest summary;
  summary.set_parent("yards/small-yard");
  add(queries.SummariseMoves(summary));
  for (int move = 1; move <= 5; ++move) {
    v1::GetMoveRecordRequest request;
    request.set_name("yards/small-yard/moves/" + std::to_string(move));
    auto time_line = queries.GetMoveRecord(request);
    // A ledger that was cut short does not have them all.
    all += time_line.ok() ? time_line->DebugString() : time_line.status().ToString();
  }
  return all;
}

TEST(Follower, BatchesOfAnySizeGiveTheSame) {
  TestLedger ledger;
  ledger.Append(GoodShift());
  CatchUp(ledger, "whole");
  const std::string whole = AllOf(ledger, "whole");
  for (size_t batch : {size_t{1}, size_t{2}, size_t{7}, size_t{50}}) {
    const std::string name = "batch" + std::to_string(batch);
    CatchUp(ledger, name, batch);
    EXPECT_EQ(AllOf(ledger, name), whole) << "batches of " << batch;
  }
}

TEST(Follower, GoesOnWhereItStopped) {
  TestLedger ledger;
  const std::vector<StoryEntry> story = GoodShift();
  ledger.Append(story);
  CatchUp(ledger, "whole");
  for (int steps = 0; steps < 12; ++steps) {
    const std::string name = "cut" + std::to_string(steps);
    auto follower = Open(ledger, name, 10);
    for (int i = 0; i < steps; ++i) ASSERT_TRUE(follower->Step().ok());
    follower.reset();
    follower = Open(ledger, name, 13);
    const int64_t reached = std::min<int64_t>(10 * steps, static_cast<int64_t>(story.size()));
    EXPECT_EQ(follower->progress()->as_of_entry, reached);
    ASSERT_TRUE(follower->CatchUp().ok());
    EXPECT_EQ(AllOf(ledger, name), AllOf(ledger, "whole")) << "cut after " << steps << " steps";
  }
}

TEST(Follower, SaysHowFarItLags) {
  TestLedger ledger;
  const std::vector<StoryEntry> story = GoodShift();
  const auto size = static_cast<int64_t>(story.size());
  auto follower = Open(ledger, "p", 10);
  EXPECT_EQ(follower->progress()->as_of_entry, 0);  // the genesis
  EXPECT_EQ(follower->progress()->lag_entries, 0);
  ledger.Append(story);
  EXPECT_EQ(follower->progress()->lag_entries, size);
  EXPECT_TRUE(*follower->Step());
  EXPECT_EQ(follower->progress()->as_of_entry, 10);
  EXPECT_EQ(follower->progress()->lag_entries, size - 10);

  v1::ListMoveRecordsRequest request;
  request.set_parent("yards/small-yard");
  auto answer = ledger.Ask("p").ListMoveRecords(request);
  ASSERT_TRUE(answer.ok()) << answer.status();
  EXPECT_EQ(answer->as_of_entry(), 10);
  EXPECT_EQ(answer->lag_entries(), size - 10);

  ASSERT_TRUE(follower->CatchUp().ok());
  EXPECT_EQ(follower->progress()->lag_entries, 0);
  EXPECT_FALSE(*follower->Step());
}

TEST(Follower, MadeAnewWhenDeletedUnderARunningFollower) {
  TestLedger ledger;
  const std::vector<StoryEntry> story = GoodShift();
  ledger.Append(First(story, 60));
  auto follower = Open(ledger, "p", 10);
  ASSERT_TRUE(follower->CatchUp().ok());
  const std::string before = AllOf(ledger, "p");
  for (const char* end : {"", "-wal", "-shm"}) {
    std::filesystem::remove(ledger.folder.Path("p") + end);
  }
  v1::ListMoveRecordsRequest request;
  request.set_parent("yards/small-yard");
  EXPECT_EQ(ledger.Ask("p").ListMoveRecords(request).status().code(),
            absl::StatusCode::kUnavailable);
  ASSERT_TRUE(follower->CatchUp().ok());
  EXPECT_EQ(AllOf(ledger, "p"), before);
}

TEST(Follower, MadeAnewWhenOfAnOlderLayout) {
  TestLedger ledger;
  ledger.Append(GoodShift());
  CatchUp(ledger, "p");
  const std::string before = AllOf(ledger, "p");
  {
    auto database = ledger::Database::Open(
        {.path = ledger.folder.Path("p"), .flags = SQLITE_OPEN_READWRITE, .vfs = {}});
    ASSERT_TRUE(database.ok());
    ASSERT_TRUE(database->Run("PRAGMA user_version=0; DELETE FROM moves").ok());
  }
  CatchUp(ledger, "p");
  EXPECT_EQ(AllOf(ledger, "p"), before);
}

TEST(Follower, MadeAnewWhenNoDatabase) {
  TestLedger ledger;
  ledger.Append(GoodShift());
  std::ofstream(ledger.folder.Path("p")) << "this is no database, and is long enough to be one";
  CatchUp(ledger, "p");
  CatchUp(ledger, "whole");
  EXPECT_EQ(AllOf(ledger, "p"), AllOf(ledger, "whole"));
}

TEST(Follower, MadeAnewWhenOfAnotherLedger) {
  TestLedger other(8);
  other.Append(GoodShift());
  CatchUp(other, "p");
  TestLedger ledger(7);
  ledger.Append(First(GoodShift(), 40));
  std::filesystem::copy(other.folder.Path("p"), ledger.folder.Path("p"));
  auto follower = Open(ledger, "p", 5000);
  EXPECT_EQ(follower->progress()->as_of_entry, 0);
  ASSERT_TRUE(follower->CatchUp().ok());
  CatchUp(ledger, "whole");
  EXPECT_EQ(AllOf(ledger, "p"), AllOf(ledger, "whole"));
}

// The same id, put back from a copy, and gone another way since.
TEST(Follower, MadeAnewWhenTheLedgerWentAnotherWay) {
  TestLedger first(7);
  first.Append(GoodShift());
  CatchUp(first, "p");
  TestLedger again(7);
  Story story = Story::Read("stories/good_shift.txt");
  story.Replace("m5.withdraw", "tomorrow", "never");
  again.Append(story.Entries());
  std::filesystem::copy(first.folder.Path("p"), again.folder.Path("p"));
  auto follower = Open(again, "p", 5000);
  EXPECT_EQ(follower->progress()->as_of_entry, 0);
  TestLedger shorter(7);
  shorter.Append(First(GoodShift(), 20));
  std::filesystem::copy(first.folder.Path("p"), shorter.folder.Path("p"));
  follower = Open(shorter, "p", 5000);
  EXPECT_EQ(follower->progress()->as_of_entry, 0);
}

TEST(Follower, BytesThatDoNotReadAreSteppedOver) {
  TestLedger ledger;
  ASSERT_TRUE(ledger.ledger->Append(std::vector<std::string>{"\xff\xff"}).ok());
  ledger.Append(GoodShift());
  CatchUp(ledger, "p", 3);
  v1::ListMoveRecordsRequest request;
  request.set_parent("yards/small-yard");
  EXPECT_EQ(ledger.Ask("p").ListMoveRecords(request)->records_size(), 5);
}

TEST(Follower, BatchSizeHasBounds) {
  TestLedger ledger;
  for (size_t batch : {size_t{0}, size_t{1'000'000}}) {
    EXPECT_EQ(
        Follower::Open({.path = ledger.folder.Path("p"), .batch_entries = batch}, ledger.Reader())
            .status()
            .code(),
        absl::StatusCode::kInvalidArgument);
  }
}

}  // namespace
}  // namespace chockwise::history
