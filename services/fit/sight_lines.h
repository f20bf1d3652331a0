// Whether a driver sees a person on foot at every instant of a way: past the machine's own body,
// past what stands between them, and within the distance at which signals are read.
//
//   const SightLines lines({.poses = path, .zones = {zone}, .opaque = walls, ...});
//   if (lines.SeenFrom(0, {.at = spot, .room_m = 0.5}) == path.size()) ...    // all the way
//
// What is not known to be seen counts as hidden. Heights are not compared: whatever is opaque hides
// all behind it.
//
// Threads: immutable; share it freely.
#pragma once

#include <vector>

#include "services/fit/blind_zone.h"
#include "services/fit/geometry.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

struct SightAlong {
  std::vector<Pose> poses = {};  // of the driver's unit, in the order driven
  /// The driver's view from the one place of the eye; or, where the eye may be anywhere on a
  /// straight line, from both ends of it. Then the sills of the two must hide all that those of an
  /// eye between them would.
  std::vector<BlindZone> zones = {};
  std::vector<Ring> opaque = {};  // walls and whatever else nobody is seen through
  Metres place_error = {};        // how far the unit may be from where the poses' chords say,
  double error_per_m = 0;         // and this much more for each metre that a thing is away
};

/// A person who may stand anywhere within the room around a point. The room is above 0.
struct Standing {
  Point at;
  double room_m = 0;
};

/// Units: metres. Let the eye come no farther than d from where it is at a pose, and the unit turn
/// by no more than a, over a run of poses and half a step before and after it. Then
///
/// - a point r away moves by at most d + r a in the driver's view: |(S - e) - (S - e0)| <= d, and
///   the turn adds its chord, which is shorter than r a. Who stands farther than that from the
///   blind ground of the pose is not in that of any other of the run;
/// - each line from any of those eyes to any point of the room lies in the hull of both discs, and
///   that in the trapezoid of their outer tangents. What misses the trapezoid crosses no line;
/// - from an eye between two others, a direction in which nothing is ever seen lies at most half of
///   their distance beside that of the nearer one, and the lines to the room lie between theirs.
///
/// So a run that is called seen is seen at each instant, whatever the steps. What errs is the other
/// side: the trapezoid is larger than the hull by less than 1.3 of the larger disc.
class SightLines {
 public:
  /// Requires poses, and one zone or two with sectors.
  explicit SightLines(SightAlong along);

  size_t poses() const { return along_.poses.size(); }

  /// From so many poses, the one named first, the person is surely seen, without a gap.
  size_t SeenFrom(size_t pose, const Standing& person) const;

  /// The earliest pose from which they are so up to a pose from which they are.
  size_t SeenSince(size_t pose, const Standing& person) const;

  /// True only if nobody within so far of the point, with the same room, is seen from the pose.
  bool HidesAllWithin(double far_m, size_t pose, const Standing& person) const;

  /// How far the eye is at most over these poses, both in.
  double FarthestM(size_t from_pose, size_t to_pose, Point at) const;

 private:
  /// Ground that the machine's body hides, from the eye: a triangle, or all between two directions
  /// less than half a turn apart.
  struct Piece {
    Point from, to;  // counter-clockwise; directions have the length 1
    bool endless = false;
  };
  struct Eye {
    std::vector<Piece> pieces;
    double farthest_border_m = 0;  // no triangle reaches farther
    double reach_m = 0;
    std::vector<Point> at;  // at each pose
  };
  struct Block {
    Ring ring;
    Point middle;
    double radius_m = 0;
  };
  /// A run of poses about its middle one. The halves of a run of more than one pose follow.
  struct Run {
    size_t first = 0, last = 0, middle = 0;
    double shift_m = 0;   // of the eye
    double turn_rad = 0;  // of the unit
    size_t first_half = 0, second_half = 0;
  };

  size_t AddRun(size_t first, size_t last);
  double HalfStepM(size_t pose) const;
  double HalfTurn(size_t pose) const;
  size_t FirstNotSeen(size_t run, size_t from_pose, const Standing& person) const;
  bool Sees(const Run& run, const Standing& person) const;
  bool BodyHides(const Run& run, const Eye& eye, const Standing& person) const;
  bool Blocked(const Run& run, const Standing& person) const;
  bool BlocksHide(Point eye, double far_m, const Standing& person) const;
  static double DepthM(const Piece& piece, Point from_eye);
  Point InView(const Eye& eye, size_t pose, Point at) const;

  SightAlong along_;
  std::vector<Point> ahead_;  // of each pose
  std::vector<Eye> eyes_;
  std::vector<Block> blocks_;
  double eyes_apart_m_ = 0;
  std::vector<Run> runs_;  // the whole way first
};

}  // namespace chockwise::fit
