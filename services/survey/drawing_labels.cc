#include "services/survey/drawing_labels.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <optional>

namespace chockwise::survey {
namespace {

/// Kept between a text that was moved aside and the frame.
constexpr double kInsetPx = 4;

/// Narrows the part [from, to] of a segment to where it runs between two bounds on one axis.
void Narrow(double start, double step, double least, double most, double& from, double& to) {
  if (step == 0) {
    if (start < least || start > most) to = from;
    return;
  }
  const double a = (least - start) / step, b = (most - start) / step;
  from = std::max(from, std::min(a, b));
  to = std::min(to, std::max(a, b));
}

}  // namespace

void Labels::Keep(const Sheet::Round& mark) {
  taken_.push_back({.left = mark.middle.x_m - mark.radius_px,
                    .top = mark.middle.y_m - mark.radius_px,
                    .right = mark.middle.x_m + mark.radius_px,
                    .bottom = mark.middle.y_m + mark.radius_px});
}

void Labels::Keep(fit::Point upper_left, const SheetSize& size) {
  taken_.push_back({.left = upper_left.x_m,
                    .top = upper_left.y_m,
                    .right = upper_left.x_m + size.width_px,
                    .bottom = upper_left.y_m + size.height_px});
}

bool Labels::IsFree(const Box& box) const {
  const bool inside = box.left >= corner_.x_m && box.top >= corner_.y_m &&
                      box.right <= corner_.x_m + window_.width_px &&
                      box.bottom <= corner_.y_m + window_.height_px;
  return inside && std::ranges::none_of(taken_, [&](const Box& other) {
           return box.left < other.right && other.left < box.right && box.top < other.bottom &&
                  other.top < box.bottom;
         });
}

double Labels::LinesIn(const Box& box) const {
  double length_px = 0;
  for (const fit::Line& line : lines_) {
    for (size_t i = 1; i < line.size(); ++i) {
      const fit::Point start = line[i - 1], step = line[i] - start;
      double from = 0, to = 1;
      Narrow(start.x_m, step.x_m, box.left, box.right, from, to);
      Narrow(start.y_m, step.y_m, box.top, box.bottom, from, to);
      length_px += std::max(0.0, to - from) * fit::LengthM(step);
    }
  }
  return length_px;
}

void Labels::Put(Sheet& sheet, const Thing& thing, std::string_view text,
                 const Lettering& lettering, Crowded crowded) {
  const double width = kLetterWidth * lettering.size_px * static_cast<double>(text.size());
  const double height = lettering.size_px, off = thing.clear_px + 4;
  const fit::Point at = thing.at;
  // Lower left corners of the text, the best first: right, left, below, above, and the corners.
  const std::array<fit::Point, 8> places = {{{at.x_m + off, at.y_m + height / 3},
                                             {at.x_m - off - width, at.y_m + height / 3},
                                             {at.x_m - width / 2, at.y_m + off + height},
                                             {at.x_m - width / 2, at.y_m - off},
                                             {at.x_m + off, at.y_m - off},
                                             {at.x_m + off, at.y_m + off + height},
                                             {at.x_m - off - width, at.y_m - off},
                                             {at.x_m - off - width, at.y_m + off + height}}};
  const auto box_at = [&](fit::Point place) {
    return Box{.left = place.x_m,
               .top = place.y_m - height,
               .right = place.x_m + width,
               .bottom = place.y_m + height / 4};
  };
  // The same moved aside, so that a long text stays whole.
  const auto within = [&](fit::Point place) {
    const double right = corner_.x_m + window_.width_px - width - kInsetPx;
    return fit::Point{std::max(corner_.x_m + kInsetPx, std::min(place.x_m, right)), place.y_m};
  };
  std::optional<fit::Point> best;
  double least_px = 0;
  const auto consider = [&](fit::Point place) {
    if (!IsFree(box_at(place))) return;
    const double lines_px = LinesIn(box_at(place));
    if (best && lines_px >= least_px) return;
    best = place;
    least_px = lines_px;
  };
  for (const fit::Point& place : places) consider(place);
  if (!best)
    for (const fit::Point& place : places) consider(within(place));
  if (!best && crowded == Crowded::kLeaveOut) return;
  const fit::Point place = best.value_or(within(places.front()));
  taken_.push_back(box_at(place));
  sheet.Text(place, text,
             {.size_px = lettering.size_px, .anchor = Anchor::kStart, .weight = lettering.weight});
}

}  // namespace chockwise::survey
