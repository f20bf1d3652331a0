// Walking one's own gates, and guided mode, with what people type.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include "tests/cli/fake_server.h"
#include "tests/cli/samples.h"

namespace chockwise::cli {
namespace {

using testing::HasSubstr;
using testing::Not;

/// A server whose gates clear as words are given, the way the real one's do for this person.
class Walk : public testing::Test {
 protected:
  Walk() {
    server.moves = {FromText<v1::Move>(R"(
      name: "yards/north/moves/14" machine: "TH-207" from_place: "bay-2" to_place: "apron" stops:
          "door-3" driver: "ana"
      spotter: "ben" spotter_accepted: true state: MOVE_STATE_REQUESTED phase: PHASE_START)")};
    server.on_confirm = [this](const v1::ConfirmRequest& request) {
      for (v1::Gate& gate : *server.moves[0].mutable_gates()) {
        if (gate.gate_id() != request.gate_id()) continue;
        const bool found = !request.finding().empty();
        gate.set_state(found ? v1::GATE_STATE_NOT_CLEAR : v1::GATE_STATE_CLEAR);
        if (!found) gate.clear_missing_parties();
      }
    };
  }

  v1::Gate& Add(const std::string& id, v1::Party party,
                v1::Evidence evidence = v1::EVIDENCE_UNSPECIFIED) {
    v1::Gate& gate = *server.moves[0].add_gates();
    gate.set_gate_id(id);
    gate.set_title(id);
    gate.set_question("Is " + id + " so?");
    gate.set_remedy("Make " + id + " so.");
    gate.set_state(v1::GATE_STATE_NOT_ASKED);
    gate.add_parties(party);
    gate.add_missing_parties(party);
    gate.set_evidence(evidence);
    gate.set_item("chocks");
    return gate;
  }

  std::vector<v1::ConfirmRequest> Given() const {
    std::vector<v1::ConfirmRequest> given;
    for (const FakeCall& call : server.calls("Confirm"))
      given.push_back(dynamic_cast<const v1::ConfirmRequest&>(*call.request));
    return given;
  }

  FakeServer server;
};

TEST_F(Walk, AsksOnlyMyGatesInOrderAndGivenLastLast) {
  Add("last-word", v1::PARTY_DRIVER).set_given_last(true);
  Add("walk-around", v1::PARTY_DRIVER);
  Add("people-clear", v1::PARTY_SPOTTER);
  Add("belt-on", v1::PARTY_DRIVER);
  const Ran ran = RunCli({"walk", "14"}, server, {.input = "c\nc\nclear\n"});
  EXPECT_EQ(ran.exit, ExitCode::kOk) << ran.out;
  const auto given = Given();
  ASSERT_EQ(given.size(), 3U);
  EXPECT_EQ(given[0].gate_id(), "walk-around");
  EXPECT_EQ(given[1].gate_id(), "belt-on");
  EXPECT_EQ(given[2].gate_id(), "last-word");
  for (const auto& word : given) EXPECT_TRUE(word.finding().empty());
  EXPECT_NE(given[0].request_id(), given[1].request_id());
  EXPECT_THAT(ran.out, HasSubstr("[1/3] walk-around"));
  EXPECT_THAT(ran.out, HasSubstr("chockwise release 14"));
  for (const std::string& line : ran.lines()) EXPECT_LE(Columns(line), 80) << line;
}

// Enter alone, a neighbouring key and a key hit twice are no word: only a deliberate one is.
TEST_F(Walk, ASlipOfAGloveGivesNoWordAndIsAskedAgain) {
  Add("walk-around", v1::PARTY_DRIVER);
  Add("chocks-in", v1::PARTY_DRIVER, v1::EVIDENCE_COUNT_PICKED_UP);
  const Ran ran = RunCli({"walk", "14"}, server, {.input = "\n\nv\ncc\n"});
  EXPECT_TRUE(Given().empty()) << ran.out;
  std::size_t prompts = 0;
  for (std::size_t at = ran.out.find("c = clear"); at != std::string::npos;
       at = ran.out.find("c = clear", at + 1))
    ++prompts;
  EXPECT_EQ(prompts, 5U) << "once, and once more for each slip";
  (void)RunCli({"walk", "14"}, server, {.input = "c\nq\n4\n"});
  ASSERT_EQ(Given().size(), 2U);
  EXPECT_EQ(Given()[1].count(), 4);
  EXPECT_EQ(Given()[1].finding(), "");
}

// Whose count is wrong, nobody knows yet: the walk says both, and how to count again.
TEST_F(Walk, CountsThatDifferAreSaidAtOnce) {
  Add("chocks-in", v1::PARTY_DRIVER, v1::EVIDENCE_COUNT_PICKED_UP);
  server.on_confirm = [this](const v1::ConfirmRequest&) {
    v1::Gate& gate = *server.moves[0].mutable_gates(0);
    gate.set_state(v1::GATE_STATE_NOT_CLEAR);
    gate.set_reason("counts of chocks differ: 3 (ana) and 4 (ben)");
  };
  const Ran ran = RunCli({"walk", "14"}, server, {.input = "3\n"});
  EXPECT_THAT(ran.out, HasSubstr("x NOT CLEAR  counts of chocks differ: 3 (ana) and 4 (ben)"));
  EXPECT_THAT(ran.out, HasSubstr("Count again, together: chockwise walk 14"));
}

// What is typed in words is what was found.
TEST_F(Walk, AnythingTypedIsAFinding) {
  Add("walk-around", v1::PARTY_DRIVER);
  const Ran ran = RunCli({"walk", "14"}, server, {.input = "vise on the bumper\n"});
  ASSERT_EQ(Given().size(), 1U);
  EXPECT_EQ(Given()[0].finding(), "vise on the bumper");
  EXPECT_THAT(ran.out, HasSubstr("NOT CLEAR"));
  EXPECT_THAT(ran.out, HasSubstr("Make walk-around so."));
  EXPECT_THAT(ran.out, HasSubstr("1 gate of yours still not clear"));
}

TEST_F(Walk, TheEndOfInputGivesNoWord) {
  Add("walk-around", v1::PARTY_DRIVER);
  const Ran ran = RunCli({"walk", "14"}, server, {.input = ""});
  EXPECT_TRUE(Given().empty());
  EXPECT_EQ(ran.exit, ExitCode::kOk);
}

TEST_F(Walk, CountsCodesAndNotesAreAskedWhereTheGateWantsThem) {
  Add("chocks-in", v1::PARTY_DRIVER, v1::EVIDENCE_COUNT_PICKED_UP);
  Add("walk-around", v1::PARTY_DRIVER, v1::EVIDENCE_POST_CODE);
  Add("key", v1::PARTY_DRIVER, v1::EVIDENCE_NOTE);
  Add("cones-in", v1::PARTY_DRIVER, v1::EVIDENCE_COUNT_PICKED_UP);
  // An empty line is no count and no code: it is asked again.
  const Ran ran =
      RunCli({"walk", "14"}, server, {.input = "\n4\nc\n\nK7\nc\nkey 12\none is missing\n"});
  const auto given = Given();
  ASSERT_EQ(given.size(), 4U) << ran.out;
  EXPECT_EQ(given[0].count(), 4);
  EXPECT_EQ(given[1].post_code(), "K7");
  EXPECT_EQ(given[2].note(), "key 12");
  EXPECT_FALSE(given[3].has_count());
  EXPECT_EQ(given[3].finding(), "one is missing");
  EXPECT_THAT(ran.out, HasSubstr("How many chocks? A number"));
}

TEST_F(Walk, TieDownsAreNamedOneKindAtATime) {
  Add("ties-named", v1::PARTY_DRIVER, v1::EVIDENCE_TIES);
  // What cannot be read is asked again, and so is a list of nothing; Enter alone ends it.
  const Ran ran = RunCli({"walk", "14"}, server,
                         {.input = "c\n\n2 x 3/8 in grade 70 direct front\nfour chains\n"
                                   "2 x 1/2 in grade unmarked direct rear\n\n"});
  ASSERT_EQ(Given().size(), 1U) << ran.out;
  EXPECT_EQ(Given()[0].note(),
            "2 x 3/8 in grade 70 direct front; 2 x 1/2 in grade unmarked direct rear");
  EXPECT_THAT(ran.out, HasSubstr("cannot be read: 'four chains'"));
}

TEST_F(Walk, ThePlaceOnTheDeckIsAskedUntilItCanBeRead) {
  Add("stands-on-deck", v1::PARTY_DRIVER, v1::EVIDENCE_DECK_PLACE);
  const Ran ran =
      RunCli({"walk", "14"}, server, {.input = "c\n\nin the middle\n2 ft\nrear 3 in behind\n"});
  ASSERT_EQ(Given().size(), 1U) << ran.out;
  EXPECT_EQ(Given()[0].note(), "rear 3 in behind");
  EXPECT_THAT(ran.out, HasSubstr("write one of front, rear"));
}

TEST_F(Walk, ACountOfNoneIsACount) {
  Add("chocks-in", v1::PARTY_DRIVER, v1::EVIDENCE_COUNT_PICKED_UP);
  (void)RunCli({"walk", "14"}, server, {.input = "0\n"});
  ASSERT_EQ(Given().size(), 1U);
  EXPECT_TRUE(Given()[0].has_count());
  EXPECT_EQ(Given()[0].count(), 0);
}

TEST_F(Walk, TheSpotterWalksThePathLegByLegThenPocketsTheDevice) {
  server.me.set_person("ben");
  Add("path-walked", v1::PARTY_SPOTTER);
  Add("people-clear", v1::PARTY_SPOTTER);
  Add("walk-around", v1::PARTY_DRIVER);
  const Ran ran = RunCli({"walk", "14"}, server, {.input = "c\nc\nc\n"});
  ASSERT_EQ(Given().size(), 2U) << ran.out;
  EXPECT_THAT(ran.out, HasSubstr("Leg 1 of 2: bay-2 to door-3"));
  EXPECT_THAT(ran.out, HasSubstr("Leg 2 of 2: door-3 to apron"));
  EXPECT_THAT(ran.out, HasSubstr("Put this device in your pocket now"));
}

TEST_F(Walk, AFindingOnOneLegIsAFindingOnThePath) {
  server.me.set_person("ben");
  Add("path-walked", v1::PARTY_SPOTTER);
  const Ran ran = RunCli({"walk", "14"}, server, {.input = "c\nhose across\n"});
  ASSERT_EQ(Given().size(), 1U);
  EXPECT_EQ(Given()[0].finding(), "door-3 to apron: hose across");
  EXPECT_THAT(ran.out, Not(HasSubstr("pocket")));
}

TEST_F(Walk, StopIsHeardAtEveryQuestion) {
  Add("walk-around", v1::PARTY_DRIVER);
  const Ran ran = RunCli({"walk", "14"}, server, {.input = "stop\n"});
  EXPECT_TRUE(Given().empty());
  EXPECT_EQ(server.calls("StopMove").size(), 1U);
  EXPECT_EQ(ran.exit, ExitCode::kOk);
}

TEST_F(Walk, ARefusedWordIsSaidAndTheWalkGoesOn) {
  Add("walk-around", v1::PARTY_DRIVER);
  Add("belt-on", v1::PARTY_DRIVER);
  server.AlwaysFail("Confirm", {grpc::StatusCode::PERMISSION_DENIED, "not yours to give"});
  const Ran ran = RunCli({"walk", "14"}, server, {.input = "c\nc\n"});
  EXPECT_EQ(server.calls("Confirm").size(), 2U);
  EXPECT_EQ(ran.exit, ExitCode::kNotAllowed);
  EXPECT_THAT(ran.out, HasSubstr("not yours to give"));
}

TEST_F(Walk, AsksNothingWhileTheWheelsTurn) {
  Add("walk-around", v1::PARTY_DRIVER);
  server.moves[0].clear_phase();
  server.moves[0].set_state(v1::MOVE_STATE_UNDER_WAY);
  const Ran ran = RunCli({"walk", "14"}, server, {.input = "c\n"});
  EXPECT_TRUE(Given().empty());
  EXPECT_THAT(ran.out, Not(HasSubstr(" > ")));
}

TEST_F(Walk, ScriptsAreSentToConfirm) {
  EXPECT_EQ(RunCli({"walk", "14", "--json"}, server).exit, ExitCode::kUsage);
}

TEST_F(Walk, GuidedAsksWhoYouAreAndOffersTheNextStepsByNumber) {
  server.me = SampleDriver();
  Add("walk-around", v1::PARTY_DRIVER);
  // Driver; move 14; walk its one gate: clear; leave.
  const Ran ran = RunCli({}, server, {.input = "1\n1\n1\nc\n\nq\n", .terminal = true});
  EXPECT_EQ(ran.exit, ExitCode::kOk) << ran.out;
  EXPECT_THAT(ran.out, HasSubstr("Who are you today?"));
  EXPECT_THAT(ran.out, HasSubstr("Walk your gates (1)"));
  EXPECT_EQ(Given().size(), 1U);
}

// Law 10: guided mode ends when the wheels are about to turn, whatever more is typed.
TEST_F(Walk, GuidedLeavesWithTheFirstTurnOfTheWheels) {
  server.moves[0].set_state(v1::MOVE_STATE_RELEASED);
  server.moves[0].mutable_release()->set_limit("door-3");
  const Ran ran =
      RunCli({"guided"}, server, {.input = "1\n1\nTH-207\n1\n1\n1\n", .terminal = true});
  EXPECT_EQ(server.calls("BeginMove").size(), 1U) << ran.out;
  EXPECT_EQ(server.calls().back().method, "BeginMove");
  EXPECT_THAT(ran.out.substr(ran.out.rfind("\033[2J")), HasSubstr("Put this device away now."));
}

TEST_F(Walk, GuidedHearsStopAtEveryMenu) {
  const Ran ran = RunCli({"guided"}, server, {.input = "stop\nq\n", .terminal = true});
  EXPECT_EQ(server.calls("StopMove").size(), 1U) << ran.out;
}

TEST_F(Walk, GuidedAsksForAMoveStepByStep) {
  server.moves.clear();
  server.yard = FromText<v1::Yard>(
      R"(kinds { kind: "load-onto-carrier" title: "loaded onto a carrier" needs_carrier: true })");
  const Ran ran =
      RunCli({"guided"}, server,
             {.input = "1\n1\nEX-301\ncarrier-pad\nCR-1\nben\n\nq\n", .terminal = true});
  const auto calls = server.calls("RequestMove");
  ASSERT_EQ(calls.size(), 1U) << ran.out;
  const auto& request = dynamic_cast<const v1::RequestMoveRequest&>(*calls[0].request);
  EXPECT_EQ(request.kind(), "load-onto-carrier");
  EXPECT_EQ(request.machine(), "EX-301");
  EXPECT_EQ(request.to_place(), "carrier-pad");
  EXPECT_EQ(request.carrier(), "CR-1");
  EXPECT_EQ(request.spotter(), "ben");
}

}  // namespace
}  // namespace chockwise::cli
