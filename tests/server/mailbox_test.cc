#include "services/server/mailbox.h"

#include <gtest/gtest.h>

#include <thread>

namespace chockwise::server {
namespace {

class Nothing final : public Job {
 public:
  explicit Nothing(Lane lane) : Job(lane) {}
  void Work(Desk&) override {}
  void Answer() override {}
  void Fail(const absl::Status&) override {}
};

std::unique_ptr<Job> Ordinary() { return std::make_unique<Nothing>(Job::Lane::kOrdinary); }
std::unique_ptr<Job> Stop() { return std::make_unique<Nothing>(Job::Lane::kStop); }

TEST(Mailbox, TakesAllThatWaits) {
  Mailbox mailbox(10);
  for (int i = 0; i < 3; ++i) ASSERT_TRUE(mailbox.Post(Ordinary()).ok());
  ASSERT_TRUE(mailbox.Post(Stop()).ok());
  EXPECT_TRUE(mailbox.stops_wait());
  const Mailbox::Taken taken = mailbox.Take();
  EXPECT_EQ(taken.ordinary.size(), 3u);
  EXPECT_EQ(taken.stops.size(), 1u);
  EXPECT_FALSE(mailbox.stops_wait());
}

TEST(Mailbox, Law5NoRoomIsNoReasonAgainstAStop) {
  Mailbox mailbox(2);
  ASSERT_TRUE(mailbox.Post(Ordinary()).ok());
  ASSERT_TRUE(mailbox.Post(Ordinary()).ok());
  std::unique_ptr<Job> one_more = Ordinary();
  EXPECT_EQ(mailbox.Post(std::move(one_more)).code(), absl::StatusCode::kResourceExhausted);
  EXPECT_NE(one_more, nullptr) << "a job that was not taken stays its caller's, to be failed";
  for (int i = 0; i < 1'000; ++i) ASSERT_TRUE(mailbox.Post(Stop()).ok());
  EXPECT_EQ(mailbox.TakeStops().size(), 1'000u);
}

TEST(Mailbox, ANudgeWakesWithoutAJob) {
  Mailbox mailbox(2);
  mailbox.Nudge();
  const Mailbox::Taken taken = mailbox.Take();
  EXPECT_TRUE(taken.ordinary.empty());
  EXPECT_FALSE(taken.closed);
}

TEST(Mailbox, AfterTheCloseWhatWaitsIsStillTaken) {
  Mailbox mailbox(2);
  ASSERT_TRUE(mailbox.Post(Ordinary()).ok());
  mailbox.Close();
  EXPECT_EQ(mailbox.Post(Stop()).code(), absl::StatusCode::kUnavailable);
  Mailbox::Taken taken = mailbox.Take();
  EXPECT_EQ(taken.ordinary.size(), 1u);
  EXPECT_FALSE(taken.closed);
  EXPECT_TRUE(mailbox.Take(std::move(taken)).closed);
}

// Four threads post; whoever waits is woken; none is lost.
TEST(Mailbox, NothingIsLostBetweenThreads) {
  Mailbox mailbox(1'000'000);
  constexpr int kEach = 20'000;
  std::vector<std::thread> posters;
  for (int p = 0; p < 4; ++p) {
    posters.emplace_back([&] {
      for (int i = 0; i < kEach; ++i) {
        if (!mailbox.Post(i % 100 == 0 ? Stop() : Ordinary()).ok()) std::abort();
      }
    });
  }
  size_t taken_in_all = 0;
  Mailbox::Taken taken;
  while (taken_in_all < 4 * kEach) {
    taken = mailbox.Take(std::move(taken));
    taken_in_all += taken.ordinary.size() + taken.stops.size();
  }
  for (std::thread& poster : posters) poster.join();
  EXPECT_EQ(taken_in_all, 4u * kEach);
}

}  // namespace
}  // namespace chockwise::server
