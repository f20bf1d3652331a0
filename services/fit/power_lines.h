// How far a machine that travels must stay from a live wire, and what it has to spare.
//
//   Outcome<LineClearance> under = ClearanceOfLine({.voltage = Kilovolts(12.47),
//                                                   .wire_height = Feet(27), ...});
//   if (!under) return tl::unexpected(under.error());
//   if (under->verdict != Verdict::kClear) ...
//
// Every wire counts as live. Nobody tapes the height of a wire: it comes from the utility or from
// an instrument that does not touch it. Whoever stands on the ground is not covered: step voltages,
// guy wires and broken wires are the utility's to judge.
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

/// Loaded or with the boom up, the longer clearances of work hold also for travel.
enum class LineTravel { kUnloadedAndLowered, kLoadedOrRaised };

/// A mine has further rules; the stricter wins.
enum class LineSite { kGeneral, kMine };

/// The clearance of 29 CFR 1926.1408 Table A, by the column of the unit system: the printed feet
/// and the printed metres are two tables, both rounded. "To" includes its value. Unusable:
/// "voltage" not above 0 or above 1,000 kV, where the utility or a registered professional engineer
/// sets it.
Outcome<Metres> LineTableA(Volts voltage, UnitSystem column);

/// The clearance of 29 CFR 1926.1411 Table T: travelling, no load, boom lowered. As LineTableA.
Outcome<Metres> LineTableT(Volts voltage, UnitSystem column);

/// The clearance of 29 CFR 1926.600(a)(6) for a machine in use: 10 ft, and 0.4 in for each kV above
/// 50. It prints feet and inches alone. Unusable as LineTableA.
Outcome<Metres> LineClearanceInUse(Volts voltage);

/// 29 CFR 1926.600(a)(6), in transit without load and lowered: 4 ft below 50 kV, 10 ft to 345 kV,
/// 16 ft to 750 kV. 50 kV itself stands in neither of its first two bands: the longer is taken.
/// Unusable: "voltage" not above 0 or above 750 kV.
Outcome<Metres> LineClearanceInTransit(Volts voltage);

/// 30 CFR 77.807-2, booms and masts at surface coal mines; 77.807-3 asks the same of any machine
/// that passes under a line, or precautions. Unusable: "voltage" not above 0.
Outcome<Metres> LineClearanceAtMine(Volts voltage);

struct LineCrossing {
  std::optional<Volts> voltage;  // nullopt: unknown, and 20 ft are kept or the utility is asked
  Metres wire_height;            // the lowest wire above the wheels' ground, up to 200 m
  Metres beside;                 // level distance from the wires, blown out by wind, to the path at
                                 // the machine's widest; 0: it passes under
  Metres carried_height;         // the machine's highest point today, up to 100 m
  Metres bounce;                 // how far it may rise, up to 2 m
  Metres sag;                    // how much lower heat, load or ice may bring the wire, up to 20 m
  Metres reading_error;          // of a height or a distance, each; above 0: none is exact
  std::optional<Metres> carried_error = {};  // of the carried height; left out: as any height
  LineTravel travel = LineTravel::kLoadedOrRaised;
  LineSite site = LineSite::kGeneral;
};

struct LineClearance {
  Metres gap;     // between wire and machine at their closest
  Metres needed;  // the strictest clearance that applies
  std::string rule;
  Metres margin = {};  // gap less needed
  Metres error = {};   // of gap and margin
  // 1926.1411(b)(4): within 20 ft a dedicated spotter watches the gap. For a load or a raised boom
  // above 350 kV the trigger is 50 ft (1926.1409).
  bool spotter_needed = true;
  Verdict verdict = Verdict::kUndecided;
};

/// The gap between the lowest wire and the highest point of the machine at its worst, against the
/// strictest rule.
///
/// Units: metres. gap = wire_height - sag - carried_height - bounce where it passes under, the
/// hypotenuse of that and `beside` where it passes beside, and `beside` alone where the machine
/// stands as high as the wire. Error: each of the two heights, or the distance, is off by
/// reading_error at most, the carried height by its own where that is given; a hypotenuse changes
/// no faster than its sides together, so the bound is 2 reading errors under a wire and 3 beside
/// one. Sources: kPowerLineSources.
Outcome<LineClearance> ClearanceOfLine(const LineCrossing& at, UnitSystem column);

/// "PASS THE WIRE: 4 ft beyond the 6 ft asked for, spotter watches the wire" or "KEEP OUT: 14 in
/// short of 10 ft to the wire".
std::string DriversLine(const LineClearance& result, UnitSystem system);

inline constexpr std::array<std::string_view, 5> kPowerLineSources = {
    "29 CFR 1926.1408 Table A", "29 CFR 1926.1411 Table T", "29 CFR 1926.600(a)(6)",
    "30 CFR 77.807-2 and 77.807-3 (mines)", "20 ft at unknown voltage: 29 CFR 1926.1408(a)(2)"};
inline constexpr std::array<std::string_view, 2> kPowerLineAssumptions = {
    "Every wire is live; sag and wind are as given; 20 ft for an unknown voltage holds up to 350 "
    "kV",
    "Above 1,000 kV, or on a tall tower of unknown voltage, the utility says"};

}  // namespace chockwise::fit
