// The ground of a lane as the ride computes with it: bare, and with its sills
// as wheels or tracks meet them. Beyond its ends it goes on at its last grade.
// Private to the ride.
//
// Threads: const members only.
#pragma once

#include <limits>
#include <vector>

#include "services/fit/lane_profile.h"

namespace chockwise::fit::riding {

struct Range {
  double lo = std::numeric_limits<double>::infinity();
  double hi = -std::numeric_limits<double>::infinity();
  void Take(double value) {
    lo = value < lo ? value : lo;
    hi = value > hi ? value : hi;
  }
  void Take(Range other) {
    Take(other.lo);
    Take(other.hi);
  }
  double Width() const { return hi - lo; }
  double Largest() const { return hi > -lo ? hi : -lo; }
};

/// A wheel climbs a sill no steeper than this; a machine that would is refused.
inline constexpr double kSteepestClimb = 20;

/// Where a wheel touches. As the wheel rolls on, `key` never falls: 2·i is
/// point i of the ground, 2·i + 1 the straight piece behind it.
struct WheelContact {
  double x = 0;         // of the wheel's centre
  double centre_z = 0;  // of the wheel's centre
  double slope = 0;     // at which the centre rises
  int key = 0;
};

enum class Turn { kUp, kDown };

class Ground {
 public:
  /// Points with x that does not fall; two of one x make an upright side.
  explicit Ground(std::vector<double> x, std::vector<double> z);

  int size() const { return static_cast<int>(x_.size()); }
  double x(int point) const { return x_[static_cast<size_t>(point)]; }
  double z(int point) const { return z_[static_cast<size_t>(point)]; }
  double slope(int piece) const { return slope_[static_cast<size_t>(piece)]; }
  bool upright(int piece) const { return x(piece) == x(piece + 1); }

  /// The piece that holds x; `hint` is where to look first. Constant time where
  /// the hint is near.
  int PieceAt(double at_x, int hint) const {
    return at_x >= x(hint) && at_x < x(hint + 1) ? hint : FindPiece(at_x, hint);
  }
  double HeightAt(double at_x, int piece) const {
    return z(piece) + slope(piece) * (at_x - x(piece));
  }
  /// The slopes of all pieces that touch [from, to], upright sides left out.
  Range SlopesOver(double from, double to, int hint) const;
  Range SlopesOfPieces(int first, int last) const;
  /// The most by which a later piece, up to `last`, is steeper (kUp) or less
  /// steep (kDown) than one before it, from `first`; 0 where none is.
  double GreatestTurn(int first, int last, Turn turn) const;

  /// Whether the ground turns down at a point, so that a wheel or track may
  /// touch it there.
  bool Crest(int point) const;

  /// A rigid wheel on this ground: its centre is at the highest of all circles
  /// about the points within its radius. A radius of 0 is a point that follows
  /// the ground. What `contact` held before is where to look first.
  void WheelAt(double at_x, double radius, WheelContact& contact) const {
    const int piece = PieceAt(at_x, contact.key / 2);
    const size_t i = static_cast<size_t>(piece);
    contact.x = at_x;
    if (radius > 0 && !(at_x - radius >= x_[i] && at_x + radius <= x_[i + 1])) {
      HighestCircle(radius, piece, contact);
      return;
    }
    contact.centre_z = HeightAt(at_x, piece) + radius * stretch_[i];
    contact.slope = slope_[i];
    contact.key = 2 * piece + 1;
  }
  /// Every slope at which the centre rises while the wheel rolls from `a` to
  /// `b`.
  Range SlopesBetween(const WheelContact& a, const WheelContact& b, double radius) const {
    if (a.key != b.key) return SlopesPassed(a, b, radius);
    return a.slope < b.slope ? Range{a.slope, b.slope} : Range{b.slope, a.slope};
  }

 private:
  int FindPiece(double at_x, int hint) const;
  void HighestCircle(double radius, int piece, WheelContact& contact) const;
  Range SlopesPassed(const WheelContact& a, const WheelContact& b, double radius) const;

  std::vector<double> x_;
  std::vector<double> z_;
  std::vector<double> slope_;
  std::vector<double> stretch_;  // sqrt(1 + slope²)
  std::vector<double> sine_;     // slope / stretch
};

/// A lane in the machine's sense of travel: one that faces against the route
/// sees it mirrored.
struct Lane {
  struct Strip {
    double from = 0;
    double to = 0;
    double height = 0;
    size_t index = 0;  // in the LaneProfile
  };
  std::vector<double> x;
  std::vector<double> z;
  std::vector<Strip> sills;
  std::vector<Strip> overheads;
};

Lane SeenForwards(const LaneProfile& profile);
Lane SeenBackwards(const LaneProfile& profile);

Ground BareGround(const Lane& lane);
/// Sills with upright sides, for wheels that have a radius.
Ground GroundForWheels(const Lane& lane);
/// Sills with sides of 1 in 2 outside them: the end of a track is raised and round (a wheel of 0.4
/// m climbs 0.1 m over 0.26 m), and climbs a sill over a length of about twice its height.
Ground GroundForTracks(const Lane& lane);

}  // namespace chockwise::fit::riding
