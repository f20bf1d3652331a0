// Gates that are not clear, grouped by who can clear them, in as many lines as there are and with
// as much said as fits. Pure.
//
//   GateScreen screen{.gates = OpenGates(move), .lines = 16, .move = "14", .viewer = "ana"};
//   Lines lines = GatesByWhoClears(screen, style);
#pragma once

#include <string>
#include <vector>

#include "chockwise/v1/moves.pb.h"
#include "chockwise/v1/refusals.pb.h"
#include "cli-client/style.h"

namespace chockwise::cli {

/// Of UnmetGates as they are; of a move's gates, those that are not clear, with the people of the
/// move.
std::vector<v1::UnmetGate> OpenGates(const v1::UnmetGates& unmet);
std::vector<v1::UnmetGate> OpenGates(const v1::Move& move);

struct GateScreen {
  std::vector<v1::UnmetGate> gates;
  int lines = 20;           // at most so many come back; 0: as many as it takes
  std::string move = {};    // its number, for the commands that are named; may be empty
  std::string viewer = {};  // id of the person who reads
};

/// The worst first: what says no is explained before what is stale or unasked is named, and the
/// lines that are left go to names, then to what helps. What does not fit is counted, with the
/// command that shows it.
Lines GatesByWhoClears(const GateScreen& screen, const Style& style);

/// The parties as a heading: "DRIVER / SPOTTER". Empty: nobody's word clears it.
std::string PartiesText(const google::protobuf::RepeatedField<int>& parties);

}  // namespace chockwise::cli
