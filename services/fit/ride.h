// What a machine has to spare above and below while it rides a lane: its wheels or tracks follow
// the ground, it pitches as one stiff piece (each trailer by itself), and its outline is held
// against what hangs over the lane and what it may ground on.
//
//   Outcome<Ride> ride = RideOver({.machine = truck, .profile = lane, .allow = {.bounce = ...}});
//   if (!ride) return ride.error();                       // an input is unknown or out of range
//   if (ride->verdict != Verdict::kClear) ...             // DriversLine(*ride, UnitSystem::kUs)
//   RidingPose side_view = *PoseAt({...}, ride->below.lead_at);
//
// Gaps are measured straight up, not square to the ground. Forwards or reversing, a machine passes
// through the same poses; which end leads is told by Facing. Threads: values.
#pragma once

#include <optional>
#include <string>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/geometry.h"
#include "services/fit/lane_profile.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// A point of a unit's outline as it stands on level ground today: with its attachment and load,
/// on its tyres as they are, springs at the height that was measured.
struct OutlinePoint {
  Metres behind_front;  // of the unit's foremost point; 0 there
  Metres height;        // above the ground
};

/// Axles that share their load, so that the group stands at the mean of their heights.
struct AxleGroup {
  Metres behind_front;  // of the group's middle
  Metres wheel_radius;  // 0: a point that follows the ground; sills need a radius
  int axles = 1;
  Metres spacing = {};  // between neighbours; 0 with one axle
};

/// A flat stiff track that rests on the highest ground under it and balances over the centre of
/// mass.
struct Tracks {
  Metres front_end;            // of the part that lies on level ground, behind the front
  Metres rear_end;             // likewise
  Metres centre_of_mass;       // behind the front, between the ends
  Metres centre_of_mass_high;  // above the ground
};

/// Where one unit hangs on another: a fifth wheel and kingpin, or a hitch and drawbar eye.
struct Coupling {
  Metres behind_front;
  Metres height;
};

struct RidingUnit {
  std::string id;
  std::vector<AxleGroup> groups = {};          // two on the first unit, one on each that is coupled
  std::optional<Tracks> tracks = {};           // instead of groups, on a machine of one unit
  std::optional<Coupling> coupled_by = {};     // on every unit but the first
  std::optional<Coupling> next_hangs_at = {};  // on every unit but the last
  std::vector<OutlinePoint> top = {};          // front to rear
  std::vector<OutlinePoint> bottom = {};       // front to rear, wheels left out
};

/// The first unit leads: a truck, a tractor, an excavator. A full trailer is two units: its dolly
/// with the drawbar, and its body.
struct RidingMachine {
  std::vector<RidingUnit> units;
};

/// Rise on tyres, on tracks, and the clearance that is asked for below. Source: common practice.
inline constexpr Metres kBounceOnTyres = Inches(3);
inline constexpr Metres kBounceOnTracks = Inches(1);
inline constexpr Metres kNeededClearance = Inches(1);

struct RideAllowances {
  Metres bounce;                               // above 0, up to 0.5 m
  Metres needed_clearance = kNeededClearance;  // above 0, up to 0.5 m
  Metres profile_error = {};  // how far the true ground may lie from the profile; 0 to 0.5 m
  Metres reading_error = {};  // of every height: overheads, sills, outlines; 0 to 0.5 m
};

/// Which way the machine's front points, whichever way it moves.
enum class Facing { kAlong, kAgainst };

struct RideQuestion {
  const RidingMachine& machine;
  const LaneProfile& profile;
  RideAllowances allow;
  Facing facing = Facing::kAlong;
};

/// Where the least gap is.
struct TightSpot {
  Verdict verdict = Verdict::kUndecided;
  std::string at;  // id of the overhead or sill; empty: the ground itself
  Metres margin;   // gap less bounce or needed clearance
  Metres gap;      // straight up; negative: it strikes
  Metres error;    // neither gap nor margin is off by more
  Metres sure() const { return margin - error; }  // what surely remains; negative: short
  Metres along;                                   // where on the lane
  Metres lead_at;       // where the lead axle group stands then (tracks: the centre of mass)
  std::string unit;     // id of the unit that comes closest
  Metres behind_front;  // and where on it
};

struct Ride {
  Verdict verdict = Verdict::kUndecided;  // the worst of all
  std::vector<TightSpot> overheads;       // one for each overhead of the profile, in its order
  std::optional<size_t> least_overhead;   // of `overheads`; none where nothing hangs over the lane
  TightSpot below;
};

/// The machine rides the whole lane, from its nose at the lane's start to its tail at the lane's
/// end; beyond both the ground is taken to go on at its last grade.
///
/// Units: metres. Domain: every length of the machine within 60 m, heights within 50 m; at most 12
/// units, 8 axles a group, 200 points an outline; sills up to half a wheel's radius; a wheelbase
/// of at least 0.3 m.
/// Error: see `TightSpot::error`. It holds what the search left open between positions (0.1 mm;
/// more where its bounded number of positions ran out), 1e-8 m for roundings, the profile's error
/// times the sum of the lever ratios, and the reading error: once for the outline, once for an
/// overhead or a sill that is passed, and where a sill is under the wheels, that times the same
/// ratios. Lengths along count as read: an inch of them moves a height by the slope's share of an
/// inch. The rigid geometry is exact: contacts are solved for,
/// no small angles. A wheel is a stiff circle, or a point where its radius is 0; a tyre that gives
/// at a sill's edge rises less than that.
/// Time: proportional to the lane's length, and to its points under the machine.
/// Not covered: springs and tyres that give (bounce stands for them), a lane that leans sideways,
/// twist between units, axles that do not share their load.
/// Source: plane rigid-body statics; static cases agree with A·L/4 at a break and A·o at an
/// overhang.
Outcome<Ride> RideOver(const RideQuestion& question);

/// One unit in a side view: x_m along the lane, y_m up.
struct UnitPose {
  std::string id;
  double pitch_rad = 0;  // counter-clockwise as seen
  Line top;
  Line bottom;
  Line wheel_centres;
  std::vector<double> wheel_radii_m;
  Line contacts;  // where the wheels, or the track's ends of contact, touch
};

struct RidingPose {
  std::vector<UnitPose> units;
};

/// How the machine stands when its lead axle group (tracks: centre of mass) is at `lead_at`. A
/// track that is just tipping over a point is shown as it lies behind it.
Outcome<RidingPose> PoseAt(const RideQuestion& question, Metres lead_at);

/// "GO UNDER: 9 in to spare above, 4 in below", "STOP: 2 in short under door-3", "WILL GROUND: 2
/// in short at door-3 sill, do not enter". The numbers are what surely remains, rounded down, or
/// what is short of being sure, rounded up.
std::string DriversLine(const Ride& ride, UnitSystem system);

inline constexpr const char* kRideSources[] = {
    "plane rigid-body statics on the measured profile; static cases A*L/4 and A*o",
    "bounce 3 in on tyres, 1 in on tracks, 1 in below: common practice",
};
inline constexpr const char* kRideAssumptions[] = {
    "stiff units; grouped axles share their load; springs and tyres within the bounce",
    "ground straight between profile points and on beyond its ends; lane level across",
};

}  // namespace chockwise::fit
