// What every axle carries when a machine stands at a place on the deck, whether each group of axles
// is within the law, and where the machine would have to stand to be.
//
//   LoadedVehicle lowboy = {.units = {tractor, trailer}, .machine = Pounds(42'000), ...};
//   Outcome<AxleJudgement> axles = JudgeAxles(lowboy);
//   DriversLine(*axles, UnitSystem::kUs);        // "MOVE MACHINE 14 in BACK"
//
// Every axle's load is linear in the machine's place and its error convex, so the legal places are
// one stretch of the deck, found exactly. Federal limits: states and permits differ, and a scale
// has the last word. Threads: values.
#pragma once

#include <array>
#include <optional>
#include <string>
#include <string_view>
#include <vector>

#include "services/fit/answer.h"
#include "services/fit/bridge_formula.h"
#include "services/fit/quantity.h"

namespace chockwise::fit {

/// All places are measured backwards from the first axle of the vehicle.
struct RoadAxle {
  Metres at;
  Kilograms tare;                        // from a scale ticket, coupled and empty
  std::optional<Kilograms> rating = {};  // of the axle by its maker, where known
};

/// A truck, tractor, jeep or trailer. The first stands on its front and rear axles; every other
/// rides on the coupling before it and on its own rear axles. Axles of a group share alike.
struct RoadUnit {
  std::vector<RoadAxle> front = {};  // of the first unit alone
  std::vector<RoadAxle> rear;
  std::optional<Metres> coupling = {};  // the fifth wheel that carries the next unit
  /// What the next unit lays on it empty. nullopt: nobody has weighed it, and none is credited.
  std::optional<Kilograms> coupling_tare = {};
  std::optional<Kilograms> coupling_rating = {};
};

/// How far off the inputs may be.
struct AxleErrors {
  Kilograms ticket = {};  // of each unit's front axles, of its rear axles, of a pin, of the machine
  Metres tape = {};       // of each unit's axles and of its coupling, each with all that is behind
  Metres place = {};      // of the machine's centre of mass on the deck
};

struct LoadedVehicle {
  std::vector<RoadUnit> units;  // front to back; the machine stands on the last
  Kilograms machine;
  Metres machine_at;  // its centre of mass, with the attachment it carries
  Metres deck_front;  // how far forward and back that centre may be
  Metres deck_rear;
  BridgeRounding rounding = BridgeRounding::kPlanned;
  AxleErrors errors = {};
};

enum class AxleRule {
  kSingleAxle,
  kTandem,
  kBridge,
  kTandemPair,
  kGross,
  kAxleRating,
  kCouplingRating,
  kStaysDown,         // no axle is lifted
  kCouplingStaysDown  // a quarter of the empty pin load is left (kLeastPinShare), or none lifted
};

/// One limit, on the axles `first` to `last` counted from 1 at the front; of a coupling, its
/// number.
struct AxleLimit {
  AxleRule rule = AxleRule::kSingleAxle;
  int first = 1;
  int last = 1;
  Metres span;
  Kilograms actual;
  Kilograms allowed;
  Kilograms margin;
  Kilograms error;     // of the margin, by the errors of the inputs
  BridgeLimit bridge;  // both roundings, where the formula rules
};

struct DeckStretch {
  Metres front;
  Metres rear;
};

struct AxleJudgement {
  Verdict verdict = Verdict::kUndecided;
  std::vector<Kilograms> axles;      // front to back, with tare
  std::vector<Kilograms> couplings;  // by the machine, without tare
  Kilograms gross;
  std::vector<AxleLimit> groups;     // every limit, at the machine's place
  AxleLimit worst;                   // least margin beyond its error
  std::optional<DeckStretch> legal;  // where every margin is beyond its error
  /// To the nearest legal place; backwards is positive. nullopt where it stands well or none helps.
  std::optional<Metres> move;
  /// Where nothing helps: the place with the least excess, and what is in excess there.
  Metres least_bad_at;
  AxleLimit least_bad;
};

/// Source: equilibrium of each unit; 23 U.S.C. 127(a): single 20,000 lb, tandem 34,000 lb, gross
/// 80,000 lb, the bridge formula over every group of consecutive axles, and two tandems of 34,000
/// lb each from 36 ft on.
///
/// Domain: 1 to 5 units, 2 to 13 axles, more than 40 in apart and within 200 ft; machine above 0 up
/// to 500,000 lb. A group at its limit is legal; a difference below a millionth of a pound is
/// binary noise. Closer to a limit than its error is undecided.
/// Error: each input is put off by its own error, one at a time and the worse way; the sum of what
/// that does to a load, and what the law allows less on the shortest that a span may be. First
/// order in the errors. Arithmetic: below 1e-12 of the gross.
Outcome<AxleJudgement> JudgeAxles(const LoadedVehicle& vehicle);

/// The move as it is said: away from the limit to the next whole inch or centimetre, backwards
/// positive. nullopt where no move helps or the legal stretch is too narrow for one.
std::optional<Metres> MoveToSay(const AxleJudgement& judged, UnitSystem system);

std::string DriversLine(const AxleJudgement& judged, UnitSystem system);

/// A stretch cut down to whole inches or centimetres at both ends; nullopt where none is left.
std::optional<DeckStretch> StretchToSay(const DeckStretch& stretch, UnitSystem system);
/// "NO PLACE ON THE DECK HELPS: the legal stretch is narrower than 1 in".
std::string NoStretchLine(UnitSystem system);

inline constexpr std::array<std::string_view, 3> kAxleSources = {
    "equilibrium of each unit on its supports",
    "23 U.S.C. 127(a), 23 CFR 658.17; table as in Rev. Code Wash. 46.44.041",
    "formula rounded down in feet and pounds, a quarter of the empty pin load left: default"};
inline constexpr std::array<std::string_view, 2> kAxleAssumptions = {
    "axles of a group share alike; the ground is level and the centre of mass as stated",
    "federal limits without permits; only a scale shows what an axle weighs"};

}  // namespace chockwise::fit
