#include "services/fit/kinematics_guide.h"

#include <algorithm>
#include <cmath>
#include <limits>
#include <optional>
#include <utility>

namespace chockwise::fit {
namespace {

constexpr double kMostCutM = 0.1;
constexpr double kLeastTurnRad = 1e-9;  // below it two straights are one
constexpr double kRoomRounding = 1e-9;  // two bends that use a straight up may differ by roundings
constexpr double kOnePlaceM = 1e-9;     // points of a line that are no farther apart are one

struct Corner {
  double turn_rad = 0;  // counter-clockwise positive
  double tangent = 0;   // tan(|turn| / 2): how much straight a radius of 1 uses on each side
  double radius_m = 0;
};

double TurnRad(Point in, Point out) { return std::atan2(Cross(in, out), Dot(in, out)); }

Point Turned(Point direction, double by_rad) {
  const Point along = Unit(by_rad);
  return {direction.x_m * along.x_m - direction.y_m * along.y_m,
          direction.x_m * along.y_m + direction.y_m * along.x_m};
}

/// A bend in its own frame: it starts at the origin along x and turns left.
struct BendCurve {
  std::vector<Point> at;  // one a step, the start left out
  std::vector<double> heading_rad;
  double length_m = 0;
  double straight_m = 0;  // from the vertex to either end
};

double Binomial(int n, int k) {
  double value = 1;
  for (int i = 1; i <= k; ++i) value = value * (n - k + i) / i;
  return value;
}

/// The heading of a bend whose curvature is a box averaged `ramps` times over `ramp_m`: a sum of
/// truncated powers.
class RampedHeading {
 public:
  RampedHeading(double turn_rad, double box_m, const Bending& bending)
      : box_m_(box_m), ramp_m_(bending.ramp_m), ramps_(bending.ramps) {
    factor_ = turn_rad / box_m;
    for (int i = 1; i <= ramps_ + 1; ++i) factor_ /= i;
    factor_ /= std::pow(ramp_m_, ramps_);
  }
  double LengthOfBend() const { return box_m_ + ramps_ * ramp_m_; }
  double At(double s_m) const {
    double sum = 0;
    for (int j = 0; j <= ramps_; ++j) {
      const double sign = j % 2 == 0 ? 1 : -1;
      sum += sign * Binomial(ramps_, j) *
             (Power(s_m - j * ramp_m_) - Power(s_m - j * ramp_m_ - box_m_));
    }
    return factor_ * sum;
  }

 private:
  double Power(double x) const { return x <= 0 ? 0 : std::pow(x, ramps_ + 1); }
  double box_m_, ramp_m_, factor_ = 0;
  int ramps_;
};

int StepsOver(double length_m, double step_m) {
  return std::max(2, static_cast<int>(std::ceil(length_m / step_m * (1 - 1e-12))));
}

BendCurve RampedBend(double turn_rad, double radius_m, const Bending& bending) {
  const RampedHeading heading(turn_rad, turn_rad * radius_m, bending);
  BendCurve bend;
  bend.length_m = heading.LengthOfBend();
  const int steps = StepsOver(bend.length_m, bending.step_m);
  const double step_m = bend.length_m / steps;
  Point at;
  double from_rad = 0;
  for (int i = 1; i <= steps; ++i) {
    const double middle_rad = heading.At((i - 0.5) * step_m);
    const double to_rad = i == steps ? turn_rad : heading.At(i * step_m);
    at = at + (step_m / 6) * (Unit(from_rad) + 4 * Unit(middle_rad) + Unit(to_rad));
    bend.at.push_back(at);
    bend.heading_rad.push_back(to_rad);
    from_rad = to_rad;
  }
  bend.straight_m = at.x_m - at.y_m / std::tan(turn_rad);
  // Near a right angle the tangent's inverse is 0 and at.x_m is the whole; at a U-turn none meets.
  return bend;
}

BendCurve ArcBend(double turn_rad, double radius_m, double step_m) {
  BendCurve bend;
  bend.length_m = turn_rad * radius_m;
  bend.straight_m = radius_m * std::tan(turn_rad / 2);
  const int steps = StepsOver(bend.length_m, step_m);
  for (int i = 1; i <= steps; ++i) {
    const double heading_rad = turn_rad * i / steps;
    const double half = std::sin(heading_rad / 2);
    bend.at.push_back({radius_m * std::sin(heading_rad), 2 * radius_m * half * half});
    bend.heading_rad.push_back(heading_rad);
  }
  return bend;
}

class Builder {
 public:
  Builder(const Line& line, const Bending& bending) : line_(line), bending_(bending) {
    for (size_t i = 0; i + 1 < line.size(); ++i) {
      const Point leg = line[i + 1] - line[i];
      lengths_m_.push_back(LengthM(leg));
      directions_.push_back(1 / lengths_m_.back() * leg);
    }
    corners_.resize(lengths_m_.size() + 1);  // the ends are corners without a turn
    for (size_t i = 1; i < lengths_m_.size(); ++i) {
      Corner& corner = corners_[i];
      corner.turn_rad = TurnRad(directions_[i - 1], directions_[i]);
      if (std::abs(corner.turn_rad) < kLeastTurnRad) corner.turn_rad = 0;
      corner.tangent = std::tan(std::abs(corner.turn_rad) / 2);
    }
  }

