// How far a machine runs until it stands, how fast it may go to stop within what the driver sees,
// and how far off the spotter walks.
//
//   Outcome<Stopping> stop = StoppingDistance({.speed = MilesPerHour(5), .friction = 0.20});
//   if (!stop) return stop.error();               // "grade: beats the friction"
//   DriversLine(*stop, UnitSystem::kUs);          // "STOPS IN 23 ft"
//
// Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "services/fit/answer.h"
#include "services/fit/braked_grip.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

enum class Surface {
  kDryConcrete,
  kWetConcrete,
  kDryAsphalt,
  kWetAsphalt,
  kGravel,
  kWetGrass,
  kSnow,
  kIce,
  kWetUnknown,  // wet, and of what nobody said
};

enum class Running { kCarTyres, kTruckTyres, kSteelTracks };

/// The friction to plan with. The table is of car tyres; truck tyres are taken at seven tenths of
/// it and steel tracks at no more than 0.20. Where a range is printed, its lower end.
///
/// Source: Noon, Engineering Analysis of Vehicular Accidents (1994), representative averages, read
/// second-hand; truck tyres run at 0.70 to 0.85 of that (from memory); 0.20 for steel tracks and
/// for whatever is wet: default, the safety lead's to set.
double PlanningFriction(Surface surface, Running running);

/// AASHTO's brake reaction time for design, and the lag of an air brake (common practice).
inline constexpr Duration kDesignResponse = Duration::FromMicros(2'500'000);
inline constexpr Duration kAirLag = Duration::FromMicros(500'000);
/// A ground guide keeps ten yards (US Army practice for ground guides).
inline constexpr Metres kLeastStandoff = Feet(30);
/// Friction and grade together at or below this hold nothing back (default: the safety lead's).
inline constexpr double kLeastHold = 0.03;

struct BrakedMotion {
  MetresPerSecond speed;
  double friction = 0;        // of the ground under all braked wheels, 0 to 1.5
  HoldingWheels wheels = {};  // all of them, unless said
  Grade grade = {};           // downhill is negative
  /// What the brakes can do as a share of the weight, where that is known and may be less than the
  /// ground allows (49 CFR 393.52(d): 43.5 % for most trucks).
  std::optional<double> brake_share = {};
  Duration response = kDesignResponse;
  Duration lag = {};  // kAirLag for air brakes
};

struct Stopping {
  Metres rolled;    // at full speed, until the brakes bite
  Metres braked;    // from there until it stands
  Metres distance;  // both
  Metres error;     // of the arithmetic; the inputs' own errors are not in it
};

/// d = v·(response + lag) + v² / (2·a), a = g·cos θ·(hold + G), with hold the lesser of the braked
/// wheels' grip and the brake share and G = tan θ.
///
/// Units: SI. Domain: speed above 0 up to 80 mph; grade within ±50 %; each time 0 to 10 s; hold + G
/// above 0.03. The usual form leaves cos θ out and is short by 1 / cos θ: 0.3 % at 8 %, 2 % at
/// 20 %. Error: ten roundings, below 2e-15 of the distance, and those of the grip, 1e-15·hold over
/// hold + G. Source: constant deceleration; the form of AASHTO's stopping sight distance.
Outcome<Stopping> StoppingDistance(const BrakedMotion& motion);

struct SeenAhead {
  Metres clear_ahead;       // what the driver sees to be clear, or how far the spotter stands off
  Metres body_length = {};  // kept between the spotter and the machine; 0 where nobody walks ahead
};

/// The fastest speed from which the machine stands a body length short of what lies `clear_ahead`.
/// `motion.speed` is not looked at. It is 0 where not even the body length is seen, or where a
/// spotter walks ahead nearer than ten yards.
///
/// v = 2·D / (t + √(t² + 2·D / a)): the root of the quadratic that does not cancel.
Outcome<MetresPerSecond> SpeedCap(const BrakedMotion& motion, const SeenAhead& sight);

struct Standoff {
  Metres distance;  // to keep between the spotter and the machine
  Stopping stopping;
};

/// Stopping distance and one body length, and at least ten yards.
Outcome<Standoff> SpotterStandoff(const BrakedMotion& motion, Metres body_length);

struct StopWithin {
  Verdict verdict = Verdict::kUndecided;
  Metres margin;  // what is seen beyond what is needed
  Metres needed;
  Metres error;
};

/// Whether the machine stands within what is seen, and a spotter who walks ahead is off by the
/// standoff.
Outcome<StopWithin> JudgeStop(const BrakedMotion& motion, const SeenAhead& sight);

std::string DriversLine(const Stopping& stopping, UnitSystem system);  // "STOPS IN 23 ft"
std::string DriversLine(const Standoff& standoff, UnitSystem system);  // "KEEP 40 ft"
std::string DriversLine(const StopWithin& judged, UnitSystem system);  // "SLOW DOWN: 4 ft short"
std::string SpeedCapLine(MetresPerSecond cap, UnitSystem system);      // "NO FASTER THAN 5.3 mph"
/// Whether a cap, rounded down to what a driver reads, is any speed at all.
bool IsAnySpeed(MetresPerSecond cap, UnitSystem system);

inline constexpr std::array<std::string_view, 3> kStoppingSources = {
    "constant deceleration, in the form of AASHTO's stopping sight distance",
    "friction: Noon, Engineering Analysis of Vehicular Accidents (1994), second-hand",
    "10 yd for a ground guide: US Army ground-guide practice"};
inline constexpr std::array<std::string_view, 2> kStoppingAssumptions = {
    "every wheel brakes and slides alike; the surface is the same all the way",
    "the driver brakes after the stated response; nothing slides, tips or sheds its load"};
/// Of a machine whose braked wheels were weighed.
inline constexpr std::array<std::string_view, 2> kBrakedStopAssumptions = {
    "it brakes on the wheels that the parking brake holds, or on more; all slide alike, all the "
    "way",
    kStoppingAssumptions[1]};

}  // namespace chockwise::fit
