// At the dock: whether a trailer tips nose-up or tail-down under a forklift, and whether dock
// board, floor and stands bear it.
//
//   Outcome<Nose> nose = JudgeNose({.trailer_tare = Pounds(7'000), .centre_behind_legs = Feet(8),
//                                   .forklift = Pounds(15'000), .ahead_of_legs = Feet(5), ...});
//   DriversLine(*nose, UnitSystem::kUs);       // "NEEDS NOSE STANDS: 2.0 times what is allowed"
//
// Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>

#include "services/fit/answer.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// Reserve against tipping, and on what stands carry (default: the safety lead's to set).
inline constexpr double kTippingReserve = 1.5;
/// Least part of the empty trailer's pin load that must be left (default: the safety lead's).
inline constexpr double kLeastPinShare = 0.25;
/// Reserve on a dock board's plate (common practice).
inline constexpr double kBoardReserve = 1.25;
/// Part of truck and load on each front wheel of a forklift (default: the safety lead's).
inline constexpr double kFrontWheelShare = 0.45;

/// Whether the cargo that was left at the nose is in the weight there: none is, too.
enum class CargoAtNose { kCounted, kUnknown };

/// An uncoupled trailer on its legs.
struct NoseTip {
  Kilograms trailer_tare;
  Metres centre_behind_legs;  // its own centre of mass
  Kilograms forklift;         // with load and driver, and cargo where that is counted
  Metres ahead_of_legs;       // how far ahead of the legs they are; 0: not at all
  CargoAtNose cargo = CargoAtNose::kUnknown;
};

struct Nose {
  Verdict verdict = Verdict::kUndecided;
  bool cargo_unknown = false;
  double tipping = 0;  // moment forward over the trailer's own: tips at 1
  double allowed = 0;  // 1 / 1.5
};

/// Tips if W·a >= W_t·b / 1.5. Cargo that nobody knows, left at the nose, is not clear whatever the
/// numbers say. Domain: weights to 200,000 lb, lengths to 60 ft. Source: statics about the legs.
Outcome<Nose> JudgeNose(const NoseTip& tip);

/// A coupled trailer with a load behind its axles.
struct TailTip {
  Kilograms pin_tare;  // on the coupling, empty
  Kilograms load;
  Metres behind_axles;  // of the load, behind the axles' centre
  Metres pin_to_axles;
};

struct Tail {
  Verdict verdict = Verdict::kUndecided;
  Kilograms pin_left;  // negative: it lifts
  Kilograms pin_needed;
  Kilograms margin;
};

/// Pin left = tare − W·o / L, at least a quarter of the tare. Source: statics about the axles.
Outcome<Tail> JudgeTail(const TailTip& tip);

struct BoardLoad {
  Kilograms gross;                 // forklift, load and driver
  std::optional<Kilograms> rated;  // the plate on the board
};

struct Bearing {
  Verdict verdict = Verdict::kUndecided;
  Kilograms actual;
  Kilograms allowed;
  Kilograms margin;
};

/// Gross <= plate / 1.25. No plate is refused.
Outcome<Bearing> JudgeBoard(const BoardLoad& board);

/// A floor with a rating per wheel, per area, or both. No rating is refused: an engineer says.
struct FloorLoad {
  Kilograms truck;
  Kilograms load;
  double wheel_share = kFrontWheelShare;  // of truck and load on the heaviest wheel
  std::optional<Kilograms> rated_wheel = {};
  std::optional<Pascals> rated_area = {};
  Metres length = {};  // of the ground that the machine covers; only for a rating per area
  Metres width = {};
};

struct Floor {
  Verdict verdict = Verdict::kUndecided;
  std::optional<Bearing> wheel;
  std::optional<Pascals> pressure;
  std::optional<Pascals> pressure_margin;
};

/// Wheel = share·(truck + load); pressure = weight over the ground it covers.
Outcome<Floor> JudgeFloor(const FloorLoad& floor);

/// A stand, jack pad or outrigger on its ground.
struct StandLoad {
  std::optional<Kilograms> share;  // of the weight that it may have to take; cargo and all
  std::optional<Kilograms> rated;  // of the stand
  Metres pad_length;
  Metres pad_width;
  std::optional<Pascals> ground;  // what the ground or floor bears
};

struct Stand {
  Verdict verdict = Verdict::kUndecided;
  bool share_unknown = false;  // the rest says nothing then
  Bearing stand;               // the share with the reserve against the rating
  Pascals pressure;
  Pascals pressure_margin;
};

/// Load 1.5·share; pressure = load / pad. A share that nobody knows is not clear, whatever the
/// stand is rated for.
Outcome<Stand> JudgeStand(const StandLoad& stand);

std::string DriversLine(const Nose& nose, UnitSystem system);
std::string DriversLine(const Tail& tail, UnitSystem system);
std::string BoardLine(const Bearing& board, UnitSystem system);
std::string DriversLine(const Floor& floor, UnitSystem system);
std::string DriversLine(const Stand& stand, UnitSystem system);

inline constexpr std::array<std::string_view, 3> kDockSources = {
    "statics of a trailer about its legs and its axles",
    "29 CFR 1910.178(k)(1), (k)(3), (m)(7): brakes, chocks, jacks under an uncoupled trailer",
    "reserves 1.5, 1.25 and a quarter of the pin: default, the safety lead's to set"};
inline constexpr std::array<std::string_view, 2> kDockAssumptions = {
    "legs stand on firm ground; wheels are chocked and brakes set; nothing hidden under the floor",
    "weights are with load and driver; a rating on a plate is of what is there today"};

}  // namespace chockwise::fit