  tl::expected<std::vector<GuideStep>, TightBend> Build() {
    if (bending_.corners == Corners::kRounded) {
      if (const auto tight = Room()) return tl::unexpected(*tight);
    }
    double length_m = 0;
    for (const double leg_m : lengths_m_) length_m += leg_m;
    steps_.reserve(static_cast<size_t>(length_m / bending_.step_m) + 4 * corners_.size());
    steps_.push_back({line_[0], directions_[0], 0, 0});
    double used_m = 0;  // of the leg, by the bend at its start
    for (size_t i = 0; i < directions_.size(); ++i) {
      const BendCurve bend = CurveAt(i + 1);
      AddStraight(line_[i + 1] - bend.straight_m * directions_[i], directions_[i],
                  lengths_m_[i] - used_m - bend.straight_m);
      if (i + 1 < directions_.size()) AddCorner(i + 1, bend);
      used_m = bend.straight_m;
    }
    return std::move(steps_);
  }

 private:
  /// Gives every corner its radius, or says which has no room for the least one.
  std::optional<TightBend> Room() {
    for (Corner& corner : corners_)
      corner.radius_m = corner.turn_rad == 0 ? 0 : std::numeric_limits<double>::infinity();
    double along_m = 0;
    std::optional<TightBend> tightest;
    for (size_t i = 0; i < lengths_m_.size(); ++i) {
      const double least_m = StraightFor(i) + StraightFor(i + 1);
      const double scale = least_m > 0 ? lengths_m_[i] / least_m : 0;
      if (least_m > lengths_m_[i] * (1 + kRoomRounding)) {
        const bool at_start = StraightFor(i) > StraightFor(i + 1);
        const Corner& corner = corners_[at_start ? i : i + 1];
        const double least_radius_m = StraightFor(at_start ? i : i + 1) / corner.tangent;
        const TightBend tight{.along_m = along_m + (at_start ? 0 : lengths_m_[i]),
                              .least_radius_m = least_radius_m,
                              .lane_radius_m = least_radius_m * scale};
        if (!tightest || tight.lane_radius_m < tightest->lane_radius_m) tightest = tight;
      }
      for (Corner* corner : {&corners_[i], &corners_[i + 1]}) {
        if (corner->turn_rad == 0) continue;
        const double share_m = lengths_m_[i] / (corners_[i].tangent + corners_[i + 1].tangent);
        corner->radius_m = std::min(corner->radius_m, share_m);
      }
      along_m += lengths_m_[i];
    }
    if (tightest) return tightest;
    for (Corner& corner : corners_) {
      if (corner.turn_rad == 0) continue;
      const double gentle_m = kMostCutM / (1 / std::cos(corner.turn_rad / 2) - 1);
      corner.radius_m = bending_.ramps > 0 ? bending_.least_radius_m
                                           : std::max(bending_.least_radius_m,
                                                      std::min(corner.radius_m, gentle_m));
    }
    return std::nullopt;
  }

