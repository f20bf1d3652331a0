// Every verb sends what was typed, and nothing else; against a server that answers as told.

#include <gmock/gmock.h>
#include <google/protobuf/util/message_differencer.h>
#include <gtest/gtest.h>

#include <memory>

#include "tests/cli/fake_server.h"
#include "tests/cli/samples.h"

namespace chockwise::cli {
namespace {

using testing::HasSubstr;

struct VerbRow {
  std::vector<std::string> arguments;
  std::string method;
  std::string request;  // text form, without request_id
};

void PrintTo(const VerbRow& row, std::ostream* out) {
  for (const std::string& argument : row.arguments) *out << argument << ' ';
}

const std::vector<VerbRow> kVerbs{
    {{"ask", "walk-through-door", "TH-207", "apron-north", "--spotter", "ben", "--carrier", "CR-1"},
     "RequestMove",
     R"(parent: "yards/north" kind: "walk-through-door" machine: "TH-207" to_place: "apron-north"
         spotter: "ben" carrier: "CR-1")"},
    {{"confirm", "14", "walk-around", "--code", "K7"},
     "Confirm",
     R"(name: "yards/north/moves/14" gate_id: "walk-around" post_code: "K7")"},
    {{"confirm", "14", "chocks-in", "--count", "0"},
     "Confirm",
     R"(name: "yards/north/moves/14" gate_id: "chocks-in" count: 0)"},
    {{"confirm", "14", "no-leak", "--finding", "oil under the boom"},
     "Confirm",
     R"(name: "yards/north/moves/14" gate_id: "no-leak" finding: "oil under the boom")"},
    {{"confirm", "14", "escape-side", "--note", "left"},
     "Confirm",
     R"(name: "yards/north/moves/14" gate_id: "escape-side" note: "left")"},
    {{"release", "14"}, "RequestRelease", R"(name: "yards/north/moves/14")"},
    {{"moving", "14", "--unit", "TH-207"},
     "BeginMove",
     R"(name: "yards/north/moves/14" machine: "TH-207")"},
    {{"held", "14", "--at", "door-3"},
     "HoldMove",
     R"(name: "yards/north/moves/14" stop: "door-3")"},
    {{"parked", "14"}, "ParkMove", R"(name: "yards/north/moves/14")"},
    {{"close", "14"}, "CloseMove", R"(name: "yards/north/moves/14")"},
    {{"refuse", "14", "--reason", "cannot see"},
     "RefuseMove",
     R"(name: "yards/north/moves/14" reason: "cannot see")"},
    {{"refuse", "14"}, "RefuseMove", R"(name: "yards/north/moves/14")"},
    {{"withdraw", "14", "--reason", "plan changed"},
     "WithdrawMove",
     R"(name: "yards/north/moves/14" reason: "plan changed")"},
    {{"away", "14", "--distance", "25 ft", "--in-view"},
     "ReportAway",
     R"(name: "yards/north/moves/14" distance_mm: 7620 in_view: true)"},
    {{"away", "14", "--distance", "9 m", "--out-of-sight"},
     "ReportAway",
     R"(name: "yards/north/moves/14" distance_mm: 9000)"},
    {{"breakdown", "14", "no", "brakes"},
     "ReportBreakdown",
     R"(name: "yards/north/moves/14" text: "no brakes")"},
    {{"take-wheel", "14"}, "SwapDriver", R"(name: "yards/north/moves/14" driver: "ana")"},
    {{"take-wheel", "14", "--driver", "eli"},
     "SwapDriver",
     R"(name: "yards/north/moves/14" driver: "eli")"},
    {{"accept", "14", "--unit", "TH-207"},
     "AcceptSpotting",
     R"(name: "yards/north/moves/14" machine: "TH-207")"},
    {{"leave-spotting", "14"}, "LeaveSpotting", R"(name: "yards/north/moves/14")"},
    {{"restart", "14"}, "AllowRestart", R"(name: "yards/north/moves/14")"},
    {{"accept-gate", "14", "light-enough", "--control", "second lamp", "--reason", "dusk"},
     "AcceptGate",
     R"(name: "yards/north/moves/14" gate_id: "light-enough" control: "second lamp" reason:
         "dusk")"},
    {{"name-spotter", "14", "ben"},
     "NameSpotter",
     R"(name: "yards/north/moves/14" spotter: "ben")"},
    {{"clear-ground", "14", "pad-1"},
     "ClearGround",
     R"(name: "yards/north/moves/14" place: "pad-1")"},
    {{"shift", "end"}, "EndShift", R"(name: "yards/north")"},
    {{"hold", "ambulance", "in", "lane", "4"},
     "HoldYard",
     R"(name: "yards/north" reason: "ambulance in lane 4")"},
    {{"lift-hold"}, "LiftHold", R"(name: "yards/north")"},
    {{"door", "moved", "door-3", "dropped", "a", "hand"},
     "ReportDoor",
     R"(name: "yards/north/doors/door-3" report: DOOR_REPORT_MOVED text: "dropped a hand")"},
    {{"door", "faulty", "door-3"},
     "ReportDoor",
     R"(name: "yards/north/doors/door-3" report: DOOR_REPORT_FAULTY)"},
    {{"door", "return", "door-3"}, "ReturnDoor", R"(name: "yards/north/doors/door-3")"},
    // A word of the text that is also a verb stays a word of the text.
    {{"tag", "hang", "EX-301", "door", "stop", "hang"},
     "HangTag",
     R"(name: "yards/north/machines/EX-301" text: "door stop hang")"},
    {{"tag", "clear", "EX-301", "7"}, "ClearTag", R"(name: "yards/north/machines/EX-301" tag: 7)"},
    {{"inspect", "EX-301", "--nothing"},
     "RecordInspection",
     R"(name: "yards/north/machines/EX-301")"},
    {{"inspect", "EX-301", "--defect", "horn dead"},
     "RecordInspection",
     R"(name: "yards/north/machines/EX-301" defect: "horn dead")"},
    {{"put-down", "EX-301", "chocks", "0"},
     "RecordPutDown",
     R"(name: "yards/north/machines/EX-301" item: "chocks" count: 0)"},
    {{"reload"}, "ReloadYard", R"(name: "yards/north")"},
    {{"token", "issue", "ben", "--days", "30"},
     "IssueToken",
     R"(parent: "yards/north" person: "ben" days: 30)"},
    {{"token", "revoke", "9"}, "RevokeToken", R"(name: "yards/north/tokens/9")"},
};

class Verbs : public testing::TestWithParam<VerbRow> {};

TEST_P(Verbs, SendsWhatWasTypedUnderAFreshRequestId) {
  FakeServer server;
  const Ran ran = RunCli(GetParam().arguments, server);
  EXPECT_EQ(ran.exit, ExitCode::kOk) << ran.out << ran.err;
  const std::vector<FakeCall> calls = server.calls(GetParam().method);
  ASSERT_EQ(calls.size(), 1U) << ran.out << ran.err;
  EXPECT_EQ(calls[0].authorization, "Bearer token-of-ana");
  EXPECT_THAT(
      calls[0].request_id,
      testing::MatchesRegex("[0-9a-f]{8}-[0-9a-f]{4}-4[0-9a-f]{3}-[89ab][0-9a-f]{3}-[0-9a-f]{12}"));
  std::unique_ptr<google::protobuf::Message> want(calls[0].request->New());
  ASSERT_TRUE(google::protobuf::TextFormat::ParseFromString(GetParam().request, want.get()));
  calls[0].request->GetReflection()->ClearField(
      calls[0].request.get(), calls[0].request->GetDescriptor()->FindFieldByName("request_id"));
  EXPECT_TRUE(google::protobuf::util::MessageDifferencer::Equals(*calls[0].request, *want))
      << calls[0].request->DebugString();
}

TEST_P(Verbs, JsonIsOneDocumentWithoutColour) {
  FakeServer server;
  std::vector<std::string> arguments = GetParam().arguments;
  arguments.emplace_back("--json");
  const Ran ran = RunCli(arguments, server, {.terminal = true});
  EXPECT_EQ(ran.exit, ExitCode::kOk) << ran.out;
  EXPECT_EQ(ran.lines().size(), 1U) << ran.out;
  EXPECT_TRUE(ran.out.starts_with("{\"")) << ran.out;
  EXPECT_EQ(ran.out.find('\033'), std::string::npos);
}

INSTANTIATE_TEST_SUITE_P(Table, Verbs, testing::ValuesIn(kVerbs));

// Law 5: a bare number may be a move or a unit, and guessing wrong would stop neither.
TEST(Stop, ANumberStopsTheMoveAndTheUnit) {
  FakeServer server;
  const Ran ran = RunCli({"stop", "14", "hand", "over", "eyes", "--cause", "lost-sight"}, server);
  EXPECT_EQ(ran.exit, ExitCode::kOk);
  const auto calls = server.calls("StopMove");
  ASSERT_EQ(calls.size(), 2U);
  std::vector<std::string> names;
  for (const FakeCall& call : calls) {
    const auto& request = dynamic_cast<const v1::StopMoveRequest&>(*call.request);
    names.push_back(request.name());
    EXPECT_EQ(request.cause(), v1::STOP_CAUSE_LOST_SIGHT);
    EXPECT_EQ(request.text(), "hand over eyes");
  }
  EXPECT_THAT(names, testing::ElementsAre("yards/north/moves/14", "yards/north/machines/14"));
  EXPECT_NE(calls[0].request_id, calls[1].request_id);
}

TEST(Stop, OneThatIsNotThereDoesNotHideTheOther) {
  FakeServer server;
  server.Fail({grpc::StatusCode::NOT_FOUND, "no move 14"});
  EXPECT_EQ(RunCli({"stop", "14"}, server).exit, ExitCode::kOk);
  EXPECT_EQ(server.calls("StopMove").size(), 2U);
}

TEST(Stop, AUnitNumberIsOneCallAndNothingMeansAllOfMine) {
  FakeServer server;
  EXPECT_EQ(RunCli({"stop", "TH-207"}, server).exit, ExitCode::kOk);
  ASSERT_EQ(server.calls("StopMove").size(), 1U);
  FakeServer another;
  another.moves = {SampleMove(), SampleMove()};
  another.moves[1].set_name("yards/north/moves/15");
  EXPECT_EQ(RunCli({"stop"}, another).exit, ExitCode::kOk);
  EXPECT_EQ(another.calls("StopMove").size(), 2U);
}

TEST(Stop, WhenItFailsTheScreenSaysToStopByHandFirst) {
  FakeServer server;
  server.AlwaysFail("StopMove", {grpc::StatusCode::PERMISSION_DENIED, "no"});
  const Ran ran = RunCli({"stop", "TH-207"}, server);
  EXPECT_EQ(ran.exit, ExitCode::kNotAllowed);
  EXPECT_TRUE(
      ran.out.starts_with("NOT STOPPED BY THIS CALL. Stop it by hand, voice and horn NOW.\n"))
      << ran.out;
}

TEST(Moves, AreFoundByUnitNumberAndByBeingTheOnlyOne) {
  FakeServer server;
  server.moves = {SampleMove()};
  EXPECT_EQ(RunCli({"close", "TH-207"}, server).exit, ExitCode::kOk);
  EXPECT_EQ(RunCli({"close"}, server).exit, ExitCode::kOk);
  for (const FakeCall& call : server.calls("CloseMove")) {
    EXPECT_EQ(dynamic_cast<const v1::CloseMoveRequest&>(*call.request).name(),
              "yards/north/moves/14");
  }
  EXPECT_EQ(RunCli({"close", "XX-1"}, server).exit, ExitCode::kNotFound);
}

TEST(Moves, SeveralAreNeverGuessedFrom) {
  FakeServer server;
  server.moves = {SampleMove(), SampleMove()};
  server.moves[1].set_name("yards/north/moves/15");
  const Ran ran = RunCli({"close"}, server);
  EXPECT_EQ(ran.exit, ExitCode::kUsage);
  EXPECT_THAT(ran.err, HasSubstr("14 (TH-207), 15 (TH-207)"));
  EXPECT_TRUE(server.calls("CloseMove").empty());
}

// Law 10: after "moving" the program says that the device goes away, and nothing more.
TEST(Moving, ClearsTheScreenAndLeaves) {
  FakeServer server;
  const Ran ran = RunCli({"moving", "14"}, server, {.input = "TH-207\nmore\n", .terminal = true});
  EXPECT_EQ(ran.exit, ExitCode::kOk);
  EXPECT_THAT(ran.out, HasSubstr("Unit number"));
  const std::string after = ran.out.substr(ran.out.find("\033[2J"));
  EXPECT_THAT(after, HasSubstr("Put this device away now."));
  EXPECT_EQ(after.find('>'), std::string::npos) << "nothing is asked for: " << after;
}

TEST(Moving, ScriptsMustSayTheUnit) {
  FakeServer server;
  EXPECT_EQ(RunCli({"moving", "14"}, server).exit, ExitCode::kUsage);
  EXPECT_TRUE(server.calls("BeginMove").empty());
}

TEST(Watch, IsDarkForTheDriverWhileTheWheelsTurnAndRingsOnAStop) {
  FakeServer server;
  server.moves = {SampleMove()};
  server.watched = {SampleMove(), SampleMove(), SampleMove()};
  server.watched[1].set_state(v1::MOVE_STATE_UNDER_WAY);
  server.watched[2].set_state(v1::MOVE_STATE_STOPPED);
  const Ran ran = RunCli({"watch", "14"}, server, {.terminal = true});
  EXPECT_EQ(ran.exit, ExitCode::kOk);
  const std::size_t second = ran.out.find("\033[2J", 1 + ran.out.find("\033[2J"));
  const std::size_t third = ran.out.find("\033[2J", second + 1);
  EXPECT_THAT(ran.out.substr(second, third - second), HasSubstr("Put this device away now."));
  EXPECT_EQ(ran.out.substr(second, third - second).find("TH-207"), std::string::npos);
  EXPECT_THAT(ran.out.substr(third), HasSubstr("\a"));
  EXPECT_THAT(ran.out.substr(third), HasSubstr("STOPPED"));
  server.me.set_person("lia");
  EXPECT_THAT(RunCli({"watch", "14"}, server).out, HasSubstr("UNDER WAY"));
}

TEST(Away, ADistanceWithoutAUnitIsRefused) {
  FakeServer server;
  EXPECT_EQ(RunCli({"away", "14", "--distance", "30", "--in-view"}, server).exit, ExitCode::kUsage);
  EXPECT_EQ(RunCli({"away", "14", "--distance", "30 lb", "--in-view"}, server).exit,
            ExitCode::kUsage);
  EXPECT_EQ(RunCli({"away", "14", "--distance", "30 ft"}, server).exit, ExitCode::kUsage);
  EXPECT_TRUE(server.calls("ReportAway").empty());
}

// Saying nothing is not saying that nothing is wrong.
TEST(Inspect, WantsNothingOrADefect) {
  FakeServer server;
  EXPECT_EQ(RunCli({"inspect", "EX-301"}, server).exit, ExitCode::kUsage);
  EXPECT_EQ(RunCli({"inspect", "EX-301", "--nothing", "--defect", "horn"}, server).exit,
            ExitCode::kUsage);
}

TEST(Shift, EndsAtTheNextSuchTimeByTheYardsClock) {
  setenv("TZ", "UTC", 1);
  tzset();
  FakeServer server;
  server.yard.mutable_time()->set_seconds(1795561331);  // 23:02:11 UTC
  EXPECT_EQ(RunCli({"shift", "begin", "--until", "23:30", "--title", "night"}, server).exit,
            ExitCode::kOk);
  EXPECT_EQ(RunCli({"shift", "begin", "--until", "05:00"}, server).exit, ExitCode::kOk);
  const auto calls = server.calls("BeginShift");
  ASSERT_EQ(calls.size(), 2U);
  EXPECT_EQ(
      dynamic_cast<const v1::BeginShiftRequest&>(*calls[0].request).end_time().seconds() % 86400,
      23 * 3600 + 30 * 60);
  EXPECT_EQ(dynamic_cast<const v1::BeginShiftRequest&>(*calls[0].request).title(), "night");
  const int64_t morning =
      dynamic_cast<const v1::BeginShiftRequest&>(*calls[1].request).end_time().seconds();
  EXPECT_EQ(morning % 86400, 5 * 3600);
  EXPECT_GT(morning, 1795561331);
  EXPECT_EQ(RunCli({"shift", "begin", "--until", "25:00"}, server).exit, ExitCode::kUsage);
}

TEST(Token, AFileForTheSecretIsNewAndPrivateAndTheScreenStaysClean) {
  FakeServer server;
  const std::string path = testing::TempDir() + "chockwise-token-" + NewRequestId();
  const Ran ran = RunCli({"token", "issue", "ben", "--out", path}, server);
  EXPECT_EQ(ran.exit, ExitCode::kOk) << ran.out << ran.err;
  EXPECT_EQ(ran.out.find("secret-of-nine"), std::string::npos);
  EXPECT_EQ(ReadFile(path).value_or(""), "secret-of-nine\n");
  EXPECT_EQ(RunCli({"token", "issue", "ben", "--out", path}, server).exit, ExitCode::kUsage)
      << "never over a file";
  EXPECT_EQ(server.calls("IssueToken").size(), 1U);
  EXPECT_EQ(RunCli({"whoami", "--token-file", path}, server).exit, ExitCode::kOk);
  EXPECT_EQ(server.calls("WhoAmI").back().authorization, "Bearer secret-of-nine");
  std::remove(path.c_str());
  EXPECT_THAT(RunCli({"token", "issue", "ben"}, server).out, HasSubstr("secret-of-nine"));
}

TEST(Token, ListFollowsThePages) {
  FakeServer server;
  const Ran ran = RunCli({"token", "list", "--json"}, server);
  EXPECT_THAT(ran.out, HasSubstr("yards/north/tokens/1"));
  EXPECT_THAT(ran.out, HasSubstr("yards/north/tokens/2"));
}

TEST(History, FiltersGoOutAndLimitsHold) {
  setenv("TZ", "UTC", 1);
  tzset();
  FakeServer server;
  server.records = SampleRecords();
  server.yard.mutable_time()->set_seconds(1795561331);
  const Ran ran = RunCli(
      {"history", "moves", "--kind", "load", "--machine", "EX-301", "--state", "left-standing",
       "--person", "ana", "--since", "2h", "--until", "2026-11-25", "--refusals", "--limit", "2"},
      server);
  EXPECT_EQ(ran.exit, ExitCode::kOk) << ran.out << ran.err;
  const auto calls = server.calls("ListMoveRecords");
  ASSERT_EQ(calls.size(), 1U);
  const auto& request = dynamic_cast<const v1::ListMoveRecordsRequest&>(*calls[0].request);
  EXPECT_THAT(request.kinds(), testing::ElementsAre("load"));
  EXPECT_THAT(request.states(), testing::ElementsAre(v1::MOVE_STATE_LEFT_STANDING));
  EXPECT_EQ(request.from_time().seconds(), 1795561331 - 7200);
  EXPECT_EQ(request.to_time().seconds() % 86400, 0);
  EXPECT_TRUE(request.with_refusals());
  EXPECT_EQ(request.page_size(), 2);
  EXPECT_EQ(RunCli({"history", "moves", "--state", "lost"}, server).exit, ExitCode::kUsage);
  EXPECT_EQ(RunCli({"history", "moves", "--since", "yesterday"}, server).exit, ExitCode::kUsage);
}

TEST(History, LoadingMeansTheKindsWithACarrier) {
  FakeServer server;
  server.yard = FromText<v1::Yard>(
      R"(kinds { kind: "walk-through-door" } kinds { kind: "load-onto-carrier" needs_carrier: true
          })");
  EXPECT_EQ(RunCli({"history", "moves", "--loading"}, server).exit, ExitCode::kOk);
  const auto calls = server.calls("ListMoveRecords");
  ASSERT_EQ(calls.size(), 1U);
  EXPECT_THAT(dynamic_cast<const v1::ListMoveRecordsRequest&>(*calls[0].request).kinds(),
              testing::ElementsAre("load-onto-carrier"));
}

TEST(Ledger, ACheckpointThatIsNoneIsNotBelieved) {
  FakeServer server;
  EXPECT_EQ(RunCli({"ledger", "checkpoint"}, server).exit, ExitCode::kLedgerWrong);
  EXPECT_EQ(RunCli({"ledger", "prove", "3"}, server).exit, ExitCode::kLedgerWrong);
}

TEST(Rehearsal, TheClockMovesByALengthWithAUnit) {
  FakeServer server;
  EXPECT_EQ(RunCli({"rehearsal", "advance", "1h30m"}, server).exit, ExitCode::kOk);
  ASSERT_EQ(server.calls("AdvanceClock").size(), 1U);
  EXPECT_EQ(dynamic_cast<const v1::AdvanceClockRequest&>(*server.calls("AdvanceClock")[0].request)
                .by()
                .seconds(),
            5400);
  EXPECT_EQ(RunCli({"rehearsal", "advance", "6"}, server).exit, ExitCode::kUsage);
}

}  // namespace
}  // namespace chockwise::cli
