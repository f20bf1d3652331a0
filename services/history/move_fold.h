// Folds the entries of one move into its record and its tally. Private to the room.
//
// Total: any entry folds, in any order; what makes no sense changes nothing. Whether it should have
// been recorded is the audit's question. Plain data, one thread.
#pragma once

#include <cstdint>
#include <map>
#include <set>
#include <string>

#include "chockwise/v1/entries.pb.h"
#include "chockwise/v1/history.pb.h"
#include "services/yard/yard.h"

namespace chockwise::history {

/// What the rules of a version say that history repeats.
struct RuleWords {
  struct Gate {
    std::string title;
    v1::GateClass gate_class = v1::GATE_CLASS_UNSPECIFIED;
    std::string counted;  // the item, where the gate asks for a count
  };
  std::map<std::string, Gate, std::less<>> gates;
  std::map<std::string, std::string, std::less<>> kind_titles;
};
RuleWords WordsOfRules(const v1::Rules& rules);

struct MoveRow {
  v1::MoveRecord record;
  v1::MovesSummary tally;                        // of this move alone
  v1::Phase live_phase = v1::PHASE_UNSPECIFIED;  // of the last release
  std::set<std::string> new_people;              // since the row was read
  std::set<std::string> new_doors;
};

struct FoldContext {
  std::string_view yard;  // for names
  int64_t entry = 0;      // number of the entry folded
  const RuleWords& rules;
};

/// An entry about that move.
void FoldIntoMove(const FoldContext& context, const v1::Entry& entry, MoveRow& row);

/// The service started again, or the clock stepped: nothing stays released, and what was under way
/// is stopped. Law 7.
void FoldStart(v1::StopCause cause, MoveRow& row);

/// Adds the tally of a move, or of many, to a sum.
void AddTally(const v1::MovesSummary& tally, v1::MovesSummary& sum);

google::protobuf::Timestamp ToTimestamp(int64_t time_us);
int64_t ToMicros(const google::protobuf::Timestamp& time);

}  // namespace chockwise::history
