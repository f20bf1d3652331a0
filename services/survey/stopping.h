// How far a machine runs until it stands, how fast it may go for what is seen ahead, and how far
// off the spotter keeps: of a machine of the register, with the wheels that brake.
//
//   Outcome<fit::Answer> stops = Stops(asked, {.machine = id, .way = trip,
//                                              .question = {.sight = fit::Feet(40)}});
//   Show(stops->line);                                        // "NO FASTER THAN 4.1 mph"
//
// A grade that nobody has said is not level: law 2. Threads: values.
#pragma once

#include <optional>
#include <variant>
#include <vector>

#include "services/fit/stopping.h"
#include "services/survey/survey.h"

namespace chockwise::survey {

/// At least one of speed and sight.
struct StopQuestion {
  std::optional<fit::MetresPerSecond> speed = {};
  std::optional<fit::Metres> sight = {};        // clear ahead, or how far off the spotter walks
  std::optional<fit::Metres> body_length = {};  // kept between; unset: nobody walks ahead
};

struct MachineStop {
  yard::MachineId machine;
  std::variant<fit::Grade, Trip> way;        // downhill below 0, or the steepest lane of a trip
  std::optional<fit::Surface> surface = {};  // unset: wet, nobody knows of what
  StopQuestion question;                     // on a trip a spotter walks a body length ahead
};

/// The motion on `way` at no speed yet. Downhill, whichever way it goes. Refused where nobody has
/// weighed what its brakes hold. What it tows has its mass, and no brakes.
Outcome<fit::BrakedMotion> MotionOf(Readings& readings, const yard::Machine& machine,
                                    fit::Grade downhill,
                                    fit::Surface surface = fit::Surface::kWetUnknown);

/// The steepest of the lanes, as a descent: by the tape, or by the map's elevations where those are
/// steeper.
struct Descent {
  fit::Grade downhill;               // 0 or below
  std::optional<fit::Input> by_map;  // the lane and its grade, where the map is the steeper
};
Outcome<Descent> DownhillOn(Readings& readings, const std::vector<std::string>& lanes,
                            fit::UnitSystem units);

/// "STOPS IN 23 ft", "KEEP 43 ft, STOPS IN 23 ft", "SLOW DOWN: 3 ft short, NO FASTER THAN 3.1 mph",
/// "NO FASTER THAN 3.1 mph". Friction, grade and body length are the caller's to tell beside it.
Outcome<fit::Answer> StopOf(const fit::BrakedMotion& motion, const StopQuestion& question,
                            fit::UnitSystem units);
/// Among the inputs, where somebody has said one.
void TellBodyLength(const StopQuestion& question, fit::UnitSystem units, fit::Answer& answer);

/// The same of a machine of the yard, with the share of its weight that the parking brake holds:
/// the service brake is taken to act on those wheels at least. Readings are taken to be off against
/// it by as much as they may be.
Outcome<fit::Answer> Stops(const Asked& asked, const MachineStop& what);

}  // namespace chockwise::survey
