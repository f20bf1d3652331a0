// The ground that a machine covers as it turns, and what it has to spare beside it.
//
//   Outcome<SweptPath> swept = Sweep({.manoeuvre = {...}, .obstacles = {{"door-3 jamb", ...}},
//                                     .needed_margin = Inches(6)});
//   if (!swept) return tl::unexpected(swept.error());
//   Show(DriversLine(*swept, UnitSystem::kUs));        // "GO THROUGH: 9 in to spare at door-3
//   jamb"
//
// Flat: heights are another computation's. Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/kinematics.h"
#include "services/fit/planar.h"

namespace chockwise::fit {

/// Something that the machine must not touch.
struct SideObstacle {
  enum class Kind {
    kLine,    // a wall, a fence; one point alone is a jamb or a post
    kGround,  // a ring: a parked machine, an area to keep clear
  };
  std::string id = {};
  Kind kind = Kind::kLine;
  Line shape = {};  // one point or more; kGround: three or more
};

struct SweptPathQuestion {
  Manoeuvre manoeuvre = {};
  std::vector<SideObstacle> obstacles = {};
  Metres needed_margin = {};  // to every obstacle, 0 to 100 m; default: the safety lead's to set
  Metres reading_error = {};  // by which a taped gap may be off, 0 to 1 m; in every margin's error
};

/// The least that there is between one obstacle and all that passes it.
struct SideMargin {
  std::string obstacle;
  /// Of the nearest approach. Negative: how far the machine would have to be moved aside there, to
  /// 1 cm.
  Metres margin;
  Metres error;
  Metres sure() const { return margin - error; }  // what surely remains; negative: short
  Verdict verdict = Verdict::kUndecided;          // of margin less the needed margin
  size_t unit = 0;                                // 0 is the first
  std::string part;                               // "rear left corner", "left side", "slew ring"
  Metres along;                                   // the line, where it is nearest
  Point there;                                    // of the obstacle
};

enum class Side { kLeft, kRight };

/// How far an axle leaves the line that the machine follows.
struct OffLine {
  size_t unit = 0;
  Metres off;
  Side side = Side::kLeft;
  Metres along;
};

struct SweptPath {
  Driven driven;
  Verdict verdict = Verdict::kUndecided;  // the worst of all; a shortfall is a conflict
  std::vector<SideMargin> margins;        // in the order of the obstacles
  std::optional<size_t> tightest;         // index of the least margin
  /// How far a rear corner swings out beyond the track of its side at the axle, at most.
  Metres tail_swing;
  std::optional<OffLine> most_off;  // nullopt: every axle stays on the line
};

/// The machine's way along the line and its margin to every obstacle.
///
/// Error: the motion's (kinematics.h), the reading error and 1e-6 m, in each margin's error. Time
/// grows with steps × units, and for every edge of an obstacle about with the logarithm of the
/// steps: stretches of the way that cannot come nearer than the nearest so far are left out.
/// Unusable: as DriveAlong, and an obstacle without a usable shape.
Outcome<SweptPath> Sweep(const SweptPathQuestion& question);

/// The ground that was covered, for pictures: never too small by more than the units' error_m, and
/// too large by `coarseness` at most; beside a side that turns by more than that in one step, by a
/// quarter of the side times that turn. Unusable: coarseness not above 0, to 1 m.
Outcome<Region> SweptGround(const Driven& driven, Metres coarseness);

std::string DriversLine(const SweptPath& swept, UnitSystem system);

inline constexpr std::array<std::string_view, 3> kSweptPathSources = {
    "rolling without slip: tractrix of each hitch, integrated in steps",
    "steady state: Western Highway Institute sum of squares; SAE J695",
    "ring around a slewing tail: 2 ft, common practice"};
inline constexpr std::array<std::string_view, 2> kSweptPathAssumptions = {
    "walking pace on level ground, no slip; the middle of an axle group turns as one axle",
    "it starts straight on the lane's middle and follows it; wheels may be turned while it stands"};

}  // namespace chockwise::fit
