// The closed forms of a machine on a lane: what a break of grade, a curve or an
// overhang does. The ride along the measured profile must agree with them; at
// the desk they answer by themselves.
//
//   Metres rise = BreakOffset({.grade_change = Percent(10), .wheelbase =
//   Feet(20)});   // 6 in
//
// Threads: values.
#pragma once

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// A break between two straight grades under a machine of two axles.
struct BreakUnderMachine {
  Grade grade_change;  // without its sign
  Metres wheelbase;
};

/// How far the break lies off the line between the wheels when it is midway:
/// A·L/4, the most. On a crest the ground comes up under the belly by it; in a
/// sag a roof over the break rises by it.
///
/// Units: metres. Domain: grade change above 0, to 50 %; wheelbase above 0, to
/// 60 m. Error: of small angles, below A²/2 of the result (grades within ±A),
/// and the slope of the chord. Source: similar triangles; reproduces the 4.63 %
/// of Transportation Research Record 1356.
Outcome<Metres> BreakOffset(const BreakUnderMachine& at);

struct BreakAtPoint {
  Grade grade_change;
  Metres wheelbase;
  Metres behind_front_axle;  // of the break; 0 to the wheelbase
};
/// The same with the break anywhere between the wheels: A·x·(L − x)/L.
Outcome<Metres> BreakOffsetAt(const BreakAtPoint& at);

struct BellyOverBreak {
  Metres clearance;
  Metres wheelbase;
};
/// The greatest grade change that a clearance passes: 4·c/L. Domain: both above
/// 0. Source: BreakOffset turned round; Transportation Research Record 1356 (36
/// ft and 5 in: 4.6 %).
Outcome<Grade> GreatestBreak(const BellyOverBreak& at);
/// The same as an angle, 2·atan(2·c/L), exact for a break midway (from memory).
Outcome<Angle> BreakoverAngle(const BellyOverBreak& at);

struct CurveUnderMachine {
  Grade grade_change;
  Metres wheelbase;
  Metres curve_length;  // 0: a sharp break
};
/// The most that a parabolic curve lies off the line between the wheels:
/// A·L²/(8·C) for C ≥ L, and A·(2·L − C)/8 for C < L. Source: parabola of a
/// vertical curve, from memory.
Outcome<Metres> CurveOffset(const CurveUnderMachine& at);

struct CircleUnderMachine {
  Metres radius;
  Metres wheelbase;  // below twice the radius
};
/// On a circular crest: R − √(R² − L²/4). Exact. Source: sagitta of a chord.
Outcome<Metres> CrestOffset(const CircleUnderMachine& at);

struct OverhangAtBreak {
  Grade grade_change;
  Metres overhang;  // beyond the axle
};
/// How far a tip beyond an axle moves up or down against the grade that it
/// leaves: A·o, the most. Source: similar triangles. Error: of small angles,
/// below A²/2 of the result.
Outcome<Metres> OverhangRise(const OverhangAtBreak& at);

/// What a low clearance sign shows: whole inches, never more than is there less
/// the buffer. Source: MUTCD 2009 2C.27, "to the nearest 1 inch not exceeding
/// the actual clearance"; buffer 3 in: the practice of one state's department
/// of transportation; 0 in: the national manual.
struct SignedClearance {
  Metres measured;
  Metres buffer;
};
Outcome<Metres> SignHeight(const SignedClearance& at);

}  // namespace chockwise::fit
