#include "services/fit/swept_path.h"

#include <fmt/format.h>

#include <algorithm>
#include <cmath>
#include <limits>
#include <utility>

#include "services/fit/swept_path_margin.h"

namespace chockwise::fit {
namespace {

constexpr double kNever = std::numeric_limits<double>::infinity();

struct MovingPart {
  MovingBox box;
  size_t unit = 0;
  double error_m = 0;
  double error_per_m = 0;
  bool is_ring = false;
};

std::vector<MovingPart> PartsOf(const Driven& driven, const TurningMachine& machine) {
  std::vector<MovingPart> parts;
  for (size_t unit = 0; unit < driven.units.size(); ++unit) {
    const UnitMotion& moves = driven.units[unit];
    for (const BodyBox& box : moves.boxes) {
      parts.push_back({.box = MovingBox(RoundedBoxOf(box), moves.frames),
                       .unit = unit,
                       .error_m = moves.error_m,
                       .error_per_m = moves.error_per_m});
    }
  }
  if (machine.upper && !driven.units.empty()) {
    const SlewRing& upper = *machine.upper;
    const RoundedBox ring{.middle = {upper.centre_ahead.metres(), 0},
                          .radius_m = (upper.tail_radius + upper.clearance).metres()};
    parts.push_back({.box = MovingBox(ring, driven.units[0].frames),
                     .error_m = driven.units[0].error_m,
                     .error_per_m = driven.units[0].error_per_m,
                     .is_ring = true});
  }
  return parts;
}

/// "rear left corner", "left side": where on the box the nearest point is.
std::string PartName(const MovingPart& part, Point on_box) {
  if (part.is_ring) return "slew ring";
  const RoundedBox& box = part.box.box();
  const Point from_middle = on_box - box.middle;
  constexpr double kNearEnd = 0.9;  // a corner's neighbourhood
  const bool at_end = std::abs(from_middle.x_m) >= kNearEnd * box.half_length_m;
  const bool at_side = std::abs(from_middle.y_m) >= kNearEnd * box.half_width_m;
  const char* end = from_middle.x_m > 0 ? "front" : "rear";
  const char* side = from_middle.y_m > 0 ? "left" : "right";
  if (at_end && at_side) return fmt::format("{} {} corner", end, side);
  if (at_end) return end;
  return fmt::format("{} side", side);
}

std::vector<Segment> EdgesOf(const SideObstacle& obstacle) {
  const Line& shape = obstacle.shape;
  std::vector<Segment> edges;
  for (size_t i = 0; i + 1 < shape.size(); ++i) edges.push_back({shape[i], shape[i + 1]});
  if (obstacle.kind == SideObstacle::Kind::kGround) edges.push_back({shape.back(), shape.front()});
  if (edges.empty()) edges.push_back({shape.front(), shape.front()});
  return edges;
}

bool Encloses(const Ring& ring, Point point) {
  bool inside = false;
  for (size_t i = 0; i < ring.size(); ++i) {
    const Point a = ring[i];
    const Point b = ring[(i + 1) % ring.size()];
    if ((a.y_m > point.y_m) == (b.y_m > point.y_m)) continue;
    const double crossing_x_m = a.x_m + (point.y_m - a.y_m) / (b.y_m - a.y_m) * (b.x_m - a.x_m);
    if (point.x_m < crossing_x_m) inside = !inside;
  }
  return inside;
}

/// A box that starts wholly inside a ring touches none of its edges and is yet in conflict. Later
/// it cannot come in without crossing one.
void StartInside(const MovingPart& part, const AxleFrame& start, const SideObstacle& obstacle,
                 std::optional<MovingBox::Nearest>& best) {
  if (obstacle.kind != SideObstacle::Kind::kGround) return;
  const Point middle = Place(start, part.box.box().middle);
  if (!Encloses(obstacle.shape, middle)) return;
  double least_m = 0;
  for (const Segment& edge : EdgesOf(obstacle)) {
    const Gap gap = GapBetween({.middle = part.box.box().middle}, start, edge);
    if (least_m == 0 || gap.gap_m < least_m) least_m = gap.gap_m;
  }
  if (!best || -least_m < best->gap.gap_m) {
    best = MovingBox::Nearest{
        {.gap_m = -least_m, .on_box = part.box.box().middle, .on_other = middle}, 0};
  }
}

SideMargin MarginTo(const SideObstacle& obstacle, const std::vector<MovingPart>& parts,
                    const Driven& driven, const SweptPathQuestion& question) {
  SideMargin margin;
  margin.obstacle = obstacle.id;
  double least_m = kNever;
  for (const MovingPart& part : parts) {
    // Each part on its own: a nearer one with a small error must not hide one with a larger.
    std::optional<MovingBox::Nearest> nearest;
    StartInside(part, driven.units[part.unit].frames.front(), obstacle, nearest);
    for (const Segment& edge : EdgesOf(obstacle)) part.box.Approach(edge, nearest);
    const double gap_m = nearest->gap.gap_m;
    const double error_m = kFoundToM + part.error_m + part.error_per_m * std::max(gap_m, 0.0);
    if (gap_m - error_m >= least_m) continue;
    least_m = gap_m - error_m;
    margin.margin = InMetres(gap_m);
    margin.error = InMetres(error_m);
    margin.unit = part.unit;
    margin.part = PartName(part, nearest->gap.on_box);
    margin.along = InMetres(driven.along_m[nearest->step]);
    margin.there = nearest->gap.on_other;
  }
  margin.error += question.reading_error;
  margin.verdict = Judge((margin.margin - question.needed_margin).metres(), margin.error.metres());
  return margin;
}

/// √(r² + o²) − r without cancellation.
double SwingM(double radius_m, double overhang_m) {
  return overhang_m * overhang_m / (std::hypot(radius_m, overhang_m) + radius_m);
}

Metres TailSwingOf(const Driven& driven) {
  double most_m = 0;
  for (const UnitMotion& unit : driven.units) {
    // The tighter the turn, the farther it swings. Squares of radii, until one is needed.
    double least_left = kNever, least_right = kNever;
    for (size_t i = 1; i < unit.frames.size(); ++i) {
      const double turn_rad = Cross(unit.frames[i - 1].along, unit.frames[i].along);
      if (std::abs(turn_rad) < 1e-12) continue;
      const Point way = unit.frames[i].at - unit.frames[i - 1].at;
      double& least = turn_rad > 0 ? least_left : least_right;
      least = std::min(least, Dot(way, way) / (turn_rad * turn_rad));
    }
    for (const BodyBox& box : unit.boxes) {
      if (box.behind <= Metres()) continue;
      // The outer side is the right one of a turn to the left.
      for (const auto& [least, outer] :
           {std::pair(least_left, box.right), std::pair(least_right, box.left)}) {
        if (least == kNever) continue;
        const double outer_m = std::max(outer.metres() + std::sqrt(least), 0.0);
        most_m = std::max(most_m, SwingM(outer_m, box.behind.metres()));
      }
    }
  }
  return InMetres(most_m);
}

/// How far the axles leave the guide. An axle's nearest guide point only moves on as the axle does:
/// looked for from the one before.
std::optional<OffLine> MostOff(const Driven& driven) {
  std::optional<OffLine> most;
  double most_m = 1e-6;  // below is rounding
  const Line& guide = driven.guide;
  for (size_t unit = 0; unit < driven.units.size(); ++unit) {
    size_t nearest = 0;
    for (size_t i = 0; i < driven.units[unit].frames.size(); ++i) {
      const Point axle = driven.units[unit].frames[i].at;
      const auto apart = [&](size_t k) { return Dot(axle - guide[k], axle - guide[k]); };
      while (nearest + 1 < guide.size() && apart(nearest + 1) <= apart(nearest)) ++nearest;
      while (nearest > 0 && apart(nearest - 1) < apart(nearest)) --nearest;
      if (nearest == 0 || nearest + 1 == guide.size()) continue;  // before or beyond the line
      const Point course = guide[nearest + 1] - guide[nearest - 1];
      const double square = Dot(course, course);
      const double across = Cross(course, axle - guide[nearest]);
      if (across * across <= most_m * most_m * square || square == 0) continue;
      const double left_m = across / std::sqrt(square);
      most_m = std::abs(left_m);
      most = OffLine{.unit = unit,
                     .off = InMetres(most_m),
                     .side = left_m > 0 ? Side::kLeft : Side::kRight,
                     .along = InMetres(driven.along_m[i])};
    }
  }
  return most;
}

std::optional<Unusable> FaultOf(const SweptPathQuestion& question) {
  if (question.needed_margin < Metres() || question.needed_margin > InMetres(100))
    return Unusable{"needed margin", fmt::format("is {:.3f} m", question.needed_margin.metres()),
                    "0 to 100 m"};
  if (question.reading_error < Metres() || question.reading_error > InMetres(1))
    return Unusable{"reading error", fmt::format("is {:.3f} m", question.reading_error.metres()),
                    "0 to 1 m"};
  for (const SideObstacle& obstacle : question.obstacles) {
    const std::string name = "obstacle " + obstacle.id;
    const size_t fewest = obstacle.kind == SideObstacle::Kind::kGround ? 3 : 1;
    if (obstacle.shape.size() < fewest)
      return Unusable{name, fmt::format("has {} points", obstacle.shape.size()),
                      fmt::format("{} or more", fewest)};
    for (const Point point : obstacle.shape) {
      if (!(std::abs(point.x_m) <= 1e6 && std::abs(point.y_m) <= 1e6))
        return Unusable{name, "has a point that is not a place of a yard",
                        "coordinates within 1,000 km"};
    }
  }
  return std::nullopt;
}

Verdict Worst(const SweptPath& swept) {
  if (swept.driven.shortfall) return Verdict::kConflict;
  Verdict worst = Verdict::kClear;
  for (const SideMargin& margin : swept.margins) worst = Worse(worst, margin.verdict);
  return worst;
}

std::string OffText(const OffLine& off, UnitSystem system) {
  const char* wide = off.side == Side::kLeft ? "RIGHT" : "LEFT";
  return fmt::format("SWING WIDE {} {}", wide, Text(off.off, system, Rounding::kUp));
}

}  // namespace

Outcome<SweptPath> Sweep(const SweptPathQuestion& question) {
  if (const auto fault = FaultOf(question)) return tl::unexpected(*fault);
  Outcome<Driven> driven = DriveAlong(question.manoeuvre);
  if (!driven) return tl::unexpected(driven.error());
  SweptPath swept;
  swept.driven = std::move(*driven);
  if (!swept.driven.units.empty()) {
    const auto parts = PartsOf(swept.driven, question.manoeuvre.machine);
    for (const SideObstacle& obstacle : question.obstacles)
      swept.margins.push_back(MarginTo(obstacle, parts, swept.driven, question));
    swept.tail_swing = TailSwingOf(swept.driven);
    swept.most_off = MostOff(swept.driven);
  }
  for (size_t i = 0; i < swept.margins.size(); ++i) {
    if (!swept.tightest || swept.margins[i].margin < swept.margins[*swept.tightest].margin)
      swept.tightest = i;
  }
  swept.verdict = Worst(swept);
  return swept;
}

std::string DriversLine(const SweptPath& swept, UnitSystem system) {
  if (swept.driven.shortfall)
    return "WILL NOT TURN: " + Text(*swept.driven.shortfall, system) + ", do not enter";
  if (!swept.tightest)
    return swept.most_off ? OffText(*swept.most_off, system) : "TURNS: stays on the line";
  // What is not clear is said first, the tightest of it.
  const SideMargin* worst = &swept.margins[*swept.tightest];
  for (const SideMargin& margin : swept.margins) {
    if (margin.verdict == swept.verdict &&
        (worst->verdict != swept.verdict || margin.sure() < worst->sure()))
      worst = &margin;
  }
  const std::string spare = Text(worst->sure(), system, Rounding::kDown);
  switch (swept.verdict) {
    case Verdict::kConflict:
      if (worst->sure() < Metres())
        return fmt::format("WILL STRIKE {}: {} short at the {}, do not enter", worst->obstacle,
                           Text(-worst->sure(), system, Rounding::kUp), worst->part);
      return fmt::format("TOO TIGHT at {}: {} to spare at the {}, do not enter", worst->obstacle,
                         spare, worst->part);
    case Verdict::kUndecided:
      return fmt::format("TOO CLOSE TO CALL at {}: {} at the {}, do not enter", worst->obstacle,
                         spare, worst->part);
    case Verdict::kClear:
      return fmt::format("GO THROUGH: {} to spare at {}, {}", spare, worst->obstacle, worst->part);
  }
  return "";
}

}  // namespace chockwise::fit
