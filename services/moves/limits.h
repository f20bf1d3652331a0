// Everything in the heart that can grow, and how far. One place, so that a reader can see that
// nothing is without end.
#pragma once

#include <cstddef>
#include <cstdint>

namespace chockwise::moves {

inline constexpr size_t kMaxOpenMoves =
    200'000;  // per yard; the next request is RESOURCE_EXHAUSTED
inline constexpr size_t kMaxEndedMovesKept =
    1'000;  // ended moves that GetMove still finds; history has them all
inline constexpr size_t kMaxKeptFindings =
    20'000;  // of the survey, per version of the yard; then they are found anew
inline constexpr size_t kMaxStopWords =
    64;  // per move; later ones are entries, and stand with the last kept
inline constexpr size_t kMaxTags = 100;        // per machine
inline constexpr size_t kMaxTokens = 10'000;   // per yard, revoked and lapsed ones not counted
inline constexpr size_t kMaxTextLength = 200;  // findings, reasons, remarks: UTF-8 bytes
inline constexpr size_t kMaxNoteLength = 80;
inline constexpr size_t kMaxTiesLength = 400;  // a note that names tie-downs
inline constexpr size_t kMaxTitleLength = 40;
inline constexpr int64_t kMaxCount = 1'000;
inline constexpr int64_t kMaxDistanceMm = 10'000'000;
inline constexpr int32_t kMaxTokenDays = 400;
inline constexpr int64_t kMaxShiftHours =
    16;  // default: the safety lead's to set by opening shorter ones

}  // namespace chockwise::moves
