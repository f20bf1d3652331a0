// Words beside the things of a drawing, so that none lies on another: each takes the first place
// around its thing that is still free. Private to the room.
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

  SheetSize window_;
  fit::Point corner_;
  std::vector<Box> taken_;
};

}  // namespace chockwise::survey
