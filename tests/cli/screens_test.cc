// Screens against goldens, and the promises that hold for every screen: 80 columns, 24 lines, never
// the word "safe".
//
// CHOCKWISE_REWRITE=1 writes the goldens anew; read the difference before it is kept.

#include <gmock/gmock.h>
#include <gtest/gtest.h>

#include <cstdlib>
#include <fstream>
#include <regex>
#include <set>
#include <sstream>

#include "cli-client/gates.h"
#include "cli-client/render.h"
#include "cli-client/render_history.h"
#include "cli-client/words.h"
#include "tests/cli/fake_server.h"
#include "tests/cli/samples.h"

namespace chockwise::cli {
namespace {

using testing::HasSubstr;

constexpr Style kPlain{.width = 80, .height = 24, .inks = Inks::kNone, .glyphs = Glyphs::kAscii};
constexpr Style kRich{.width = 80, .height = 24, .inks = Inks::kAnsi, .glyphs = Glyphs::kUtf8};

std::string Joined(const Lines& lines) {
  std::string text;
  for (const std::string& line : lines) text += line + "\n";
  return text;
}

/// One line is the prompt's.
void ExpectFits(const Lines& lines, const Style& style) {
  EXPECT_LE(static_cast<int>(lines.size()), style.height - 1) << Joined(lines);
  for (const std::string& line : lines) EXPECT_LE(Columns(line), style.width) << line;
  // A safety lead is a person; nothing and nobody else is called so.
  EXPECT_FALSE(std::regex_search(Joined(lines), std::regex("safe(?!ty lead)", std::regex::icase)))
      << Joined(lines);
}

void ExpectGolden(const std::string& name, const Lines& lines) {
  const std::string path = "goldens/" + name + ".txt";
  if (std::getenv("CHOCKWISE_REWRITE") != nullptr) {
    std::ofstream(path) << Joined(lines);
    return;
  }
  std::ifstream file(path);
  ASSERT_TRUE(file) << path << ": no golden; CHOCKWISE_REWRITE=1 writes it";
  std::ostringstream want;
  want << file.rdbuf();
  EXPECT_EQ(Joined(lines), want.str()) << path;
}

class Screens : public testing::Test {
 protected:
  Screens() {
    setenv("TZ", "UTC", 1);
    tzset();
  }
};

TEST_F(Screens, ShowSaysWhatIsMissingAndWhoCanClearIt) {
  const Lines lines = MoveScreen({.move = SampleMove(), .me = SampleDriver()}, kPlain);
  ExpectFits(lines, kPlain);
  ExpectGolden("show", lines);
}

TEST_F(Screens, ShowAllHasEveryGateInFull) {
  const v1::Move move = SampleMove();
  const Lines lines =
      MoveScreen({.move = move, .me = SampleDriver(), .extent = Extent::kAll}, kPlain);
  for (const v1::Gate& gate : move.gates()) EXPECT_THAT(Joined(lines), HasSubstr(gate.title()));
  ExpectGolden("show_all", lines);
}

TEST_F(Screens, RefusalOfAFewGatesExplainsThemAll) {
  const No no = ReadNo(
      WithDetail(grpc::StatusCode::FAILED_PRECONDITION, "3 gates are not clear", SampleUnmet(3)));
  const Lines lines = NoScreen(
      no,
      {.heading = "NOT RELEASED", .move = "14", .viewer = "ana", .again = "chockwise release 14"},
      kPlain);
  ExpectFits(lines, kPlain);
  ExpectGolden("refusal_few", lines);
}

// However many gates are not clear: one screen, every gate named, the numbers of those that say no.
TEST_F(Screens, RefusalFitsOneScreenForEveryNumberOfGates) {
  for (int count = 1; count <= 25; ++count) {
    const v1::UnmetGates unmet = SampleUnmet(count);
    const No no = ReadNo(WithDetail(grpc::StatusCode::FAILED_PRECONDITION, "not clear", unmet));
    for (const Style& style : {kPlain, kRich}) {
      const Lines lines = NoScreen(no,
                                   {.heading = "NOT RELEASED",
                                    .move = "14",
                                    .viewer = "ana",
                                    .again = "chockwise release 14"},
                                   style);
      EXPECT_LE(lines.size(), 23U) << count;
      std::string text;
      for (const std::string& line : lines) text += line.substr(line.find_first_not_of(' ')) + " ";
      for (const v1::UnmetGate& gate : unmet.gates())
        EXPECT_THAT(text, HasSubstr(gate.title())) << count;
    }
  }
  const No no =
      ReadNo(WithDetail(grpc::StatusCode::FAILED_PRECONDITION, "not clear", SampleUnmet(25)));
  const Lines lines = NoScreen(
      no,
      {.heading = "NOT RELEASED", .move = "14", .viewer = "ana", .again = "chockwise release 14"},
      kPlain);
  ExpectFits(lines, kPlain);
  ExpectGolden("refusal_25", lines);
}

// Where the screen is too small even for names, what is left out is counted and said where.
TEST_F(Screens, WhatDoesNotFitIsCountedAndSaidWhereItIs) {
  const GateScreen screen{.gates = OpenGates(SampleUnmet(25)), .lines = 6, .move = "14"};
  const Lines lines = GatesByWhoClears(screen, kPlain);
  EXPECT_LE(lines.size(), 6U) << Joined(lines);
  EXPECT_THAT(lines.back(), testing::MatchesRegex("  and [0-9]+ more: chockwise gates 14"));
}

// What somebody looked at and found wrong stands before what nobody has looked at.
TEST_F(Screens, TheWorstComesFirst) {
  const std::string text = Joined(
      GatesByWhoClears({.gates = OpenGates(SampleUnmet(25)), .lines = 21, .move = "14"}, kPlain));
  const std::size_t found = text.rfind("NOT CLEAR"), unasked = text.find("NOT ASKED");
  EXPECT_LT(text.find("NOT CLEAR"), unasked) << text;
  EXPECT_LT(text.find("DRIVER / SPOTTER"), text.find("TECH")) << text;
  EXPECT_NE(found, std::string::npos);
}

// The longest titles and reasons that the rules allow, in every party's hands.
TEST_F(Screens, RefusalFitsWithTheLongestTexts) {
  v1::UnmetGates unmet;
  for (int i = 0; i < 25; ++i) {
    v1::UnmetGate& gate = *unmet.add_gates();
    gate.set_title(std::string(38, static_cast<char>('a' + i)) + std::to_string(10 + i));
    gate.set_reason(std::string(150, 'r') + " " + std::string(200, 's'));
    gate.set_remedy(std::string(200, 'm'));
    gate.set_state(static_cast<v1::GateState>(1 + i % 3));
    if (i % 5 > 0) gate.add_parties(static_cast<v1::Party>(i % 5));
  }
  const No no = ReadNo(WithDetail(grpc::StatusCode::FAILED_PRECONDITION, "not clear", unmet));
  const Lines lines = NoScreen(
      no, {.heading = "NOT RELEASED", .move = "14", .again = "chockwise release 14"}, kPlain);
  ExpectFits(lines, kPlain);
}

TEST_F(Screens, ReleaseSaysUpToWhereUntilWhenAndTheCaution) {
  v1::Move move = SampleMove();
  const auto release =
      FromText<v1::Release>(R"(number: 1 limit: "door-3" start_by_time { seconds: 1795561631 })");
  const Lines lines = ReleaseScreen(release, move, kPlain);
  ExpectFits(lines, kPlain);
  EXPECT_THAT(Joined(lines), HasSubstr("You may begin when your spotter signals"));
  EXPECT_THAT(Joined(lines), HasSubstr("STOP AT door-3"));
  ExpectGolden("release", lines);
}

TEST_F(Screens, AwaySaysWhatToDoWithoutTheServer) {
  const No no = LocalNo(grpc::StatusCode::UNAVAILABLE, "failed to connect to all addresses");
  const Lines lines = NoScreen(no, {.request_id = "6f1d5f2e-0e0b-4a53-9d3e-0a3c5ad5b0a1"}, kPlain);
  ExpectFits(lines, kPlain);
  EXPECT_THAT(Joined(lines), HasSubstr("No new release"));
  ExpectGolden("away", lines);
}

TEST_F(Screens, OtherRefusalsSayWhatHelps) {
  const auto refused = FromText<v1::Refused>(
      R"(rule: "law 4" problem: "ben spots move 12 until it ends" remedy:
          "name another spotter, or wait for move 12")");
  Lines lines = NoScreen(ReadNo(WithDetail(grpc::StatusCode::FAILED_PRECONDITION, "no", refused)),
                         {.heading = "NOT TAKEN", .move = "14"}, kPlain);
  ExpectFits(lines, kPlain);
  const auto fields = FromText<v1::FieldViolations>(
      R"(violations { field: "to_place" problem: "no place \"bay-99\"; bay-1 to bay-4 exist" }
         violations { field: "machine" problem: "empty; give a unit number" })");
  Append(lines, NoScreen(ReadNo(WithDetail(grpc::StatusCode::INVALID_ARGUMENT, "no", fields)), {},
                         kPlain));
  Append(lines,
         NoScreen(LocalNo(grpc::StatusCode::UNAUTHENTICATED, "this token is revoked"), {}, kPlain));
  Append(lines, NoScreen(LocalNo(grpc::StatusCode::DATA_LOSS,
                                 "the ledger has 811 entries, its head says 812"),
                         {}, kPlain));
  ExpectGolden("other_refusals", lines);
}

TEST_F(Screens, BoardFitsAFullYard) {
  const BoardView view = SampleBoard();
  for (const Style& style : {kPlain, kRich}) {
    const Lines lines = BoardScreen(view, style);
    EXPECT_LE(lines.size(), 23U);
  }
  const Lines lines = BoardScreen(view, kPlain);
  ExpectFits(lines, kPlain);
  ExpectGolden("board", lines);
}

TEST_F(Screens, YardLists) {
  const v1::Yard yard = SampleBoard().yard;
  Lines lines = DoorsScreen(yard, kPlain);
  Append(lines, TagsScreen(yard, kPlain));
  Append(lines, MachinesScreen(yard, kPlain));
  Append(lines, PeopleScreen(yard, kPlain));
  for (const std::string& line : lines) EXPECT_LE(Columns(line), 80) << line;
  ExpectGolden("yard_lists", lines);
}

TEST_F(Screens, HistoryLists) {
  Lines lines = MoveRecordsScreen(SampleRecords(), kPlain);
  Append(lines, SummaryScreen(SampleSummary(), kPlain));
  for (const std::string& line : lines) EXPECT_LE(Columns(line), 80) << line;
  ExpectGolden("history", lines);
}

TEST_F(Screens, RefusalsAreALineEachAndOneInFull) {
  v1::ListRefusalsResponse response;
  for (const int gates : {3, 12, 1}) {
    auto& refusal = *response.add_refusals();
    refusal = FromText<v1::RefusalRecord>(
        R"(entry: 812 time { seconds: 1795561331 } person: "ana" move: "yards/north/moves/14"
           machine: "TH-207" phase: PHASE_START)");
    *refusal.mutable_gates() = SampleUnmet(gates).gates();
  }
  Lines lines = RefusalsScreen(response, kPlain);
  EXPECT_EQ(lines.size(), 5U) << "a heading, a line each, and how one is seen in full";
  Append(lines, RefusalScreen(response.refusals(0), kPlain));
  for (const std::string& line : lines) EXPECT_LE(Columns(line), 80) << line;
  ExpectGolden("refusals", lines);
}

// Law 5: who stopped it and a lead are the ones, and the screen says so.
TEST_F(Screens, AStoppedMoveSaysWhoMayLetItRestart) {
  v1::Move move = SampleMove();
  move.set_state(v1::MOVE_STATE_STOPPED);
  *move.add_stop_words() = FromText<v1::StopWord>(
      R"(person: "cho" cause: STOP_CAUSE_LOST_SIGHT time { seconds: 1795561331 })");
  *move.add_stop_words() =
      FromText<v1::StopWord>(R"(cause: STOP_CAUSE_SERVICE_RESTARTED time { seconds: 1795561331 })");
  const Lines lines = MoveScreen({.move = move, .me = SampleDriver()}, kPlain);
  ExpectFits(lines, kPlain);
  EXPECT_THAT(Joined(lines),
              HasSubstr("Who may let it restart: cho or a yard lead: chockwise restart 14"));
  v1::Identity lead = SampleDriver();
  lead.add_roles("yard-lead");
  // Law 4: a lead who drives it is not the second person.
  EXPECT_THAT(Joined(MoveScreen({.move = move, .me = lead}, kPlain)),
              testing::Not(HasSubstr("Let it be made ready again")));
}

TEST_F(Screens, AHoldSaysWhatItDidAndHowItEnds) {
  HeldView view{.receipt = FromText<v1::Receipt>(R"(entry: 90 entry_time { seconds: 1795561331 })"),
                .stopped = std::vector<v1::Move>{SampleMove(), SampleMove()}};
  std::vector<v1::Move>& moves = *view.stopped;
  for (v1::Move& move : moves) move.set_state(v1::MOVE_STATE_STOPPED);
  *moves[0].add_stop_words() =
      FromText<v1::StopWord>(R"(person: "ben" cause: STOP_CAUSE_YARD_HOLD)");
  *moves[1].add_stop_words() = FromText<v1::StopWord>(R"(person: "ben" cause: STOP_CAUSE_CALLED)");
  Lines lines = HeldScreen(view, kPlain);
  ExpectFits(lines, kPlain);
  EXPECT_THAT(Joined(lines), HasSubstr("STOPPED BY IT: 1"));
  moves.clear();
  Append(lines, HeldScreen(view, kPlain));
  ExpectGolden("held", lines);
}

// Every state has its own word and its own mark, in both alphabets: colour is never alone.
TEST_F(Screens, StatesDifferInWordAndMark) {
  for (const Glyphs glyphs : {Glyphs::kAscii, Glyphs::kUtf8}) {
    Style style = kPlain;
    style.glyphs = glyphs;
    std::set<std::string> marks;
    std::set<std::string> words;
    for (int state = v1::MOVE_STATE_REQUESTED; state <= v1::MOVE_STATE_LEFT_STANDING; ++state) {
      const std::string tag = PlainTag(style, static_cast<v1::MoveState>(state));
      marks.insert(tag.substr(0, tag.find(' ')));
      words.insert(tag.substr(tag.find(' ')));
    }
    EXPECT_EQ(marks.size(), 10U);
    EXPECT_EQ(words.size(), 10U);
    marks.clear();
    for (int state = v1::GATE_STATE_NOT_ASKED; state <= v1::GATE_STATE_CLEAR; ++state) {
      const std::string tag = PlainTag(style, static_cast<v1::GateState>(state));
      marks.insert(tag.substr(0, tag.find(' ')));
    }
    EXPECT_EQ(marks.size(), 4U);
  }
}

// A colour changes nothing but bytes between escape and 'm'.
TEST_F(Screens, ColourTakenOutLeavesThePlainScreen) {
  Style inked = kPlain;
  inked.inks = Inks::kAnsi;
  const auto stripped = [](const std::string& text) {
    std::string plain;
    for (std::size_t i = 0; i < text.size(); ++i) {
      if (text[i] == '\033') {
        i = text.find('m', i);
      } else {
        plain += text[i];
      }
    }
    return plain;
  };
  const auto same = [&](const Lines& with, const Lines& without) {
    EXPECT_EQ(stripped(Joined(with)), Joined(without));
  };
  same(MoveScreen({.move = SampleMove(), .me = SampleDriver()}, inked),
       MoveScreen({.move = SampleMove(), .me = SampleDriver()}, kPlain));
  same(BoardScreen(SampleBoard(), inked), BoardScreen(SampleBoard(), kPlain));
  const No no =
      ReadNo(WithDetail(grpc::StatusCode::FAILED_PRECONDITION, "not clear", SampleUnmet(12)));
  same(NoScreen(no, {.move = "14"}, inked), NoScreen(no, {.move = "14"}, kPlain));
}

// A finding that steers a terminal must not reach one.
TEST_F(Screens, TypedTextCannotSteerTheTerminal) {
  v1::Move move = SampleMove();
  move.mutable_gates(0)->set_state(v1::GATE_STATE_NOT_CLEAR);
  move.mutable_gates(0)->set_reason("\033[2J\033]0;gone\007 all clear");
  move.set_driver("a\033[31mna");
  const std::string text =
      Joined(MoveScreen({.move = move, .me = SampleDriver(), .extent = Extent::kAll}, kPlain));
  EXPECT_EQ(text.find('\033'), std::string::npos);
  EXPECT_EQ(text.find('\007'), std::string::npos);
}

}  // namespace
}  // namespace chockwise::cli
