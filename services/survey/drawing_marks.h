// The pens and marks of the drawings from above, alike on the map and in its legend. Private to the
// room. Threads: pure functions on a sheet.
#pragma once

#include <string_view>

#include "services/survey/drawing_svg.h"

namespace chockwise::survey {

inline constexpr Pen kLanePen = {.stroke = "#888888", .width_px = 1, .dashes = "2,5"};
inline constexpr Pen kRoutePen = {.stroke = "#000000", .width_px = 2.5};
inline constexpr Pen kBackedPen = {.stroke = "#000000", .width_px = 2.5, .dashes = "9,5"};
inline constexpr Pen kSweptPen = {.stroke = "#005a8c", .width_px = 1.5, .fill = "#dcebf5"};
inline constexpr Pen kBlindPen = {
    .stroke = "#555555", .width_px = 1.5, .dashes = "9,3,2,3", .fill = kCrossHatch};
inline constexpr Pen kKeepClearPen = {
    .stroke = "#000000", .width_px = 1.5, .dashes = "6,4", .fill = kDots};
inline constexpr Pen kObstaclePen = {.width_px = 1, .fill = "#444444"};
inline constexpr Pen kAssumedPen = {.width_px = 1, .dashes = "3,2", .fill = "#ffffff"};
inline constexpr Pen kStartPen = {.width_px = 2, .fill = "#ffffff"};
inline constexpr Pen kEndPen = {.width_px = 2, .dashes = "5,4"};
inline constexpr Pen kFrontPen = {.width_px = 5};
inline constexpr Pen kSlewPen = {.stroke = "#b03000", .width_px = 1.5, .dashes = "10,3"};
inline constexpr Pen kDoorPen = {.width_px = 6};
inline constexpr Pen kTightPen = {.stroke = "#b03000", .width_px = 3};
inline constexpr Pen kStandPen = {.stroke = "#000000", .width_px = 2.5, .fill = "#ffffff"};

/// A spotter, by a letter.
void DrawStand(Sheet& sheet, const Sheet::Round& mark, std::string_view letter);
/// Cross-hairs: the tightest spot, or what would have to change.
void DrawTight(Sheet& sheet, const Sheet::Round& mark);
void DrawHold(Sheet& sheet, fit::Point at);
/// Where the way goes on to another lane.
void DrawTurn(Sheet& sheet, const Sheet::Round& mark);
/// Where it changes between driving and reversing: an arrow each way.
void DrawReversal(Sheet& sheet, const Sheet::Round& mark);

}  // namespace chockwise::survey
