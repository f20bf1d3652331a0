// A row for every gate that the kinds of two yards ask, made from the rules themselves: a gate that
// is added to the rules is in the tables without a line of C++.
#pragma once

#include <ostream>
#include <string>
#include <vector>

#include "tests/moves/story/story.h"

namespace chockwise::moves {

/// A move that asks for one kind's gates.
struct Scene {
  std::string yard;  // "small", "full"
  Asked asked;
};

/// Every kind of both yards, on machines, people and ways that let it go through.
const std::vector<Scene>& Scenes();

struct GateRow {
  Scene scene;
  v1::Phase phase = v1::PHASE_UNSPECIFIED;
  std::string gate_id;
};

void PrintTo(const GateRow& row, std::ostream* out);
/// The row as a test's name.
std::string RowName(const testing::TestParamInfo<GateRow>& info);

enum class Sort { kLookedAt, kComputed };
/// One row for each gate of that sort and each phase in which it is asked, once a yard.
std::vector<GateRow> RowsOf(Sort sort);

/// A story in which the row's move (number 1) stands where its phase is asked, no word of it given
/// yet.
Story StoryAt(const GateRow& row);
Story StoryAt(const Scene& scene, v1::Phase phase);

/// The release or the close: whatever the phase's gates keep back.
Outcome<Entries> TryForward(Story& story, MoveNumber number);

/// How the row's gate stands at an instant, whatever phase the move is asked now.
GateStatus GateAt(const YardState& state, const GateRow& row, Instant now);

}  // namespace chockwise::moves
