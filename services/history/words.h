// What an entry of the ledger says, in one line of plain English: for time lines, for the watch of
// a yard, for the audit.
//
//   Words(entry)  ->  "release refused: walk-around (stale), tags (not clear)"
//
// Who did it, when, and which move it was about stand beside the line and are not said again. Ids
// are given as recorded; free text stands in quotes, with control characters taken out, so that no
// text can write over a screen.
//
// Pure and total: every kind of entry has its words. Safe from any thread.
#pragma once

#include <cstdint>
#include <string>
#include <string_view>

#include "chockwise/v1/entries.pb.h"

namespace chockwise::history {

/// One line, without a line feed and never empty.
std::string Words(const v1::Entry& entry);

/// "2026-11-24 07:05:00Z" from microseconds since 1970, rounded down to the second. RFC 3339 with a
/// blank for the T.
std::string TimeWords(int64_t time_us);

/// "requested", "under way", "left standing".
std::string_view StateWords(v1::MoveState state);

/// "start", "hold point", "close-out".
std::string_view PhaseWords(v1::Phase phase);

/// "not asked", "not clear", "stale", "clear".
std::string_view GateStateWords(v1::GateState state);

/// "called", "lost sight", "a door moved".
std::string_view CauseWords(v1::StopCause cause);

/// "another driver", "left unattended".
std::string_view HappeningWords(v1::Happening happening);

}  // namespace chockwise::history
