// How far the yard's readings may be off, and a verdict that stands on them all the same. Private
// to the room.
//
//   AtBothEnds([&](Lean lean) { return Board(IfMoreIsWorse(*mass, lean)); });
//
// Threads: values.
#pragma once

#include <algorithm>
#include <array>
#include <string>
#include <string_view>

#include "services/survey/inputs.h"
#include "services/survey/parts.h"
#include "services/survey/readings.h"

namespace chockwise::survey {

// Common practice, the safety lead's to set: a steel tape along a machine, portable scales under
// its wheels, a digital level on the ground.
inline constexpr fit::Metres kTapeError = fit::Inches(0.5);
// Likewise a height from the ground beside it: a levelling rod under a door, a rule on a sill.
inline constexpr fit::Metres kHeightError = fit::Inches(0.25);
inline constexpr double kScaleError = 0.01;
inline constexpr fit::Grade kSlopeError = fit::Percent(0.2);
/// How far a map's elevations may be off between neighbouring points of a lane that was levelled
/// with a laser or a string. Default: the safety lead's to set.
inline constexpr fit::Metres kProfileError = fit::Inches(0.25);
// Likewise a truck scale's ticket for a group of axles, and a tape along a tractor and its trailer,
// past wheels and over a gooseneck.
inline constexpr fit::Kilograms kTicketError = fit::Pounds(50);
inline constexpr fit::Metres kLongTapeError = fit::Inches(1);

/// A sound level meter of class 2 as it is used outdoors; a phone is not one. Common practice.
inline constexpr fit::Decibels kSoundMeterError = fit::InDecibels(2);

/// Which way the readings of a question are off: all of them as far as they may be.
enum class Lean { kAgainst, kAsRead, kInFavour };

/// 1 where what is worse if there is more of it is taken to be more.
inline double SignOf(Lean lean) {
  switch (lean) {
    case Lean::kAgainst:
      return 1;
    case Lean::kAsRead:
      return 0;
    case Lean::kInFavour:
      return -1;
  }
  return 1;
}

/// None is shorter than nothing.
inline fit::Metres OffBy(fit::Metres length, double sign) {
  return std::max(fit::Metres(), length + kTapeError * sign);
}
inline fit::Kilograms OffBy(fit::Kilograms mass, double sign) {
  return mass * (1 + kScaleError * sign);
}
/// Of a slope without a sign: none is gentler than level.
inline fit::Grade OffBy(fit::Grade slope, double sign) {
  return std::max(fit::Grade(), slope + kSlopeError * sign);
}

template <class Quantity>
Quantity IfMoreIsWorse(Quantity reading, Lean lean) {
  return OffBy(reading, SignOf(lean));
}
template <class Quantity>
Quantity IfLessIsWorse(Quantity reading, Lean lean) {
  return OffBy(reading, -SignOf(lean));
}

/// Behind the line of what is clear or not by as little as the readings may be off.
inline constexpr const char* kOrNot = ", or not: the readings may be off by as much. MEASURE AGAIN";

/// The part with every reading off against it: clear only so, and a conflict only if it is one with
/// every reading off in its favour. Its line says what is left even so.
template <class JudgePart>
Outcome<Part> AtBothEnds(JudgePart judge) {
  Outcome<Part> part = judge(Lean::kAgainst);
  if (!part || part->verdict == fit::Verdict::kClear) return part;
  const Outcome<Part> at_best = judge(Lean::kInFavour);
  if (!at_best) return at_best;
  if (at_best->verdict == fit::Verdict::kConflict) return part;
  part->verdict = fit::Verdict::kUndecided;
  part->line += kOrNot;
  return part;
}

/// What a height is taken to be off by.
fit::Input HeightErrorInput(fit::UnitSystem units);

/// What a gap between taped things is taken to be off by: half of either's error on each side.
fit::Input TapeErrorInput(fit::UnitSystem units);

fit::Input ScaleErrorInput();
fit::Input SlopeErrorInput(fit::UnitSystem units);

/// What a sound level meter is taken to be off by.
fit::Input SoundMeterErrorInput();

/// What the tape, the scale and the level are taken to be off by.
std::array<fit::Input, 3> ErrorInputs(fit::UnitSystem units);

}  // namespace chockwise::survey
