#include "services/fit/sight_lines.h"

#include <algorithm>
#include <array>
#include <cmath>
#include <numbers>
#include <optional>

#include "services/fit/chord.h"

namespace chockwise::fit {
namespace {

constexpr double kTurn = 2 * std::numbers::pi;
/// No corner of the trapezoid is farther from the nearer disc's middle than this many of the larger
/// radius, where the radii differ by at most kMostTaper of the way between.
constexpr double kCorner = 2.5;
constexpr double kMostTaper = 0.6;

struct Disc {
  Point middle;
  double radius_m = 0;
};

/// The trapezoid of the outer tangents of two discs, from end to end of both.
class Corridor {
 public:
  /// nullopt where one disc lies so near the other that no trapezoid is drawn.
  static std::optional<Corridor> Between(const Disc& eye, const Disc& person) {
    const Point way = person.middle - eye.middle;
    const double length_m = LengthM(way);
    const double taper_m = person.radius_m - eye.radius_m;
    if (!(std::abs(taper_m) < kMostTaper * length_m)) return std::nullopt;
    return Corridor(eye, person, (1 / length_m) * way, length_m, taper_m / length_m);
  }

  bool MayMeet(Point middle, double radius_m) const {
    return FromChordM(middle, from_, to_) <= radius_m + around_m_;
  }

  /// Whether a straight piece has a point in the trapezoid: what each of its four sides leaves.
  bool Meets(Point from, Point to) const {
    const auto a = OffSides(from), b = OffSides(to);
    double enters = 0, leaves = 1;
    for (size_t side = 0; side < a.size(); ++side) {
      if (a[side] > 0 && b[side] > 0) return false;
      const double change = b[side] - a[side];
      if (a[side] > 0) enters = std::max(enters, -a[side] / change);
      if (b[side] > 0) leaves = std::min(leaves, -a[side] / change);
    }
    return enters <= leaves;
  }

  bool MeetsRing(const Ring& ring) const {
    for (size_t i = 0; i < ring.size(); ++i) {
      if (Meets(ring[i], ring[(i + 1) % ring.size()])) return true;
    }
    return false;
  }

 private:
  Corridor(const Disc& eye, const Disc& person, Point along, double length_m, double taper)
      : from_(eye.middle),
        to_(person.middle),
        along_(along),
        begins_m_(-eye.radius_m),
        ends_m_(length_m + person.radius_m),
        half_m_(eye.radius_m),
        sine_(taper),
        cosine_(std::sqrt(1 - taper * taper)),
        around_m_(kCorner * std::max(eye.radius_m, person.radius_m)) {}

  /// How far a point lies outside each side; below 0 inside.
  std::array<double, 4> OffSides(Point point) const {
    const Point off = point - from_;
    const double x = Dot(along_, off), y = Cross(along_, off);
    return {begins_m_ - x, x - ends_m_, cosine_ * y - sine_ * x - half_m_,
            -cosine_ * y - sine_ * x - half_m_};
  }

