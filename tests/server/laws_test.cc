// The laws that the first move's own tests do not hold, each tried through the API: unknown is not
// clear, only people move it forward, two people, one ground, counts, hands off while it moves.
// Laws 1, 5, 7, 8 and 11 are in first_move_test, faults_test and server_test.
#include <gtest/gtest.h>

#include <set>

#include "services/ledger/files.h"
#include "tests/server/first_move.h"

namespace chockwise::server {
namespace {

using Moves = v1::MoveService::Stub;
using Yards = v1::YardService::Stub;

/// The yard's kind asks these gates too; the folder is read again.
void AskAlso(InProcessServer& server, const std::string& gates, const std::string& ids) {
  const std::string path = server.yard_folder() + "/rules.txtpb";
  std::string rules = ledger::ReadBytes(path) + gates;
  const std::string asked = R"(gate_ids: ["walked-round")";
  rules.insert(rules.find(asked) + asked.size(), ids);
  ledger::WriteBytes(path, rules);
  v1::ReloadYardRequest reload;
  reload.set_name("yards/pads");
  const auto loaded = server.As("yves").Call(&Yards::ReloadYard, reload);
  ASSERT_TRUE(loaded.ok()) << loaded.status.error_message();
}

template <class Request>
std::set<std::string> UnmetBy(FirstMove& move,
                              grpc::Status (Moves::*method)(grpc::ClientContext*, const Request&,
                                                            v1::Receipt*)) {
  const auto answer = move.dan().Call(method, move.Named<Request>());
  EXPECT_EQ(answer.status.error_code(), grpc::StatusCode::FAILED_PRECONDITION);
  std::set<std::string> ids;
  const auto unmet = DetailOf<v1::UnmetGates>(answer.status);
  for (const auto& gate : unmet.gates()) ids.insert(gate.gate_id());
  return ids;
}

v1::RequestMoveRequest SecondCart(const std::string& spotter) {
  v1::RequestMoveRequest request;
  request.set_parent("yards/pads");
  request.set_kind("shuttle");
  request.set_machine("C-2");
  request.set_to_place("south-pad");
  request.set_spotter(spotter);
  return request;
}

TEST(Law2, WhatNobodyMeasuredRefuses) {
  InProcessServer server;
  AskAlso(server, R"(
gates {
  id: "mass-known" title: "mass known" question: "Is it weighed?" remedy: "Weigh it."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  computed {
    computation: "measured"
    parameters { key: "subject" value: "machine" }
    parameters { key: "quantity" value: "mass" }
    parameters { key: "max_age" value: "365 days" }
  }
  sources: ["common practice"]
}
)",
          R"(, "mass-known")");
  FirstMove move(server);
  move.Ask();
  const std::set<std::string> unmet = UnmetBy(move, &Moves::RequestRelease);
  EXPECT_EQ(unmet.count("mass-known"), 1u);
  move.Confirm(move.dan(), "walked-round");
  auto word = move.Named<v1::ConfirmRequest>();
  word.set_gate_id("law-second-word");
  EXPECT_FALSE(move.kim().Call(&Moves::Confirm, word).ok()) << "the last word waits for it too";
  EXPECT_EQ(move.Get().state(), v1::MOVE_STATE_REQUESTED);
}

TEST(Law3, NothingGoesForwardByItself) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  move.ClearAllGates();
  const auto waited = [&server] {
    ASSERT_TRUE(server.clock().Advance(fit::Seconds(20)).ok());
    // The ticker runs by real time, every quarter of a second.
    std::this_thread::sleep_for(std::chrono::milliseconds(600));
  };
  waited();
  EXPECT_EQ(move.Get().state(), v1::MOVE_STATE_REQUESTED) << "all is clear, and nobody asked";
  move.Release();
  waited();
  EXPECT_EQ(move.Get().state(), v1::MOVE_STATE_RELEASED) << "nobody has begun";
  move.Begin();
  move.Park();
  waited();
  EXPECT_EQ(move.Get().state(), v1::MOVE_STATE_PARKED) << "nobody has closed it";
}

