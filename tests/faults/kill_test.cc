// The server is killed in the middle of its work, again and again, and loses nothing that it said
// yes to.

#include <fmt/format.h>
#include <grpcpp/grpcpp.h>
#include <gtest/gtest.h>

#include <atomic>
#include <cstdlib>
#include <filesystem>
#include <map>
#include <random>
#include <thread>
#include <vector>

#include "chockwise/v1/entries.pb.h"
#include "chockwise/v1/moves.grpc.pb.h"
#include "chockwise/v1/people.grpc.pb.h"
#include "chockwise/v1/yards.grpc.pb.h"
#include "services/ledger/verify.h"
#include "services/server/server.h"
#include "tests/support/programs.h"
#include "tests/support/request_id.h"
#include "tests/support/sanitized.h"

namespace chockwise {
namespace {

using testing::NewRequestId;
using testing::Program;

/// A word that was sent: what was asked, and the entry it was answered with; -1: no answer came.
struct Sent {
  v1::ConfirmRequest request;
  int64_t entry = -1;
};

/// One server's life on one ledger, and the people who talk to it.
class KilledYard {
 public:
  KilledYard() : work_(::testing::TempDir() + "/chockwise_kill_" + std::to_string(getpid())) {
    std::filesystem::remove_all(work_);
    const std::string secret =
        testing::InitYard({.chockwised = CHOCKWISED,
                           .yard = kYard,
                           .data = work_,
                           .safety_lead = "lena",
                           .more = {"--rehearsal", "--start-time", "2026-11-24T06:00:00Z"}});
    secrets_["lena"] = secret;
  }
  ~KilledYard() { std::filesystem::remove_all(work_); }

  void Start() {
    server_ = std::make_unique<Program>(
        std::vector<std::string>{CHOCKWISED, "--yard", kYard, "--data", work_, "--listen",
                                 "127.0.0.1:0", "--log-level", "off", "--rehearsal", "serve"});
    channel_ = NewChannel();
  }
  void Kill() { server_->Kill(); }
  void End() { server_->End(); }

  std::shared_ptr<grpc::Channel> NewChannel() const {
    grpc::ChannelArguments arguments;
    arguments.SetInt(GRPC_ARG_USE_LOCAL_SUBCHANNEL_POOL, 1);
    return grpc::CreateCustomChannel(server_->address(), grpc::InsecureChannelCredentials(),
                                     arguments);
  }

  void IssueTokens() {
    for (const char* person : {"dan", "kim", "yves"}) {
      v1::IssueTokenRequest request;
      request.set_parent("yards/pads");
      request.set_request_id(NewRequestId());
      request.set_person(person);
      v1::IssuedToken issued;
      grpc::ClientContext context;
      Prepare(context, "lena");
      const grpc::Status status =
          v1::PeopleService::NewStub(channel_)->IssueToken(&context, request, &issued);
      ASSERT_TRUE(status.ok()) << status.error_message();
      secrets_[person] = issued.secret();
    }
  }

  void Prepare(grpc::ClientContext& context, const std::string& person) const {
    context.AddMetadata("authorization", "Bearer " + secrets_.at(person));
    context.set_deadline(std::chrono::system_clock::now() + std::chrono::seconds(20));
  }

  /// One call by one person.
  template <class Stub, class Request, class Response>
  grpc::Status Call(const std::string& person, std::unique_ptr<Stub> stub,
                    grpc::Status (Stub::*method)(grpc::ClientContext*, const Request&, Response*),
                    Request request, Response* response) {
    if constexpr (requires { request.set_request_id(""); }) {
      if (request.request_id().empty()) request.set_request_id(NewRequestId());
    }
    grpc::ClientContext context;
    Prepare(context, person);
    return (stub.get()->*method)(&context, request, response);
  }
  template <class Request>
  v1::Receipt Must(const std::string& person,
                   grpc::Status (v1::MoveService::Stub::*method)(grpc::ClientContext*,
                                                                 const Request&, v1::Receipt*),
                   Request request) {
    v1::Receipt receipt;
    const grpc::Status status =
        Call(person, v1::MoveService::NewStub(channel_), method, request, &receipt);
    EXPECT_TRUE(status.ok()) << status.error_message();
    return receipt;
  }

  std::shared_ptr<grpc::Channel> channel() const { return channel_; }
  const std::string& work() const { return work_; }

  static constexpr char kYard[] = "../server/yard";

