// The frame around the verbs: exit codes, arguments, identity, retries, the server away, JSON,
// colour, help, completion.

#include "cli-client/app.h"

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <chrono>
#include <cstdio>
#include <fstream>
#include <functional>
#include <nlohmann/json.hpp>
#include <set>
#include <sstream>

#include "cli-client/no.h"
#include "tests/cli/fake_server.h"
#include "tests/cli/samples.h"

namespace chockwise::cli {
namespace {

using nlohmann::json;
using testing::HasSubstr;

// The numbers that scripts trust. A change here breaks them.
TEST(ExitCodes, KeepTheirNumbers) {
  EXPECT_EQ(static_cast<int>(ExitCode::kOk), 0);
  EXPECT_EQ(static_cast<int>(ExitCode::kRefused), 1);
  EXPECT_EQ(static_cast<int>(ExitCode::kUsage), 2);
  EXPECT_EQ(static_cast<int>(ExitCode::kNotFound), 3);
  EXPECT_EQ(static_cast<int>(ExitCode::kNotAllowed), 4);
  EXPECT_EQ(static_cast<int>(ExitCode::kServerAway), 5);
  EXPECT_EQ(static_cast<int>(ExitCode::kLedgerWrong), 6);
  EXPECT_EQ(static_cast<int>(ExitCode::kOther), 7);
}

struct CodeRow {
  grpc::StatusCode code;
  ExitCode exit;
};

// Every status code of gRPC has its exit code. Source: gRPC status codes, 0 to 16.
TEST(ExitCodes, CoverEveryStatusCode) {
  const std::vector<CodeRow> rows{
      {grpc::StatusCode::CANCELLED, ExitCode::kOther},
      {grpc::StatusCode::UNKNOWN, ExitCode::kOther},
      {grpc::StatusCode::INVALID_ARGUMENT, ExitCode::kUsage},
      {grpc::StatusCode::DEADLINE_EXCEEDED, ExitCode::kServerAway},
      {grpc::StatusCode::NOT_FOUND, ExitCode::kNotFound},
      {grpc::StatusCode::ALREADY_EXISTS, ExitCode::kRefused},
      {grpc::StatusCode::PERMISSION_DENIED, ExitCode::kNotAllowed},
      {grpc::StatusCode::RESOURCE_EXHAUSTED, ExitCode::kServerAway},
      {grpc::StatusCode::FAILED_PRECONDITION, ExitCode::kRefused},
      {grpc::StatusCode::ABORTED, ExitCode::kRefused},
      {grpc::StatusCode::OUT_OF_RANGE, ExitCode::kNotFound},
      {grpc::StatusCode::UNIMPLEMENTED, ExitCode::kOther},
      {grpc::StatusCode::INTERNAL, ExitCode::kOther},
      {grpc::StatusCode::UNAVAILABLE, ExitCode::kServerAway},
      {grpc::StatusCode::DATA_LOSS, ExitCode::kLedgerWrong},
      {grpc::StatusCode::UNAUTHENTICATED, ExitCode::kNotAllowed},
  };
  ASSERT_EQ(rows.size(), 16U);
  FakeServer server;
  for (const CodeRow& row : rows) {
    EXPECT_EQ(ExitCodeFor(row.code), row.exit) << row.code;
    server.AlwaysFail("CloseMove", {row.code, "told to"});
    const Ran text = RunCli({"close", "14"}, server);
    EXPECT_EQ(text.exit, row.exit) << row.code;
    EXPECT_LE(text.lines().size(), 23U);
    const Ran machine = RunCli({"close", "14", "--json"}, server);
    EXPECT_EQ(machine.exit, row.exit);
    const json error = json::parse(machine.out)["error"];
    EXPECT_EQ(error["code"], std::string(CodeName(row.code)));
    EXPECT_EQ(error["exitCode"], static_cast<int>(row.exit));
    EXPECT_EQ(error["message"], "told to");
    EXPECT_EQ(error["requestId"].get<std::string>().size(), 36U);
  }
}

TEST(ExitCodes, HelpPrintsTheTable) {
  const Ran ran = RunCli({"help", "exit-codes"});
  EXPECT_EQ(ran.exit, ExitCode::kOk);
  for (const ExitCodeMeaning& row : kExitCodes)
    EXPECT_THAT(ran.out, HasSubstr(std::string(row.meaning)));
  for (const std::string& line : ran.lines()) EXPECT_LE(Columns(line), 80) << line;
}

TEST(Arguments, ThatCannotBeReadAreUsageAndSendNothing) {
  FakeServer server;
  const std::vector<std::vector<std::string>> wrong{{"clsoe", "14"},
                                                    {"confirm", "14"},
                                                    {"confirm", "14", "gate", "--count", "four"},
                                                    {"ask", "kind"},
                                                    {"close", "14", "15", "16"},
                                                    {"close", "--unheard-of"},
                                                    {"door"},
                                                    {"door", "danced", "door-1"},
                                                    {"shift", "begin"},
                                                    {"stop", "14", "--cause", "mood"},
                                                    {"close", "14", "--timeout", "0"},
                                                    {"close", "14", "--timeout", "soon"},
                                                    {"completion", "fish"},
                                                    {"ledger", "verify", "x"},
                                                    {"help", "everything"},
                                                    {}};
  for (const auto& arguments : wrong) {
    const Ran ran = RunCli(arguments, server);
    EXPECT_EQ(ran.exit, ExitCode::kUsage) << testing::PrintToString(arguments);
    EXPECT_TRUE(ran.out.empty()) << ran.out;
    EXPECT_FALSE(ran.err.empty());
    std::vector<std::string> as_json = arguments;
    as_json.emplace_back("--json");
    const Ran machine = RunCli(as_json, server);
    EXPECT_EQ(machine.exit, ExitCode::kUsage) << testing::PrintToString(as_json);
    EXPECT_EQ(json::parse(machine.out)["error"]["code"], "INVALID_ARGUMENT");
  }
  EXPECT_TRUE(server.calls().empty());
}

TEST(Identity, NoTokenIsSaidBeforeAnythingIsSent) {
  FakeServer server;
  const Ran ran = RunCli({"close", "14", "--server", server.address()});
  EXPECT_EQ(ran.exit, ExitCode::kNotAllowed);
  EXPECT_THAT(ran.out, HasSubstr("CHOCKWISE_TOKEN"));
  EXPECT_EQ(
      RunCli({"close", "14", "--server", server.address(), "--token-file", "/no/such/file"}).exit,
      ExitCode::kNotAllowed);
  EXPECT_EQ(
      RunCli({"close", "14"}, server, {.environment = {{"CHOCKWISE_TOKEN", "two words"}}}).exit,
      ExitCode::kNotAllowed);
  EXPECT_TRUE(server.calls().empty());
}

struct TargetRow {
  std::string server;
  bool plaintext;
  std::string want;  // "tls", "plain" or "refused"
};

// TLS outside the machine, whatever is asked for: a token never crosses a wire in the clear.
TEST(Target, TlsIsOnUnlessTheServerIsOnThisMachine) {
  const std::vector<TargetRow> rows{
      {"127.0.0.1:7443", false, "plain"},       {"127.0.0.1:7443", true, "plain"},
      {"127.8.9.1:1", false, "plain"},          {"localhost:7443", false, "plain"},
      {"[::1]:7443", false, "plain"},           {"unix:/run/chockwise", false, "plain"},
      {"yard.example:7443", false, "tls"},      {"yard.example:7443", true, "refused"},
      {"10.0.0.4:7443", false, "tls"},          {"10.0.0.4:7443", true, "refused"},
      {"127.0.0.1.example:7443", false, "tls"}, {"127.example:7443", true, "refused"},
      {"localhost.example:7443", false, "tls"}, {"[2001:db8::1]:7443", true, "refused"},
      {"yard.example", false, "refused"},       {"yard.example:", false, "refused"},
  };
  for (const TargetRow& row : rows) {
    GlobalOptions options;
    options.server = row.server;
    options.plaintext = row.plaintext;
    const auto target = ResolveTarget(options, [](const char*) { return std::string(); });
    EXPECT_EQ(!target       ? "refused"
              : target->tls ? "tls"
                            : "plain",
              row.want)
        << row.server << " " << row.plaintext;
  }
}

TEST(Target, ACaFileTurnsTlsOnAndMustHoldACertificate) {
  GlobalOptions options;
  options.server = "127.0.0.1:7443";
  options.ca_file = "/no/such/ca.pem";
  const auto none = [](const char*) { return std::string(); };
  EXPECT_FALSE(ResolveTarget(options, none));
  options.ca_file = testing::TempDir() + "chockwise-ca-" + NewRequestId();
  std::ofstream(options.ca_file) << "not a certificate\n";
  EXPECT_FALSE(ResolveTarget(options, none));
  std::ofstream(options.ca_file) << "-----BEGIN CERTIFICATE-----\n";
  const auto target = ResolveTarget(options, none);
  ASSERT_TRUE(target);
  EXPECT_TRUE(target->tls);
  std::remove(options.ca_file.c_str());
}

// A repeat is the very same request: the server answers it with the first answer.
TEST(Retries, UnavailableIsTriedAgainUnderTheSameRequestId) {
  FakeServer server;
  server.Fail({grpc::StatusCode::UNAVAILABLE, "away"});
  server.Fail({grpc::StatusCode::UNAVAILABLE, "away"});
  EXPECT_EQ(RunCli({"close", "14", "--json"}, server).exit, ExitCode::kOk);
  const auto calls = server.calls("CloseMove");
  ASSERT_EQ(calls.size(), 3U);
  EXPECT_EQ(calls[0].request_id, calls[1].request_id);
  EXPECT_EQ(calls[0].request_id, calls[2].request_id);
}

TEST(Retries, AreBoundedAndTellTheRequestId) {
  FakeServer server;
  server.AlwaysFail("CloseMove", {grpc::StatusCode::UNAVAILABLE, "away"});
  const Ran ran = RunCli({"close", "14"}, server);
  EXPECT_EQ(ran.exit, ExitCode::kServerAway);
  const auto calls = server.calls("CloseMove");
  ASSERT_EQ(calls.size(), static_cast<std::size_t>(kMostTries));
  EXPECT_THAT(ran.out, HasSubstr("--request-id " + calls[0].request_id));
}

TEST(Retries, NothingElseIsTriedAgain) {
  for (const grpc::StatusCode code :
       {grpc::StatusCode::FAILED_PRECONDITION, grpc::StatusCode::DEADLINE_EXCEEDED,
        grpc::StatusCode::INTERNAL, grpc::StatusCode::RESOURCE_EXHAUSTED,
        grpc::StatusCode::ABORTED}) {
    FakeServer server;
    server.AlwaysFail("CloseMove", {code, "no"});
    (void)RunCli({"close", "14"}, server);
    EXPECT_EQ(server.calls("CloseMove").size(), 1U) << code;
  }
}

TEST(Retries, AGivenRequestIdIsUsed) {
  FakeServer server;
  EXPECT_EQ(
      RunCli({"close", "14", "--request-id", "6f1d5f2e-0e0b-4a53-9d3e-0a3c5ad5b0a1"}, server).exit,
      ExitCode::kOk);
  EXPECT_EQ(server.calls("CloseMove").at(0).request_id, "6f1d5f2e-0e0b-4a53-9d3e-0a3c5ad5b0a1");
}

TEST(Retries, TwoRequestIdsAreNeverAlike) {
  std::set<std::string> ids;
  for (int i = 0; i < 1000; ++i) ids.insert(NewRequestId());
  EXPECT_EQ(ids.size(), 1000U);
}

// Nobody listens there. The answer comes inside the timeout, with what to do.
TEST(ServerAway, IsSaidInTimeWithWhatToDo) {
  int port = 0;
  {
    const FakeServer gone;
    port = std::stoi(gone.address().substr(gone.address().find(':') + 1));
  }
  const auto begin = std::chrono::steady_clock::now();
  const Ran ran = RunCli({"release", "14", "--timeout", "2"},
                         {.environment = {{"CHOCKWISE_SERVER", "127.0.0.1:" + std::to_string(port)},
                                          {"CHOCKWISE_TOKEN", "t"}}});
  EXPECT_LT(std::chrono::steady_clock::now() - begin, std::chrono::seconds(4));
  EXPECT_EQ(ran.exit, ExitCode::kServerAway) << ran.out;
  EXPECT_THAT(ran.out, HasSubstr("No new release"));
  EXPECT_THAT(ran.out, HasSubstr("eyes and hands"));
  EXPECT_THAT(ran.out, HasSubstr("Printed cards"));
}

TEST(Json, ARefusedReleaseCarriesEveryGate) {
  FakeServer server;
  server.AlwaysFail("RequestRelease", WithDetail(grpc::StatusCode::FAILED_PRECONDITION,
                                                 "25 gates are not clear", SampleUnmet(25)));
  const Ran ran = RunCli({"release", "14", "--json"}, server);
  EXPECT_EQ(ran.exit, ExitCode::kRefused);
  ASSERT_EQ(ran.lines().size(), 1U);
  const json error = json::parse(ran.out)["error"];
  ASSERT_EQ(error["unmetGates"].size(), 25U);
  EXPECT_EQ(error["unmetGates"][0]["gateId"], "door-margins");
  EXPECT_EQ(error["unmetGates"][0]["state"], "GATE_STATE_NOT_CLEAR");
  EXPECT_EQ(error["unmetGates"][3]["parties"], json({"PARTY_DRIVER", "PARTY_SPOTTER"}));
  const Ran text = RunCli({"release", "14"}, server);
  EXPECT_EQ(text.exit, ExitCode::kRefused);
  EXPECT_LE(text.lines().size(), 23U);
  EXPECT_THAT(text.out, HasSubstr("ana (you)"));
}

TEST(Json, EveryFieldIsThereEvenWhenItIsEmpty) {
  FakeServer server;
  server.moves = {SampleMove()};
  const json move = json::parse(RunCli({"show", "14", "--json"}, server).out);
  EXPECT_EQ(move["name"], "yards/north/moves/14");
  EXPECT_EQ(move["state"], "MOVE_STATE_REQUESTED");
  EXPECT_EQ(move["carrier"], "");
  EXPECT_EQ(move["gates"].size(), 12U);
  const json board = json::parse(RunCli({"board", "--json"}, server).out);
  EXPECT_TRUE(board.contains("yard"));
  EXPECT_EQ(board["openMoves"]["moves"].size(), 1U);
}

// A board on the wall looks again and again: one call for the yard, one for its moves and gates.
TEST(Board, AsksForAllMovesWithTheirGatesAtOnce) {
  FakeServer server;
  server.moves = {SampleMove(), SampleMove(), SampleMove()};
  EXPECT_EQ(RunCli({"board"}, server).exit, ExitCode::kOk);
  const auto lists = server.calls("ListMoves");
  ASSERT_EQ(lists.size(), 1U);
  EXPECT_EQ(dynamic_cast<const v1::ListMovesRequest&>(*lists[0].request).view(),
            v1::MOVE_VIEW_FULL);
  EXPECT_TRUE(server.calls("GetMove").empty());
}

TEST(Hold, SaysWhatIsHeldAfterItWasRecorded) {
  FakeServer server;
  server.moves = {SampleMove()};
  server.moves[0].set_state(v1::MOVE_STATE_STOPPED);
  *server.moves[0].add_stop_words() =
      FromText<v1::StopWord>(R"(person: "ana" cause: STOP_CAUSE_YARD_HOLD)");
  const Ran ran = RunCli({"hold", "ambulance in lane 4"}, server);
  EXPECT_EQ(ran.exit, ExitCode::kOk);
  EXPECT_THAT(ran.out, HasSubstr("YARD HELD"));
  EXPECT_THAT(ran.out, HasSubstr("STOPPED BY IT: 1"));
  EXPECT_THAT(ran.out, HasSubstr("chockwise lift-hold"));
}

// That the hold stands is said even where what it stopped cannot be listed.
TEST(Hold, StandsWhateverComesAfterIt) {
  FakeServer server;
  server.AlwaysFail("ListMoves", {grpc::StatusCode::INTERNAL, "no list"});
  const Ran ran = RunCli({"hold"}, server);
  EXPECT_EQ(ran.exit, ExitCode::kOk);
  EXPECT_THAT(ran.out, HasSubstr("YARD HELD"));
  EXPECT_THAT(ran.out, testing::Not(HasSubstr("No move was under way")));
}

TEST(Json, AStreamIsOneDocumentALine) {
  FakeServer server;
  server.watched = {SampleMove(), SampleMove()};
  server.events = {FromText<v1::YardEvent>(R"(entry: 1 text: "door-3: moved")"),
                   FromText<v1::YardEvent>("entry: 2")};
  const std::vector<std::vector<std::string>> streams{{"watch", "14", "--json"},
                                                      {"watch-yard", "--json"}};
  for (const std::vector<std::string>& arguments : streams) {
    const Ran ran = RunCli(arguments, server);
    ASSERT_EQ(ran.lines().size(), 2U) << ran.out;
    for (const std::string& line : ran.lines()) EXPECT_TRUE(json::accept(line)) << line;
  }
  EXPECT_EQ(RunCli({"watch-yard", "--json", "--events", "1"}, server).lines().size(), 1U);
}

TEST(Colour, OnlyOnATerminalThatWantsIt) {
  FakeServer server;
  server.moves = {SampleMove()};
  const auto has_ink = [&](const std::vector<std::string>& arguments, RunSetting setting) {
    return RunCli(arguments, server, std::move(setting)).out.find("\033[") != std::string::npos;
  };
  EXPECT_TRUE(has_ink({"show", "14"}, {.terminal = true}));
  EXPECT_FALSE(has_ink({"show", "14"}, {.terminal = false}));
  EXPECT_FALSE(has_ink({"show", "14", "--no-color"}, {.terminal = true}));
  EXPECT_FALSE(has_ink({"show", "14"}, {.environment = {{"NO_COLOR", "1"}}, .terminal = true}));
  EXPECT_TRUE(has_ink({"show", "14"}, {.environment = {{"NO_COLOR", ""}}, .terminal = true}))
      << "set but empty is not set";
  EXPECT_FALSE(has_ink({"show", "14"}, {.environment = {{"TERM", "dumb"}}, .terminal = true}));
}

TEST(Marks, AreAsciiUnlessTheLocaleIsUtf8) {
  FakeServer server;
  server.moves = {SampleMove()};
  const auto is_ascii = [&](std::map<std::string, std::string> environment) {
    const Ran ran = RunCli({"show", "14"}, server, {.environment = std::move(environment)});
    return std::ranges::all_of(ran.out,
                               [](char c) { return static_cast<unsigned char>(c) < 0x80U; });
  };
  EXPECT_TRUE(is_ascii({}));
  EXPECT_TRUE(is_ascii({{"LANG", "C"}}));
  EXPECT_FALSE(is_ascii({{"LANG", "en_US.UTF-8"}}));
  EXPECT_FALSE(is_ascii({{"LC_CTYPE", "C.utf8"}, {"LANG", "C"}}));
  EXPECT_TRUE(is_ascii({{"LC_ALL", "C"}, {"LANG", "C.UTF-8"}}));
}

// A rehearsal says so on every screen.
TEST(Rehearsal, IsMarkedOnEveryScreen) {
  FakeServer server;
  server.me.set_rehearsal(true);
  server.moves = {SampleMove()};
  const std::vector<std::vector<std::string>> screens{{"show", "14"},
                                                      {"board"},
                                                      {"doors"},
                                                      {"close", "14"},
                                                      {"release", "14"},
                                                      {"stop", "TH-207"},
                                                      {"list"},
                                                      {"walk", "14"},
                                                      {"moving", "14", "--unit", "TH-207"},
                                                      {"history", "moves"},
                                                      {"tags"},
                                                      {"watch-yard"}};
  for (const std::vector<std::string>& arguments : screens) {
    EXPECT_THAT(RunCli(arguments, server).out, HasSubstr("REHEARSAL")) << arguments[0];
    EXPECT_LE(RunCli(arguments, server).lines().size(), 23U) << arguments[0];
  }
  server.AlwaysFail("RequestRelease",
                    WithDetail(grpc::StatusCode::FAILED_PRECONDITION, "no", SampleUnmet(25)));
  const Ran refused = RunCli({"release", "14"}, server);
  EXPECT_THAT(refused.out, HasSubstr("REHEARSAL"));
  EXPECT_LE(refused.lines().size(), 23U);
  server.me.set_rehearsal(false);
  EXPECT_THAT(RunCli({"show", "14"}, server).out, testing::Not(HasSubstr("REHEARSAL")));
}

TEST(Help, EveryVerbHasItWithinEightyColumnsAndNeverSaysSafe) {
  CLI::App app;
  Registry registry(app);
  GlobalOptions options;
  BuildTree(app, registry, options);
  int verbs = 0;
  const std::function<void(const CLI::App&)> visit = [&](const CLI::App& verb) {
    ++verbs;
    EXPECT_FALSE(verb.get_description().empty()) << verb.get_name();
    std::istringstream text(HelpText(verb, Style{}));
    for (std::string line; std::getline(text, line);) {
      EXPECT_LE(Columns(line), 80) << line;
      EXPECT_EQ((" " + line + " ").find(" safe "), std::string::npos) << line;
    }
    for (const CLI::App* below : verb.get_subcommands([](const CLI::App*) { return true; }))
      visit(*below);
  };
  visit(app);
  EXPECT_GT(verbs, 50);
  const Ran ran = RunCli({"--help"});
  EXPECT_EQ(ran.exit, ExitCode::kOk);
  EXPECT_THAT(ran.out, HasSubstr("It does not see people"));
  // Stop is the first verb that anybody reads.
  EXPECT_LT(ran.out.find("  stop "), ran.out.find("  show "));
  EXPECT_THAT(RunCli({"release", "--help"}).out, HasSubstr("permission to begin"));
  EXPECT_THAT(RunCli({"help", "cautions"}).out, HasSubstr("maker's manual"));
}

class Completion : public testing::Test {
 protected:
  /// Runs a line of bash with the script loaded; what it prints.
  static std::string Bash(const std::string& line) {
    const std::string path = testing::TempDir() + "chockwise-completion-" + NewRequestId();
    std::ofstream(path) << RunCli({"completion", "bash"}).out << line << "\n";
    FILE* pipe = popen(("bash --norc " + path + " 2>&1").c_str(), "r");
    std::string text;
    for (int c = std::fgetc(pipe); c != EOF; c = std::fgetc(pipe)) text += static_cast<char>(c);
    EXPECT_EQ(pclose(pipe), 0) << text;
    std::remove(path.c_str());
    return text;
  }
  /// What bash offers behind these words.
  static std::string Offered(const std::string& words, int at) {
    return Bash("COMP_WORDS=(chockwise " + words + "); COMP_CWORD=" + std::to_string(at) +
                "; _chockwise; printf '%s\\n' \"${COMPREPLY[@]}\"");
  }
};

TEST_F(Completion, BashOffersWhatTheTreeHas) {
  EXPECT_EQ(Offered("rel", 1), "release\nreload\n");
  EXPECT_EQ(Offered("door ''", 2).substr(0, 20), "moved\nfaulty\nreturn\n");
  EXPECT_THAT(Offered("door moved --j", 3), HasSubstr("--json"));
  EXPECT_THAT(Offered("--server 127.0.0.1:1 confirm 14 gate --c", 6), HasSubstr("--count"));
  EXPECT_THAT(Offered("history moves --sta", 3), HasSubstr("--state"));
  EXPECT_THAT(Bash("complete -p chockwise"), HasSubstr("-F _chockwise chockwise"));
}

TEST_F(Completion, EveryVerbAndOptionOfTheTreeIsInBothScripts) {
  CLI::App app;
  Registry registry(app);
  GlobalOptions options;
  BuildTree(app, registry, options);
  for (const std::string shell : {"bash", "zsh"}) {
    const std::string script = CompletionScript(app, shell);
    const std::function<void(const CLI::App&)> visit = [&](const CLI::App& verb) {
      if (verb.get_parent() != nullptr) {
        EXPECT_THAT(script, HasSubstr(verb.get_name()));
      }
      for (const CLI::Option* option :
           verb.get_options([](const CLI::Option* o) { return o->nonpositional(); })) {
        for (const std::string& name : option->get_lnames())
          EXPECT_THAT(script, HasSubstr("--" + name));
      }
      for (const CLI::App* below : verb.get_subcommands([](const CLI::App*) { return true; }))
        visit(*below);
    };
    visit(app);
  }
}

TEST_F(Completion, ZshAcceptsTheScriptWhereThereIsAZsh) {
  if (std::system("command -v zsh >/dev/null 2>&1") != 0) GTEST_SKIP() << "no zsh here";
  const std::string path = testing::TempDir() + "chockwise-completion-" + NewRequestId();
  std::ofstream(path) << RunCli({"completion", "zsh"}).out;
  EXPECT_EQ(std::system(("zsh -n " + path).c_str()), 0);
  std::remove(path.c_str());
}

}  // namespace
}  // namespace chockwise::cli