TEST(Law4, NobodyIsTheirOwnSpotterOrSpotsTwo) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  move.ClearAllGates();
  const auto own = server.As("ola").Call(&Moves::RequestMove, SecondCart("ola"));
  EXPECT_FALSE(own.ok());
  const auto second = server.As("ola").Call(&Moves::RequestMove, SecondCart("kim"));
  ASSERT_TRUE(second.ok()) << second.status.error_message();
  v1::AcceptSpottingRequest accept;
  accept.set_name(second.response.name());
  accept.set_machine("C-2");
  const auto drafted = move.kim().Call(&Moves::AcceptSpotting, accept);
  EXPECT_EQ(drafted.status.error_code(), grpc::StatusCode::FAILED_PRECONDITION);
}

TEST(Law4, TheDriverDoesNotGiveTheSecondWord) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  auto word = move.Named<v1::ConfirmRequest>();
  word.set_gate_id("law-second-word");
  EXPECT_EQ(move.dan().Call(&Moves::Confirm, word).status.error_code(),
            grpc::StatusCode::PERMISSION_DENIED);
}

TEST(Law6, OneWayIsNotGivenTwice) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  move.ClearAllGates();
  move.Release();
  const auto second = server.As("ola").Call(&Moves::RequestMove, SecondCart("kim"));
  ASSERT_TRUE(second.ok()) << second.status.error_message();
  v1::RequestReleaseRequest request;
  request.set_name(second.response.name());
  const auto refused = server.As("ola").Call(&Moves::RequestRelease, request);
  const auto unmet = DetailOf<v1::UnmetGates>(refused.status);
  const auto holds = [](const v1::UnmetGates& gates) {
    return std::any_of(gates.gates().begin(), gates.gates().end(),
                       [](const auto& gate) { return gate.gate_id() == "law-ground-free"; });
  };
  EXPECT_TRUE(holds(unmet)) << unmet.ShortDebugString();
  move.Begin();
  move.Park();
  move.Close();
  const auto after = server.As("ola").Call(&Moves::RequestRelease, request);
  EXPECT_FALSE(holds(DetailOf<v1::UnmetGates>(after.status)));
}

TEST(Law9, WhatWasPutDownIsCountedInBeforeTheEnd) {
  InProcessServer server;
  AskAlso(server, R"(
gates {
  id: "flags-out" title: "flags out" question: "How many flags stand?" remedy: "Count them."
  gate_class: GATE_CLASS_HARD phases: [PHASE_START]
  looked_at { parties: [PARTY_DRIVER] evidence: EVIDENCE_COUNT_PUT_DOWN item: "flags" }
  sources: ["common practice"]
}
gates {
  id: "flags-back" title: "flags back" question: "How many flags back?" remedy: "Find them."
  gate_class: GATE_CLASS_HARD phases: [PHASE_CLOSE_OUT]
  looked_at { parties: [PARTY_DRIVER] evidence: EVIDENCE_COUNT_PICKED_UP item: "flags" }
  sources: ["common practice"]
}
)",
          R"(, "flags-out", "flags-back")");
  FirstMove move(server);
  const auto count = [&move](const char* gate, int64_t flags) {
    auto request = move.Named<v1::ConfirmRequest>();
    request.set_gate_id(gate);
    request.set_count(flags);
    const auto answer = move.dan().Call(&Moves::Confirm, request);
    EXPECT_TRUE(answer.ok()) << answer.status.error_message();
  };
  move.Ask();
  count("flags-out", 4);
  move.ClearAllGates();
  move.Release();
  move.Begin();
  move.Park();
  move.Confirm(move.dan(), "cart-braked");
  count("flags-back", 3);
  EXPECT_EQ(UnmetBy(move, &Moves::CloseMove).count("law-counts-balance"), 1u);
  count("flags-back", 4);
  move.Close();
  EXPECT_EQ(move.Get().state(), v1::MOVE_STATE_CLOSED);
}

TEST(Law10, NoWordIsTakenWhileItMoves) {
  InProcessServer server;
  FirstMove move(server);
  move.GetUnderWay();
  auto word = move.Named<v1::ConfirmRequest>();
  word.set_gate_id("walked-round");
  const auto answer = move.dan().Call(&Moves::Confirm, word);
  EXPECT_EQ(answer.status.error_code(), grpc::StatusCode::FAILED_PRECONDITION);
  EXPECT_EQ(move.Get().state(), v1::MOVE_STATE_UNDER_WAY);
}

}  // namespace
}  // namespace chockwise::server
