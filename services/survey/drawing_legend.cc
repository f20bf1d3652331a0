#include "services/survey/drawing_legend.h"

#include <algorithm>

#include "services/survey/drawing_frame.h"
#include "services/survey/drawing_marks.h"

namespace chockwise::survey {
namespace {

constexpr double kWidthPx = 34, kRowPx = 30;
constexpr size_t kColumns = 4, kLeastRows = 3;

Legend::Mark Box(const Pen& pen) {
  return [pen](Sheet& sheet, fit::Point at) {
    sheet.Ring({at + fit::Point{0, -9}, at + fit::Point{kWidthPx, -9}, at + fit::Point{kWidthPx, 9},
                at + fit::Point{0, 9}},
               pen);
  };
}

Legend::Mark Machine(const Pen& pen) {
  return [pen](Sheet& sheet, fit::Point at) {
    Box(pen)(sheet, at);
    sheet.Line({at + fit::Point{kWidthPx, -9}, at + fit::Point{kWidthPx, 9}}, kFrontPen);
  };
}

Legend::Mark Stroke(const Pen& pen) {
  return [pen](Sheet& sheet, fit::Point at) {
    sheet.Line({at, at + fit::Point{kWidthPx, 0}}, pen);
  };
}

Legend::Mark Arrow(const Pen& pen) {
  return [pen](Sheet& sheet, fit::Point at) {
    Stroke(pen)(sheet, at);
    sheet.Head({.tail = at, .tip = at + fit::Point{kWidthPx, 0}}, 11, pen.stroke);
  };
}

Legend::Mark Round(void (*draw)(Sheet&, const Sheet::Round&), double radius_px) {
  return [=](Sheet& sheet, fit::Point at) {
    draw(sheet, {.middle = at + fit::Point{kWidthPx / 2, 0}, .radius_px = radius_px});
  };
}

void AddWay(const PlanDrawing& plan, Legend& legend) {
  if (!plan.route.empty() || plan.backed.empty()) legend.Add(Arrow(kRoutePen), plan.route_is);
  if (!plan.backed.empty()) legend.Add(Arrow(kBackedPen), plan.route_is + ", in reverse");
  legend.Add(Stroke(kLanePen), "other lanes");
  if (!plan.turns.empty()) legend.Add(Round(DrawTurn, 6), "turns on to another lane");
  if (!plan.reversals.empty()) legend.Add(Round(DrawReversal, 14), "changes to reversing or back");
}

void AddMachine(const PlanDrawing& plan, Legend& legend) {
  if (!plan.swept.empty()) {
    legend.Add(Box(kSweptPen), "ground it covers");
    legend.Add(Machine(kStartPen), "at the start; thick: its front");
    legend.Add(Machine(kEndPen), "where it comes to stand");
  }
  if (!plan.slew.empty()) legend.Add(Box(kSlewPen), "its tail may swing here");
}

void AddSight(const PlanDrawing& plan, Legend& legend) {
  if (!plan.blind.empty()) {
    legend.Add(Box(kBlindPen), "driver sees nobody here*");
    legend.AddNote(
        "* from the seat at the start, of a person up to the chest; it goes along with the "
        "machine");
  }
  const auto stand = [](Sheet& sheet, const Sheet::Round& mark) { DrawStand(sheet, mark, "S"); };
  if (!plan.stands.empty()) legend.Add(Round(stand, 14), "spotter stands here");
}

}  // namespace

double Legend::HeightPx() const {
  const size_t rows = std::max(kLeastRows, (entries_.size() + kColumns - 1) / kColumns);
  return kRowPx * static_cast<double>(rows) + 34;
}

void Legend::Draw(Sheet& sheet, double top_px) const {
  const double column_px = (kSheetWidthPx - 2 * kEdgePx) / kColumns;
  for (size_t i = 0; i < entries_.size(); ++i) {
    const fit::Point cell = {kEdgePx + column_px * static_cast<double>(i % kColumns),
                             top_px + kRowPx * static_cast<double>(i / kColumns)};
    entries_[i].mark(sheet, cell);
    sheet.Text(cell + fit::Point{44, 4}, entries_[i].word, {.size_px = 13});
  }
  if (!note_.empty()) sheet.Text({kEdgePx, top_px + HeightPx() - 32}, note_, {.size_px = 12});
}

Legend LegendOf(const PlanDrawing& plan) {
  Legend legend;
  AddWay(plan, legend);
  AddMachine(plan, legend);
  legend.Add(Box(kObstaclePen), "wall, post, parked row");
  legend.Add(Box(kKeepClearPen), "keep clear, exit, fire way");
  legend.Add(Stroke(kDoorPen), "door, its jambs");
  AddSight(plan, legend);
  if (!plan.hold_points.empty())
    legend.Add(
        Round([](Sheet& sheet, const Sheet::Round& mark) { DrawHold(sheet, mark.middle); }, 10),
        "hold point");
  if (plan.tight) legend.Add(Round(DrawTight, 14), "machine's tightest spot");
  if (!plan.changes.empty()) legend.Add(Round(DrawTight, 14), "what would have to change");
  if (!plan.assumed_walls.empty()) legend.Add(Box(kAssumedPen), "wall taken to be there");
  return legend;
}

}  // namespace chockwise::survey
