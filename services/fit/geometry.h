// The flat ground of a yard: points, poses, lines and rings in metres. x is east, y is north; a
// heading of 0 looks along x and grows counter-clockwise, as in mathematics.
//
//   Pose machine = {.at = {12.0, 3.5}, .heading_rad = 0.2};
//
// Plain numbers, because hot loops run over millions of them; every name says its unit. Threads:
// values.
#pragma once

#include <cmath>
#include <vector>

namespace chockwise::fit {

struct Point {
  double x_m = 0;
  double y_m = 0;
  constexpr bool operator==(const Point&) const = default;
};

struct Pose {
  Point at = {};
  double heading_rad = 0;
};

using Line = std::vector<Point>;
using Ring = std::vector<Point>;  // closed: the last joins the first; not repeated

constexpr Point operator+(Point a, Point b) { return {a.x_m + b.x_m, a.y_m + b.y_m}; }
constexpr Point operator-(Point a, Point b) { return {a.x_m - b.x_m, a.y_m - b.y_m}; }
constexpr Point operator*(double factor, Point p) { return {factor * p.x_m, factor * p.y_m}; }
constexpr double Dot(Point a, Point b) { return a.x_m * b.x_m + a.y_m * b.y_m; }
constexpr double Cross(Point a, Point b) { return a.x_m * b.y_m - a.y_m * b.x_m; }
/// Error: relative, below 2.3e-16 (two roundings of a double), for lengths from 1e-150 to 1e150 m;
/// shorter ones may come out as 0. Hot loops ask, so not std::hypot, which guards beyond that.
inline double LengthM(Point a) { return std::sqrt(Dot(a, a)); }
inline Point Unit(double heading_rad) { return {std::cos(heading_rad), std::sin(heading_rad)}; }

/// The point that stands `ahead_m` in front and `left_m` to the left of a pose.
inline Point FromPose(const Pose& pose, double ahead_m, double left_m) {
  const Point along = Unit(pose.heading_rad);
  return pose.at + ahead_m * along + left_m * Point{-along.y_m, along.x_m};
}

}  // namespace chockwise::fit
