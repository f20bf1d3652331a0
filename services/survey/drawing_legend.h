// What the marks of a drawing from above mean, in rows below the map. Private to the room.
//
//   const Legend legend = LegendOf(plan);
//   Sheet sheet({.width_px = kSheetWidthPx, .height_px = 700 + legend.HeightPx()}, "");
//   legend.Draw(sheet, 726);
//
// Threads: values.
#pragma once

#include <functional>
#include <string>
#include <vector>

#include "services/survey/drawing.h"
#include "services/survey/drawing_svg.h"

namespace chockwise::survey {

class Legend {
 public:
  /// What is drawn around a point, 34 px to its right at most.
  using Mark = std::function<void(Sheet&, fit::Point)>;
  void Add(Mark mark, std::string word) { entries_.push_back({std::move(mark), std::move(word)}); }
  void AddNote(std::string note) { note_ = std::move(note); }

  /// With the room above it and the note.
  double HeightPx() const;
  void Draw(Sheet& sheet, double top_px) const;

 private:
  struct Entry {
    Mark mark;
    std::string word;
  };
  std::vector<Entry> entries_;
  std::string note_;
};

/// Every mark that is on the plan, and no other but for those of every map.
Legend LegendOf(const PlanDrawing& plan);

}  // namespace chockwise::survey
