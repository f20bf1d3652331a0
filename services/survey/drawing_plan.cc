// The way from above.
#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "services/survey/drawing.h"
#include "services/survey/drawing_frame.h"
#include "services/survey/drawing_labels.h"
#include "services/survey/drawing_legend.h"
#include "services/survey/drawing_marks.h"
#include "services/survey/drawing_svg.h"

namespace chockwise::survey {
namespace {

Bounds BoundsOf(const PlanDrawing& plan) {
  Bounds bounds;
  for (const auto* lines : {&plan.route, &plan.backed}) {
    for (const fit::Line& line : *lines) bounds.Take(line);
  }
  bounds.Take(plan.around);
  for (const fit::Outline& outline : plan.swept) bounds.Take(outline.outer);
  for (const NamedPoint& stand : plan.stands) bounds.Take(stand.at);
  if (plan.tight) bounds.Take(plan.tight->at);
  for (const NamedPoint& change : plan.changes) bounds.Take(change.at);
  return bounds;
}

fit::Point MiddleOf(const fit::Ring& ring) {
  Bounds bounds;
  bounds.Take(ring);
  return 0.5 * (bounds.least + bounds.most);
}

bool Shows(const GroundFrame& frame, fit::Point on_sheet) {
  return on_sheet.x_m > frame.corner_px.x_m && on_sheet.y_m > frame.corner_px.y_m &&
         on_sheet.x_m < frame.corner_px.x_m + frame.window.width_px &&
         on_sheet.y_m < frame.corner_px.y_m + frame.window.height_px;
}

/// Of length 1; not from a point to itself.
fit::Point Along(fit::Point from, fit::Point to) {
  return (1 / fit::LengthM(to - from)) * (to - from);
}

fit::Line WithoutDoubles(const fit::Line& line) {
  constexpr double kLeastPx = 0.01;
  fit::Line without;
  for (const fit::Point point : line) {
    if (without.empty() || fit::LengthM(point - without.back()) > kLeastPx)
      without.push_back(point);
  }
  return without;
}

std::vector<fit::Ring> RingsOf(const GroundFrame& frame, const fit::Outline& outline) {
  std::vector<fit::Ring> rings = {frame(outline.outer)};
  for (const fit::Ring& hole : outline.holes) rings.push_back(frame(hole));
  return rings;
}

void DrawGround(Sheet& sheet, const GroundFrame& frame, const PlanDrawing& plan) {
  for (const GroundOnWay& area : plan.keep_clear) sheet.Ring(frame(area.ring), kKeepClearPen);
  for (const fit::Outline& outline : plan.blind) sheet.Rings(RingsOf(frame, outline), kBlindPen);
  for (const fit::Line& lane : plan.lanes) sheet.Line(frame(lane), kLanePen);
  for (const fit::Outline& outline : plan.swept) sheet.Rings(RingsOf(frame, outline), kSweptPen);
  for (const fit::Ring& wall : plan.assumed_walls) sheet.Ring(frame(wall), kAssumedPen);
  for (const GroundOnWay& obstacle : plan.obstacles) sheet.Ring(frame(obstacle.ring), kObstaclePen);
}

/// The line moved to the right of the travel, as far everywhere.
fit::Line MovedRight(const fit::Line& line, double px) {
  fit::Line moved;
  for (size_t i = 0; i < line.size(); ++i) {
    const fit::Point in = i > 0 ? Along(line[i - 1], line[i]) : Along(line[i], line[i + 1]);
    const fit::Point out = i + 1 < line.size() ? Along(line[i], line[i + 1]) : in;
    // Where it turns sharply the corner would run far off.
    const double half = std::max(0.5, 1 + fit::Dot(in, out));
    const fit::Point across = in + out;
    moved.push_back(line[i] + (px / half) * fit::Point{-across.y_m, across.x_m});
  }
  return moved;
}

/// On the sheet: y is down. Where it is driven both ways, it keeps to the right of its lanes, so
/// that what is driven there and back is told apart.
std::vector<fit::Line> OnSheet(const GroundFrame& frame, const std::vector<fit::Line>& lines,
                               const PlanDrawing& plan) {
  constexpr double kAsidePx = 5;
  std::vector<fit::Line> shown;
  for (const fit::Line& line : lines) {
    const fit::Line on_sheet = WithoutDoubles(frame(line));
    const bool moves = !plan.backed.empty() && !plan.route.empty() && on_sheet.size() > 1;
    shown.push_back(moves ? MovedRight(on_sheet, kAsidePx) : on_sheet);
  }
  return shown;
}

void DrawDriven(Sheet& sheet, const fit::Line& line, const Pen& pen) {
  sheet.Line(line, pen);
  constexpr double kHeadPx = 11, kLeastStepPx = 60;
  for (size_t i = 1; i < line.size(); ++i) {
    const bool last = i + 1 == line.size();
    if (!last && fit::LengthM(line[i] - line[i - 1]) < kLeastStepPx) continue;
    const fit::Point tip = last ? line[i] : 0.5 * (line[i - 1] + line[i]);
    sheet.Head({.tail = line[i - 1], .tip = tip}, kHeadPx, pen.stroke);
  }
}

void DrawRoute(Sheet& sheet, const GroundFrame& frame, const PlanDrawing& plan) {
  for (const fit::Ring& unit : plan.at_end) sheet.Ring(frame(unit), kEndPen);
  for (const fit::Ring& unit : plan.at_start) sheet.Ring(frame(unit), kStartPen);
  for (const fit::Line& front : plan.fronts) sheet.Line(frame(front), kFrontPen);
  if (!plan.slew.empty()) sheet.Ring(frame(plan.slew), kSlewPen);
  for (const fit::Line& line : OnSheet(frame, plan.route, plan)) DrawDriven(sheet, line, kRoutePen);
  for (const fit::Line& line : OnSheet(frame, plan.backed, plan))
    DrawDriven(sheet, line, kBackedPen);
  for (const DoorOnWay& door : plan.doors) {
    // A stub of wall on each side of the opening.
    const fit::Point left = frame(door.left), right = frame(door.right);
    const double length = std::max(1.0, fit::LengthM(right - left));
    const fit::Point stub = (16 / length) * (right - left);
    sheet.Line({left - stub, left}, kDoorPen);
    sheet.Line({right, right + stub}, kDoorPen);
    sheet.Line({left, right}, {.width_px = 1, .dashes = "3,3"});
  }
}

constexpr double kMarkPx = 18, kHoldPx = 10, kPlacePx = 3, kTurnPx = 6, kEndPx = 7;

/// Marks first, so that no word covers one; then words, the most needed first.
void DrawMarks(Sheet& sheet, const GroundFrame& frame, const PlanDrawing& plan, Labels& labels) {
  for (const NamedPoint& place : plan.places)
    sheet.Circle({.middle = frame(place.at), .radius_px = kPlacePx}, {.fill = "#000000"});
  for (const NamedPoint& end : plan.ends) {
    const Sheet::Round mark{.middle = frame(end.at), .radius_px = kEndPx};
    sheet.Circle(mark, {.fill = "#000000"});
    labels.Keep(mark);
  }
  for (const fit::Point turn : plan.turns) {
    const Sheet::Round mark{.middle = frame(turn), .radius_px = kTurnPx};
    DrawTurn(sheet, mark);
    labels.Keep(mark);
  }
  for (const NamedPoint& hold : plan.hold_points) {
    if (!Shows(frame, frame(hold.at))) continue;
    DrawHold(sheet, frame(hold.at));
    labels.Keep({.middle = frame(hold.at), .radius_px = kHoldPx});
  }
  for (size_t i = 0; i < plan.stands.size(); ++i) {
    const Sheet::Round mark{.middle = frame(plan.stands[i].at), .radius_px = kMarkPx};
    DrawStand(sheet, mark, plan.stands.size() == 1 ? "S" : fmt::format("S{}", i + 1));
    labels.Keep(mark);
  }
  for (const NamedPoint& reversal : plan.reversals) {
    const Sheet::Round mark{.middle = frame(reversal.at), .radius_px = kMarkPx};
    DrawReversal(sheet, mark);
    labels.Keep(mark);
  }
  if (plan.tight) {
    const Sheet::Round mark{.middle = frame(plan.tight->at), .radius_px = kMarkPx};
    DrawTight(sheet, mark);
    labels.Keep(mark);
  }
  for (const NamedPoint& change : plan.changes) {
    const Sheet::Round mark{.middle = frame(change.at), .radius_px = kMarkPx};
    DrawTight(sheet, mark);
    labels.Keep(mark);
  }
}

void DrawNames(Sheet& sheet, const GroundFrame& frame, const PlanDrawing& plan, Labels& labels) {
  using Crowded = Labels::Crowded;
  if (plan.tight)
    labels.Put(sheet, {.at = frame(plan.tight->at), .clear_px = kMarkPx}, plan.tight->name,
               {.size_px = 18, .weight = "bold"}, Crowded::kDrawAnyway);
  const auto always = [&](const std::vector<NamedPoint>& points, double clear_px, double size_px) {
    for (const NamedPoint& point : points)
      labels.Put(sheet, {.at = frame(point.at), .clear_px = clear_px}, point.name,
                 {.size_px = size_px, .weight = "bold"}, Crowded::kDrawAnyway);
  };
  always(plan.changes, kMarkPx, 15);
  always(plan.stands, kMarkPx, 14);
  always(plan.ends, kEndPx, 14);
  always(plan.reversals, kMarkPx, 13);
  for (const DoorOnWay& door : plan.doors)
    labels.Put(sheet, {.at = frame(door.right), .clear_px = 18}, door.id,
               {.size_px = 14, .weight = "bold"}, Crowded::kDrawAnyway);
  const auto name = [&](const fit::Point ground, double clear_px, std::string_view text) {
    const fit::Point at = frame(ground);
    if (Shows(frame, at))
      labels.Put(sheet, {.at = at, .clear_px = clear_px}, text, {.size_px = 12},
                 Crowded::kLeaveOut);
  };
  for (const NamedPoint& lane : plan.lane_names) name(lane.at, 6, lane.name);
  for (const NamedPoint& hold : plan.hold_points) name(hold.at, kHoldPx, hold.name);
  for (const NamedPoint& place : plan.places) name(place.at, kPlacePx, place.name);
  for (const GroundOnWay& area : plan.keep_clear) name(MiddleOf(area.ring), 0, area.id);
  for (const GroundOnWay& obstacle : plan.obstacles) name(MiddleOf(obstacle.ring), 4, obstacle.id);
}

void DrawNorth(Sheet& sheet, fit::Point at) {
  sheet.Ring({at + fit::Point{-20, -12}, at + fit::Point{20, -12}, at + fit::Point{20, 64},
              at + fit::Point{-20, 64}},
             {.fill = "#ffffff"});
  sheet.Line({at + fit::Point{0, 40}, at}, {.width_px = 2});
  sheet.Head({.tail = at + fit::Point{0, 40}, .tip = at}, 14, "#000000");
  sheet.Text(at + fit::Point{0, 56}, "N",
             {.size_px = 15, .anchor = Anchor::kMiddle, .weight = "bold"});
}

}  // namespace

std::string PlanSvg(const PlanDrawing& plan) {
  const GroundFrame frame =
      FrameAround(BoundsOf(plan), {.pad_m = 6, .least_height_px = 360, .most_height_px = 640});
  const Legend legend = LegendOf(plan);
  Sheet sheet({.width_px = kSheetWidthPx,
               .height_px = kTitleHeightPx + frame.window.height_px + legend.HeightPx()},
              plan.titles.title);
  sheet.BeginClip(frame.window, frame.corner_px);
  DrawGround(sheet, frame, plan);
  DrawRoute(sheet, frame, plan);
  Labels labels(frame.window, frame.corner_px);
  // North and the bar of scale stand there.
  labels.Keep({frame.corner_px.x_m + frame.window.width_px - 50, frame.corner_px.y_m},
              {.width_px = 50, .height_px = 84});
  labels.Keep({frame.corner_px.x_m, frame.corner_px.y_m + frame.window.height_px - 44},
              {.width_px = 24 + ScaleBarWidthPx(frame, plan.units) + 20, .height_px = 44});
  for (const auto* lines : {&plan.route, &plan.backed}) {
    for (const fit::Line& line : *lines) labels.Avoid(frame(line));
  }
  for (const DoorOnWay& door : plan.doors) labels.Avoid(frame({door.left, door.right}));
  for (const GroundOnWay& obstacle : plan.obstacles) labels.Avoid(frame(obstacle.ring));
  for (const fit::Line& lane : plan.lanes) labels.Avoid(frame(lane));
  DrawMarks(sheet, frame, plan, labels);
  DrawNames(sheet, frame, plan, labels);
  sheet.EndClip();
  const fit::Point far =
      frame.corner_px + fit::Point{frame.window.width_px, frame.window.height_px};
  sheet.Ring({frame.corner_px, {far.x_m, frame.corner_px.y_m}, far, {frame.corner_px.x_m, far.y_m}},
             {.width_px = 1});
  DrawNorth(sheet, {far.x_m - 26, frame.corner_px.y_m + 16});
  DrawScaleBar(sheet, {kEdgePx + 24, far.y_m - 22}, frame, plan.units);
  DrawTitles(sheet, plan.titles);
  legend.Draw(sheet, frame.corner_px.y_m + frame.window.height_px + 26);
  return std::move(sheet).Svg();
}

}  // namespace chockwise::survey
