// Words beside the things of a drawing, so that none lies on another: each takes the place around
// its thing that is still free and where the fewest lines run through it. Private to the room.
//
//   Labels labels(window, corner);
//   labels.Keep({.middle = at, .radius_px = 20});                    // a mark that stays uncovered
//   labels.Put(sheet, at, "door-3", {.size_px = 14}, Labels::Crowded::kDrawAnyway);
//
// Threads: one.
#pragma once

#include <string_view>
#include <vector>

#include "services/survey/drawing_svg.h"

namespace chockwise::survey {

class Labels {
 public:
  Labels(const SheetSize& window, fit::Point corner) : window_(window), corner_(corner) {}

  /// What a label does where every place is taken.
  enum class Crowded { kLeaveOut, kDrawAnyway };

  void Keep(const Sheet::Round& mark);
  void Keep(fit::Point upper_left, const SheetSize& size);
  /// A line that a word may lie on, but only where no better place is free.
  void Avoid(const fit::Line& line) { lines_.push_back(line); }
  /// `clear_px`: how far the thing itself reaches.
  struct Thing {
    fit::Point at;
    double clear_px = 6;
  };
  void Put(Sheet& sheet, const Thing& thing, std::string_view text, const Lettering& lettering,
           Crowded crowded);

 private:
  struct Box {
    double left, top, right, bottom;
  };
  bool IsFree(const Box& box) const;
  /// How much of the lines to avoid lies in the box, in pixels.
  double LinesIn(const Box& box) const;

  SheetSize window_;
  fit::Point corner_;
  std::vector<Box> taken_;
  std::vector<fit::Line> lines_;
};

}  // namespace chockwise::survey
