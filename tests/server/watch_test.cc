// Watches: what they show, when they end, and whom they cut.
#include <gtest/gtest.h>

#include <thread>

#include "tests/server/first_move.h"

namespace chockwise::server {
namespace {

using grpc::StatusCode;

template <class Message>
struct Watch {
  grpc::ClientContext context;
  std::unique_ptr<grpc::ClientReader<Message>> reader;
};

std::unique_ptr<Watch<v1::Move>> WatchMove(Person& person, const std::string& name) {
  auto watch = std::make_unique<Watch<v1::Move>>();
  person.Prepare(watch->context);
  v1::WatchMoveRequest request;
  request.set_name(name);
  watch->reader = person.moves().WatchMove(&watch->context, request);
  return watch;
}

std::unique_ptr<Watch<v1::YardEvent>> WatchYard(Person& person) {
  auto watch = std::make_unique<Watch<v1::YardEvent>>();
  person.Prepare(watch->context, std::chrono::seconds(100));
  v1::WatchYardRequest request;
  request.set_name("yards/pads");
  watch->reader = person.yards().WatchYard(&watch->context, request);
  watch->reader->WaitForInitialMetadata();  // from here on nothing is missed
  return watch;
}

TEST(WatchMove, ShowsEveryStateOfAMoveAndEndsWithIt) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  auto watch = WatchMove(move.kim(), move.name());
  v1::Move seen;
  ASSERT_TRUE(watch->reader->Read(&seen));
  EXPECT_EQ(seen.state(), v1::MOVE_STATE_REQUESTED);
  EXPECT_GT(seen.gates_size(), 0);
  move.ClearAllGates();
  move.Release();
  move.Begin();
  move.Park();
  move.Close();
  std::vector<v1::MoveState> states;
  while (watch->reader->Read(&seen)) {
    if (states.empty() || states.back() != seen.state()) states.push_back(seen.state());
  }
  EXPECT_EQ(states, (std::vector<v1::MoveState>{v1::MOVE_STATE_REQUESTED, v1::MOVE_STATE_RELEASED,
                                                v1::MOVE_STATE_UNDER_WAY, v1::MOVE_STATE_PARKED,
                                                v1::MOVE_STATE_CLOSED}));
  EXPECT_TRUE(watch->reader->Finish().ok());
  EXPECT_EQ(seen.entry(), move.Get().entry());
}

TEST(WatchMove, AnEndedMoveIsShownOnceAndAnUnknownOneNotAtAll) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  auto withdraw = move.Named<v1::WithdrawMoveRequest>();
  withdraw.set_reason("not today");
  ASSERT_TRUE(move.dan().Call(&v1::MoveService::Stub::WithdrawMove, withdraw).ok());
  auto watch = WatchMove(move.kim(), move.name());
  v1::Move seen;
  EXPECT_TRUE(watch->reader->Read(&seen));
  EXPECT_EQ(seen.state(), v1::MOVE_STATE_WITHDRAWN);
  EXPECT_FALSE(watch->reader->Read(&seen));
  EXPECT_TRUE(watch->reader->Finish().ok());
  auto unknown = WatchMove(move.kim(), "yards/pads/moves/999");
  EXPECT_FALSE(unknown->reader->Read(&seen));
  EXPECT_EQ(unknown->reader->Finish().error_code(), StatusCode::NOT_FOUND);
  Person stranger = server.WithSecret("nonsense");
  auto strange = WatchMove(stranger, move.name());
  EXPECT_FALSE(strange->reader->Read(&seen));
  EXPECT_EQ(strange->reader->Finish().error_code(), StatusCode::UNAUTHENTICATED);
}

TEST(WatchMove, AStopReachesTheDriver) {
  InProcessServer server;
  FirstMove move(server);
  move.GetUnderWay();
  auto watch = WatchMove(move.dan(), move.name());
  v1::Move seen;
  ASSERT_TRUE(watch->reader->Read(&seen));
  ASSERT_TRUE(server.As("rhea")
                  .Call(&v1::MoveService::Stub::StopMove, move.Named<v1::StopMoveRequest>())
                  .ok());
  ASSERT_TRUE(watch->reader->Read(&seen));
  EXPECT_EQ(seen.state(), v1::MOVE_STATE_STOPPED);
  watch->context.TryCancel();
  watch->reader->Finish();
}

