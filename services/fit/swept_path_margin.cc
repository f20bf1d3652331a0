#include "services/fit/swept_path_margin.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>

namespace chockwise::fit {
namespace {

Point LocalOf(const AxleFrame& frame, Point world) {
  const Point from = world - frame.at;
  return {Dot(from, frame.along), Cross(frame.along, from)};
}

Point NearestOn(const Segment& segment, Point to) {
  const Point along = segment.to - segment.from;
  const double square = Dot(along, along);
  if (square == 0) return segment.from;
  const double part = Dot(to - segment.from, along) / square;
  if (part <= 0) return segment.from;
  if (part >= 1) return segment.to;
  return segment.from + part * along;
}

std::array<Point, 4> CornersOf(const RoundedBox& box) {
  return {box.middle + Point{box.half_length_m, box.half_width_m},
          box.middle + Point{box.half_length_m, -box.half_width_m},
          box.middle + Point{-box.half_length_m, box.half_width_m},
          box.middle + Point{-box.half_length_m, -box.half_width_m}};
}

Point Clamped(Point p, double half_length_m, double half_width_m) {
  return {std::clamp(p.x_m, -half_length_m, half_length_m),
          std::clamp(p.y_m, -half_width_m, half_width_m)};
}

/// How far a segment must be moved to leave the box, by the axis of separation that is nearest; not
/// positive where one separates them already. Both seen from the box's middle.
double OverlapM(const RoundedBox& box, Point from, Point to) {
  const auto [left, right] = std::minmax(from.x_m, to.x_m);
  const auto [low, high] = std::minmax(from.y_m, to.y_m);
  double overlap_m = std::min(right + box.half_length_m, box.half_length_m - left);
  overlap_m = std::min({overlap_m, high + box.half_width_m, box.half_width_m - low});
  if (overlap_m <= 0) return overlap_m;
  const Point along = to - from;
  const double length_m = std::sqrt(Dot(along, along));
  if (length_m == 0) return overlap_m;
  const Point normal{-along.y_m / length_m, along.x_m / length_m};
  const double reach_m =
      box.half_length_m * std::abs(normal.x_m) + box.half_width_m * std::abs(normal.y_m);
  return std::min(overlap_m, reach_m - std::abs(Dot(normal, from)));
}

/// Without the care for overflow that std::hypot pays for.
double DistanceM(Point a, Point b) { return std::sqrt(Dot(a - b, a - b)); }

bool Crosses(const Segment& a, const Segment& b) {
  const Point along_a = a.to - a.from;
  const Point along_b = b.to - b.from;
  const double from_b = Cross(along_a, b.from - a.from);
  const double to_b = Cross(along_a, b.to - a.from);
  const double from_a = Cross(along_b, a.from - b.from);
  const double to_a = Cross(along_b, a.to - b.from);
  return (from_b > 0) != (to_b > 0) && (from_a > 0) != (to_a > 0);
}

}  // namespace

RoundedBox RoundedBoxOf(const BodyBox& box) {
  return {.middle = {(box.ahead - box.behind).metres() / 2, (box.left - box.right).metres() / 2},
          .half_length_m = (box.ahead + box.behind).metres() / 2,
          .half_width_m = (box.left + box.right).metres() / 2};
}

Gap GapBetween(const RoundedBox& box, const AxleFrame& at, const Segment& segment) {
  const Point from = LocalOf(at, segment.from) - box.middle;
  const Point to = LocalOf(at, segment.to) - box.middle;
  const double overlap_m = OverlapM(box, from, to);
  if (overlap_m > 0) {
    const Point inside = NearestOn({from, to}, {});
    return {.gap_m = -overlap_m - box.radius_m,
            .on_box = box.middle + Clamped(inside, box.half_length_m, box.half_width_m),
            .on_other = NearestOn(segment, Place(at, box.middle))};
  }
  double least_square = std::numeric_limits<double>::infinity();
  Point on_box, on_segment;
  const auto keep = [&](Point a, Point b) {
    const Point apart = a - b;
    const double square = Dot(apart, apart);
    if (square < least_square) least_square = square, on_box = a, on_segment = b;
  };
  keep(Clamped(from, box.half_length_m, box.half_width_m), from);
  keep(Clamped(to, box.half_length_m, box.half_width_m), to);
  for (const double ahead_m : {box.half_length_m, -box.half_length_m}) {
    for (const double left_m : {box.half_width_m, -box.half_width_m}) {
      const Point corner{ahead_m, left_m};
      keep(corner, NearestOn({from, to}, corner));
    }
  }
  return {.gap_m = std::sqrt(least_square) - box.radius_m,
          .on_box = box.middle + on_box,
          .on_other = Place(at, box.middle + on_segment)};
}

Gap GapOfWay(const Segment& way, const Segment& segment) {
  double least_m = std::numeric_limits<double>::infinity();
  Gap gap;
  const auto keep = [&](Point on_way, Point on_segment) {
    const double apart_m = DistanceM(on_way, on_segment);
    if (apart_m < least_m) least_m = apart_m, gap.on_box = on_way, gap.on_other = on_segment;
  };
  keep(NearestOn(way, segment.from), segment.from);
  keep(NearestOn(way, segment.to), segment.to);
  keep(way.from, NearestOn(segment, way.from));
  keep(way.to, NearestOn(segment, way.to));
  gap.gap_m = Crosses(way, segment) ? -least_m : least_m;
  return gap;
}

MovingBox::MovingBox(const RoundedBox& box, const std::vector<AxleFrame>& frames)
    : box_(box), frames_(frames) {
  // A rigid move from pose to pose displaces points by an affine function of where they are, so the
  // farthest displaced one is a corner.
  const auto corners = CornersOf(box);
  moved_m_.reserve(frames.size());
  double sum_m = 0;
  for (size_t i = 0; i < frames.size(); ++i) {
    double most_square = 0;
    for (size_t k = 0; i > 0 && k < corners.size(); ++k) {
      const Point move = Place(frames[i], corners[k]) - Place(frames[i - 1], corners[k]);
      most_square = std::max(most_square, Dot(move, move));
    }
    moved_m_.push_back(sum_m += std::sqrt(most_square));
  }
}

void MovingBox::Approach(const Segment& segment, std::optional<Nearest>& best) const {
  const auto look = [&](size_t step) {
    const Gap gap = GapBetween(box_, frames_[step], segment);
    if (!best || gap.gap_m < best->gap.gap_m) best = Nearest{gap, step};
    return gap.gap_m;
  };
  const size_t last = frames_.size() - 1;
  std::vector<Stretch> open = {{0, last, look(0), look(last)}};
  while (!open.empty()) {
    const Stretch stretch = open.back();
    open.pop_back();
    // From either end it comes nearer by no more than it moves.
    const double moved_m = moved_m_[stretch.to] - moved_m_[stretch.from];
    if ((stretch.from_m + stretch.to_m - moved_m) / 2 >= best->gap.gap_m) continue;
    if (stretch.to <= stretch.from + 1) {
      if (stretch.to > stretch.from) ApproachBetween(stretch, segment, *best);
      continue;
    }
    const size_t middle = (stretch.from + stretch.to) / 2;
    const double middle_m = look(middle);
    const Stretch before{stretch.from, middle, stretch.from_m, middle_m};
    const Stretch after{middle, stretch.to, middle_m, stretch.to_m};
    const bool before_first =
        stretch.from_m < stretch.to_m;  // the nearer half makes the rest short
    open.push_back(before_first ? after : before);
    open.push_back(before_first ? before : after);
  }
}

void MovingBox::ApproachBetween(const Stretch& stretch, const Segment& segment,
                                Nearest& best) const {
  const double moved_m = moved_m_[stretch.to] - moved_m_[stretch.from];
  const AxleFrame& from = frames_[stretch.from];
  const AxleFrame& to = frames_[stretch.to];
  const auto keep = [&](Point corner, Gap gap) {
    gap.gap_m -= box_.radius_m;
    gap.on_box = corner;
    if (gap.gap_m < best.gap.gap_m) best = Nearest{gap, stretch.from};
  };
  if (stretch.from_m + box_.radius_m < moved_m) {  // a corner may cross it on its way
    for (const Point corner : CornersOf(box_))
      keep(corner, GapOfWay({Place(from, corner), Place(to, corner)}, segment));
    return;
  }
  // Otherwise only an end of the segment can be nearer to a corner's way than to both poses: to
  // the inner of the segment the nearest of a way is one of its own ends.
  for (const Point end : {segment.from, segment.to}) {
    if (GapBetween(box_, from, {end, end}).gap_m - moved_m >= best.gap.gap_m) continue;
    for (const Point corner : CornersOf(box_)) {
      const Point nearest = NearestOn({Place(from, corner), Place(to, corner)}, end);
      keep(corner, {.gap_m = DistanceM(nearest, end), .on_box = {}, .on_other = end});
    }
  }
}

}  // namespace chockwise::fit