 private:
  std::string work_;
  std::map<std::string, std::string> secrets_;
  std::unique_ptr<Program> server_;
  std::shared_ptr<grpc::Channel> channel_;
};

void OpenShift(KilledYard& yard) {
  v1::BeginShiftRequest request;
  request.set_name("yards/pads");
  request.set_title("day");
  request.mutable_end_time()->set_seconds(1'795'500'000 + 12 * 3'600);
  v1::Receipt receipt;
  const grpc::Status status = yard.Call("yves", v1::YardService::NewStub(yard.channel()),
                                        &v1::YardService::Stub::BeginShift, request, &receipt);
  ASSERT_TRUE(status.ok()) << status.error_message();
}

std::string AskForMove(KilledYard& yard) {
  v1::RequestMoveRequest request;
  request.set_parent("yards/pads");
  request.set_kind("shuttle");
  request.set_machine("C-1");
  request.set_to_place("south-pad");
  request.set_spotter("kim");
  const std::string name = yard.Must("dan", &v1::MoveService::Stub::RequestMove, request).name();
  v1::AcceptSpottingRequest accept;
  accept.set_name(name);
  accept.set_machine("C-1");
  yard.Must("kim", &v1::MoveService::Stub::AcceptSpotting, accept);
  return name;
}

v1::Move Show(KilledYard& yard, const std::string& name) {
  v1::GetMoveRequest request;
  request.set_name(name);
  v1::Move move;
  const grpc::Status status = yard.Call("dan", v1::MoveService::NewStub(yard.channel()),
                                        &v1::MoveService::Stub::GetMove, request, &move);
  EXPECT_TRUE(status.ok()) << status.error_message();
  return move;
}

/// Brings the move to RELEASED, and in every second round to UNDER_WAY: what the kill must take
/// back.
void ReleaseAgain(KilledYard& yard, const std::string& name, int round) {
  const v1::Move move = Show(yard, name);
  for (const v1::StopWord& stop : move.stop_words()) {
    if (!stop.lifted_by().empty()) continue;
    v1::AllowRestartRequest allow;
    allow.set_name(name);
    yard.Must("yves", &v1::MoveService::Stub::AllowRestart, allow);
    break;
  }
  for (const auto& [person, gate] :
       {std::pair("dan", "walked-round"), std::pair("kim", "law-second-word")}) {
    v1::ConfirmRequest confirm;
    confirm.set_name(name);
    confirm.set_gate_id(gate);
    yard.Must(person, &v1::MoveService::Stub::Confirm, confirm);
  }
  v1::RequestReleaseRequest release;
  release.set_name(name);
  ASSERT_EQ(yard.Must("dan", &v1::MoveService::Stub::RequestRelease, release).move_state(),
            v1::MOVE_STATE_RELEASED);
  if (round % 2 == 0) return;
  v1::BeginMoveRequest begin;
  begin.set_name(name);
  begin.set_machine("C-1");
  yard.Must("dan", &v1::MoveService::Stub::BeginMove, begin);
}

/// Callers that confirm on another move without pause until the server is gone.
std::vector<Sent> ConfirmUntilKilled(KilledYard& yard, const std::string& name,
                                     std::chrono::milliseconds kill_after) {
  constexpr int kCallers = 6;
  std::vector<std::vector<Sent>> sent(kCallers);
  std::atomic<bool> over{false};
  std::vector<std::thread> callers;
  for (int i = 0; i < kCallers; ++i) {
    callers.emplace_back([&, i] {
      const auto stub = v1::MoveService::NewStub(yard.NewChannel());
      while (!over.load()) {
        Sent& one = sent[static_cast<size_t>(i)].emplace_back();
        one.request.set_name(name);
        one.request.set_gate_id("walked-round");
        one.request.set_request_id(NewRequestId());
        grpc::ClientContext context;
        yard.Prepare(context, "dan");
        v1::Receipt receipt;
        if (!stub->Confirm(&context, one.request, &receipt).ok()) return;
        one.entry = receipt.entry();
      }
    });
  }
  std::this_thread::sleep_for(kill_after);
  yard.Kill();
  over.store(true);
  for (std::thread& caller : callers) caller.join();
  std::vector<Sent> all;
  for (std::vector<Sent>& own : sent) all.insert(all.end(), own.begin(), own.end());
  return all;
}

/// The same request again gets the first answer, whether or not that answer ever reached its
/// caller.
void AskAgain(KilledYard& yard, const std::vector<Sent>& sent,
              std::map<int64_t, std::string>& acknowledged) {
  for (const Sent& one : sent) {
    if (one.entry >= 0) acknowledged[one.entry] = one.request.request_id();
  }
  int asked = 0;
  for (auto one = sent.rbegin(); one != sent.rend() && asked < 10; ++one, ++asked) {
    const int64_t entry = yard.Must("dan", &v1::MoveService::Stub::Confirm, one->request).entry();
    if (one->entry >= 0) {
      EXPECT_EQ(entry, one->entry) << one->request.request_id();
    } else {
      acknowledged[entry] = one->request.request_id();
    }
  }
}

std::string RawRequestId(const std::string& text) {
  std::string bytes;
  std::string digits;
  for (const char c : text) {
    if (c != '-') digits += c;
  }
  for (size_t i = 0; i + 1 < digits.size(); i += 2)
    bytes += static_cast<char>(std::stoi(digits.substr(i, 2), nullptr, 16));
  return bytes;
}

/// Every acknowledged word stands where its caller was told, and no word stands twice.
void CheckLedger(const std::string& data, const std::map<int64_t, std::string>& acknowledged) {
  const server::DataPaths paths = server::DataIn(data);
  auto key = ledger::PublicKey::FromPemFile(paths.public_key);
  ASSERT_TRUE(key.ok()) << key.status();
  const ledger::VerifyReport report =
      ledger::VerifyLedger({.database_path = paths.ledger, .key = &*key, .head_path = paths.head});
  EXPECT_TRUE(report.sound()) << report.Text();
  auto private_key = ledger::SigningKey::FromPemFile(paths.private_key);
  ASSERT_TRUE(private_key.ok()) << private_key.status();
  std::map<std::string, int> seen;
  std::map<int64_t, std::string> words;
  auto opened = ledger::Ledger::Open(
      {.database_path = paths.ledger,
       .head_path = paths.head,
       .yard = "pads",
       .kind = ledger::LedgerKind::kRehearsal,
       .key = std::move(*private_key),
       .mode = ledger::OpenMode::kExisting},
      [&](uint64_t number, std::string_view bytes) {
        v1::Entry entry;
        EXPECT_TRUE(entry.ParseFromArray(bytes.data(), static_cast<int>(bytes.size())));
        if (!entry.request_id().empty()) ++seen[entry.person() + "/" + entry.request_id()];
        if (entry.has_gate_confirmed()) words[static_cast<int64_t>(number)] = entry.request_id();
        return absl::OkStatus();
      });
  ASSERT_TRUE(opened.ok()) << opened.status();
  for (const auto& [id, count] : seen) EXPECT_EQ(count, 1);
  for (const auto& [entry, id] : acknowledged) {
    ASSERT_TRUE(words.contains(entry)) << "entry " << entry << " was acknowledged and is not there";
    EXPECT_EQ(words[entry], RawRequestId(id)) << entry;
  }
}

TEST(Kill, NothingAcknowledgedIsLostAndNothingStaysReleased) {
  const int rounds = testing::Sanitized() ? 20 : 300;
  KilledYard yard;
  std::mt19937 random(20261124);
  std::map<int64_t, std::string> acknowledged;
  std::vector<Sent> sent;
  std::string released, spoken;
  long all_sent = 0;
  for (int round = 0; round < rounds; ++round) {
    yard.Start();
    if (round == 0) {
      yard.IssueTokens();
      OpenShift(yard);
      released = AskForMove(yard);
      spoken = [&] {
        v1::RequestMoveRequest request;
        request.set_parent("yards/pads");
        request.set_kind("shuttle");
        request.set_machine("C-2");
        request.set_to_place("south-pad");
        return yard.Must("dan", &v1::MoveService::Stub::RequestMove, request).name();
      }();
    } else {
      const v1::MoveState state = Show(yard, released).state();  // Law 7.
      ASSERT_TRUE(state == v1::MOVE_STATE_REQUESTED || state == v1::MOVE_STATE_STOPPED)
          << round << ": " << state;
    }
    AskAgain(yard, sent, acknowledged);
    ReleaseAgain(yard, released, round);
    if (::testing::Test::HasFailure()) return;
    sent = ConfirmUntilKilled(yard, spoken, std::chrono::milliseconds(5 + random() % 60));
    all_sent += static_cast<long>(sent.size());
  }
  yard.Start();
  AskAgain(yard, sent, acknowledged);
  yard.End();
  CheckLedger(yard.work(), acknowledged);
  fmt::print("{} kills, {} words sent, {} acknowledged or found again, all in their places\n",
             rounds, all_sent, acknowledged.size());
}

}  // namespace
}  // namespace chockwise
