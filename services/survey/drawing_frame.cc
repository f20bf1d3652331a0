#include "services/survey/drawing_frame.h"

#include <fmt/format.h>

#include <algorithm>
#include <array>

namespace chockwise::survey {

void Bounds::Take(fit::Point point) {
  least = {std::min(least.x_m, point.x_m), std::min(least.y_m, point.y_m)};
  most = {std::max(most.x_m, point.x_m), std::max(most.y_m, point.y_m)};
}

void Bounds::Take(const std::vector<fit::Point>& points) {
  for (const fit::Point point : points) Take(point);
}

GroundFrame FrameAround(const Bounds& bounds, const Fitting& fitting) {
  const double width_m = bounds.width_m() + 2 * fitting.pad_m;
  const double height_m = bounds.height_m() + 2 * fitting.pad_m;
  const double width_px = kSheetWidthPx - 2 * kEdgePx;
  GroundFrame frame;
  frame.px_per_m = std::min(width_px / width_m, fitting.most_height_px / height_m);
  frame.window = {.width_px = width_px,
                  .height_px = std::max(fitting.least_height_px, height_m * frame.px_per_m)};
  frame.corner_px = {kEdgePx, kTitleHeightPx};
  const fit::Point middle = 0.5 * (bounds.least + bounds.most);
  frame.low_left =
      middle - (0.5 / frame.px_per_m) * fit::Point{frame.window.width_px, frame.window.height_px};
  return frame;
}

void DrawTitles(Sheet& sheet, const Titles& titles) {
  sheet.Text({kEdgePx, 34}, titles.title, {.size_px = 22, .weight = "bold"});
  // As large as the sheet is wide enough for.
  const double letters = std::max(1.0, static_cast<double>(titles.line.size()));
  const double size_px = std::min(18.0, (kSheetWidthPx - 2 * kEdgePx) / (kLetterWidth * letters));
  sheet.Text({kEdgePx, 64}, titles.line, {.size_px = size_px, .weight = "bold"});
  sheet.Text({kEdgePx, 84},
             "A drawing, not a release. Readings of " + titles.asked_on +
                 " and before; what stands there today is not on it.",
             {.size_px = 12});
}

namespace {

double UnitPx(const GroundFrame& frame, fit::UnitSystem units) {
  return frame.px_per_m * (units == fit::UnitSystem::kUs ? 0.3048 : 1.0);
}

/// So many feet or metres is one of the bar's two pieces.
int PieceOf(double unit_px) {
  constexpr std::array kPieces = {1, 2, 5, 10, 20, 50, 100, 200, 500};
  constexpr double kLeastPiecePx = 45;
  for (const int candidate : kPieces)
    if (candidate * unit_px >= kLeastPiecePx) return candidate;
  return kPieces.back();
}

}  // namespace

double ScaleBarWidthPx(const GroundFrame& frame, fit::UnitSystem units) {
  const double unit_px = UnitPx(frame, units);
  return 2 * PieceOf(unit_px) * unit_px;
}

void DrawScaleBar(Sheet& sheet, fit::Point left, const GroundFrame& frame, fit::UnitSystem units) {
  const bool us = units == fit::UnitSystem::kUs;
  const double unit_px = UnitPx(frame, units);
  const int piece = PieceOf(unit_px);
  constexpr double kBarPx = 8;
  for (int i = 0; i < 2; ++i) {
    const double from = left.x_m + i * piece * unit_px, to = from + piece * unit_px;
    sheet.Ring(
        {{from, left.y_m}, {to, left.y_m}, {to, left.y_m + kBarPx}, {from, left.y_m + kBarPx}},
        {.fill = i == 0 ? "#000000" : "#ffffff"});
  }
  for (int i = 0; i <= 2; ++i) {
    sheet.Text(
        {left.x_m + i * piece * unit_px, left.y_m - 5},
        i < 2 ? fmt::format("{}", i * piece) : fmt::format("{} {}", i * piece, us ? "ft" : "m"),
        {.size_px = 12, .anchor = Anchor::kMiddle});
  }
}

}  // namespace chockwise::survey
