#include "services/fit/swept_path_margin.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <limits>
#include <utility>

namespace chockwise::fit {
namespace {

constexpr double kDepthM = 0.01;  // to which a depth is looked for, once there is a conflict
constexpr size_t kLeafSteps = 8;  // that are looked through one by one

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
  const double length_m = LengthM(along);
  if (length_m == 0) return overlap_m;
  const Point normal{-along.y_m / length_m, along.x_m / length_m};
  const double reach_m =
      box.half_length_m * std::abs(normal.x_m) + box.half_width_m * std::abs(normal.y_m);
  return std::min(overlap_m, reach_m - std::abs(Dot(normal, from)));
}

/// The rectangle, seen from one pose, that holds boxes seen from others.
class Hull {
 public:
  explicit Hull(const AxleFrame& from) : from_(from) {}
  void Add(const RoundedBox& box, const AxleFrame& at) {
    const Point middle = LocalOf(from_, Place(at, box.middle));
    const double cosine = std::abs(Dot(from_.along, at.along));
    const double sine = std::abs(Cross(from_.along, at.along));
    const Point reach{box.half_length_m * cosine + box.half_width_m * sine,
                      box.half_length_m * sine + box.half_width_m * cosine};
    low_ = {std::min(low_.x_m, middle.x_m - reach.x_m), std::min(low_.y_m, middle.y_m - reach.y_m)};
    high_ = {std::max(high_.x_m, middle.x_m + reach.x_m),
             std::max(high_.y_m, middle.y_m + reach.y_m)};
  }
  RoundedBox Box(double radius_m) const {
    return {.middle = 0.5 * (low_ + high_),
            .half_length_m = (high_.x_m - low_.x_m) / 2,
            .half_width_m = (high_.y_m - low_.y_m) / 2,
            .radius_m = radius_m};
  }

