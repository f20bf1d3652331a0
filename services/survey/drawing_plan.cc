// The way from above.
#include <fmt/format.h>

#include <algorithm>
#include <iterator>

#include "services/survey/drawing.h"
#include "services/survey/drawing_frame.h"
#include "services/survey/drawing_labels.h"
#include "services/survey/drawing_svg.h"

namespace chockwise::survey {
namespace {

constexpr Pen kLanePen = {.stroke = "#888888", .width_px = 1, .dashes = "2,5"};
constexpr Pen kRoutePen = {.stroke = "#000000", .width_px = 2.5};
constexpr Pen kSweptPen = {.stroke = "#005a8c", .width_px = 1.5, .fill = "#dcebf5"};
constexpr Pen kBlindPen = {
    .stroke = "#555555", .width_px = 1.5, .dashes = "9,3,2,3", .fill = kCrossHatch};
constexpr Pen kKeepClearPen = {
    .stroke = "#000000", .width_px = 1.5, .dashes = "6,4", .fill = kDots};
constexpr Pen kObstaclePen = {.width_px = 1, .fill = "#444444"};
constexpr Pen kAssumedPen = {.width_px = 1, .dashes = "3,2", .fill = "#ffffff"};
constexpr Pen kStartPen = {.width_px = 2, .fill = "#ffffff"};
constexpr Pen kEndPen = {.width_px = 2, .dashes = "5,4"};
constexpr Pen kFrontPen = {.width_px = 5};
constexpr Pen kSlewPen = {.stroke = "#b03000", .width_px = 1.5, .dashes = "10,3"};
constexpr Pen kDoorPen = {.width_px = 6};
constexpr Pen kTightPen = {.stroke = "#b03000", .width_px = 3};
constexpr Pen kStandPen = {.stroke = "#000000", .width_px = 2.5, .fill = "#ffffff"};

/// Three rows and the note; a fourth for what only some plans show.
double LegendHeightPx(const PlanDrawing& plan) { return plan.assumed_walls.empty() ? 124 : 154; }

Bounds BoundsOf(const PlanDrawing& plan) {
  Bounds bounds;
  bounds.Take(plan.route);
  for (const fit::Outline& outline : plan.swept) bounds.Take(outline.outer);
  for (const NamedPoint& stand : plan.stands) bounds.Take(stand.at);
  if (plan.tight) bounds.Take(plan.tight->at);
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

void DrawRoute(Sheet& sheet, const GroundFrame& frame, const PlanDrawing& plan) {
  for (const fit::Ring& unit : plan.at_end) sheet.Ring(frame(unit), kEndPen);
  for (const fit::Ring& unit : plan.at_start) sheet.Ring(frame(unit), kStartPen);
  for (const fit::Line& front : plan.fronts) sheet.Line(frame(front), kFrontPen);
  if (!plan.slew.empty()) sheet.Ring(frame(plan.slew), kSlewPen);
  const fit::Line route = frame(plan.route);
  sheet.Line(route, kRoutePen);
  constexpr double kHeadPx = 11, kLeastStepPx = 60;
  for (size_t i = 1; i < route.size(); ++i) {
    const bool last = i + 1 == route.size();
    if (!last && fit::LengthM(route[i] - route[i - 1]) < kLeastStepPx) continue;
    const fit::Point tip = last ? route[i] : 0.5 * (route[i - 1] + route[i]);
    sheet.Head({.tail = route[i - 1], .tip = tip}, kHeadPx, kRoutePen.stroke);
  }
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

void DrawStand(Sheet& sheet, const Sheet::Round& mark, std::string_view letter) {
  sheet.Circle({.middle = mark.middle, .radius_px = mark.radius_px},
               {.width_px = 1, .fill = "#ffffff"});
  sheet.Circle({.middle = mark.middle, .radius_px = mark.radius_px - 4}, kStandPen);
  sheet.Text(mark.middle + fit::Point{0, 5}, letter,
             {.size_px = mark.radius_px - 3, .anchor = Anchor::kMiddle, .weight = "bold"});
}

void DrawTight(Sheet& sheet, const Sheet::Round& mark) {
  const fit::Point at = mark.middle;
  const double out = mark.radius_px, in = mark.radius_px * 0.4;
  sheet.Circle({.middle = at, .radius_px = out * 0.7}, kTightPen);
  sheet.Line({at + fit::Point{-out, 0}, at + fit::Point{-in, 0}}, kTightPen);
  sheet.Line({at + fit::Point{in, 0}, at + fit::Point{out, 0}}, kTightPen);
  sheet.Line({at + fit::Point{0, -out}, at + fit::Point{0, -in}}, kTightPen);
  sheet.Line({at + fit::Point{0, in}, at + fit::Point{0, out}}, kTightPen);
}

void DrawHold(Sheet& sheet, fit::Point at) {
  sheet.Ring({at + fit::Point{0, -10}, at + fit::Point{10, 0}, at + fit::Point{0, 10},
              at + fit::Point{-10, 0}},
             {.width_px = 2, .fill = "#ffffff"});
  sheet.Text(at + fit::Point{0, 4}, "H",
             {.size_px = 12, .anchor = Anchor::kMiddle, .weight = "bold"});
}

constexpr double kMarkPx = 18, kHoldPx = 10, kPlacePx = 3;

/// Marks first, so that no word covers one; then words, the most needed first.
void DrawMarks(Sheet& sheet, const GroundFrame& frame, const PlanDrawing& plan, Labels& labels) {
  for (const NamedPoint& place : plan.places)
    sheet.Circle({.middle = frame(place.at), .radius_px = kPlacePx}, {.fill = "#000000"});
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
  if (plan.tight) {
    const Sheet::Round mark{.middle = frame(plan.tight->at), .radius_px = kMarkPx};
    DrawTight(sheet, mark);
    labels.Keep(mark);
  }
}

void DrawNames(Sheet& sheet, const GroundFrame& frame, const PlanDrawing& plan, Labels& labels) {
  using Crowded = Labels::Crowded;
  if (plan.tight)
    labels.Put(sheet, {.at = frame(plan.tight->at), .clear_px = kMarkPx}, plan.tight->name,
               {.size_px = 18, .weight = "bold"}, Crowded::kDrawAnyway);
  for (const NamedPoint& stand : plan.stands)
    labels.Put(sheet, {.at = frame(stand.at), .clear_px = kMarkPx}, stand.name,
               {.size_px = 14, .weight = "bold"}, Crowded::kDrawAnyway);
  for (const DoorOnWay& door : plan.doors)
    labels.Put(sheet, {.at = frame(door.right), .clear_px = 18}, door.id,
               {.size_px = 14, .weight = "bold"}, Crowded::kDrawAnyway);
  const auto name = [&](const fit::Point ground, double clear_px, std::string_view text) {
    const fit::Point at = frame(ground);
    if (Shows(frame, at))
      labels.Put(sheet, {.at = at, .clear_px = clear_px}, text, {.size_px = 12},
                 Crowded::kLeaveOut);
  };
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

/// Every mark beside the word for it, in four columns below the map.
void DrawLegend(Sheet& sheet, const GroundFrame& frame, const PlanDrawing& plan) {
  const double top = frame.corner_px.y_m + frame.window.height_px + 26;
  const double column = (kSheetWidthPx - 2 * kEdgePx) / 4;
  const auto cell = [&](int nth) {
    return fit::Point{kEdgePx + column * (nth % 4), top + 30 * (nth / 4)};
  };
  const auto word = [&](int nth, std::string_view text) {
    sheet.Text(cell(nth) + fit::Point{44, 4}, text, {.size_px = 13});
  };
  const auto box = [&](int nth, const Pen& pen) {
    const fit::Point at = cell(nth);
    sheet.Ring({at + fit::Point{0, -9}, at + fit::Point{34, -9}, at + fit::Point{34, 9},
                at + fit::Point{0, 9}},
               pen);
  };
  const auto stroke = [&](int nth, const Pen& pen) {
    sheet.Line({cell(nth), cell(nth) + fit::Point{34, 0}}, pen);
  };
  int nth = 0;
  stroke(nth, kRoutePen);
  sheet.Head({.tail = cell(nth), .tip = cell(nth) + fit::Point{34, 0}}, 11, "#000000");
  word(nth++, "way of this trip");
  stroke(nth, kLanePen);
  word(nth++, "other lanes");
  if (!plan.swept.empty()) {
    box(nth, kSweptPen);
    word(nth++, "ground it covers");
    const auto machine = [&](const Pen& pen, std::string_view text) {
      box(nth, pen);
      sheet.Line({cell(nth) + fit::Point{34, -9}, cell(nth) + fit::Point{34, 9}}, kFrontPen);
      word(nth++, text);
    };
    machine(kStartPen, "at the start; thick: its front");
    machine(kEndPen, "where it comes to stand");
  }
  if (!plan.slew.empty()) {
    box(nth, kSlewPen);
    word(nth++, "its tail may swing here");
  }
  box(nth, kObstaclePen);
  word(nth++, "wall, post, parked row");
  box(nth, kKeepClearPen);
  word(nth++, "keep clear, exit, fire way");
  stroke(nth, kDoorPen);
  word(nth++, "door, its jambs");
  if (!plan.blind.empty()) {
    box(nth, kBlindPen);
    word(nth++, "driver sees nobody here*");
  }
  if (!plan.stands.empty()) {
    DrawStand(sheet, {.middle = cell(nth) + fit::Point{17, 0}, .radius_px = 14}, "S");
    word(nth++, "spotter stands here");
  }
  if (!plan.hold_points.empty()) {
    DrawHold(sheet, cell(nth) + fit::Point{17, 0});
    word(nth++, "hold point");
  }
  if (plan.tight) {
    DrawTight(sheet, {.middle = cell(nth) + fit::Point{17, 0}, .radius_px = 14});
    word(nth++, "machine's tightest spot");
  }
  if (!plan.assumed_walls.empty()) {
    box(nth, kAssumedPen);
    word(nth++, "wall taken to be there");
  }
  if (!plan.blind.empty()) {
    sheet.Text({kEdgePx, top + LegendHeightPx(plan) - 32},
               "* from the seat at the start, of a person up to the chest; it goes along with the "
               "machine",
               {.size_px = 12});
  }
}

}  // namespace

std::string PlanSvg(const PlanDrawing& plan) {
  const GroundFrame frame =
      FrameAround(BoundsOf(plan), {.pad_m = 6, .least_height_px = 360, .most_height_px = 640});
  Sheet sheet({.width_px = kSheetWidthPx,
               .height_px = kTitleHeightPx + frame.window.height_px + LegendHeightPx(plan)},
              plan.titles.title);
  sheet.BeginClip(frame.window, frame.corner_px);
  DrawGround(sheet, frame, plan);
  DrawRoute(sheet, frame, plan);
  Labels labels(frame.window, frame.corner_px);
  labels.Keep({.middle = {frame.corner_px.x_m + frame.window.width_px, frame.corner_px.y_m},
               .radius_px = 84});  // north stands there
  labels.Avoid(frame(plan.route));
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
  DrawLegend(sheet, frame, plan);
  return std::move(sheet).Svg();
}

}  // namespace chockwise::survey
