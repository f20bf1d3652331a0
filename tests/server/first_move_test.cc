// A whole move of the smallest yard, and what a second asking of the same thing gets.
#include "tests/server/first_move.h"

#include <gtest/gtest.h>

namespace chockwise::server {
namespace {

using Moves = v1::MoveService::Stub;

TEST(FirstMove, FromTheAskingToTheEnd) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  move.ClearAllGates();
  move.Release();
  EXPECT_EQ(move.Get().state(), v1::MOVE_STATE_RELEASED);
  EXPECT_EQ(move.Get().release().number(), 1);
  move.Begin();
  EXPECT_EQ(move.Get().state(), v1::MOVE_STATE_UNDER_WAY);
  move.Park();
  move.Close();
  EXPECT_EQ(move.Get().state(), v1::MOVE_STATE_CLOSED);
}

TEST(FirstMove, Law1ARefusalNamesEveryUnmetGateAndIsRecorded) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  v1::RequestReleaseRequest request;
  request.set_name(move.name());
  const auto refused = move.dan().Call(&Moves::RequestRelease, request);
  EXPECT_EQ(refused.status.error_code(), grpc::StatusCode::FAILED_PRECONDITION);
  const auto detail = DetailOf<v1::UnmetGates>(refused.status);
  std::set<std::string> ids;
  for (const auto& gate : detail.gates()) ids.insert(gate.gate_id());
  EXPECT_EQ(ids.count("walked-round"), 1u);
  EXPECT_EQ(ids.count("law-second-word"), 1u);
  EXPECT_EQ(ids.count("law-spotter-bound"), 1u) << "the spotter is named and has not accepted";
}

TEST(Repeats, GetTheFirstAnswerByteForByteAlsoAfterARestart) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  move.ClearAllGates();
  v1::RequestReleaseRequest request;
  request.set_name(move.name());
  request.set_request_id(NewRequestId());
  const auto first = move.dan().Call(&Moves::RequestRelease, request);
  ASSERT_TRUE(first.ok()) << first.status.error_message();
  const auto second = move.dan().Call(&Moves::RequestRelease, request);
  ASSERT_TRUE(second.ok());
  EXPECT_EQ(first.response.SerializeAsString(), second.response.SerializeAsString());
  server.Restart();
  const auto third = server.As("dan").Call(&Moves::RequestRelease, request);
  ASSERT_TRUE(third.ok()) << third.status.error_message();
  EXPECT_EQ(first.response.SerializeAsString(), third.response.SerializeAsString());
  EXPECT_EQ(move.GetAgain().state(), v1::MOVE_STATE_REQUESTED)
      << "Law 7: the answer is the first, the release is gone";
}

TEST(Repeats, OfARefusalGetTheSameRefusal) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  v1::RequestReleaseRequest request;
  request.set_name(move.name());
  request.set_request_id(NewRequestId());
  const auto first = move.dan().Call(&Moves::RequestRelease, request);
  ASSERT_EQ(first.status.error_code(), grpc::StatusCode::FAILED_PRECONDITION);
  move.ClearAllGates();
  const auto second = move.dan().Call(&Moves::RequestRelease, request);
  EXPECT_EQ(second.status.error_code(), grpc::StatusCode::FAILED_PRECONDITION);
  EXPECT_EQ(first.status.error_details(), second.status.error_details());
  request.clear_request_id();
  EXPECT_TRUE(move.dan().Call(&Moves::RequestRelease, request).ok())
      << "a new request is judged as things stand";
}

TEST(Repeats, OneIdWithTwoBodiesIsInvalid) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  v1::ConfirmRequest request;
  request.set_name(move.name());
  request.set_gate_id("walked-round");
  request.set_request_id(NewRequestId());
  ASSERT_TRUE(move.dan().Call(&Moves::Confirm, request).ok());
  request.set_finding("a dog");
  const auto other = move.dan().Call(&Moves::Confirm, request);
  EXPECT_EQ(other.status.error_code(), grpc::StatusCode::INVALID_ARGUMENT);
  EXPECT_EQ(DetailOf<v1::FieldViolations>(other.status).violations(0).field(), "request_id");
}

TEST(Repeats, ARequestWithoutAnIdIsInvalid) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  v1::ParkMoveRequest request;
  request.set_name(move.name());
  for (const char* id : {"", "7", "6ba7b810-9dad-11d1-80b4-00c04fd430cz"}) {
    request.set_request_id(id);
    const auto answer = move.dan().CallAsIs(&Moves::ParkMove, request);
    EXPECT_EQ(answer.status.error_code(), grpc::StatusCode::INVALID_ARGUMENT) << id;
    EXPECT_EQ(DetailOf<v1::FieldViolations>(answer.status).violations(0).field(), "request_id");
  }
}

TEST(Law5, AStopNeedsNoRequestIdAndNoRole) {
  InProcessServer server;
  FirstMove move(server);
  move.GetUnderWay();
  v1::StopMoveRequest stop;
  stop.set_name("yards/pads/machines/C-1");
  stop.set_text("a child");
  const auto stopped = server.As("rhea").CallAsIs(&Moves::StopMove, stop);  // a reader
  ASSERT_TRUE(stopped.ok()) << stopped.status.error_message();
  EXPECT_EQ(stopped.response.move_state(), v1::MOVE_STATE_STOPPED);
  EXPECT_EQ(move.Get().state(), v1::MOVE_STATE_STOPPED);
}

TEST(Law7, ARestartBringsBackWhatWasUnderWayStopped) {
  InProcessServer server;
  FirstMove move(server);
  move.GetUnderWay();
  server.Restart();
  EXPECT_EQ(move.GetAgain().state(), v1::MOVE_STATE_STOPPED);
  EXPECT_EQ(move.GetAgain().stop_words(0).cause(), v1::STOP_CAUSE_SERVICE_RESTARTED);
}

TEST(Law7, AClockStepLeavesNothingReleased) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  move.ClearAllGates();
  move.Release();
  server.clock().Step(fit::Seconds(3));
  EXPECT_EQ(move.Get().state(), v1::MOVE_STATE_REQUESTED);
}

TEST(Law7, AReleaseThatNobodyUsedLapsesByItself) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  move.ClearAllGates();
  move.Release();
  ASSERT_TRUE(server.clock().Advance(fit::Minutes(6)).ok());
  // The ticker runs by real time and sees it within a quarter of a second.
  v1::MoveState state = v1::MOVE_STATE_RELEASED;
  for (int i = 0; i < 100 && state == v1::MOVE_STATE_RELEASED; ++i) {
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
    state = move.Get().state();
  }
  EXPECT_EQ(state, v1::MOVE_STATE_REQUESTED);
}

}  // namespace
}  // namespace chockwise::server
