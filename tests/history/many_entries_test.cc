// A hundred thousand entries: the audit and the follower keep up, and what they say adds up. The
// times are printed, not judged: this machine may be busy with anything.
#include <gtest/gtest.h>

#include <chrono>
#include <iostream>
#include <limits>

#include "services/history/audit.h"
#include "services/history/follower.h"
#include "test_ledger.h"

namespace chockwise::history {
namespace {

constexpr int64_t kEntries = 100'000;

/// The yard, a shift without end, and move 1 of the good shift again and again.
std::vector<StoryEntry> ManyMoves(int64_t& moves) {
  std::vector<StoryEntry> head;
  std::vector<StoryEntry> move;
  for (StoryEntry& entry : Story::Read("stories/good_shift.txt").Entries()) {
    if (entry.label.starts_with("m1.")) {
      move.push_back(entry);
    } else if (move.empty()) {
      head.push_back(entry);
    }
  }
  for (StoryEntry& entry : head) {
    if (!entry.entry.has_shift_begun()) continue;
    entry.entry.mutable_shift_begun()->set_end_time_us(std::numeric_limits<int64_t>::max() / 2);
  }
  std::vector<StoryEntry> all = head;
  const int64_t begin_us = move.front().entry.time_us();
  const int64_t length_us = move.back().entry.time_us() - begin_us + 1'000'000;
  moves = (kEntries - static_cast<int64_t>(head.size())) / static_cast<int64_t>(move.size());
  for (int64_t number = 1; number <= moves; ++number) {
    const int64_t later_us = (number - 1) * length_us;
    for (StoryEntry entry : move) {
      entry.entry.set_move(number);
      entry.entry.set_time_us(entry.entry.time_us() + later_us);
      if (entry.entry.has_released()) {
        v1::Released& released = *entry.entry.mutable_released();
        released.set_start_by_time_us(released.start_by_time_us() + later_us);
      }
      std::string id = std::to_string(all.size());
      id.resize(16, '.');
      if (!entry.entry.request_id().empty()) entry.entry.set_request_id(id);
      all.push_back(std::move(entry));
    }
  }
  return all;
}

class Stopwatch {
 public:
  double Seconds() const {
    return std::chrono::duration<double>(std::chrono::steady_clock::now() - begin_).count();
  }

 private:
  std::chrono::steady_clock::time_point begin_ = std::chrono::steady_clock::now();
};

TEST(ManyEntries, AuditedFollowedAndSummarised) {
  int64_t moves = 0;
  const std::vector<StoryEntry> entries = ManyMoves(moves);
  TestLedger ledger;
  ledger.Append({entries.begin(), entries.begin() + 60'000});
  ledger.Append({entries.begin() + 60'000, entries.end()});

  const Stopwatch audit_watch;
  auto report = AuditLedger(*ledger.Reader());
  ASSERT_TRUE(report.ok()) << report.status();
  std::cout << "audit: " << entries.size() << " entries in " << audit_watch.Seconds() << " s\n";
  EXPECT_TRUE(report->sound()) << report->Text().substr(0, 1000);
  EXPECT_EQ(report->counts.moves, moves);
  EXPECT_EQ(report->counts.releases, 2 * moves);

  auto follower = Follower::Open({.path = ledger.folder.Path("p")}, ledger.Reader());
  ASSERT_TRUE(follower.ok()) << follower.status();
  const Stopwatch follower_watch;
  ASSERT_TRUE((*follower)->CatchUp().ok());
  std::cout << "follower: " << follower_watch.Seconds() << " s\n";

  const Stopwatch summary_watch;
  v1::SummariseMovesRequest request;
  request.set_parent("yards/small-yard");
  auto summary = ledger.Ask("p").SummariseMoves(request);
  ASSERT_TRUE(summary.ok()) << summary.status();
  std::cout << "summary: " << moves << " moves in " << summary_watch.Seconds() << " s\n";
  EXPECT_EQ(summary->moves(), moves);
  EXPECT_EQ(summary->releases(), 2 * moves);
  EXPECT_EQ(summary->kinds(0).closed(), moves);
  EXPECT_EQ(summary->closes_refused(), moves);

  const Stopwatch page_watch;
  v1::ListMoveRecordsRequest list;
  list.set_parent("yards/small-yard");
  list.set_person("ann");
  list.set_door("door-1");
  auto page = ledger.Ask("p").ListMoveRecords(list);
  ASSERT_TRUE(page.ok()) << page.status();
  std::cout << "page: " << page->records_size() << " moves in " << page_watch.Seconds() << " s\n";
  EXPECT_EQ(page->records(0).name(), "yards/small-yard/moves/" + std::to_string(moves));
}

}  // namespace
}  // namespace chockwise::history