TEST(WatchMove, AfterAFaultItShowsWhatWasRebuilt) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  move.ClearAllGates();
  move.Release();
  auto watch = WatchMove(move.kim(), move.name());
  v1::Move seen;
  ASSERT_TRUE(watch->reader->Read(&seen));
  EXPECT_EQ(seen.state(), v1::MOVE_STATE_RELEASED);
  server.faults().fail_append = true;
  v1::HangTagRequest tag;
  tag.set_name("yards/pads/machines/C-2");
  tag.set_text("a flat tyre");
  EXPECT_FALSE(move.yves().Call(&v1::YardService::Stub::HangTag, tag).ok());
  ASSERT_TRUE(watch->reader->Read(&seen));
  EXPECT_EQ(seen.state(), v1::MOVE_STATE_REQUESTED);
  watch->context.TryCancel();
  watch->reader->Finish();
}

TEST(WatchYard, TellsWhatHappensInWords) {
  InProcessServer server;
  Person rhea = server.As("rhea");
  Person yves = server.As("yves");
  auto watch = WatchYard(rhea);
  v1::HangTagRequest tag;
  tag.set_name("yards/pads/machines/C-2");
  tag.set_text("a flat tyre");
  const auto hung = yves.Call(&v1::YardService::Stub::HangTag, tag);
  ASSERT_TRUE(hung.ok());
  v1::YardEvent event;
  ASSERT_TRUE(watch->reader->Read(&event));
  EXPECT_EQ(event.entry(), hung.response.entry());
  EXPECT_EQ(event.person(), "yves");
  EXPECT_NE(event.text().find("C-2"), std::string::npos) << event.text();
  EXPECT_NE(event.text().find("a flat tyre"), std::string::npos) << event.text();
  watch->context.TryCancel();
  watch->reader->Finish();
}

TEST(WatchYard, ADrainEndsAllWatches) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  auto of_move = WatchMove(move.kim(), move.name());
  auto of_yard = WatchYard(move.kim());
  v1::Move seen;
  ASSERT_TRUE(of_move->reader->Read(&seen));
  const auto begin = std::chrono::steady_clock::now();
  server.server().Drain();
  EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(3));
  v1::YardEvent event;
  EXPECT_FALSE(of_move->reader->Read(&seen));
  EXPECT_EQ(of_move->reader->Finish().error_code(), StatusCode::UNAVAILABLE);
  while (of_yard->reader->Read(&event)) {
  }
  EXPECT_EQ(of_yard->reader->Finish().error_code(), StatusCode::UNAVAILABLE);
}

TEST(WatchYard, OneThatDoesNotReadIsCutAndHoldsNobodyUp) {
  InProcessServer server;
  Person rhea = server.As("rhea");
  Person yves = server.As("yves");
  Person slow(server.NarrowChannel(8'192), rhea.secret());
  auto watch = WatchYard(slow);  // and never reads
  auto quick = WatchYard(rhea);
  std::atomic<int> heard{0};
  std::thread listener([&] {
    v1::YardEvent event;
    while (quick->reader->Read(&event)) ++heard;
  });
  // More than the window of the stream and the queue hold together.
  constexpr int kEvents = 800;
  v1::HangTagRequest tag;
  tag.set_name("yards/pads/machines/C-2");
  tag.set_text(std::string(190, 'x'));
  v1::ClearTagRequest clear;
  clear.set_name("yards/pads/machines/C-2");
  for (int i = 0; i < kEvents / 2; ++i) {
    ASSERT_TRUE(yves.Call(&v1::YardService::Stub::HangTag, tag).ok());
    clear.set_tag(i + 1);
    ASSERT_TRUE(yves.Call(&v1::YardService::Stub::ClearTag, clear).ok());
  }
  for (int i = 0; i < 200 && heard < kEvents; ++i)
    std::this_thread::sleep_for(std::chrono::milliseconds(20));
  EXPECT_GE(heard, kEvents);
  quick->context.TryCancel();
  listener.join();
  quick->reader->Finish();
  v1::YardEvent event;
  int read = 0;
  while (watch->reader->Read(&event)) ++read;
  EXPECT_LT(read, kEvents);
  EXPECT_EQ(watch->reader->Finish().error_code(), StatusCode::RESOURCE_EXHAUSTED);
}

}  // namespace
}  // namespace chockwise::server
