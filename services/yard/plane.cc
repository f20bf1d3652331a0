#include "services/yard/plane.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <numbers>

namespace chockwise::yard {
namespace {

Point operator-(Point a, Point b) { return {a.east_m - b.east_m, a.north_m - b.north_m}; }
double Dot(Point a, Point b) { return a.east_m * b.east_m + a.north_m * b.north_m; }
double Cross(Point a, Point b) { return a.east_m * b.north_m - a.north_m * b.east_m; }

struct Segment {
  Point from, to;
};

double FractionOf(Point point, Segment segment) {
  const Point way = segment.to - segment.from;
  const double square = Dot(way, way);
  return square == 0 ? 0 : std::clamp(Dot(point - segment.from, way) / square, 0.0, 1.0);
}

double DistanceToM(Point point, Segment segment) {
  const double fraction = FractionOf(point, segment);
  const Point way = segment.to - segment.from;
  return DistanceM(point, {segment.from.east_m + fraction * way.east_m,
                           segment.from.north_m + fraction * way.north_m});
}

/// Whether two segments cross at a point inside both. Where they only touch, an end lies on the
/// other segment and the distances of the ends say so.
bool CrossInside(Segment a, Segment b) {
  const Point way_a = a.to - a.from;
  const Point way_b = b.to - b.from;
  const double from_side = Cross(way_a, b.from - a.from);
  const double to_side = Cross(way_a, b.to - a.from);
  const double other_from = Cross(way_b, a.from - b.from);
  const double other_to = Cross(way_b, a.to - b.from);
  return from_side * to_side < 0 && other_from * other_to < 0;
}

double DistanceBetweenM(Segment a, Segment b) {
  if (CrossInside(a, b)) return 0;
  return std::min(
      {DistanceToM(a.from, b), DistanceToM(a.to, b), DistanceToM(b.from, a), DistanceToM(b.to, a)});
}

bool IsInsidePolygon(Point point, const Rings& rings) {
  if (rings.empty() || !IsInside(point, rings.front())) return false;
  return std::none_of(rings.begin() + 1, rings.end(),
                      [&](const auto& hole) { return IsInside(point, hole); });
}

}  // namespace

Plane::Plane(const Position& origin) : origin_(origin) {
  constexpr double kSemiMajorM = 6'378'137.0;
  constexpr double kFlattening = 1 / 298.257223563;
  constexpr double kEccentricity2 = kFlattening * (2 - kFlattening);
  constexpr double kRadiansPerDegree = std::numbers::pi / 180;
  const double sine = std::sin(origin.latitude_deg * kRadiansPerDegree);
  const double cosine = std::cos(origin.latitude_deg * kRadiansPerDegree);
  const double w2 = 1 - kEccentricity2 * sine * sine;
  const double prime_vertical_m = kSemiMajorM / std::sqrt(w2);
  const double meridian_m = prime_vertical_m * (1 - kEccentricity2) / w2;
  east_m_per_deg_ = prime_vertical_m * cosine * kRadiansPerDegree;
  north_m_per_deg_ = meridian_m * kRadiansPerDegree;
}

Point Plane::At(const Position& position) const {
  // A yard on the 180° meridian has neighbours at -179.99° and 179.99°.
  const double east_deg = std::remainder(position.longitude_deg - origin_.longitude_deg, 360.0);
  return {east_deg * east_m_per_deg_,
          (position.latitude_deg - origin_.latitude_deg) * north_m_per_deg_};
}

std::vector<Point> Plane::At(const std::vector<Position>& line) const {
  std::vector<Point> points;
  points.reserve(line.size());
  for (const Position& position : line) points.push_back(At(position));
  return points;
}

double DistanceM(Point a, Point b) {
  return std::hypot(a.east_m - b.east_m, a.north_m - b.north_m);
}

Foot NearestOnLine(Point point, const std::vector<Point>& line) {
  Foot nearest{.distance_m = std::numeric_limits<double>::infinity()};
  for (size_t i = 0; i + 1 < line.size(); ++i) {
    const Segment segment{line[i], line[i + 1]};
    const double distance_m = DistanceToM(point, segment);
    if (distance_m < nearest.distance_m) nearest = {distance_m, i, FractionOf(point, segment)};
  }
  return nearest;
}

fit::Metres OffDoor(const Door& door, const Lane& lane) {
  const Plane plane(door.position);
  return fit::InMetres(NearestOnLine({}, plane.At(lane.line)).distance_m);
}

std::vector<double> LengthsAlongM(const std::vector<Position>& line) {
  std::vector<double> lengths_m;
  double total_m = 0;
  for (size_t i = 0; i < line.size(); ++i) {
    if (i > 0) {
      const Plane plane(line[i - 1]);
      const double rise_m = line[i].elevation_m.value_or(0) - line[i - 1].elevation_m.value_or(0);
      total_m += std::hypot(DistanceM(plane.At(line[i - 1]), plane.At(line[i])), rise_m);
    }
    lengths_m.push_back(total_m);
  }
  return lengths_m;
}

bool Touches(const std::vector<Point>& line, const Rings& rings, double within_m) {
  if (std::any_of(line.begin(), line.end(),
                  [&](Point point) { return IsInsidePolygon(point, rings); }))
    return true;
  for (const auto& ring : rings) {
    for (size_t i = 0; i + 1 < ring.size(); ++i) {
      const Segment edge{ring[i], ring[i + 1]};
      for (size_t j = 0; j < line.size(); ++j) {
        const Segment stretch{line[j], line[std::min(j + 1, line.size() - 1)]};
        if (DistanceBetweenM(stretch, edge) <= within_m) return true;
      }
    }
  }
  return false;
}

bool CrossesItself(const std::vector<Point>& ring) {
  for (size_t i = 0; i + 1 < ring.size(); ++i) {
    for (size_t j = i + 2; j + 1 < ring.size(); ++j) {
      if (CrossInside({ring[i], ring[i + 1]}, {ring[j], ring[j + 1]})) return true;
    }
  }
  return false;
}

double AreaM2(const std::vector<Point>& ring) {
  double twice_m2 = 0;
  for (size_t i = 0; i + 1 < ring.size(); ++i)
    twice_m2 += Cross(ring[i] - ring[0], ring[i + 1] - ring[0]);
  return std::abs(twice_m2) / 2;
}

bool IsInside(Point point, const std::vector<Point>& ring) {
  bool inside = false;
  for (size_t i = 0; i + 1 < ring.size(); ++i) {
    const Point a = ring[i];
    const Point b = ring[i + 1];
    const bool straddles = (a.north_m > point.north_m) != (b.north_m > point.north_m);
    if (!straddles) continue;
    const double east_m =
        a.east_m + (point.north_m - a.north_m) / (b.north_m - a.north_m) * (b.east_m - a.east_m);
    if (point.east_m < east_m) inside = !inside;
  }
  return inside;
}

}  // namespace chockwise::yard
