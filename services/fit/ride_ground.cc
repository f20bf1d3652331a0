#include "services/fit/ride_ground.h"

#include <algorithm>
#include <cmath>

namespace chockwise::fit::riding {
namespace {

constexpr double kEndless = std::numeric_limits<double>::infinity();

/// The slope of a circle about a point that lies `u` behind the centre's x.
double CircleSlope(double u, double radius) {
  const double rest = radius * radius - u * u;
  if (rest <= 0) return u > 0 ? -kEndless : kEndless;
  return -u / std::sqrt(rest);
}

std::vector<double> Negated(const std::vector<double>& values) {
  std::vector<double> result(values.rbegin(), values.rend());
  for (double& value : result) value = -value;
  return result;
}

void Mirror(std::vector<Lane::Strip>& strips) {
  for (Lane::Strip& strip : strips) {
    std::swap(strip.from, strip.to);
    strip.from = -strip.from;
    strip.to = -strip.to;
  }
}

void SortByPlace(std::vector<Lane::Strip>& strips) {
  std::ranges::sort(strips, [](const Lane::Strip& a, const Lane::Strip& b) {
    return a.from != b.from ? a.from < b.from : a.index < b.index;
  });
}

Ground WithSills(const Lane& lane, double side_per_height) {
  const Ground bare = BareGround(lane);
  std::vector<double> x;
  std::vector<double> z;
  size_t next = 0;
  const auto copy_until = [&](double end) {
    while (next < lane.x.size() && lane.x[next] < end) {
      x.push_back(lane.x[next]);
      z.push_back(lane.z[next]);
      ++next;
    }
  };
  int piece = 0;
  const auto add = [&](double at, double raised) {
    piece = bare.PieceAt(at, piece);
    x.push_back(at);
    z.push_back(bare.HeightAt(at, piece) + raised);
  };
  for (const Lane::Strip& sill : lane.sills) {
    const double side = side_per_height * sill.height;
    copy_until(sill.from - side);
    add(sill.from - side, 0);
    while (next < lane.x.size() && lane.x[next] <= sill.from) ++next;
    add(sill.from, sill.height);
    for (; next < lane.x.size() && lane.x[next] < sill.to; ++next) {
      add(lane.x[next], sill.height);
    }
    add(sill.to, sill.height);
    add(sill.to + side, 0);
    while (next < lane.x.size() && lane.x[next] <= sill.to + side) ++next;
  }
  copy_until(kEndless);
  return Ground(std::move(x), std::move(z));
}

}  // namespace

Ground::Ground(std::vector<double> x, std::vector<double> z) : x_(std::move(x)), z_(std::move(z)) {
  for (size_t i = 0; i + 1 < x_.size(); ++i) {
    const double run = x_[i + 1] - x_[i];
    slope_.push_back(run > 0 ? (z_[i + 1] - z_[i]) / run : 0);
    stretch_.push_back(std::sqrt(1 + slope_.back() * slope_.back()));
    sine_.push_back(slope_.back() / stretch_.back());
  }
}

int Ground::FindPiece(double at_x, int hint) const {
  const int last = size() - 2;
  for (int tries = 0; tries < 4; ++tries) {
    if (hint > 0 && at_x < x(hint)) {
      --hint;
    } else if (hint < last && at_x >= x(hint + 1)) {
      ++hint;
    } else {
      return hint;
    }
  }
  const auto above = std::upper_bound(x_.begin(), x_.end(), at_x);
  return std::clamp(static_cast<int>(above - x_.begin()) - 1, 0, last);
}

Range Ground::SlopesOfPieces(int first, int last) const {
  Range range;
  if (first > last) std::swap(first, last);
  for (int i = first; i <= last; ++i) {
    if (!upright(i)) range.Take(slope(i));
  }
  return range;
}

double Ground::GreatestTurn(int first, int last, Turn turn) const {
  const double sign = turn == Turn::kUp ? 1 : -1;
  double least = sign * slope(first);
  double greatest = 0;
  for (int i = first + 1; i <= last; ++i) {
    greatest = std::max(greatest, sign * slope(i) - least);
    least = std::min(least, sign * slope(i));
  }
  return greatest;
}

Range Ground::SlopesOver(double from, double to, int hint) const {
  const int first = PieceAt(from, hint);
  return SlopesOfPieces(first, PieceAt(to, first));
}

bool Ground::Crest(int point) const {
  if (point == 0 || point == size() - 1) return false;
  if (upright(point - 1)) return z(point) > z(point - 1);
  if (upright(point)) return z(point) > z(point + 1);
  return slope(point - 1) > slope(point);
}

void Ground::HighestCircle(double radius, int piece, WheelContact& contact) const {
  const double at_x = contact.x;
  double highest = -kEndless;
  double slope_there = 0;
  int key = 0;
  const auto consider = [&](double centre, double slope, int of) {
    if (centre <= highest) return;
    highest = centre;
    slope_there = slope;
    key = of;
  };
  const auto try_piece = [&](int i) {
    if (upright(i)) return;
    const size_t at = static_cast<size_t>(i);
    const double touch = at_x + radius * sine_[at];
    if ((i > 0 && touch < x(i)) || (i < size() - 2 && touch > x(i + 1))) return;
    consider(HeightAt(at_x, i) + radius * stretch_[at], slope(i), 2 * i + 1);
  };
  const auto try_point = [&](int i) {
    const double rest = radius * radius - (at_x - x(i)) * (at_x - x(i));
    if (rest <= 0 || !Crest(i)) return;
    const double up = std::sqrt(rest);
    consider(z(i) + up, -(at_x - x(i)) / up, 2 * i);
  };
  try_piece(piece);
  for (int i = piece; i > 0 && x(i) > at_x - radius; --i) {
    try_point(i);
    try_piece(i - 1);
  }
  for (int i = piece + 1; i < size() - 1 && x(i) < at_x + radius; ++i) {
    try_point(i);
    try_piece(i);
  }
  contact.centre_z = highest;
  contact.slope = slope_there;
  contact.key = key;
}

Range Ground::SlopesPassed(const WheelContact& a, const WheelContact& b, double radius) const {
  Range range;
  range.Take(a.slope);
  range.Take(b.slope);
  for (int key = std::min(a.key, b.key); key <= std::max(a.key, b.key); ++key) {
    const int i = key / 2;
    if (key % 2 == 1) {
      if (!upright(i)) range.Take(slope(i));
    } else if (radius > 0 && Crest(i)) {
      // About one point the slope only falls, so the ends bound what lies
      // between.
      for (const double x_end : {a.x, b.x}) {
        const double steepest = kSteepestClimb;
        range.Take(std::clamp(CircleSlope(x_end - x(i), radius), -steepest, steepest));
      }
    }
  }
  return range;
}

Lane SeenForwards(const LaneProfile& profile) {
  Lane lane;
  const auto add = [&lane](double x, double z) {
    lane.x.push_back(x);
    lane.z.push_back(z);
  };
  // Two metres more at each end, so that a sill that lies there has ground before
  // and behind it.
  const size_t last = profile.ground.size() - 1;
  const auto grade = [&profile](size_t i) {
    return (profile.ground[i + 1].elevation - profile.ground[i].elevation) /
           (profile.ground[i + 1].along - profile.ground[i].along);
  };
  add(profile.ground[0].along.metres() - 2, profile.ground[0].elevation.metres() - 2 * grade(0));
  for (const ProfilePoint& point : profile.ground) {
    add(point.along.metres(), point.elevation.metres());
  }
  add(profile.ground[last].along.metres() + 2,
      profile.ground[last].elevation.metres() + 2 * grade(last - 1));
  for (size_t i = 0; i < profile.sills.size(); ++i) {
    const LaneSill& sill = profile.sills[i];
    lane.sills.push_back({sill.from.metres(), sill.to.metres(), sill.height.metres(), i});
  }
  for (size_t i = 0; i < profile.overheads.size(); ++i) {
    const Overhead& over = profile.overheads[i];
    lane.overheads.push_back({over.from.metres(), over.to.metres(), over.clear_height.metres(), i});
  }
  SortByPlace(lane.sills);
  SortByPlace(lane.overheads);
  return lane;
}

Lane SeenBackwards(const LaneProfile& profile) {
  Lane lane = SeenForwards(profile);
  lane.x = Negated(lane.x);
  std::ranges::reverse(lane.z);
  Mirror(lane.sills);
  Mirror(lane.overheads);
  SortByPlace(lane.sills);
  SortByPlace(lane.overheads);
  return lane;
}

Ground BareGround(const Lane& lane) { return Ground(lane.x, lane.z); }
Ground GroundForWheels(const Lane& lane) { return WithSills(lane, 0); }
// Neighbours are apart by at least four heights, so their sides never meet.
Ground GroundForTracks(const Lane& lane) { return WithSills(lane, 2); }

}  // namespace chockwise::fit::riding
