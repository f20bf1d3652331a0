// Screens: messages of the API in, lines out. Width, colour and marks are arguments, so every
// screen can be held against a golden. Pure, apart from the time zone of the process.
//
//   Lines lines = MoveScreen({.move = move, .me = me}, style);
//
// No screen says "safe". A screen fits style.width columns, and style.height lines unless `all` is
// asked for.
#pragma once

#include <cstddef>
#include <optional>
#include <string>
#include <vector>

#include "chockwise/v1/ledger.pb.h"
#include "chockwise/v1/moves.pb.h"
#include "chockwise/v1/people.pb.h"
#include "chockwise/v1/yards.pb.h"
#include "cli-client/no.h"
#include "cli-client/style.h"

namespace chockwise::cli {

enum class Extent { kOneScreen, kAll };

struct MoveView {
  v1::Move move;
  v1::Identity me;
  Extent extent = Extent::kOneScreen;
  std::size_t steps_shown = 3;  // next steps, as commands
};
/// What is missing on one move, who can clear it, and what to do next.
Lines MoveScreen(const MoveView& view, const Style& style);

/// One line of a list: number, state, machine, way.
std::string MoveLine(const v1::Move& move, const Style& style);

/// Permission to begin: up to where, until when, and the caution.
Lines ReleaseScreen(const v1::Release& release, const v1::Move& move, const Style& style);

/// The device goes away. Law 10.
Lines DarkScreen(const Style& style);

struct NoFacts {
  std::string heading = "NO";   // "NOT RELEASED"
  std::string move = {};        // number; may be empty
  std::string machine = {};     // unit number; may be empty
  std::string viewer = {};      // id of the person who reads
  std::string request_id = {};  // of a write; empty for a read
  std::string again = {};       // command to give when it is clear: "chockwise release 14"
};
/// A refusal as a good yard lead says it: what is missing, who can clear it, how, and the number
/// behind it.
Lines NoScreen(const No& no, const NoFacts& facts, const Style& style);

/// What to do when the server is away, too busy or too late.
Lines AwayScreen(const No& no, const NoFacts& facts, const Style& style);

struct BoardView {
  v1::Yard yard;
  std::vector<v1::Move> moves;
};
Lines BoardScreen(const BoardView& view, const Style& style);

struct HeldView {
  v1::Receipt receipt;
  // Those that stand stopped now, whoever stopped them; unset where they are not known.
  std::optional<std::vector<v1::Move>> stopped;
};
/// The yard is held: what that means now, which moves it stopped, and how it ends.
Lines HeldScreen(const HeldView& view, const Style& style);
Lines DoorsScreen(const v1::Yard& yard, const Style& style);
Lines TagsScreen(const v1::Yard& yard, const Style& style);
Lines MachinesScreen(const v1::Yard& yard, const Style& style);
Lines PeopleScreen(const v1::Yard& yard, const Style& style);
std::string EventLine(const v1::YardEvent& event, const Style& style);

Lines IdentityScreen(const v1::Identity& me, const Style& style);
Lines TokensScreen(const std::vector<v1::Token>& tokens, const Style& style);
Lines CheckpointScreen(const v1::Checkpoint& checkpoint, const Style& style);

/// Bytes as lower-case hex.
std::string Hex(const std::string& bytes);

}  // namespace chockwise::cli
