// The machine from the side, in its tightest spot.
#include <fmt/format.h>

#include <algorithm>

#include "services/survey/drawing.h"
#include "services/survey/drawing_frame.h"
#include "services/survey/drawing_svg.h"

namespace chockwise::survey {
namespace {

constexpr Pen kGroundPen = {.width_px = 2, .fill = kHatch};
constexpr Pen kMachinePen = {.stroke = "#005a8c", .width_px = 2, .fill = "#dcebf5"};
constexpr Pen kWheelPen = {.width_px = 2, .fill = "#ffffff"};
constexpr Pen kOverheadPen = {.width_px = 2, .fill = kCrossHatch};
constexpr Pen kGapPen = {.stroke = "#b03000", .width_px = 2.5};
constexpr double kLegendHeightPx = 90;
/// What is drawn of the ground below and of a header above.
constexpr double kEarthM = 0.7, kHeaderM = 0.8;

Bounds BoundsOf(const SideDrawing& side) {
  Bounds bounds;
  for (const fit::UnitPose& unit : side.machine) {
    bounds.Take(unit.top);
    bounds.Take(unit.bottom);
    bounds.Take(unit.contacts);
  }
  bounds.Take(side.gap.from);
  bounds.Take(side.gap.to);
  bounds.Take(bounds.least - fit::Point{0, kEarthM});
  bounds.Take(bounds.most + fit::Point{0, kHeaderM});
  return bounds;
}

/// From top to bottom and back: the outline as it stands.
fit::Ring OutlineOf(const fit::UnitPose& unit) {
  fit::Ring ring = unit.top;
  ring.insert(ring.end(), unit.bottom.rbegin(), unit.bottom.rend());
  return ring;
}

void DrawMachine(Sheet& sheet, const GroundFrame& frame, const SideDrawing& side) {
  for (const fit::UnitPose& unit : side.machine) {
    sheet.Ring(frame(OutlineOf(unit)), kMachinePen);
    for (size_t i = 0; i < unit.wheel_centres.size() && i < unit.wheel_radii_m.size(); ++i) {
      sheet.Circle({.middle = frame(unit.wheel_centres[i]),
                    .radius_px = unit.wheel_radii_m[i] * frame.px_per_m},
                   kWheelPen);
    }
    if (unit.wheel_centres.empty()) sheet.Line(frame(unit.contacts), {.width_px = 6});
  }
}

void DrawGround(Sheet& sheet, const GroundFrame& frame, const SideDrawing& side) {
  fit::Ring earth = side.ground;
  if (earth.empty()) return;
  const double low_m = frame.low_left.y_m - 1;
  earth.push_back({earth.back().x_m, low_m});
  earth.push_back({earth.front().x_m, low_m});
  sheet.Ring(frame(earth), kGroundPen);
}

void DrawOverheads(Sheet& sheet, const GroundFrame& frame, const SideDrawing& side) {
  for (const SideDrawing::Block& block : side.overheads) {
    fit::Ring ring = block.underside;
    for (size_t i = block.underside.size(); i-- > 0;)
      ring.push_back(block.underside[i] + fit::Point{0, kHeaderM});
    sheet.Ring(frame(ring), kOverheadPen);
    const fit::Point middle = 0.5 * (block.underside.front() + block.underside.back());
    sheet.Text(frame(middle + fit::Point{0, kHeaderM}) + fit::Point{0, -6}, block.name,
               {.size_px = 14, .anchor = Anchor::kMiddle, .weight = "bold"});
  }
}

void DrawGap(Sheet& sheet, const GroundFrame& frame, const SideDrawing::Gap& gap) {
  const fit::Point a = frame(gap.from), b = frame(gap.to);
  const fit::Point top = a.y_m < b.y_m ? a : b, low = a.y_m < b.y_m ? b : a;
  constexpr double kArrowPx = 26, kHeadPx = 9, kTickPx = 22;
  sheet.Line({top - fit::Point{kTickPx, 0}, top + fit::Point{kTickPx, 0}}, kGapPen);
  sheet.Line({low - fit::Point{kTickPx, 0}, low + fit::Point{kTickPx, 0}}, kGapPen);
  // Arrows from outside, so that the smallest gap shows.
  const fit::Point above = top - fit::Point{0, kArrowPx}, below = low + fit::Point{0, kArrowPx};
  sheet.Line({above, top}, kGapPen);
  sheet.Head({.tail = above, .tip = top}, kHeadPx, kGapPen.stroke);
  sheet.Line({below, low}, kGapPen);
  sheet.Head({.tail = below, .tip = low}, kHeadPx, kGapPen.stroke);
  const bool to_left = top.x_m > kSheetWidthPx * 0.6;
  const Anchor anchor = to_left ? Anchor::kEnd : Anchor::kStart;
  // Between the two where both lines of text have room there, else below them.
  constexpr double kTextPx = 64, kBelowPx = 26;
  const double y = low.y_m - top.y_m > kTextPx ? (top.y_m + low.y_m) / 2 : low.y_m + kBelowPx;
  const fit::Point at = {top.x_m + (to_left ? -34.0 : 34.0), y};
  sheet.Text(at, gap.text, {.size_px = 20, .anchor = anchor, .weight = "bold"});
  sheet.Text(at + fit::Point{0, 18}, gap.from_what, {.size_px = 13, .anchor = anchor});
}

/// Which way it goes: along the lane, from left to right, whichever end of it leads.
void DrawTravel(Sheet& sheet, fit::Point at, fit::Travel travel) {
  const bool reversing = travel == fit::Travel::kReversing;
  sheet.Text(at, reversing ? "it backs this way, rear first" : "it goes this way", {.size_px = 13});
  const fit::Point tail = at + fit::Point{reversing ? 180.0 : 112.0, -4},
                   tip = tail + fit::Point{50, 0};
  sheet.Line({tail, tip}, {.width_px = 2});
  sheet.Head({.tail = tail, .tip = tip}, 11, "#000000");
}

void DrawLegend(Sheet& sheet, const GroundFrame& frame) {
  const double y = frame.corner_px.y_m + frame.window.height_px + 30;
  const double column = (kSheetWidthPx - 2 * kEdgePx) / 4;
  struct Sample {
    const Pen& pen;
    std::string_view word;
  };
  const Sample samples[] = {{kMachinePen, "machine as measured"},
                            {kWheelPen, "wheel (a thick line: track)"},
                            {kOverheadPen, "header, canopy, beam"},
                            {kGroundPen, "ground and sill"}};
  double x = kEdgePx;
  for (const Sample& sample : samples) {
    sheet.Ring({{x, y - 9}, {x + 34, y - 9}, {x + 34, y + 9}, {x, y + 9}}, sample.pen);
    sheet.Text({x + 44, y + 4}, sample.word, {.size_px = 13});
    x += column;
  }
  const Lettering small = {.size_px = 12};
  sheet.Text({kEdgePx, y + 30},
             "Heights and lengths are to one scale. The marked gap is what was found;", small);
  sheet.Text(
      {kEdgePx, y + 46},
      "the number beside it has the bounce or the clearance asked for, and the error, taken off.",
      small);
}

}  // namespace

std::string SideSvg(const SideDrawing& side) {
  const GroundFrame frame =
      FrameAround(BoundsOf(side), {.pad_m = 1.5, .least_height_px = 320, .most_height_px = 560});
  Sheet sheet({.width_px = kSheetWidthPx,
               .height_px = kTitleHeightPx + frame.window.height_px + kLegendHeightPx},
              side.titles.title);
  sheet.BeginClip(frame.window, frame.corner_px);
  DrawGround(sheet, frame, side);
  DrawOverheads(sheet, frame, side);
  DrawMachine(sheet, frame, side);
  DrawGap(sheet, frame, side.gap);
  sheet.EndClip();
  const fit::Point far =
      frame.corner_px + fit::Point{frame.window.width_px, frame.window.height_px};
  sheet.Ring({frame.corner_px, {far.x_m, frame.corner_px.y_m}, far, {frame.corner_px.x_m, far.y_m}},
             {.width_px = 1});
  DrawTravel(sheet, frame.corner_px + fit::Point{16, 24}, side.travel);
  DrawScaleBar(sheet, {kEdgePx + 24, far.y_m - 22}, frame, side.units);
  DrawTitles(sheet, side.titles);
  DrawLegend(sheet, frame);
  return std::move(sheet).Svg();
}

}  // namespace chockwise::survey
