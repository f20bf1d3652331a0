// What hangs behind a machine by the column "tows" of machines.csv, and the whole of them as one.
//
//   const auto units = TowedUnits(readings, machine);            // front to rear
//   const auto mass = TrainMass(readings, machine);              // of the machine and all of them
//
// Each towed unit is a row of the register with one group of axles: a dolly with its drawbar, the
// body of a full trailer on it, a centre-axle trailer, a further semitrailer. Its readings stand
// under its own unit number, taken coupled, as it will travel:
//   "coupling-to-axle"        from its drawbar eye or kingpin back to the middle of its axles
//   "coupling-height"         of that eye or kingpin over the ground
//   "trailer-front-overhang"  how far it reaches ahead of the eye or kingpin; 0 at a drawbar's eye
//   "trailer-rear-overhang"   how far behind its axles
//   "carried-width", "carried-height", "belly-clearance", "wheel-radius", "mass" as of any machine,
//                             "outline-height" and "belly-clearance" from its own foremost point
//   "hitch-behind-axle"       where the next unit hangs, behind the middle of its axles
// The machine in front has a "hitch-behind-axle" too, behind its hindmost axle, which is that of
// its own semitrailer where it brings one. Its "carried-length" and "mass" are without what hangs
// behind: the same readings hold when it goes alone.
//
// A unit is taken as wide as its body from its foremost point to its rear, its drawbar too, which
// is careful. Private to the room but for the words above. Threads: values.
#pragma once

#include <string_view>
#include <vector>

#include "services/survey/readings.h"

namespace chockwise::survey {

struct TowedUnit {
  const yard::Machine* machine;
  fit::Metres hitch_behind;  // where it hangs: behind the axle of the unit before
  fit::Metres front, to_axle, rear;
  fit::Metres length() const { return front + to_axle + rear; }
};
/// Refused by the first reading that is missing, of whichever unit, or where a unit has no length.
Outcome<std::vector<TowedUnit>> TowedUnits(Readings& readings, const yard::Machine& machine);

/// From the foremost point to the hindmost, straight.
Outcome<fit::Metres> TrainLength(Readings& readings, const yard::Machine& machine);
/// Of the widest and of the highest unit.
Outcome<fit::Metres> TrainWidth(Readings& readings, const yard::Machine& machine);
Outcome<fit::Metres> TrainHeight(Readings& readings, const yard::Machine& machine);
/// Of all units together.
Outcome<fit::Kilograms> TrainMass(Readings& readings, const yard::Machine& machine);

/// A question that knows single machines alone is refused of one that tows: "what" is not computed.
Outcome<void> TowsNothing(const yard::Machine& machine, std::string_view what);
/// What hangs behind a machine goes where that goes: a question about its trip is about the
/// machine.
Outcome<void> HangsBehindNone(const yard::Machine& machine);

/// "ST-104" or "ST-104 towing DL-961, FT-962".
std::string TrainText(const yard::Machine& machine);

}  // namespace chockwise::survey
