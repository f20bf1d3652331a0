// Where the ground lies on the sheet, and what both drawings carry: titles, a bar of scale.
// Private to the room.
#pragma once

#include <string_view>

#include "services/survey/drawing.h"
#include "services/survey/drawing_svg.h"

namespace chockwise::survey {

inline constexpr double kSheetWidthPx = 1000;
inline constexpr double kEdgePx = 24;
inline constexpr double kTitleHeightPx = 92;

/// Metres of ground, x right and y up, on a window of the sheet.
struct GroundFrame {
  fit::Point corner_px;  // upper left of the window
  SheetSize window;
  fit::Point low_left;  // of the ground
  double px_per_m = 1;
  fit::Point operator()(fit::Point ground) const {
    return {corner_px.x_m + (ground.x_m - low_left.x_m) * px_per_m,
            corner_px.y_m + window.height_px - (ground.y_m - low_left.y_m) * px_per_m};
  }
  std::vector<fit::Point> operator()(const std::vector<fit::Point>& ground) const {
    std::vector<fit::Point> on_sheet;
    for (const fit::Point point : ground) on_sheet.push_back((*this)(point));
    return on_sheet;
  }
};

struct Bounds {
  fit::Point least{1e9, 1e9}, most{-1e9, -1e9};
  void Take(fit::Point point);
  void Take(const std::vector<fit::Point>& points);
  double width_m() const { return most.x_m - least.x_m; }
  double height_m() const { return most.y_m - least.y_m; }
};

/// The bounds and `pad_m` around them, as large as the sheet's width and `most_height_px` let it.
struct Fitting {
  double pad_m = 0;
  double least_height_px = 0, most_height_px = 0;
};
GroundFrame FrameAround(const Bounds& bounds, const Fitting& fitting);

void DrawTitles(Sheet& sheet, const Titles& titles);

/// Black and white pieces of a round number of feet or metres, from `left` on.
double ScaleBarWidthPx(const GroundFrame& frame, fit::UnitSystem units);
void DrawScaleBar(Sheet& sheet, fit::Point left, const GroundFrame& frame, fit::UnitSystem units);

}  // namespace chockwise::survey