  Point from_, to_, along_;
  double begins_m_, ends_m_, half_m_, sine_, cosine_, around_m_;
};

bool InTriangle(Point point, const std::array<Point, 3>& corners) {
  int left = 0, right = 0;
  for (size_t i = 0; i < 3; ++i) {
    const double side = Cross(corners[(i + 1) % 3] - corners[i], point - corners[i]);
    left += side >= 0;
    right += side <= 0;
  }
  return left == 3 || right == 3;
}

/// How deep a point lies in the shadow that an edge throws from an eye; below 0: so far outside it.
double DepthInShadowM(Point eye, Point from, Point to, Point point) {
  if (Cross(from - eye, to - eye) < 0) std::swap(from, to);
  const double from_m = LengthM(from - eye), to_m = LengthM(to - eye), edge_m = LengthM(to - from);
  // Seen end on, or the eye on it: how deep is not known, and 0 claims nothing.
  if (!(Cross(from - eye, to - eye) > 1e-9) || !(edge_m > 0)) return -kTurn * 1e9;
  const Point first = (1 / from_m) * (from - eye), second = (1 / to_m) * (to - eye);
  const double inside = std::min({Cross(first, point - eye), Cross(point - eye, second),
                                  Cross(point - from, to - from) / edge_m});
  if (inside >= 0) return inside;
  return -std::min(
      {FromChordM(point, from, to), FromRayM(point, from, first), FromRayM(point, to, second)});
}

double TurnBetween(const Pose& a, const Pose& b) {
  return std::abs(std::remainder(b.heading_rad - a.heading_rad, kTurn));
}

}  // namespace

SightLines::SightLines(SightAlong along) : along_(std::move(along)) {
  for (const Pose& pose : along_.poses) ahead_.push_back(Unit(pose.heading_rad));
  for (const BlindZone& zone : along_.zones) {
    Eye eye;
    eye.reach_m = zone.reach.metres();
    for (const SightSector& sector : zone.sectors) {
      if (sector.beyond) {
        eye.pieces.push_back({.from = sector.beyond->from, .to = sector.beyond->to});
        eye.farthest_border_m = std::max(
            {eye.farthest_border_m, LengthM(sector.beyond->from), LengthM(sector.beyond->to)});
        continue;
      }
      const double span = sector.to_rad - sector.from_rad;
      const int parts = std::max(1, static_cast<int>(std::ceil(span / (kTurn / 4))));
      for (int part = 0; part < parts; ++part)
        eye.pieces.push_back({.from = Unit(sector.from_rad + span * part / parts),
                              .to = Unit(sector.from_rad + span * (part + 1) / parts),
                              .endless = true});
    }
    for (const Pose& pose : along_.poses)
      eye.at.push_back(FromPose(pose, zone.eye.x_m, zone.eye.y_m));
    eyes_.push_back(std::move(eye));
  }
  if (along_.zones.size() > 1)
    eyes_apart_m_ = LengthM(along_.zones.back().eye - along_.zones.front().eye);
  for (const Ring& ring : along_.opaque) {
    Block block{.ring = ring, .middle = {}, .radius_m = 0};
    for (Point point : ring)
      block.middle = block.middle + (1.0 / static_cast<double>(ring.size())) * point;
    for (Point point : ring)
      block.radius_m = std::max(block.radius_m, LengthM(point - block.middle));
    blocks_.push_back(std::move(block));
  }
  AddRun(0, along_.poses.size() - 1);
}

size_t SightLines::AddRun(size_t first, size_t last) {
  const size_t index = runs_.size();
  Run run{.first = first, .last = last, .middle = (first + last) / 2};
  const Pose& middle = along_.poses[run.middle];
  for (size_t pose = first; pose <= last; ++pose) {
    double shift_m = 0;
    for (const Eye& eye : eyes_)
      shift_m = std::max(shift_m, LengthM(eye.at[pose] - eye.at[run.middle]));
    run.shift_m = std::max(run.shift_m, shift_m + HalfStepM(pose));
    run.turn_rad = std::max(run.turn_rad, TurnBetween(along_.poses[pose], middle) + HalfTurn(pose));
  }
  double eye_m = 0;
  for (const BlindZone& zone : along_.zones) eye_m = std::max(eye_m, LengthM(zone.eye));
  run.shift_m += along_.place_error.metres() + along_.error_per_m * eye_m;
  run.turn_rad += along_.error_per_m;
  runs_.push_back(run);
  if (first == last) return index;
  const size_t first_half = AddRun(first, run.middle);
  const size_t second_half = AddRun(run.middle + 1, last);
  runs_[index].first_half = first_half;
  runs_[index].second_half = second_half;
  return index;
}

/// Of an eye, to the middle between the pose and the one before or after it: the unit's own point
/// moves along the chord, and the eye turns about that.
double SightLines::HalfStepM(size_t pose) const {
  double most_m = 0;
  const auto to = [&](size_t other) {
    const double turn = TurnBetween(along_.poses[pose], along_.poses[other]);
    const double moves_m = LengthM(along_.poses[other].at - along_.poses[pose].at);
    for (const BlindZone& zone : along_.zones)
      most_m = std::max(most_m, (moves_m + LengthM(zone.eye) * turn) / 2);
  };
  if (pose > 0) to(pose - 1);
  if (pose + 1 < poses()) to(pose + 1);
  return most_m;
}

double SightLines::HalfTurn(size_t pose) const {
  double most = 0;
  if (pose > 0) most = TurnBetween(along_.poses[pose], along_.poses[pose - 1]) / 2;
  if (pose + 1 < poses())
    most = std::max(most, TurnBetween(along_.poses[pose], along_.poses[pose + 1]) / 2);
  return most;
}

size_t SightLines::SeenFrom(size_t pose, const Standing& person) const {
  return FirstNotSeen(0, pose, person) - pose;
}

size_t SightLines::SeenSince(size_t pose, const Standing& person) const {
  size_t hidden = 0, seen = pose;  // every pose from `seen` on, and none before `hidden` is asked
  while (hidden < seen) {
    const size_t middle = (hidden + seen) / 2;
    if (middle + SeenFrom(middle, person) > pose) {
      seen = middle;
    } else {
      hidden = middle + 1;
    }
  }
  return seen;
}

/// The first pose from `from_pose` on, within the run, from which the person is not surely seen;
/// the one behind the run where there is none.
size_t SightLines::FirstNotSeen(size_t run_index, size_t from_pose, const Standing& person) const {
  const Run& run = runs_[run_index];
  if (run.last < from_pose) return run.last + 1;
  if (Sees(run, person)) return run.last + 1;
  if (run.first == run.last) return run.first;
  const size_t in_first = FirstNotSeen(run.first_half, from_pose, person);
  if (in_first <= run.middle) return in_first;
  return FirstNotSeen(run.second_half, from_pose, person);
}

bool SightLines::Sees(const Run& run, const Standing& person) const {
  for (const Eye& eye : eyes_) {
    if (BodyHides(run, eye, person)) return false;
  }
  return !Blocked(run, person);
}

bool SightLines::BodyHides(const Run& run, const Eye& eye, const Standing& person) const {
  const double away_m = LengthM(person.at - eye.at[run.middle]);
  const double moves_m = run.shift_m + (away_m + person.room_m) * run.turn_rad;
  if (away_m + person.room_m + run.shift_m > eye.reach_m) return true;
  const double needed_m = person.room_m + moves_m;
  const Point in_view = InView(eye, run.middle, person.at);
  const bool beyond_all = away_m - eye.farthest_border_m > needed_m;
  return std::ranges::any_of(eye.pieces, [&](const Piece& piece) {
    if (!piece.endless && beyond_all) return false;
    return -DepthM(piece, in_view) <= needed_m + (piece.endless ? eyes_apart_m_ / 2 : 0);
  });
}

bool SightLines::Blocked(const Run& run, const Standing& person) const {
  if (blocks_.empty()) return false;
  const Disc stands{.middle = person.at, .radius_m = person.room_m};
  const Disc first{.middle = eyes_.front().at[run.middle], .radius_m = run.shift_m};
  const Disc second{.middle = eyes_.back().at[run.middle], .radius_m = run.shift_m};
  std::array<std::optional<Corridor>, 3> corridors = {Corridor::Between(first, stands)};
  if (!corridors[0]) return true;
  // Two eyes in one place leave nothing between them.
  const bool apart = eyes_.size() > 1 && eyes_apart_m_ > 0;
  if (apart) {
    corridors[1] = Corridor::Between(second, stands);
    corridors[2] = Corridor::Between(first, second);
    if (!corridors[1] || !corridors[2]) return true;
  }
  return std::ranges::any_of(blocks_, [&](const Block& block) {
    // What meets none of the three lies wholly between them or wholly outside.
    if (apart && InTriangle(block.ring.front(), {first.middle, second.middle, person.at}))
      return true;
    return std::ranges::any_of(corridors, [&](const std::optional<Corridor>& corridor) {
      return corridor && corridor->MayMeet(block.middle, block.radius_m) &&
             corridor->MeetsRing(block.ring);
    });
  });
}

/// How deep a point lies inside; below 0: so far outside.
double SightLines::DepthM(const Piece& piece, Point from_eye) {
  const double on_left = Cross(piece.from, from_eye), on_right = Cross(from_eye, piece.to);
  if (piece.endless) {
    if (on_left >= 0 && on_right >= 0) return std::min(on_left, on_right);
    return -std::min(FromRayM(from_eye, {}, piece.from), FromRayM(from_eye, {}, piece.to));
  }
  const Point edge = piece.to - piece.from;
  const double from_m = LengthM(piece.from), to_m = LengthM(piece.to), edge_m = LengthM(edge);
  const double before = Cross(edge, from_eye - piece.from);
  if (from_m > 0 && to_m > 0 && edge_m > 0 && on_left >= 0 && on_right >= 0 && before >= 0)
    return std::min({on_left / from_m, on_right / to_m, before / edge_m});
  return -std::min({FromChordM(from_eye, {}, piece.from), FromChordM(from_eye, {}, piece.to),
                    FromChordM(from_eye, piece.from, piece.to)});
}

Point SightLines::InView(const Eye& eye, size_t pose, Point at) const {
  const Point off = at - eye.at[pose];
  return {Dot(ahead_[pose], off), Cross(ahead_[pose], off)};
}

bool SightLines::HidesAllWithin(double far_m, size_t pose, const Standing& person) const {
  // Depth in a convex piece changes by no more than the point moves.
  const double needed_m = far_m - person.room_m;
  return std::ranges::any_of(eyes_, [&](const Eye& eye) {
    const double away_m = LengthM(person.at - eye.at[pose]);
    if (away_m - far_m + person.room_m > eye.reach_m) return true;
    const Point in_view = InView(eye, pose, person.at);
    const bool beyond_all = away_m - eye.farthest_border_m > person.room_m;
    for (const Piece& piece : eye.pieces) {
      if (!piece.endless && beyond_all) continue;
      if (DepthM(piece, in_view) > needed_m) return true;
    }
    return BlocksHide(eye.at[pose], far_m, person);
  });
}

bool SightLines::BlocksHide(Point eye, double far_m, const Standing& person) const {
  const double needed_m = far_m - person.room_m;
  // Whoever stands in the shadow of an edge, or this near it, is seen past the edge this nearly.
  const double beside_m = std::max(0.0, -needed_m);
  return std::ranges::any_of(blocks_, [&](const Block& block) {
    if (FromChordM(block.middle, eye, person.at) > block.radius_m + beside_m) return false;
    for (size_t i = 0; i < block.ring.size(); ++i) {
      const Point next = block.ring[(i + 1) % block.ring.size()];
      if (DepthInShadowM(eye, block.ring[i], next, person.at) > needed_m) return true;
    }
    return false;
  });
}

double SightLines::FarthestM(size_t from_pose, size_t to_pose, Point at) const {
  double farthest_m = 0;
  for (const Eye& eye : eyes_) {
    for (size_t pose = from_pose; pose <= to_pose; ++pose)
      farthest_m = std::max(farthest_m, LengthM(at - eye.at[pose]));
  }
  return farthest_m;
}

}  // namespace chockwise::fit
