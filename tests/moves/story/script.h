// Stories as text: what people say and do, and what comes of it. The text is the assertion; with
// CHOCKWISE_REWRITE=1 the answers are written anew, and a human reads the difference.
//
//   # a line of prose
//   yard small                                  or: full
//   dana asks short-hop WL-1 south spotter=sam
//   > move 1 REQUESTED: move_requested
//   sam accepts 1 WL-1
//   dana says 1 hop-look finding="a hose"       also: count=2 code=BA1 note="key 7"
//   everybody says 1 but hop-look               every word that is wanted, from the right people
//   dana wants release 1
//   > no, FAILED_PRECONDITION law 1: ...
//   wait 5 min
//   tick
//
// An answer line starts with "> ". Every other line is a command or prose.
#pragma once

#include <string>
#include <vector>

namespace chockwise::moves {

/// Plays the script and gives it back with the answers that came. Fails the test on a line it does
/// not understand.
std::string Played(const std::string& script);

/// Plays every *.txt of a folder (below tests/moves) and compares; rewrites it where the
/// environment asks for it.
std::vector<std::string> ScriptsIn(const std::string& folder);
void CheckScript(const std::string& path);

}  // namespace chockwise::moves
