// The way between the jambs and past the walls: what a machine has to spare to each side on a whole
// trip, and what it leaves free where it comes to stand.
//
//   Outcome<fit::Answer> beside = KeepsClear(asked, trip, {.travel = fit::Travel::kReversing});
//
// Only what is on the map counts: the jambs of the doors on the way, the obstacles, keep-clear
// areas and refuges, and the ground marked for parking, which counts as full whoever stands there.
// Of the row that the trip leaves or goes to the machine's own bay is free, straight on along the
// lane at the place. What is parked elsewhere, the walk around looks for. Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string_view>

#include "services/fit/swept_path.h"
#include "services/survey/survey.h"
#include "services/survey/turning.h"

namespace chockwise::survey {

/// To each side of a moving machine, where no rule says more or less: common practice.
inline constexpr fit::Metres kBesideMachine = fit::Inches(12);

/// How far the map may be off: a line that was traced in a map editor. Common practice.
inline constexpr fit::Metres kTraceTolerance = fit::InMetres(0.02);

/// Whether an excavator's or crane's upper structure stays in line on the way.
enum class Upper { kInLine, kSlewing };

/// "forwards" or "reversing", as rules say it; nothing for any other word.
std::optional<fit::Travel> TravelOf(std::string_view word);

struct Driving {
  fit::Travel travel = fit::Travel::kForwards;
  Upper upper = Upper::kInLine;
  Wheels wheels = Wheels::kSteered;
  /// 0 to 100 m. Unset: the most that a gate of the yard's rules asks of a machine that travels so,
  /// so that the desk and the gate say the same; kBesideMachine where no gate asks.
  std::optional<fit::Metres> needed_each_side = {};
};

/// The whole trip as it is driven, with what drew it.
struct DrivenWay {
  Way way;
  fit::TurningMachine machine;
  std::vector<fit::SideObstacle> beside;  // what the margins are of, in their order
  fit::SweptPath swept;
  std::vector<fit::Input> inputs;
};
Outcome<DrivenWay> DriveOf(const Asked& asked, const Trip& trip, const Driving& driving);

/// "GO THROUGH: 14 in to spare at door-3 left jamb, left side (12 in asked for)", "TOO TIGHT at
/// ...", "WILL STRIKE shop-2-wall: 4 in short ...", or what the machine cannot turn. Left and right
/// are the driver's, also where the machine backs.
Outcome<fit::Answer> KeepsClear(const Asked& asked, const Trip& trip, const Driving& driving);

/// What the machine covers where the trip ends, against every keep-clear area, exit, fire way and
/// refuge of the map: it stands an inch off the marked ground, and by as much more as that is
/// narrower than its rule, as in Stands.
///
/// "LEAVES FREE shop-2-exit: 3 ft 4 in off it", "STOP SHORT of fire-way by 6 ft 2 in". Exact to a
/// step of the drive (2 in) and rounded up.
Outcome<fit::Answer> LeavesFree(const Asked& asked, const Trip& trip, const Driving& driving);

inline constexpr std::array<std::string_view, 2> kLeavesFreeSources = {
    "29 CFR 1910.37(a)(3): exit routes are free and unobstructed",
    "fire ways and keep-clear areas as marked on the yard's map"};

}  // namespace chockwise::survey