  double StraightFor(size_t corner) const {
    const double turn_rad = std::abs(corners_[corner].turn_rad);
    if (turn_rad == 0) return 0;
    if (bending_.ramps == 0) return bending_.least_radius_m * corners_[corner].tangent;
    return RampedBend(turn_rad, bending_.least_radius_m, bending_).straight_m;
  }

  BendCurve CurveAt(size_t corner) const {
    const double turn_rad = std::abs(corners_[corner].turn_rad);
    if (turn_rad == 0 || bending_.corners != Corners::kRounded) return {};
    if (bending_.ramps > 0) return RampedBend(turn_rad, corners_[corner].radius_m, bending_);
    return ArcBend(turn_rad, corners_[corner].radius_m, bending_.step_m);
  }

  void AddStraight(Point to, Point direction, double length_m) {
    if (length_m <= kRoomRounding) return;
    ++piece_;
    const int count = StepsOver(length_m, bending_.step_m);
    const GuideStep from = steps_.back();
    for (int i = 1; i <= count; ++i) {
      const double part = static_cast<double>(i) / count;
      steps_.push_back({i == count ? to : from.at + part * (to - from.at), direction,
                        from.along_m + part * length_m, piece_});
    }
  }

  void AddCorner(size_t corner, const BendCurve& bend) {
    const double turn_rad = corners_[corner].turn_rad;
    const Point in = directions_[corner - 1];
    if (bending_.corners == Corners::kSharp || turn_rad == 0) {
      steps_.back().along = directions_[corner];
      return;
    }
    ++piece_;
    if (bending_.corners == Corners::kSpun) {
      const int count = StepsOver(std::abs(turn_rad) * bending_.reach_m, bending_.step_m);
      const GuideStep from = steps_.back();
      for (int i = 1; i <= count; ++i)
        steps_.push_back({from.at, Turned(in, turn_rad * i / count), from.along_m, piece_});
      return;
    }
    const Point start = line_[corner] - bend.straight_m * in;
    const double side = turn_rad > 0 ? 1 : -1;
    const double start_m = steps_.back().along_m;
    const Point left{-in.y_m, in.x_m};
    for (size_t i = 0; i < bend.at.size(); ++i) {
      const double part = static_cast<double>(i + 1) / static_cast<double>(bend.at.size());
      steps_.push_back({start + bend.at[i].x_m * in + side * bend.at[i].y_m * left,
                        Turned(in, side * bend.heading_rad[i]), start_m + part * bend.length_m,
                        piece_});
    }
  }

  const Line& line_;
  const Bending& bending_;
  std::vector<double> lengths_m_;
  std::vector<Point> directions_;
  std::vector<Corner> corners_;
  std::vector<GuideStep> steps_;
  int piece_ = 0;
};

double DistanceToChordM(Point point, Point from, Point to) {
  const Point chord = to - from;
  const double square = Dot(chord, chord);
  const double part = square > 0 ? std::clamp(Dot(point - from, chord) / square, 0.0, 1.0) : 0.0;
  return LengthM(point - (from + part * chord));
}

}  // namespace

Line Straightened(const Line& line, double tolerance_m) {
  std::vector<char> kept(line.size(), 0);
  kept.front() = kept.back() = 1;
  std::vector<std::pair<size_t, size_t>> open = {{0, line.size() - 1}};
  while (!open.empty()) {
    const auto [from, to] = open.back();
    open.pop_back();
    double farthest_m = tolerance_m;
    size_t at = from;
    for (size_t i = from + 1; i < to; ++i) {
      const double distance_m = DistanceToChordM(line[i], line[from], line[to]);
      if (distance_m > farthest_m) farthest_m = distance_m, at = i;
    }
    if (at == from) continue;
    kept[at] = 1;
    open.push_back({from, at});
    open.push_back({at, to});
  }
  Line straightened;
  for (size_t i = 0; i < line.size(); ++i) {
    if (kept[i] != 0 &&
        (straightened.empty() || LengthM(line[i] - straightened.back()) > kOnePlaceM))
      straightened.push_back(line[i]);
  }
  return straightened;
}

tl::expected<std::vector<GuideStep>, TightBend> GuideAlong(const Line& line,
                                                           const Bending& bending) {
  return Builder(line, bending).Build();
}

}  // namespace chockwise::fit