 private:
  static constexpr double kFar = std::numeric_limits<double>::infinity();
  const AxleFrame& from_;
  Point low_{kFar, kFar};
  Point high_{-kFar, -kFar};
};

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
  const Point along = to - from;
  const double square = Dot(along, along);
  const double inverse = square > 0 ? 1 / square : 0;
  for (const double ahead_m : {box.half_length_m, -box.half_length_m}) {
    for (const double left_m : {box.half_width_m, -box.half_width_m}) {
      const Point corner{ahead_m, left_m};
      const double part = Dot(corner - from, along) * inverse;
      // At the ends it is one of the two above.
      if (part > 0 && part < 1) keep(corner, from + part * along);
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
    const double apart_m = LengthM(on_way - on_segment);
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
  // farthest displaced one is a corner: |d + a*t + b*l|, with d the middle's move, t and l those of
  // the directions ahead and to the left (square to each other and equally long), a and b the half
  // length and half width with the worse sign each.
  const double half_square =
      box.half_length_m * box.half_length_m + box.half_width_m * box.half_width_m;
  moved_m_.reserve(frames.size());
  moved_m_.push_back(0);
  Point before = Place(frames[0], box.middle);
  for (size_t i = 1; i < frames.size(); ++i) {
    const Point middle = Place(frames[i], box.middle);
    const Point move = middle - before;
    const Point turn = frames[i].along - frames[i - 1].along;
    const double square = Dot(move, move) + half_square * Dot(turn, turn) +
                          2 * (box.half_length_m * std::abs(Dot(move, turn)) +
                               box.half_width_m * std::abs(Cross(turn, move)));
    moved_m_.push_back(std::sqrt(square));
    before = middle;
  }
  stretches_.reserve(frames.size() / kLeafSteps * 4 + 4);
  Build(0, frames.size() - 1);
}

size_t MovingBox::Build(size_t from, size_t to) {
  const size_t index = stretches_.size();
  stretches_.push_back({.from = from, .to = to});
  Hull hull(frames_[from]);
  if (to - from <= kLeafSteps) {
    for (size_t i = from; i <= to; ++i) hull.Add(box_, frames_[i]);
  } else {
    const size_t middle = (from + to) / 2;
    const size_t before = Build(from, middle);
    const size_t after = Build(middle, to);
    stretches_[index].before = before;
    stretches_[index].after = after;
    hull.Add(stretches_[before].hull, frames_[from]);
    hull.Add(stretches_[after].hull, frames_[middle]);
  }
  stretches_[index].hull = hull.Box(box_.radius_m);
  return index;
}

void MovingBox::Approach(const Segment& segment, std::optional<Nearest>& best) const {
  // A whole stretch comes no nearer than the rectangle that holds it: also between its steps, where
  // the corners' ways are taken straight.
  const auto bound_m = [&](size_t stretch) {
    const Stretch& one = stretches_[stretch];
    return GapBetween(one.hull, frames_[one.from], segment).gap_m;
  };
  const auto is_farther = [&](double gap_m) {
    if (!best) return false;
    return gap_m >= best->gap.gap_m - (best->gap.gap_m < 0 ? kDepthM : kFoundToM);
  };
  std::array<std::pair<size_t, double>, 128> open;  // far deeper than halving can go
  size_t count = 0;
  open[count++] = {0, bound_m(0)};
  while (count > 0) {
    const auto [index, bound] = open[--count];
    if (is_farther(bound)) continue;
    const Stretch& stretch = stretches_[index];
    if (stretch.before == 0) {
      LookThrough(stretch, segment, best);
      continue;
    }
    std::pair<size_t, double> before{stretch.before, bound_m(stretch.before)};
    std::pair<size_t, double> after{stretch.after, bound_m(stretch.after)};
    if (before.second < after.second) std::swap(before, after);
    open[count++] = before;
    open[count++] = after;  // the nearer is looked through first and makes the other short
  }
}

void MovingBox::LookThrough(const Stretch& stretch, const Segment& segment,
                            std::optional<Nearest>& best) const {
  for (size_t i = stretch.from; i <= stretch.to; ++i) {
    const Gap gap = GapBetween(box_, frames_[i], segment);
    if (!best || gap.gap_m < best->gap.gap_m) best = Nearest{gap, i};
    if (i < stretch.to && gap.gap_m - moved_m_[i + 1] < best->gap.gap_m)
      ApproachBetween(i, gap.gap_m, segment, *best);
  }
}

void MovingBox::ApproachBetween(size_t step, double gap_m, const Segment& segment,
                                Nearest& best) const {
  const double moved_m = moved_m_[step + 1];
  const AxleFrame& from = frames_[step];
  const AxleFrame& to = frames_[step + 1];
  if (gap_m < -moved_m) return;  // it overlaps by more than a way between could say
  const auto keep = [&](Point corner, Gap gap) {
    gap.gap_m -= box_.radius_m;
    gap.on_box = corner;
    if (gap.gap_m < best.gap.gap_m) best = Nearest{gap, step};
  };
  if (gap_m + box_.radius_m < moved_m) {  // a corner may cross it on its way
    for (const Point corner : CornersOf(box_))
      keep(corner, GapOfWay({Place(from, corner), Place(to, corner)}, segment));
    return;
  }
  // Otherwise only an end of the segment can be nearer to a corner's way than to both poses: to
  // the inner of the segment the nearest of a way is one of its own ends.
  for (const Point end : {segment.from, segment.to}) {
    const Point seen = LocalOf(from, end) - box_.middle;
    const double apart_m = LengthM(seen - Clamped(seen, box_.half_length_m, box_.half_width_m));
    if (apart_m - box_.radius_m - moved_m >= best.gap.gap_m) continue;
    for (const Point corner : CornersOf(box_)) {
      const Point nearest = NearestOn({Place(from, corner), Place(to, corner)}, end);
      keep(corner, {.gap_m = LengthM(nearest - end), .on_box = {}, .on_other = end});
    }
  }
}

}  // namespace chockwise::fit
