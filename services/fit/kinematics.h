// How machines turn: which way every unit of a machine goes when it drives or reverses slowly along
// a line, without slip.
//
//   const TurningMachine truck{.steering = Steering::kFrontAxle, .wheelbase = Feet(19.5), ...};
//   Outcome<Driven> driven = DriveAlong({.machine = truck, .line = lane});
//   if (!driven) return tl::unexpected(driven.error());
//   if (driven->shortfall) ...                          // the lane bends tighter than it can
//
// Source: rolling without side slip, one axle line a unit (an axle group counts as one line at its
// middle); the pulled unit is a tractrix of its hitch. Valid at walking pace on ground that holds.
// Threads: values.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/geometry.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

enum class Steering {
  kFrontAxle,  // trucks, tractors
  kRearAxle,   // forklifts, machines that steer with the hind wheels; may not tow
  kHinge,      // the frame folds between its axles: loaders, articulated haulers
  kCrab,       // all wheels stay parallel, the body keeps its heading; may not tow
  kMiddle,     // tracks, skid steer, counter-steered wheels: turns about its middle
};

enum class Travel { kForwards, kReversing };

/// A rectangle that a unit covers, seen from the middle of its fixed axle (kCrab, kMiddle: from its
/// middle). `ahead` and `behind` are its ends, `left` and `right` its sides; each may be negative,
/// but the box must have a length and a width.
struct BodyBox {
  Metres ahead = {};
  Metres behind = {};
  Metres left = {};
  Metres right = {};
};

/// The upper structure of an excavator or crane and the room that people keep from its tail.
struct SlewRing {
  Metres centre_ahead = {};    // of the unit's axle or middle
  Metres tail_radius = {};     // above 0
  Metres clearance = Feet(2);  // common practice; 0 or more
};

struct Trailer {
  /// Where it is hitched: a fifth wheel ahead of the axle of the unit before, or, negative, behind.
  Metres hitch_ahead = {};
  Metres hitch_to_axle = {};  // above 0: kingpin to axle group, or drawbar eye to axle
  Angle most_fold = {};       // between the two units, above 0, to 120 deg
  /// May be none: the dolly under a drawbar trailer is a unit of its own.
  std::vector<BodyBox> boxes = {};
};

/// Lengths that a kind of steering does not use stay 0.
struct TurningMachine {
  Steering steering = Steering::kFrontAxle;
  Metres wheelbase = {};      // fixed to steered axle; kHinge: front axle to hinge
  Metres hinge_to_rear = {};  // kHinge alone: hinge to rear axle
  Angle most_steer = {};      // of the wheels' middle or the hinge, above 0, to 85 deg; not kMiddle
  Metres least_radius = {};   // kMiddle alone, of its middle; 0 turns on the spot
  std::vector<BodyBox> boxes = {};       // of the first unit, one or more; kHinge: its front half
  std::vector<BodyBox> rear_boxes = {};  // kHinge alone, one or more
  std::optional<SlewRing> upper = {};
  std::vector<Trailer> trailers = {};
};

/// The steering angle, in the middle between both wheels, that a turning circle on paper means.
///
/// sin(angle) = wheelbase / r, r the radius of the middle of the steered axle: the Society of
/// Automotive Engineers' J695 takes it from the outer front wheel as √((√(R² − L²) − h)² + L²) with
/// h half the front track. Unusable: a length not above 0 (half_front_track: below 0), or a circle
/// too small for the wheelbase.
struct TurningCircle {
  Metres wheelbase = {};
  Metres outer_wheel_radius = {};
  Metres half_front_track = {};  // 0: the radius given is that of the axle's middle
};
Outcome<Angle> SteeringOf(const TurningCircle& circle);

