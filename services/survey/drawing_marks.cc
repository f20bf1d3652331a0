#include "services/survey/drawing_marks.h"

namespace chockwise::survey {

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

void DrawTurn(Sheet& sheet, const Sheet::Round& mark) {
  sheet.Circle(mark, {.width_px = 2, .fill = "#ffffff"});
  sheet.Circle({.middle = mark.middle, .radius_px = mark.radius_px / 3}, {.fill = "#000000"});
}

void DrawReversal(Sheet& sheet, const Sheet::Round& mark) {
  const double half = mark.radius_px * 0.8, apart = mark.radius_px * 0.35;
  const auto at = [&](double x, double y) { return mark.middle + fit::Point{x, y}; };
  sheet.Ring({at(-half, -half), at(half, -half), at(half, half), at(-half, half)},
             {.width_px = 2, .fill = "#ffffff"});
  const double reach = half - 3, head_px = mark.radius_px * 0.5;
  for (const double side : {-1.0, 1.0}) {
    const fit::Point from = at(-side * reach, side * apart), to = at(side * reach, side * apart);
    sheet.Line({from, to}, {.width_px = 2});
    sheet.Head({.tail = from, .tip = to}, head_px, "#000000");
  }
}

}  // namespace chockwise::survey
