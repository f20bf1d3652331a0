// When something cannot be written: nobody is told yes, and nothing stays released.
#include <gtest/gtest.h>

#include <thread>

#include "tests/server/first_move.h"

namespace chockwise::server {
namespace {

using Moves = v1::MoveService::Stub;
using Yards = v1::YardService::Stub;
using grpc::StatusCode;

v1::GetYardRequest ThisYard() {
  v1::GetYardRequest request;
  request.set_name("yards/pads");
  return request;
}

// Waits until the yard answers again.
bool Answers(Person& person) {
  for (int i = 0; i < 200; ++i) {
    if (person.Call(&Yards::GetYard, ThisYard()).ok()) return true;
    std::this_thread::sleep_for(std::chrono::milliseconds(25));
  }
  return false;
}

struct Fault {
  const char* name;
  std::atomic<bool> Faults::*what;
};
void PrintTo(const Fault& fault, std::ostream* out) { *out << fault.name; }

class CommitFault : public testing::TestWithParam<Fault> {};

TEST_P(CommitFault, Law7And8NobodyIsToldYesAndNothingStaysReleased) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  move.ClearAllGates();
  move.Release();
  ASSERT_EQ(move.Get().state(), v1::MOVE_STATE_RELEASED);
  (server.faults().*GetParam().what) = true;
  v1::HangTagRequest tag;
  tag.set_name("yards/pads/machines/C-2");
  tag.set_text("a flat tyre");
  tag.set_request_id(NewRequestId());
  const auto failed = move.yves().Call(&Yards::HangTag, tag);
  EXPECT_EQ(failed.status.error_code(), StatusCode::UNAVAILABLE);
  EXPECT_NE(failed.status.error_message().find("request_id"), std::string::npos);
  ASSERT_TRUE(Answers(move.dan()));
  EXPECT_EQ(move.Get().state(), v1::MOVE_STATE_REQUESTED);
  // Asked again with the same id it is recorded once, whether or not the first asking reached the
  // disk.
  const auto again = move.yves().Call(&Yards::HangTag, tag);
  ASSERT_TRUE(again.ok()) << again.status.error_message();
  EXPECT_EQ(move.yves().Call(&Yards::HangTag, tag).response.entry(), again.response.entry());
  int tags = 0;
  const v1::Yard yard = move.dan().Call(&Yards::GetYard, ThisYard()).response;
  for (const auto& machine : yard.machines()) tags += machine.tags_size();
  EXPECT_EQ(tags, 1);
}

INSTANTIATE_TEST_SUITE_P(All, CommitFault,
                         testing::Values(Fault{"append", &Faults::fail_append},
                                         Fault{"head", &Faults::fail_head}),
                         [](const auto& fault) { return std::string(fault.param.name); });

// Many callers at once; one commit fails. Everybody gets an answer, and what was answered yes is
// there afterwards.
TEST(CommitFaults, EverybodyInTheBatchIsToldAndEveryYesIsOnDisk) {
  InProcessServer server;
  server.As("yves");
  constexpr int kCallers = 16;
  constexpr int kEach = 20;
  std::atomic<int> yes{0}, unavailable{0}, other{0};
  std::vector<std::thread> callers;
  for (int c = 0; c < kCallers; ++c) {
    callers.emplace_back([&, yves = server.As("yves")]() mutable {
      for (int i = 0; i < kEach; ++i) {
        v1::RecordPutDownRequest request;
        request.set_name("yards/pads/machines/C-1");
        request.set_item("cones");
        request.set_count(1);  // a lower one would need a second person's word
        switch (yves.Call(&Yards::RecordPutDown, request).status.error_code()) {
          case StatusCode::OK:
            ++yes;
            break;
          case StatusCode::UNAVAILABLE:
            ++unavailable;
            std::this_thread::sleep_for(std::chrono::milliseconds(20));
            break;
          default:
            ++other;
        }
      }
    });
  }
  std::this_thread::sleep_for(std::chrono::milliseconds(30));
  server.faults().fail_append = true;
  for (std::thread& caller : callers) caller.join();
  EXPECT_EQ(other, 0);
  EXPECT_GT(unavailable, 0);
  EXPECT_EQ(yes + unavailable, kCallers * kEach);
  Person yves = server.As("yves");
  ASSERT_TRUE(Answers(yves));
  const int64_t entries = yves.Call(&Yards::GetYard, ThisYard()).response.entries();
  EXPECT_GE(entries, yes) << "every yes left an entry";
  server.Restart();
  EXPECT_EQ(server.As("yves").Call(&Yards::GetYard, ThisYard()).response.entries(), entries + 1)
      << "and the restart";
}

// Asks for a hold until the answer has the words.
bool IsTold(Person& person, const std::string& words, std::string& said) {
  v1::HoldYardRequest hold;
  hold.set_name("yards/pads");
  for (int i = 0; i < 100; ++i) {
    said = person.CallAsIs(&Yards::HoldYard, hold).status.error_message();
    if (said.find(words) != std::string::npos) return true;
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  }
  return false;
}

TEST(CommitFaults, AYardWhoseDiskIsAwayIsDownAndComesBackWithIt) {
  InProcessServer server;
  Person rhea = server.As("rhea");
  server.faults().disk_away = true;
  server.faults().fail_append = true;
  std::string said;
  ASSERT_TRUE(IsTold(rhea, "the yard is down", said)) << said;
  EXPECT_NE(said.find("by voice and hand"), std::string::npos) << said;
  EXPECT_FALSE(server.server().writer().health().ok());
  server.faults().disk_away = false;
  EXPECT_TRUE(Answers(rhea)) << "it tries again by itself";
  EXPECT_TRUE(server.server().writer().health().ok());
}

TEST(CommitFaults, AYardThatLostEntriesStaysDownForPeopleToJudge) {
  InProcessServer server;
  Person rhea = server.As("rhea");
  server.faults().entries_lost = true;
  server.faults().fail_append = true;
  std::string said;
  ASSERT_TRUE(IsTold(rhea, "the yard is down", said)) << said;
  server.faults().entries_lost = false;
  std::this_thread::sleep_for(
      std::chrono::milliseconds(2'500));  // longer than the first wait of a new try
  EXPECT_TRUE(IsTold(rhea, "the yard is down", said)) << said;
  server.server().Drain();  // which a yard that is down takes too
}

TEST(Committed, NobodySeesWhatIsNotOnDisk) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  // A slow disk: while the confirm is being written, a reader asks. The reader is answered after
  // the commit, and then sees it; and where the commit fails, the reader is not shown what never
  // was.
  server.faults().append_delay_ms = 150;
  std::thread writer([&] { move.Confirm(move.dan(), "walked-round"); });
  std::this_thread::sleep_for(std::chrono::milliseconds(50));
  const auto begin = std::chrono::steady_clock::now();
  bool seen = false;
  const v1::Move now = move.Get();
  for (const auto& gate : now.gates())
    seen |= gate.gate_id() == "walked-round" && gate.words_size() == 1;
  writer.join();
  EXPECT_TRUE(seen);
  EXPECT_GT(std::chrono::steady_clock::now() - begin, std::chrono::milliseconds(60))
      << "it waited for the disk";
  server.faults().append_delay_ms = 0;
}

TEST(Law5, AStopJumpsAFullMailbox) {
  InProcessServer server(
      {.yard_folder = "", .lead = "lena", .kind = ledger::LedgerKind::kReal, .most_waiting = 8});
  FirstMove move(server);
  move.GetUnderWay();
  Person rhea = server.As("rhea");
  server.faults().append_delay_ms = 300;
  // One commit hangs in the disk; the mailbox behind it fills up.
  std::atomic<int> exhausted{0};
  std::vector<std::thread> callers;
  for (int c = 0; c < 24; ++c) {
    callers.emplace_back([&, yves = server.As("yves")]() mutable {
      v1::RecordPutDownRequest request;
      request.set_name("yards/pads/machines/C-2");
      request.set_item("cones");
      request.set_count(1);
      if (yves.Call(&Yards::RecordPutDown, request).status.error_code() ==
          StatusCode::RESOURCE_EXHAUSTED)
        ++exhausted;
    });
  }
  std::this_thread::sleep_for(std::chrono::milliseconds(120));
  v1::StopMoveRequest stop;
  stop.set_name(move.name());
  const auto stopped = rhea.CallAsIs(&Moves::StopMove, stop);
  ASSERT_TRUE(stopped.ok()) << stopped.status.error_message();
  EXPECT_EQ(stopped.response.move_state(), v1::MOVE_STATE_STOPPED);
  for (std::thread& caller : callers) caller.join();
  EXPECT_GT(exhausted, 0) << "the mailbox was full";
  server.faults().append_delay_ms = 0;
}

TEST(Deadlines, WhatIsTooLateIsDroppedBeforeItIsJudged) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  server.faults().append_delay_ms = 300;
  std::thread writer([&] { move.Confirm(move.dan(), "walked-round"); });
  std::this_thread::sleep_for(std::chrono::milliseconds(100));
  v1::RecordPutDownRequest request;
  request.set_name("yards/pads/machines/C-2");
  request.set_item("cones");
  request.set_count(3);
  EXPECT_EQ(move.yves()
                .Call(&Yards::RecordPutDown, request, std::chrono::milliseconds(50))
                .status.error_code(),
            StatusCode::DEADLINE_EXCEEDED);
  writer.join();
  server.faults().append_delay_ms = 0;
  const v1::Yard yard = move.dan().Call(&Yards::GetYard, ThisYard()).response;
  for (const auto& machine : yard.machines()) {
    EXPECT_EQ(machine.put_down().count("cones"), 0u);
  }
}

TEST(Repeats, WithinOneBatchGetOneAnswer) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  server.faults().append_delay_ms = 200;
  std::thread before([&] { move.Confirm(move.dan(), "walked-round"); });
  std::this_thread::sleep_for(std::chrono::milliseconds(60));
  v1::HangTagRequest tag;
  tag.set_name("yards/pads/machines/C-2");
  tag.set_text("loose mirror");
  tag.set_request_id(NewRequestId());
  std::vector<std::string> answers(6);
  std::vector<std::thread> callers;
  for (std::string& answer : answers) {
    callers.emplace_back([&, yves = server.As("yves")]() mutable {
      const auto got = yves.Call(&Yards::HangTag, tag);
      answer = got.ok() ? got.response.SerializeAsString() : got.status.error_message();
    });
  }
  before.join();
  for (std::thread& caller : callers) caller.join();
  for (const std::string& answer : answers) EXPECT_EQ(answer, answers.front());
  v1::Receipt receipt;
  EXPECT_TRUE(receipt.ParseFromString(answers.front()));
}

TEST(Drain, FinishesWhatWaitsSignsACheckpointAndRefusesTheRest) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  server.faults().append_delay_ms = 200;
  std::thread writer([&] { move.Confirm(move.dan(), "walked-round"); });  // expects a yes
  std::this_thread::sleep_for(std::chrono::milliseconds(60));
  server.server().Drain();
  writer.join();
  EXPECT_EQ(
      move.dan().Call(&Yards::GetYard, ThisYard(), std::chrono::seconds(1)).status.error_code(),
      StatusCode::UNAVAILABLE);
  const auto reader = ledger::Reader::Open(server.server_options().data.ledger, nullptr);
  ASSERT_TRUE(reader.ok());
  const auto checkpoints = (*reader)->Checkpoints();
  ASSERT_TRUE(checkpoints.ok());
  EXPECT_EQ(checkpoints->back().size, (*reader)->Size().value());
}

}  // namespace
}  // namespace chockwise::server
