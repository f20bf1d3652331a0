// What a person may want to do next with a move, as commands. It only offers: whether the rules
// allow it, the server says. Pure.
//
//   for (const Step& step : NextSteps(move, me)) fmt::print("{}: {}\n", step.title, step.verb);
#pragma once

#include <string>
#include <vector>

#include "chockwise/v1/moves.pb.h"
#include "chockwise/v1/people.pb.h"

namespace chockwise::cli {

struct Step {
  std::string verb;   // first words of the command: "walk", "release"
  std::string title;  // what a person reads: "Walk your gates (3)"
};

/// Likeliest first; stopping is always among them while the move is open.
std::vector<Step> NextSteps(const v1::Move& move, const v1::Identity& me);

/// How many of the move's gates wait for this person's word.
int GatesWaitingFor(const v1::Move& move, const v1::Identity& me);

/// Whether a gate waits for this person's word.
bool WaitsFor(const v1::Gate& gate, const v1::Move& move, const v1::Identity& me);

bool HasRole(const v1::Identity& me, std::string_view role);

}  // namespace chockwise::cli
