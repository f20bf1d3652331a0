// A wire over a lane: what it asks of a machine that passes under it. The question about the wires
// of a way and the search for a way ask the same clearance.
//
//   const auto under = UnderWire(readings, wire, carried_height, units);
//   if (!under) return tl::unexpected(under.error());
//   if (under->clearance.verdict != fit::Verdict::kClear) ...
//
// Threads: values.
#pragma once

#include "services/fit/power_lines.h"
#include "services/survey/readings.h"

namespace chockwise::survey {

/// Heat, load or ice lower a wire; nobody tapes it. Default: the safety lead's to set.
inline constexpr fit::Metres kSagOfWire = fit::Feet(2);
/// Of a wire's height and a machine's, each. Default: the safety lead's to set.
inline constexpr fit::Metres kWireReadingError = fit::Inches(3);

struct WireOver {
  fit::LineClearance clearance;
  fit::Metres most_carried;  // that surely passes under it: no more may be carried
};

/// A machine as it passes under a wire.
struct UnderIt {
  fit::Metres carried_height;
  fit::Metres bounce;
  fit::Metres carried_error;
};

/// A machine of this height at the top of its bounce under the sagging wire, against the clearance
/// that its voltage asks for; where nobody knows the voltage, 20 ft. Whether the boom is lowered
/// and the deck empty is a person's word, so the longer clearance holds.
Outcome<WireOver> UnderWire(Readings& readings, const yard::Overhead& wire, const UnderIt& machine,
                            fit::UnitSystem units);
/// The same for one that stands on tyres on level ground, as it was measured.
Outcome<WireOver> UnderWire(Readings& readings, const yard::Overhead& wire,
                            fit::Metres carried_height, fit::UnitSystem units);

}  // namespace chockwise::survey
