// The server as its callers meet it: tokens, stops, watches, faults, drains.
#include <gtest/gtest.h>

#include <thread>

#include "chockwise/v1/history.grpc.pb.h"
#include "services/ledger/keys.h"
#include "services/ledger/proof.h"
#include "services/yard/limits.h"
#include "tests/server/first_move.h"

namespace chockwise::server {
namespace {

using Moves = v1::MoveService::Stub;
using Yards = v1::YardService::Stub;
using People = v1::PeopleService::Stub;
using Ledgers = v1::LedgerService::Stub;
using grpc::StatusCode;

// --- Tokens --------------------------------------------------------------------------------------

TEST(Tokens, WithoutAGoodOneNobodyIsAnswered) {
  InProcessServer server;
  for (const char* secret : {"", "nonsense"}) {
    EXPECT_EQ(server.WithSecret(secret).Call(&Yards::GetYard, ThisYard()).status.error_code(),
              StatusCode::UNAUTHENTICATED);
  }
  v1::StopMoveRequest stop;
  stop.set_name("yards/pads/moves/1");
  EXPECT_EQ(server.WithSecret("nonsense").Call(&Moves::StopMove, stop).status.error_code(),
            StatusCode::UNAUTHENTICATED);
}

TEST(Tokens, SayWhoIsCalling) {
  InProcessServer server;
  const auto who = server.As("dan").Call(&People::WhoAmI, v1::WhoAmIRequest());
  ASSERT_TRUE(who.ok());
  EXPECT_EQ(who.response.person(), "dan");
  EXPECT_EQ(who.response.title(), "Dan Sedgewick");
  ASSERT_EQ(who.response.roles_size(), 1);
  EXPECT_EQ(who.response.roles(0), "driver");
  EXPECT_FALSE(who.response.rehearsal());
}

TEST(Tokens, ARevokedOneIsDeadWhenItsRevokerIsTold) {
  InProcessServer server;
  Person dan = server.As("dan");
  ASSERT_TRUE(dan.Call(&Yards::GetYard, ThisYard()).ok());
  v1::RevokeTokenRequest revoke;
  revoke.set_name(dan.Call(&People::WhoAmI, v1::WhoAmIRequest()).response.token());
  const auto revoked = server.As("lena").Call(&People::RevokeToken, revoke);
  ASSERT_TRUE(revoked.ok()) << revoked.status.error_message();
  EXPECT_EQ(revoked.response.revoked_by(), "lena");
  EXPECT_EQ(dan.Call(&Yards::GetYard, ThisYard()).status.error_code(), StatusCode::UNAUTHENTICATED);
  server.Restart();
  EXPECT_EQ(server.WithSecret(dan.secret()).Call(&Yards::GetYard, ThisYard()).status.error_code(),
            StatusCode::UNAUTHENTICATED);
}

TEST(Tokens, AnExpiredOneIsNoToken) {
  InProcessServer server;
  v1::IssueTokenRequest request;
  request.set_parent("yards/pads");
  request.set_person("dan");
  request.set_days(1);
  const auto issued = server.As("lena").Call(&People::IssueToken, request);
  ASSERT_TRUE(issued.ok()) << issued.status.error_message();
  Person dan = server.WithSecret(issued.response.secret());
  ASSERT_TRUE(server.clock().Advance(fit::Hours(24) - fit::Seconds(1)).ok());
  EXPECT_TRUE(dan.Call(&Yards::GetYard, ThisYard()).ok());
  ASSERT_TRUE(server.clock().Advance(fit::Seconds(1)).ok());
  EXPECT_EQ(dan.Call(&Yards::GetYard, ThisYard()).status.error_code(), StatusCode::UNAUTHENTICATED);
}

TEST(Tokens, ARepeatOfAnIssueNeverShowsASecretTwice) {
  InProcessServer server;
  v1::IssueTokenRequest request;
  request.set_parent("yards/pads");
  request.set_person("dan");
  request.set_request_id(NewRequestId());
  Person lena = server.As("lena");
  ASSERT_TRUE(lena.Call(&People::IssueToken, request).ok());
  EXPECT_EQ(lena.Call(&People::IssueToken, request).status.error_code(),
            StatusCode::ALREADY_EXISTS);
}

TEST(Tokens, OnlyASafetyLeadIssuesAndLists) {
  InProcessServer server;
  v1::IssueTokenRequest issue;
  issue.set_parent("yards/pads");
  issue.set_person("dan");
  v1::ListTokensRequest list;
  list.set_parent("yards/pads");
  EXPECT_EQ(server.As("dan").Call(&People::IssueToken, issue).status.error_code(),
            StatusCode::PERMISSION_DENIED);
  EXPECT_EQ(server.As("dan").Call(&People::ListTokens, list).status.error_code(),
            StatusCode::PERMISSION_DENIED);
}

TEST(Tokens, AreListedInPages) {
  InProcessServer server;
  for (const char* person : {"dan", "kim", "yves", "ola"}) server.As(person);
  v1::ListTokensRequest list;
  list.set_parent("yards/pads");
  list.set_page_size(2);
  std::vector<std::string> names;
  do {
    const auto page = server.As("lena").Call(&People::ListTokens, list);
    ASSERT_TRUE(page.ok()) << page.status.error_message();
    for (const auto& token : page.response.tokens()) names.push_back(token.name());
    list.set_page_token(page.response.next_page_token());
  } while (!list.page_token().empty());
  EXPECT_EQ(names, (std::vector<std::string>{"yards/pads/tokens/1", "yards/pads/tokens/2",
                                             "yards/pads/tokens/3", "yards/pads/tokens/4",
                                             "yards/pads/tokens/5"}));
  list.set_page_token("x");
  EXPECT_EQ(server.As("lena").Call(&People::ListTokens, list).status.error_code(),
            StatusCode::INVALID_ARGUMENT);
}

TEST(Moves, AreListedInPagesWhoseTokensAreBoundToTheQuery) {
  InProcessServer server;
  for (const char* machine : {"C-1", "C-2"}) FirstMove(server, machine).Ask();
  v1::ListMovesRequest list;
  list.set_parent("yards/pads");
  list.set_page_size(1);
  const auto first = server.As("dan").Call(&Moves::ListMoves, list);
  ASSERT_TRUE(first.ok()) << first.status.error_message();
  ASSERT_EQ(first.response.moves_size(), 1);
  const std::string token = first.response.next_page_token();
  ASSERT_FALSE(token.empty());
  list.set_page_token(token);
  list.set_page_size(5);
  const auto second = server.As("dan").Call(&Moves::ListMoves, list);
  ASSERT_EQ(second.response.moves_size(), 1);
  EXPECT_EQ(second.response.moves(0).machine(), "C-2");
  EXPECT_TRUE(second.response.next_page_token().empty());
  const auto refused = [&](const v1::ListMovesRequest& request) {
    const auto answer = server.As("dan").Call(&Moves::ListMoves, request);
    EXPECT_EQ(answer.status.error_code(), StatusCode::INVALID_ARGUMENT) << request.DebugString();
    const auto bad = DetailOf<v1::FieldViolations>(answer.status);
    ASSERT_EQ(bad.violations_size(), 1);
    EXPECT_EQ(bad.violations(0).field(), "page_token");
  };
  list.set_machine("C-2");  // the token of another query
  refused(list);
  list.clear_machine();
  for (const char* made_up : {"1", "t1", "x"}) {
    list.set_page_token(made_up);
    refused(list);
  }
  v1::ListTokensRequest tokens;
  tokens.set_parent("yards/pads");
  tokens.set_page_token(token);
  EXPECT_EQ(server.As("lena").Call(&People::ListTokens, tokens).status.error_code(),
            StatusCode::INVALID_ARGUMENT);
}

TEST(Tokens, BadOnesAreCountedAndNeverLockOutGoodOnesOrStops) {
  InProcessServer server;
  Person stranger = server.WithSecret("nonsense");
  StatusCode last = StatusCode::OK;
  for (int i = 0; i < kMaxBadTokens + 1; ++i)
    last = stranger.Call(&Yards::GetYard, ThisYard()).status.error_code();
  EXPECT_EQ(last, StatusCode::RESOURCE_EXHAUSTED);
  EXPECT_TRUE(server.As("dan").Call(&Yards::GetYard, ThisYard()).ok()) << "from the same address";
  v1::HoldYardRequest hold;
  hold.set_name("yards/pads");
  EXPECT_EQ(stranger.CallAsIs(&Yards::HoldYard, hold).status.error_code(),
            StatusCode::UNAUTHENTICATED);
  EXPECT_TRUE(server.As("rhea").CallAsIs(&Yards::HoldYard, hold).ok());
}

// --- The yard ------------------------------------------------------------------------------------

TEST(Yard, Law11AVersionIsShownExactlyAsItWasLoaded) {
  InProcessServer server;
  v1::GetYardVersionRequest request;
  request.set_name("yards/pads/versions/1");
  const auto version = server.As("dan").Call(&Yards::GetYardVersion, request);
  ASSERT_TRUE(version.ok()) << version.status.error_message();
  EXPECT_EQ(version.response.files().size(), 6u);
  EXPECT_EQ(version.response.files().at("people.csv"),
            ledger::ReadBytes(server.yard_folder() + "/people.csv"));
  EXPECT_EQ(FilesDigest(version.response.files()), version.response.digest());
  EXPECT_EQ(version.response.loaded_by(), "lena");
  request.set_name("yards/pads/versions/2");
  EXPECT_EQ(server.As("dan").Call(&Yards::GetYardVersion, request).status.error_code(),
            StatusCode::NOT_FOUND);
}

TEST(Yard, AReloadTakesWhatTheFolderHoldsAndWhoLeftMayOnlyStop) {
  InProcessServer server;
  Person ola = server.As("ola");
  const std::string path = server.yard_folder() + "/people.csv";
  std::string people = ledger::ReadBytes(path);
  const size_t line = people.find("ola,");
  people.erase(line, people.find('\n', line) + 1 - line);
  ledger::WriteBytes(path, people);
  v1::ReloadYardRequest reload;
  reload.set_name("yards/pads");
  reload.set_request_id(NewRequestId());
  EXPECT_EQ(server.As("dan").Call(&Yards::ReloadYard, reload).status.error_code(),
            StatusCode::PERMISSION_DENIED);
  const auto loaded = server.As("yves").Call(&Yards::ReloadYard, reload);
  ASSERT_TRUE(loaded.ok()) << loaded.status.error_message();
  EXPECT_EQ(ola.Call(&Yards::GetYard, ThisYard()).status.error_code(),
            StatusCode::PERMISSION_DENIED);
  v1::HoldYardRequest hold;
  hold.set_name("yards/pads");
  EXPECT_TRUE(ola.CallAsIs(&Yards::HoldYard, hold).ok());
  // The repeat is answered though the folder is broken by now.
  ledger::WriteBytes(path, "nonsense");
  const auto again = server.As("yves").Call(&Yards::ReloadYard, reload);
  ASSERT_TRUE(again.ok()) << again.status.error_message();
  EXPECT_EQ(again.response.SerializeAsString(), loaded.response.SerializeAsString());
}

TEST(Yard, AReloadWithComplaintsChangesNothingAndNamesThem) {
  InProcessServer server;
  ledger::WriteBytes(server.yard_folder() + "/machines.csv",
                     "id,name,class,place,attachment,chocks\nC-1,A,cart,nowhere,,0\n");
  v1::ReloadYardRequest reload;
  reload.set_name("yards/pads");
  const auto refused = server.As("yves").Call(&Yards::ReloadYard, reload);
  EXPECT_EQ(refused.status.error_code(), StatusCode::INVALID_ARGUMENT);
  const auto detail = DetailOf<v1::FieldViolations>(refused.status);
  ASSERT_GT(detail.violations_size(), 0);
  EXPECT_EQ(detail.violations(0).field(), "machines.csv:2");
  EXPECT_EQ(server.As("dan").Call(&Yards::GetYard, ThisYard()).response.version(), 1);
}

// What the files' reader takes, the ledger takes and one answer shows: there is one limit.
TEST(Yard, TheLargestYardIsLoadedAndShown) {
  InProcessServer server;
  std::string map = ledger::ReadBytes(server.yard_folder() + "/map.geojson");
  map.append(yard::kYardBytes - (100 << 10) - map.size(), ' ');
  ledger::WriteBytes(server.yard_folder() + "/map.geojson", map);
  v1::ReloadYardRequest reload;
  reload.set_name("yards/pads");
  const auto loaded = server.As("yves").Call(&Yards::ReloadYard, reload);
  ASSERT_TRUE(loaded.ok()) << loaded.status.error_message();
  v1::GetYardVersionRequest version;
  version.set_name("yards/pads/versions/2");
  const auto shown = server.As("yves").Call(&Yards::GetYardVersion, version);
  ASSERT_TRUE(shown.ok()) << shown.status.error_message();
  EXPECT_EQ(shown.response.files().at("map.geojson"), map);

  map.append(200 << 10, ' ');
  ledger::WriteBytes(server.yard_folder() + "/map.geojson", map);
  const auto refused = server.As("yves").Call(&Yards::ReloadYard, reload);
  EXPECT_FALSE(refused.ok());
  EXPECT_NE(refused.status.error_message().find("map.geojson"), std::string::npos)
      << refused.status.error_message();
}

// --- The ledger ----------------------------------------------------------------------------------

TEST(Ledger, ProofsHoldWithoutTrustInTheServer) {
  InProcessServer server;
  FirstMove move(server);
  v1::GetCheckpointRequest want;
  want.set_name("yards/pads");
  const auto before = move.dan().Call(&Ledgers::GetCheckpoint, want);
  ASSERT_TRUE(before.ok()) << before.status.error_message();
  move.Ask();
  const auto after = move.dan().Call(&Ledgers::GetCheckpoint, want);
  ASSERT_TRUE(after.ok());
  ASSERT_GT(after.response.size(), before.response.size());

  const auto key = ledger::PublicKey::FromPemFile(server.server_options().data.public_key);
  ASSERT_TRUE(key.ok());
  ledger::Signature signature;
  ASSERT_EQ(after.response.signature().size(), signature.size());
  std::copy(after.response.signature().begin(), after.response.signature().end(),
            signature.begin());
  EXPECT_TRUE(key->Verify(after.response.signed_bytes(), signature));

  const auto digest = [](const std::string& bytes) {
    ledger::Digest out{};
    std::copy(bytes.begin(), bytes.end(), out.begin());
    return out;
  };
  v1::GetConsistencyProofRequest extends;
  extends.set_name("yards/pads");
  extends.set_first_size(before.response.size());
  extends.set_second_size(after.response.size());
  const auto proof = move.dan().Call(&Ledgers::GetConsistencyProof, extends);
  ASSERT_TRUE(proof.ok()) << proof.status.error_message();
  std::vector<ledger::Digest> path;
  for (const std::string& node : proof.response.path()) path.push_back(digest(node));
  EXPECT_TRUE(ledger::VerifyConsistency({.old_size = static_cast<uint64_t>(before.response.size()),
                                         .old_root = digest(before.response.root()),
                                         .new_size = static_cast<uint64_t>(after.response.size()),
                                         .new_root = digest(after.response.root())},
                                        path));

  for (int64_t number = 0; number < after.response.size(); ++number) {
    v1::GetEntryRequest get;
    get.set_name("yards/pads/entries/" + std::to_string(number));
    get.set_tree_size(after.response.size());
    const auto entry = move.dan().Call(&Ledgers::GetEntry, get);
    ASSERT_TRUE(entry.ok()) << entry.status.error_message();
    path.clear();
    for (const std::string& node : entry.response.path()) path.push_back(digest(node));
    EXPECT_TRUE(ledger::VerifyInclusion({.leaf = ledger::LeafHash(entry.response.bytes()),
                                         .index = static_cast<uint64_t>(number),
                                         .size = static_cast<uint64_t>(after.response.size()),
                                         .root = digest(after.response.root())},
                                        path));
  }
}

TEST(Ledger, WithoutNewsTheLastCheckpointIsGivenAgain) {
  InProcessServer server;
  v1::GetCheckpointRequest want;
  want.set_name("yards/pads");
  Person dan = server.As("dan");
  const auto one = dan.Call(&Ledgers::GetCheckpoint, want);
  const auto two = dan.Call(&Ledgers::GetCheckpoint, want);
  ASSERT_TRUE(one.ok() && two.ok());
  EXPECT_EQ(one.response.signature(), two.response.signature());
}

TEST(Ledger, SaysWhatIsOutOfRange) {
  InProcessServer server;
  Person dan = server.As("dan");
  v1::GetEntryRequest get;
  get.set_name("yards/pads/entries/999");
  EXPECT_EQ(dan.Call(&Ledgers::GetEntry, get).status.error_code(), StatusCode::OUT_OF_RANGE);
  for (const char* name : {"yards/pads/entries/-1", "yards/pads/entries/01", "yards/pads/entries/",
                           "yards/other/entries/0"}) {
    get.set_name(name);
    EXPECT_EQ(dan.Call(&Ledgers::GetEntry, get).status.error_code(), StatusCode::NOT_FOUND) << name;
  }
}

// --- History -------------------------------------------------------------------------------------

TEST(History, IsForLeadsAndReadersAndFollowsTheLedger) {
  InProcessServer server;
  FirstMove move(server);
  move.Ask();
  const auto stub = v1::HistoryService::NewStub(server.channel());
  v1::GetMoveRecordRequest request;
  request.set_name(move.name());
  const auto ask = [&](const Person& person, v1::MoveTimeLine& line) {
    grpc::ClientContext context;
    person.Prepare(context);
    return stub->GetMoveRecord(&context, request, &line);
  };
  v1::MoveTimeLine line;
  EXPECT_EQ(ask(server.As("dan"), line).error_code(), StatusCode::PERMISSION_DENIED);
  grpc::Status status;
  for (int i = 0; i < 200; ++i) {  // the reader follows ten times a second
    status = ask(server.As("rhea"), line);
    if (status.ok()) break;
    std::this_thread::sleep_for(std::chrono::milliseconds(50));
  }
  ASSERT_TRUE(status.ok()) << status.error_message();
  EXPECT_EQ(line.record().machine(), "C-1");
  EXPECT_GE(line.time_line_size(), 1);
  v1::ListMoveRecordsRequest list;
  list.set_parent("yards/pads");
  list.set_person("dan");
  v1::ListMoveRecordsResponse page;
  grpc::ClientContext context;
  server.As("rhea").Prepare(context);
  EXPECT_EQ(stub->ListMoveRecords(&context, list, &page).error_code(),
            StatusCode::PERMISSION_DENIED)
      << "a reader asks about nobody in particular";
}

// --- Kinds of ledger -----------------------------------------------------------------------------

TEST(Kinds, ARehearsalIsNeverServedAsRealNorTheReverse) {
  for (const auto kind : {ledger::LedgerKind::kReal, ledger::LedgerKind::kRehearsal}) {
    InProcessServer server({.yard_folder = "", .lead = "lena", .kind = kind});
    server.Stop();
    ServerOptions options = server.server_options();
    options.kind = kind == ledger::LedgerKind::kReal ? ledger::LedgerKind::kRehearsal
                                                     : ledger::LedgerKind::kReal;
    const auto started = Server::Start(options);
    ASSERT_FALSE(started.ok());
    EXPECT_EQ(started.status().code(), absl::StatusCode::kFailedPrecondition);
    EXPECT_NE(started.status().message().find("REHEARSAL"), std::string::npos)
        << started.status().message();
  }
}

TEST(Kinds, OnlyARehearsalsClockCanBeAdvanced) {
  v1::AdvanceClockRequest request;
  request.mutable_by()->set_seconds(3'600);
  InProcessServer real;
  EXPECT_EQ(
      real.As("dan").Call(&v1::RehearsalService::Stub::AdvanceClock, request).status.error_code(),
      StatusCode::UNIMPLEMENTED);
  InProcessServer rehearsal(
      {.yard_folder = "", .lead = "lena", .kind = ledger::LedgerKind::kRehearsal});
  Person dan = rehearsal.As("dan");
  EXPECT_TRUE(dan.Call(&Yards::GetYard, ThisYard()).response.rehearsal());
  const auto advanced = dan.Call(&v1::RehearsalService::Stub::AdvanceClock, request);
  ASSERT_TRUE(advanced.ok()) << advanced.status.error_message();
  EXPECT_EQ(advanced.response.time().seconds(), kTestStart.micros() / 1'000'000 + 3'600);
  request.mutable_by()->set_seconds(24 * 3'600 + 1);
  EXPECT_EQ(dan.Call(&v1::RehearsalService::Stub::AdvanceClock, request).status.error_code(),
            StatusCode::INVALID_ARGUMENT);
  request.mutable_by()->set_seconds(0);
  EXPECT_EQ(dan.Call(&v1::RehearsalService::Stub::AdvanceClock, request).status.error_code(),
            StatusCode::INVALID_ARGUMENT);
}

TEST(Kinds, AdvancingTheClockIsAnsweredWhenItsEffectsAreRecorded) {
  InProcessServer server(
      {.yard_folder = "", .lead = "lena", .kind = ledger::LedgerKind::kRehearsal});
  FirstMove move(server);
  move.Ask();
  move.ClearAllGates();
  move.Release();
  v1::AdvanceClockRequest request;
  request.mutable_by()->set_seconds(600);
  ASSERT_TRUE(move.dan().Call(&v1::RehearsalService::Stub::AdvanceClock, request).ok());
  EXPECT_EQ(move.Get().state(), v1::MOVE_STATE_REQUESTED);
}

}  // namespace
}  // namespace chockwise::server
