// A sheet of SVG 1.1 on which the drawings are put together. Private to the room.
//
//   Sheet sheet({.width_px = 1000, .height_px = 700}, "EX-301 through door-3");
//   sheet.Line({{0, 0}, {10, 10}}, {.stroke = "#000", .width_px = 2});
//   sheet.Text({10, 20}, "7 in", {.size_px = 18});
//   std::string svg = std::move(sheet).Svg();
//
// Points are in pixels, y down. Every text is escaped. Threads: one sheet, one thread.
#pragma once

#include <string>
#include <string_view>
#include <vector>

#include "services/fit/geometry.h"

namespace chockwise::survey {

/// What a machine and a printer read: markup escaped; control bytes, and what is no UTF-8, become
/// '?'.
std::string Escaped(std::string_view text);

struct SheetSize {
  double width_px = 0;
  double height_px = 0;
};

/// Fills that tell themselves apart in black and white.
inline constexpr std::string_view kNoFill = "none";
inline constexpr std::string_view kHatch = "url(#hatch)";             // strokes one way
inline constexpr std::string_view kCrossHatch = "url(#cross-hatch)";  // both ways
inline constexpr std::string_view kDots = "url(#dots)";

struct Pen {
  std::string_view stroke = "#000000";
  double width_px = 1;
  std::string_view dashes = "";  // SVG's stroke-dasharray; empty: a full line
  std::string_view fill = kNoFill;
};

enum class Anchor { kStart, kMiddle, kEnd };

/// Of a letter by its height, on the wide side for a sans serif.
inline constexpr double kLetterWidth = 0.6;

struct Lettering {
  double size_px = 13;
  Anchor anchor = Anchor::kStart;
  std::string_view weight = "normal";
};

class Sheet {
 public:
  /// `title` is what a reader of screens hears.
  Sheet(const SheetSize& size, std::string_view title);

  void Line(const fit::Line& line, const Pen& pen);
  void Ring(const fit::Ring& ring, const Pen& pen);
  /// Outer ring and holes together.
  void Rings(const std::vector<fit::Ring>& rings, const Pen& pen);
  struct Round {
    fit::Point middle;
    double radius_px = 0;
  };
  void Circle(const Round& round, const Pen& pen);
  /// Stands on white, so that it is read over lines and hatching.
  void Text(fit::Point at, std::string_view text, const Lettering& lettering);
  /// Arrow heads on a line are drawn, not marked: printers leave markers out.
  struct Arrow {
    fit::Point tail, tip;
  };
  void Head(const Arrow& arrow, double size_px, std::string_view fill);

  /// What follows shows only inside the box, until EndClip.
  void BeginClip(const SheetSize& size, fit::Point corner);
  void EndClip();

  std::string Svg() &&;

 private:
  void Put(std::string_view text) { svg_ += text; }
  std::string svg_;
  int clips_ = 0;
};

}  // namespace chockwise::survey