struct Manoeuvre {
  TurningMachine machine = {};
  /// Middle of the lane in the order of travel, two points or more, up to 20 km. The machine stands
  /// straight along its start. Followed forwards by the middle of the front axle (kMiddle, kCrab:
  /// of the machine), in reverse by the hindmost axle; for kRearAxle the other way round, so that
  /// the fixed axle leads and the steered one trails. Its corners are rounded as far as the machine
  /// must.
  Line line = {};
  Travel travel = Travel::kForwards;
  Metres step = InMetres(0.05);  // along the line; 1 mm to 0.5 m
  /// How far a map traced by hand may be off; bends smaller than this are straightened. 0 to 1 m.
  Metres trace_tolerance = InMetres(0.02);
};

/// The least radius of a bend of the line that it follows, of the point that follows it; 0 turns on
/// the spot. A combination that is reversed needs more than this of most bends: they must also
/// begin and end slowly. Requires a machine that DriveAlong() takes.
Metres LeastRadius(const TurningMachine& machine, Travel travel);

/// The middle of an axle and the direction of its unit, of length 1.
struct AxleFrame {
  Point at;
  Point along;
};
inline Point Place(const AxleFrame& frame, Point ahead_left) {
  return {frame.at.x_m + ahead_left.x_m * frame.along.x_m - ahead_left.y_m * frame.along.y_m,
          frame.at.y_m + ahead_left.x_m * frame.along.y_m + ahead_left.y_m * frame.along.x_m};
}
/// The box on the ground: front left, front right, rear right, rear left.
inline Ring CornersAt(const Pose& pose, const BodyBox& box) {
  const double ahead = box.ahead.metres(), behind = -box.behind.metres();
  const double left = box.left.metres(), right = -box.right.metres();
  return {FromPose(pose, ahead, left), FromPose(pose, ahead, right), FromPose(pose, behind, right),
          FromPose(pose, behind, left)};
}

inline Pose PoseOf(const AxleFrame& frame) {
  return {.at = frame.at, .heading_rad = std::atan2(frame.along.y_m, frame.along.x_m)};
}

struct UnitMotion {
  std::vector<AxleFrame> frames;  // one a step
  std::vector<BodyBox> boxes;
  /// A point of the unit is nowhere, also not between two steps, farther than this from where the
  /// steps' chords say: error_m, and error_per_m more for each metre that a thing it passes is
  /// away.
  double error_m = 0;
  double error_per_m = 0;
  double steps_error_m = 0;  // the part of error_m that its frames are off at the steps themselves
};

/// Why a machine cannot follow a line, where, and by how much.
struct Shortfall {
  enum class What {
    kBend,   // the lane bends tighter than the machine turns
    kSteer,  // reversing would need more steering than there is
    kFold,   // a hinge would fold beyond its limit: a jack-knife
  };
  What what = What::kBend;
  Metres along = {};         // the line
  Metres least_radius = {};  // kBend: what the machine needs, of the point that follows the line
  Metres lane_radius = {};   // kBend: what the lane's bend has room for
  Angle needed = {};         // kSteer, kFold
  Angle limit = {};
  size_t hinge = 0;  // kFold: 1 is the first
};
std::string Text(const Shortfall& shortfall, UnitSystem system);

struct Driven {
  Line guide;                     // where the point that follows the line goes, one a step
  std::vector<double> along_m;    // its way from the start
  std::vector<int> piece;         // steps of one piece of the line (a straight, a bend) are smooth
  std::vector<UnitMotion> units;  // first to last; kHinge counts as two
  std::vector<Angle> most_fold;   // per hinge
  Angle most_steer;               // not for kMiddle
  std::optional<Shortfall> shortfall;  // what was driven ends there
};

/// Follows the line in steps. Time and memory grow with length / step and the number of units.
///
/// Error: every pulled unit is integrated in closed form over arcs of its hitch's way; what the arc
/// leaves out and what the unit before hands on is carried along, step by step, as it dies out or
/// grows there, and given in `error_m`.
/// Unusable: the first length or angle that is out of its domain, by name.
Outcome<Driven> DriveAlong(const Manoeuvre& manoeuvre);

}  // namespace chockwise::fit
